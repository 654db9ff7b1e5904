"""How an answer is shown on a terminal and a page."""

from .mutation import mutation

TERMINAL = "answers/terminal.py"
SHOWN = ("inrushlib/answers/terminal.py", "tests/answers/test_renderers.py")

MORE_PAGES = ("tests/answers/test_more_pages.py",)
RULER = ("tests/answers/test_ruler.py",)

MUTATIONS = [
    mutation("what there is none of is not shown", TERMINAL, "value.text or NONE", 'value.text or ""', tests=SHOWN),
    mutation(
        "a column is as coarse as its coarsest text",
        "quantities/writing.py",
        "max(places.get(number.unit, 0), number.places)",
        "min(places.get(number.unit, 99), number.places)",
        tests=("tests/answers/test_columns.py",),
    ),
    mutation(
        "a column has digits that its results do not",
        "quantities/writing.py",
        "        if told > 0:",
        "        if told < 0:",
        tests=("tests/answers/test_columns.py",),
    ),
    mutation(
        "an uncertainty has three digits",
        "quantities/uncertain.py",
        "DIGITS: Final = 2",
        "DIGITS: Final = 3",
        tests=("tests/published/test_uncertain.py",),
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
    mutation(
        "switchings up to 25",
        "answers/start.py",
        "MOST_SWITCHINGS = 24",
        "MOST_SWITCHINGS = 25",
        tests=("tests/answers/test_start_pages.py",),
    ),
    mutation(
        "too hot from the latest",
        "answers/delay.py",
        "> window.earliest",
        "> 0.0",
        tests=("tests/answers/test_delay_pages.py",),
    ),
    mutation(
        "alike findings are one fewer",
        "answers/findings.py",
        "{more + 1} like it",
        "{more} like it",
        tests=("tests/answers/test_safety_pages.py",),
    ),
    mutation(
        "losses of the pixels count",
        "answers/panel.py",
        "given - state.losses[PlaceKind.PIXELS]",
        "given",
        tests=("tests/answers/test_panel_pages.py",),
    ),
    mutation(
        "nine values were assumed",
        "answers/assumed.py",
        "MOST: Final = 8",
        "MOST: Final = 9",
        tests=("tests/answers/test_start_pages.py",),
    ),
    mutation("a yes at nine in ten", "answers/spread.py", "SURE: Final = 0.95", "SURE: Final = 0.9", tests=MORE_PAGES),
    mutation(
        "all times of the capture", "answers/compare.py", "else instant + shift", "else instant", tests=MORE_PAGES
    ),
    mutation("six edges", "answers/margins.py", "MOST_EDGES = 5", "MOST_EDGES = 6", tests=MORE_PAGES),
    mutation("a ruler from its least value", "answers/ruler.py", "min(values) / 2", "min(values)", tests=RULER),
    mutation("figures touch", "answers/ruler.py", "APART = 58", "APART = 5", tests=RULER),
]
