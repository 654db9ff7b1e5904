"""Words are for people: no branch of ours hangs on the text of a message, a label or a sentence."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from .prose import Use, constants, prose_branches

ROOT = Path(__file__).parents[1]
SOURCES = sorted([*ROOT.glob("inrushlib/**/*.py"), *ROOT.glob("workbook/**/*.py")])

# File, and the words: why they are no message of ours.
READING = "reads what an instrument wrote"
ALLOWED = {
    ("inrushlib/copper/resistance.py", "IEC 60228"): "the number of a standard names its table",
    ("inrushlib/model/compiler.py", "llvm."): "names that the compiler's language keeps for itself",
    ("inrushlib/quantities/reading.py", "e"): "the exponent of a number",
    ("inrushlib/safety/hardware.py", "not said"): "a choice of the build file",
    ("inrushlib/serve/loading.py", "//cdn."): "looks for an address in a page that is not ours",
    ("inrushlib/trace/bench_table.py", "e"): "the exponent of a number",
    ("inrushlib/trace/read/cells.py", "d"): READING,
    ("inrushlib/trace/read/counts.py", "v"): READING,
    ("inrushlib/trace/read/counts.py", "a"): READING,
    ("inrushlib/trace/read/counts.py", "x"): READING,
    ("inrushlib/trace/read/counts.py", "vert"): READING,
    ("inrushlib/trace/read/preamble.py", "div"): READING,
    ("workbook/widgets/values.py", " to "): "reads what was typed into a field",
}

#: Pictures of our own, and what the trade says. The fit is not among the sources: its words are its own matter.
HOME_MADE = {
    "not told:": "undetermined",
    "is not told": "undetermined",
    "told only together": "cannot be told apart by this capture",
    "seen to fail": "was tried and failed",
    "parted with": "delimiter",
}


def found() -> list[tuple[str, Use]]:
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in SOURCES}
    everywhere = {name: words for tree in trees.values() for name, words in constants(tree).items()}
    return [
        (str(path.relative_to(ROOT)), use)
        for path, tree in trees.items()
        for use in prose_branches(tree, everywhere | constants(tree))
    ]


def test_no_branch_hangs_on_the_text_of_a_message() -> None:
    uses = [f"{file}:{use.line}: {use.how} {use.words!r}" for file, use in found() if (file, use.words) not in ALLOWED]
    assert not uses, "words are for people; take an enumeration with a sentence:\n" + "\n".join(uses)


def test_everything_that_is_allowed_is_still_there() -> None:
    assert set(ALLOWED) == {(file, use.words) for file, use in found()} & set(ALLOWED)


@pytest.mark.parametrize("path", [p for p in SOURCES if "fit" not in p.parts], ids=lambda p: str(p.relative_to(ROOT)))
def test_sentences_say_it_as_the_trade_does(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert {ours: better for ours, better in HOME_MADE.items() if ours in text} == {}


@pytest.mark.parametrize(
    "code",
    [
        'quantity.endswith("current")',
        'note.startswith(f"this capture only tells {key}")',
        'text.split(": ")',
        'text.split("; ")[0]',
        '"does not boot" in text',
        'text in ("as in the build", "any that fits")',
        'losses["inrush limiter"]',
        'losses.get("inrush limiter")',
        'said == "at its bound"',
        'said == "it is lost:"',
        "fitted.note in tied",
        "fit.note.startswith(BEGINNING)",
        "remedy.name == AS_IT_IS",
        "match word:\n    case 'count list':\n        pass",
    ],
)
def test_branches_on_words_are_found(code: str) -> None:
    known = {"BEGINNING": "this capture", "AS_IT_IS": "as it is"}
    assert prose_branches(ast.parse(code), known)


@pytest.mark.parametrize(
    "code",
    [
        'name.startswith(f"{table}.")',
        'line.split(",")',
        'key.partition(".")',
        'switch.kind == "p-channel"',
        'print("it boots: " + text)',
        'found["bus_voltage"]',
        'text.replace("\\r\\n", "\\n")',
        "outcome is Outcome.AT_LEAST",
        'words = {Outcome.AT_LEAST: "at least so much"}',
    ],
)
def test_data_and_talk_are_left_alone(code: str) -> None:
    assert not prose_branches(ast.parse(code), {})


def test_constants_are_followed_to_their_strings() -> None:
    assert constants(ast.parse('A, B = "one word", 2\nC = "three"')) == {"A": "one word", "C": "three"}
