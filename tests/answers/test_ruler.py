"""A ruler as a drawing: every place on it by hand, on a scale by factors."""

import re
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest

from inrushlib.answers.blocks import Mark, Ruler
from inrushlib.answers.ruler import _round_values, draw_ruler

MARKS = (Mark("recommended", 6e-3, above=True), Mark("this <build>", 30e-3, above=False))
RULER = Ruler("delays & all", "s", ((2e-3, 12e-3), (40e-3, None)), MARKS)


def drawn(ruler=RULER, room=700):
    return ElementTree.fromstring(draw_ruler(ruler, room))


def place(value, room=700, low=1e-3, high=80e-3):
    """Where a value is: from 20 px of the left to 20 px of the right, half of the least value to twice the most."""
    return 20 + (room - 40) * np.log(value / low) / np.log(high / low)


def paths(tree):
    return [[float(x) for x in re.findall(r"-?[\d.]+", each.get("d"))] for each in tree.iter("path")]


def lines(tree):
    return [{name: float(each.get(name)) for name in ("x1", "x2", "y1", "y2")} for each in tree.iter("line")]


def test_its_frame_is_as_wide_as_its_room_within_320_and_900():
    for room, whole in ((700, 700), (100, 320), (320, 320), (2000, 900), (700.4, 700)):
        tree = drawn(room=room)
        (svg,) = tree.iter("svg")
        assert svg.get("viewBox") == f"0 0 {whole} 112"
        assert f"max-width:{whole}px;min-width:320px" in svg.get("style")
        assert svg.get("aria-label") == "delays & all"
        (frame,) = tree.iter("rect")
        assert [float(frame.get(name)) for name in ("x", "y", "width", "height")] == [20, 34, whole - 40, 26]
    assert ElementTree.tostring(drawn(room=900)) == ElementTree.tostring(ElementTree.fromstring(draw_ruler(RULER)))


def test_stretches_begin_and_end_at_their_values():
    closed, opened = paths(drawn())
    assert closed == pytest.approx([place(2e-3), 34, place(12e-3), 60, place(2e-3)], abs=0.06)
    # Without an upper end it goes to the ruler's and ends in a point, half way up and 16 px long.
    left, right = place(40e-3), 680
    assert opened == pytest.approx([left, 34, right - 16, 34, right, 47, right - 16, 60, left], abs=0.06)


def test_a_stretch_too_narrow_to_be_seen_is_two_pixels_wide():
    (narrow,) = paths(drawn(Ruler("", "s", ((1e-3, 1.0001e-3),), ())))
    assert narrow[2] - narrow[0] == pytest.approx(2.0, abs=0.06)


def test_marks_stand_above_and_below_with_their_names():
    tree = drawn()
    *_, above, below = lines(tree)
    assert above == {"x1": pytest.approx(place(6e-3), abs=0.06), "x2": above["x1"], "y1": 22, "y2": 60}
    assert below == {"x1": pytest.approx(place(30e-3), abs=0.06), "x2": below["x1"], "y1": 34, "y2": 90}
    names = [each for each in tree.iter("text") if each.get("font-weight")]
    assert [(each.text, float(each.get("y"))) for each in names] == [("recommended", 16), ("this <build>", 105)]
    assert [each.get("text-anchor") for each in names] == ["middle", "middle"]
    dashed = [each.get("stroke-dasharray") for each in tree.iter("line")][-2:]
    assert dashed == [None, "5 3"]


@pytest.mark.parametrize(
    ("value", "anchor"),
    [(1e-3, "start"), (1.1e-3, "start"), (1.2e-3, "middle"), (1.7, "middle"), (1.8, "end"), (2.0, "end")],
)
def test_names_near_an_end_stay_inside(value, anchor):
    # From 0.5 ms to 4 s over 660 px: 60 px are a factor of 8000 ** (60 / 660) = 2.26.
    marks = (Mark("a", value, above=True),)
    tree = drawn(Ruler("", "s", ((1e-3, 2.0),), marks))
    (name,) = (each for each in tree.iter("text") if each.get("font-weight"))
    assert name.get("text-anchor") == anchor
    assert float(name.get("x")) == pytest.approx(place(value, low=0.5e-3, high=4.0), abs=0.06)


def ticks(tree):
    """Places and figures below the ruler, with their lines."""
    found = [(float(each.get("x")), each.text) for each in tree.iter("text") if each.get("y") == "80"]
    marks = [each["x1"] for each in lines(tree) if (each["y1"], each["y2"]) == (60, 66)]
    assert [x for x, _ in found] == marks
    return found


def test_its_figures_are_round_and_stand_where_they_belong():
    # From 1 ms to 80 ms: 2, 5, 10, 20, 50 ms; 20 and 50 make way for the line that runs down at 30 ms, if too near.
    found = ticks(drawn(room=900))
    texts = {text: x for x, text in found}
    for text, x in texts.items():
        assert x == pytest.approx(place(1e-3 * float(text.split()[0]), room=900), abs=0.06)
    assert {"2 ms", "5 ms", "10 ms", "20 ms", "50 ms"} >= set(texts) >= {"2 ms", "5 ms", "10 ms"}
    mark = place(30e-3, room=900)
    for value in (20e-3, 50e-3):
        free = abs(place(value, room=900) - mark) >= 29
        assert (f"{1e3 * value:g} ms" in texts) == free
    for room in (320, 450, 900):
        places = [x for x, _ in ticks(drawn(Ruler("", "s", ((2e-3, 100e-3),), ()), room))]
        assert len(places) >= 2
        assert all(b - a >= 58 for a, b in pairwise(places))


def test_figures_make_way_for_the_line_of_a_name_below_and_not_for_one_above():
    for above, there in ((True, True), (False, False)):
        found = ticks(drawn(Ruler("", "s", ((2e-3, 40e-3),), (Mark("a", 10e-3, above=above),)), 900))
        assert ("10 ms" in [text for _, text in found]) == there


def test_a_stretch_from_zero_begins_at_the_left_end_which_is_called_zero():
    tree = drawn(Ruler("", "s", ((0.0, 10e-3),), (Mark("a", 4e-3, above=True),)))
    (bar,) = paths(tree)
    assert bar[0] == 20.0
    found = ticks(tree)
    assert found[0] == (20.0, "0 s")
    assert all(x > 80 for x, _ in found[1:])
    assert bar[2] == pytest.approx(place(10e-3, low=2e-3, high=20e-3), abs=0.06)


@pytest.mark.parametrize(
    ("low", "high", "values"),
    [
        (1.0, 10.0, [2, 5]),  # neither end itself
        (0.99, 10.1, [1, 2, 5, 10]),
        (1.0, 299.0, [2, 5, 10, 20, 50, 100, 200]),
        (1.0, 300.0, [10, 100]),  # over many decades only those
        (0.3, 0.9, [0.5]),
    ],
)
def test_round_values(low, high, values):
    assert _round_values(low, high) == pytest.approx(values)
