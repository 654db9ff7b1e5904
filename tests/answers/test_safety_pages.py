"""What pages say of findings and of a switch's stress, each row against the result's own attribute."""

import math
from dataclasses import replace

from inrushlib.answers.blocks import FindingRow, Temperature, Value
from inrushlib.answers.findings import counted, findings_block, safety_blocks
from inrushlib.answers.switch import switch_answer
from inrushlib.build import new_build
from inrushlib.parts.place import LEAD, hop
from inrushlib.safety import switch_stress
from inrushlib.safety.finding import Finding, Question
from inrushlib.severity import Severity

from .made import TILES
from .reading import block_of, only, rows_of, told


def finding(severity, place=LEAD, value=2.0, limit=1.5, **more):
    return Finding(place, Question.WIRE_RATING, severity, value, limit, more.pop("unit", "A"), "a table", **more)


def test_findings_are_counted_worst_first():
    fine, note, caution, danger = map(finding, Severity)
    assert counted([caution]) == "One finding: 1 caution."
    assert counted([fine, fine]) == "Of 2 findings: 2 fine."
    assert counted([danger, danger, caution, note, note, fine]) == (
        "Of 6 findings: 2 dangers, 1 caution, 2 notes, 1 fine."
    )


def test_findings_on_a_display_are_grouped_and_the_fine_ones_counted():
    found = [
        finding(Severity.CAUTION, hop(0), 2.0), finding(Severity.CAUTION, hop(1), 3.0, remedy="take a thicker one"),
        finding(Severity.NOTE, limit=None), finding(Severity.FINE, hop(2)), finding(Severity.FINE, hop(3)),
    ]  # fmt: skip
    verdict, listed, left, scale, defers = safety_blocks(found, fine=False)
    assert (verdict.headline, verdict.good) == ("the worst finding is a caution", True)
    assert verdict.sentences == (
        "past a recommendation: it may fail or misbehave.", "Of 5 findings: 2 cautions, 1 note, 2 fine.",
    )  # fmt: skip
    assert [(row.what, only(row.value), only(row.limit), row.remedy) for row in listed.rows] == [
        ("jumper 1-2: current against the wire's rating (the worst of 2 like it)", (3.0, "A"), (1.5, "A"),
         "Take a thicker one."),
        ("lead: current against the wire's rating", (2.0, "A"), (None, "A"), ""),
    ]  # fmt: skip
    assert only(left.words) == "2 more are within their limits (all of them with --json)."
    assert only(scale.words).startswith("Danger: past a limit")
    assert "licensed" in only(defers.words)
    every = safety_blocks(found, fine=True)
    assert [row.severity for row in every[1].rows] == [Severity.CAUTION, Severity.NOTE, Severity.FINE]
    assert len(every) == 4
    assert safety_blocks([finding(Severity.DANGER)], fine=True)[0].good is False
    assert safety_blocks([finding(Severity.FINE)], fine=True)[0].headline == "the worst finding is fine"


def test_each_kind_of_number_of_a_finding():
    def shown(**more) -> FindingRow:
        (row,) = findings_block([finding(Severity.NOTE, **more)]).rows
        return row

    assert shown(unit="C").value == Temperature(2.0)
    assert shown(value=math.inf, unit="C").value == "above 250 C"
    assert shown(unit="").value == "2"
    assert told(shown(minimum=True).limit) == ["at least ", (1.5, "A")]
    assert shown(value=None).value == Value(None, "A")
    assert shown().what == "lead: current against the wire's rating"


def test_the_stress_of_a_switch_row_by_row():
    stress = switch_stress(new_build(TILES))
    answer = switch_answer("t", stress)
    heat, off = block_of(answer, "Heat"), block_of(answer, "While it should be off")
    both = stress.start, stress.stays_lit
    assert rows_of(heat) == [
        ["ends as", *(each.headline.words for each in both)],
        ["hottest junction", *((each.hottest_junction, "C") for each in both)],
        ["at", *((each.hottest_at, "s") for each in both)],
        ["heat while closing", *((each.closing_energy, "J") for each in both)],
        ["heat over the whole run", *((each.energy, "J") for each in both)],
        ["power at the end", *((each.steady_power, "W") for each in both)],
        ["junction in the long run", *((each.steady_junction, "C") for each in both)],
    ]
    names = ("plugged in, its own driver", "open-drain transistor as driver", "bare controller pin as driver")
    assert rows_of(off) == [
        [name, (each.peak_current, "A"), (each.highest_panel_voltage, "V"), (each.settled_drive, "V"),
         (each.settled_current, "A")]
        for name, each in zip(names, (stress.plugged, stress.transistor, stress.pin), strict=True)
    ]  # fmt: skip
    danger = replace(stress, findings=(finding(Severity.DANGER),))
    for each, good, words in (
        (replace(stress, findings=(finding(Severity.CAUTION),)), True, "the switch stays within its limits"),
        (danger, False, "something is past a limit"),
    ):
        page = switch_answer("t", each)
        assert page.good is good
        assert (page.blocks[0].headline, page.blocks[0].good) == (words, good)
