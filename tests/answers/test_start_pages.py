"""What pages say of a start and of what was assumed for it, each row against the result's own attribute."""

from types import SimpleNamespace as Made

import pytest

from inrushlib.answers.assumed import assumed_block, hangs_on, reservation
from inrushlib.answers.blocks import Beyond
from inrushlib.answers.start import QUIET, _switchings, figures, headline, overstress, start_answer
from inrushlib.build import new_build
from inrushlib.startup import simulate

from .made import TILES
from .reading import block_of, facts_of, rows_of, told


def test_every_figure_of_a_start(start):
    f, build, lead = start.figures, start.build, start.conductors[0]
    when, current, voltage = map(facts_of, figures(start))
    assert when == {
        "program runs at": [(start.running_at, "s")],
        "all pixels have data at": [(start.ready_at, "s")],
        "lit before the first data for": [(f.lit_before_data, "s")],
        "brown-outs, adapter trips": ["0, 0"],
    }
    assert current == {
        "in the lead, peak": [
            (f.peak_lead_current, "A"), " at ", (f.peak_lead_current_at, "s"), " (limit ",
            (build.adapter.limit_current, "A"), ")",
        ],
        "in the lead, while lit (ammeter)": [(start.lit_lead_current, "A")],
        "in the lead, settled": [(f.settled_lead_current, "A")],
        "lead, charge": [(lead.charge, "C")],
        "lead, heat": [(lead.energy, "J")],
        "lead, I2t": [(lead.i2t, "A2s")],
        "switch, hottest junction": [
            (f.highest_junction_temperature, "C"), " (absolute maximum ", (build.switch.highest_junction, "C"), ")",
        ],
    }  # fmt: skip
    low, high = min(f.final_section_voltages), max(f.final_section_voltages)
    assert low < high
    lowest = f"lowest lump, section {f.final_lowest_lump_section}"
    assert voltage == {
        "bus, lowest out of reset": [(f.lowest_bus_voltage, "V"), " at ", (f.lowest_bus_voltage_at, "s")],
        "bus, at the end": [(f.final_bus_voltage, "V")],
        "rail, lowest out of reset": [(f.lowest_rail_voltage, "V"), " at ", (f.lowest_rail_voltage_at, "s")],
        "rail, at the end": [(f.final_rail_voltage, "V")],
        "sections, at the end": [(low, "V"), " to ", (high, "V")],
        lowest: [(f.final_lowest_lump_voltage, "V")],
        "lumps of the panel": [f"{len(start.steps.lumps)}, {start.steps.lumps.each} a section"],
        "highest at the pixels": [(f.highest_section_voltage, "V"), " (absolute maximum ", (5.5, "V"), ")"],
        "highest at the controller": [(f.highest_reservoir_voltage, "V"), " (absolute maximum ", (6.0, "V"), ")"],
    }


def test_what_a_start_without_its_figures_says():
    never = simulate(new_build({**TILES, "switch": None, "controller.brownout_rising": 4.9, "wiring.sections": 1}))
    _, current, voltage = map(facts_of, figures(never))
    assert voltage["bus, lowest out of reset"] == [(None, "V")]
    assert voltage["sections, at the end"] == [(never.figures.final_section_voltages[0], "V")]
    assert "switch, hottest junction" not in current


def test_what_is_past_a_limit_is_pointed_out():
    hot = simulate(new_build(TILES | {"adapter.rated_voltage": 7.0}))
    _, _, voltage = (dict(each.rows) for each in figures(hot))
    for name, limit in (("highest at the pixels", 5.5), ("highest at the controller", 6.0)):
        assert isinstance(voltage[name], Beyond)
        assert told(voltage[name])[1:] == [" (absolute maximum ", (limit, "V"), ": too much)"]
    assert overstress(hot.headline) == (headline(hot.headline),)
    assert overstress(None) == ()


def test_switchings_are_listed_without_the_quiet_ones_up_to_24(start):
    loud = [each for each in start.switchings if each.kind not in QUIET]
    table = block_of(start_answer(start), "Switchings")
    assert rows_of(table) == [[(each.time, "s"), each.what] for each in loud]
    for count, more in ((24, None), (25, "and 1 more (all of them with --json)"), (30, "and 6 more")):
        rows = rows_of(_switchings(Made(switchings=[Made(time=1.0 * k, kind=None, what="x") for k in range(count)])))
        assert len(rows) == min(count, 24) + (more is not None)
        assert rows[23] == [(23.0, "s"), "x"]
        if more:
            assert rows[24][0] == "..."
            assert rows[24][1].startswith(more)


def test_a_start_that_boots_is_good_and_what_was_assumed_stands_beside(start):
    answer = start_answer(start)
    assert (answer.good, answer.title) == (True, "two tiles")
    assumed = [value(key, True) for key in ("bus.bulk", "panel.bulk")]
    first = start_answer(start, assumed).blocks[0]
    assert first.headline == f"{start.headline.words}, but hangs on two values that were assumed"
    assert (first.hangs, first.good) == (True, True)
    assert answer.blocks[0].hangs is False


def value(key, matters, low=1e-4, high=1e-3):
    return Made(key=key, matters=matters, value=4.7e-4, low=low, high=high, turns_to=Made(words="sticks"))


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (0, ""),
        (1, ", but hangs on one value that was assumed"),
        (2, ", but hangs on two values that were assumed"),
        (10, ", but hangs on ten values that were assumed"),
        (11, ", but hangs on 11 values that were assumed"),
    ],
)
def test_the_reservation_counts(count, words):
    assert reservation(count) == words


def test_what_was_assumed_and_matters_is_listed_up_to_eight():
    assert assumed_block([value("bus.bulk", False)]) is None
    (row,) = rows_of(assumed_block([value("bus.bulk", True), value("panel.bulk", False)]))
    assert row == ["bus.bulk", row[1], (1e-4, "F"), (1e-3, "F"), "sticks"]
    assert "470 uF" in row[1]
    assert [each.key for each in hangs_on([value("a", True), value("b", False), value("c", True)])] == ["a", "c"]
    for count in (8, 9, 12):
        rows = rows_of(assumed_block([value("bus.bulk", True)] * count))
        assert len(rows) == min(count, 8) + (count > 8)
        assert rows[-1][0] == ("bus.bulk" if count == 8 else f"and {count - 8} more")
