"""Values of one unit in a column have as many digits behind the point, on every medium."""

import re

import pytest

from inrushlib.answers import html, terminal
from inrushlib.answers.blocks import Answer, Beside, Beyond, Facts, Lines, Strong, Table, Value
from inrushlib.answers.brightness import brightness_answer
from inrushlib.build import new_build
from inrushlib.quantities import common_places, format_result
from inrushlib.search import brightness_caps
from inrushlib.sheet.layout import words_on_paper

COLUMN = (4.0004, 4.123, 12.34, 0.0123, 0.0)
ALIKE = ["4.00 V", "4.12 V", "12.34 V", "12 mV", "0 V"]
NUMBER = re.compile(r"^(-?\d+(?:\.(\d+))?) (\S+)$")


def test_a_column_has_one_resolution_for_each_unit_on_every_medium():
    """Found on the pages: 4 V beside 4.12 V."""
    table = Table(("", "bus"), tuple((f"{n}", Value(volts, "V")) for n, volts in enumerate(COLUMN)), numbers=(1,))
    cells = [row[1] for row in table.rows]
    assert [terminal.text_of(cell) for cell in cells] == ALIKE
    assert [html.html_of(cell) for cell in cells] == ALIKE
    assert [words_on_paper(cell) for cell in cells] == ALIKE
    page = html.render(Answer("build", True, (table,)))
    assert all(f">{text}<" in page for text in ALIKE)


def test_names_and_values_have_one_resolution_too():
    facts = Facts((
        ("sections", (Value(4.0004, "V"), " to ", Value(4.123, "V"))),
        ("hottest", Beyond((Value(5.5, "V"), " (absolute maximum ", Value(5.5, "V", 0), ": too much)"))),
        ("read", Lines(("first, ", ("the bus: ", Value(4.0004, "V"))))),
        ("trips", "0"),
    ))  # fmt: skip
    said = [terminal.text_of(words) for _, words in facts.rows]
    assert said[0] == "4.00 V to 4.12 V"
    # A limit was not computed, and a sentence is no column.
    assert said[1] == "5.50 V (absolute maximum 5.5 V: too much)"
    assert said[2] == "first,  the bus: 4 V"


def test_columns_are_apart_and_what_was_not_computed_keeps_its_digits():
    rows = tuple((Value(label, "A", 0), Strong(Value(peak, "A")), "as built") for label, peak in ((1, 1.25), (10, 12)))
    found = [[terminal.text_of(cell) for cell in row] for row in Table(("", "", ""), rows, numbers=(0, 1)).rows]
    assert found == [["1 A", "1.25 A", "as built"], ["10 A", "12.00 A", "as built"]]


@pytest.mark.parametrize(
    ("values", "unit", "resolution", "places"),
    [
        ((2.5, 3.0), "A", None, [1, 1]),
        ((1.23e-3, 306.123e-3), "s", None, [2, 2]),
        ((75.7e-3, 0.152), "V", None, [0, 0]),  # a run tells volts to 1 mV: no digit that it does not have
        ((75.7e-3, 0.152), "V", 1e-5, [1, 1]),
        ((1e-6, 1.5e-6, 1e-3), "F", None, [1, 1, 1]),  # capacitors all stand in microfarads
        ((0.0, 5e-10), "A", None, [None, None]),  # both a plain 0
        ((1.5, -2.0), "A2s", None, [1, 1]),
        ((float("inf"), 2.25), "A", None, [None, 2]),
        ((0.5e-6, 2e-6), "m2", None, [1, 1]),
    ],
)
def test_places_of_a_column(values, unit, resolution, places):
    found = common_places([(value, unit, resolution) for value in values])
    assert found == places
    for value, count in zip(values, found, strict=True):
        text = format_result(value, unit, resolution=resolution, places=count)
        if count is not None:
            match = NUMBER.match(text)
            assert len(match[2] or "") == count
            # It is the value itself that is rounded, not what was rounded before.
            alone = NUMBER.match(format_result(value, unit, 12, resolution=0))
            assert alone[3] == match[3]
            assert float(match[1]) == pytest.approx(float(alone[1]), abs=0.5001 * 10.0**-count)


def test_every_column_of_an_answer_holds_to_it():
    wiring = {"sections": 2, "pixels_per_section": 64}
    build = new_build({"title": "two panels", "adapter": {"rated_current": "4 A"}, "wiring": wiring})
    answer = brightness_answer(build, brightness_caps(build), ())
    seen = 0
    blocks = [part for block in answer.blocks for part in (block.blocks if isinstance(block, Beside) else (block,))]
    for table in (block for block in blocks if isinstance(block, Table)):
        for column in zip(*table.rows, strict=True):
            texts = [cell.text for cell in column if isinstance(cell, Value) and cell.value]
            places = {}
            for match in filter(None, map(NUMBER.match, texts)):
                places.setdefault(match[3], set()).add(len(match[2] or ""))
                seen += 1
            assert all(len(each) == 1 for each in places.values()), texts
    assert seen > 40
