"""Builds by required keys alone, as someone begins: each command says what is of use, and where to go on.

Invented: a shop's menu board that its adapter cannot start, and a strip that its adapter just starts.
"""

import re
from types import SimpleNamespace

import pytest

from inrushlib.cli import main
from inrushlib.cli.next_step import NextStep
from inrushlib.cli.size import _next

BOARD = {"title": "menu board", "amperes": 4, "sections": 8, "pixels": 256}
STRIP = {"title": "single strip", "amperes": 1, "sections": 1, "pixels": 60}
TEXT = """title = "{title}"
[adapter]
rated_current = "{amperes} A"
[wiring]
sections = {sections}
pixels_per_section = {pixels}
"""


@pytest.fixture
def asked(tmp_path, capsys):
    """Asks a command about one of the two; returns what it answers."""

    def ask(command, build, *more):
        path = tmp_path / "build.toml"
        path.write_text(TEXT.format(**build))
        status = main([command, str(path), *more])
        said = capsys.readouterr()
        return status, said.out + said.err

    return ask


def test_changes_that_make_no_start_of_it_are_told_as_such(asked):
    status, said = asked("check", BOARD)
    assert status == 1
    assert "  The verdict changes with any one of these, but none of them makes it boot:\n" in said
    assert "but none" not in asked("check", STRIP)[1]


@pytest.mark.parametrize("command", ["window", "switch"])
def test_a_question_about_a_switch_that_is_none_says_where_one_comes_from(asked, command):
    status, said = asked(command, BOARD)
    assert status == 2
    assert "a [switch] table, which inrush remedies writes where a switch helps" in said


def test_what_to_measure_comes_after_what_to_change_where_it_hardly_ever_boots(asked):
    said = asked("guide", BOARD, "--runs", "512")[1]
    assert "It hardly ever does, whatever is measured: the remedies look for what would help" in said
    said = asked("guide", STRIP, "--runs", "128", "--all")[1]
    assert "hardly ever" not in said
    # A current that is set is no range, and heat has a unit with its prefix.
    assert re.search(r"current: 2 A, ammeter", said)
    assert "(2 A to 2 A)" not in said
    assert re.search(r"turns \d+ mW into heat", said)


def test_a_dimmed_picture_says_which_adapter_the_whole_one_asks_for(asked):
    said = asked("remedies", BOARD, "--no-odds")[1]
    assert "The picture is dimmed: with the build's own duties (0.3, 0.3, 0.3) it would draw 8.2 A" in said
    assert "asks for a label of 10 A or more" in said


@pytest.mark.parametrize(
    ("build", "odds", "said"),
    [
        (BOARD, ["--no-odds"], "find what would help: inrush remedies"),
        (STRIP, ["--no-odds"], "pages for the bench: inrush sheet"),
    ],
)
def test_the_next_question_after_the_adapter_is_what_it_leaves_open(asked, build, odds, said):
    assert f"Next: {said}" in asked("size", build, *odds)[1]


def test_the_sheet_says_what_assumed_values_would_change(asked, tmp_path):
    """It said that none turns the verdict, beside values that only change how it fails."""
    asked("sheet", BOARD, "--no-odds", "-o", str(tmp_path / "sheet.html"))
    said = (tmp_path / "sheet.html").read_text(encoding="utf-8")
    assert "values that are assumed none alone makes it boot within its range" in said
    assert "none alone turns the verdict" not in said


def test_where_no_rating_is_sure_the_next_question_is_what_to_measure():
    size = SimpleNamespace(start=SimpleNamespace(before=SimpleNamespace(boots=True)))
    assert _next(size, SimpleNamespace(chosen=None)) is NextStep.MEASURE
    assert _next(size, SimpleNamespace(chosen=object())) is NextStep.SHEET


def test_one_wire_is_one_wire(asked):
    said = asked("wires", STRIP, "--adapter", "1 A", "--feed-length", "30 cm")[1]
    assert "1 WIRE NOT DESCRIBED: WHAT IT NEEDS IS BELOW" in said
