"""One finding: the sentence made from it, how much of its limit it uses, and which of alike ones stands for all."""

import math

import pytest

from inrushlib.parts.place import LEAD, feed, hop
from inrushlib.safety.finding import Finding, Question, grouped, worse
from inrushlib.severity import Severity


def finding(value, limit, *, unit="A", severity=Severity.CAUTION, place=LEAD, question=Question.WIRE_RATING, **more):
    return Finding(place, question, severity, value, limit, unit, "a table", **more)


def test_its_sentence_has_all_that_is_known_and_nothing_else():
    head = "CAUTION lead: current against the wire's rating"
    assert finding(2.5, 2.0).sentence == f"{head}: 2.5 A (limit 2 A)"
    assert finding(2.5, 2.0, remedy="use a thicker wire").sentence == f"{head}: 2.5 A (limit 2 A). Use a thicker wire"
    assert finding(2.5, 2.0, minimum=True).sentence == f"{head}: 2.5 A (at least 2 A)"
    assert finding(2.5, None).sentence == f"{head}: 2.5 A"
    assert finding(None, None).sentence == head
    assert finding(math.inf, 70.0, unit="C").sentence == f"{head}: above 250 C (limit 70 C)"
    plug = finding(4.0, 3.0, question=Question.CONNECTOR, severity=Severity.DANGER, detail="USB Type-C")
    assert plug.sentence == "DANGER lead: current through its USB Type-C connector: 4 A (limit 3 A)"


@pytest.mark.parametrize(
    ("given", "use"),
    [
        (finding(3.0, 2.0), 1.5),
        (finding(2.0, 3.0, minimum=True), 1.5),
        (finding(3.0, None), 3.0),
        (finding(3.0, 0.0), 3.0),
        (finding(None, 2.0), 0.0),
    ],
)
def test_how_much_of_its_limit_it_uses(given, use):
    assert given.use == use
    assert finding(0.0, 1.0, minimum=True).use > 1e100  # nothing where something is wanted


def test_alike_ones_are_those_of_one_kind_of_place_one_question_and_one_severity():
    found = [
        finding(1.0, 4.0, place=hop(0)),
        finding(3.0, 4.0, place=hop(1)),
        finding(2.0, 4.0, place=hop(2)),
        finding(3.5, 4.0, place=feed(0)),
        finding(0.5, 4.0, place=hop(3), severity=Severity.NOTE),
        finding(0.5, 4.0, place=hop(3), question=Question.WIRE_PULSE),
    ]
    lines = [(each, more) for each, more in grouped(found)]
    assert lines == [(found[1], 2), (found[3], 0), (found[4], 0), (found[5], 0)]


def test_the_worse_of_two_whatever_their_order():
    for low, one in enumerate(Severity):
        for high, other in enumerate(Severity):
            assert worse(one, other) is (other if high >= low else one)
