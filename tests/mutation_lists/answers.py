"""How an answer is shown on a terminal and a page."""

from .mutation import mutation

TERMINAL = "answers/terminal.py"
SHOWN = ("inrushlib/answers/terminal.py", "tests/answers/test_renderers.py")

MUTATIONS = [
    mutation(
        "what there is none of is shown as a number",
        TERMINAL,
        "NONE if value.value is None else format_result",
        "format_result",
        tests=SHOWN,
    ),
    mutation("a first sentence stands below", TERMINAL, "for text in texts[1:])]", "for text in texts)]", tests=SHOWN),
    mutation(
        "columns as wide as their head", TERMINAL, "max(len(row[i]) for row in table)", "len(table[0][i])", tests=SHOWN
    ),
    mutation(
        "a wide table loses its empty cells' neighbours",
        TERMINAL,
        'if pair[1] not in ("", NONE)]',
        "if pair[1]]",
        tests=SHOWN,
    ),
    mutation(
        "heads of a paragraph are one off",
        TERMINAL,
        "zip(table.heads[1:], row[1:], strict=True)",
        "zip(table.heads, row[1:], strict=False)",
        tests=SHOWN,
    ),
    mutation("cautions are left out", TERMINAL, "case Note() | Caution():", "case Note():", tests=SHOWN),
    mutation("tables have no heads", TERMINAL, "if any(block.heads) else []", "if False else []", tests=SHOWN),
]
