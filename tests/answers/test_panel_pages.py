"""What pages say of a lit panel, its feeds and its wires, each row against the result's own attribute."""

from types import SimpleNamespace as Made

import pytest

from inrushlib.answers.blocks import Beyond, Caution, Table
from inrushlib.answers.panel import feeding_blocks, state_blocks
from inrushlib.answers.wires import _awg, wire_list_answer
from inrushlib.build import new_build
from inrushlib.panel import solve_panel
from inrushlib.parts.place import LEAD, PlaceKind, feed, hop
from inrushlib.safety import FuseOutcome

from .made import GOOD, TILES
from .reading import block_of, facts_of, only, rows_of, told


def test_a_panel_figure_by_figure():
    build = new_build(TILES)
    state = solve_panel(build)
    verdict, facts = state_blocks(build, state)
    assert told(verdict.headline) == [
        f"the worst pixel, number {state.worst_pixel}, gets ", (state.lowest_voltage, "V"),
    ]  # fmt: skip
    assert told(verdict.sentences[1]) == [
        "The adapter gives ", (state.adapter_current, "A"), "; its limit is ", (state.adapter_limit, "A"), ".",
    ]  # fmt: skip
    assert verdict.good
    found = facts_of(facts)
    given = state.adapter_voltage * state.adapter_current
    lost = sum(watts for kind, watts in state.losses.items() if kind not in (PlaceKind.PIXELS, PlaceKind.CONTROLLER))
    assert found.pop("adapter's output, bus, root of the panel") == [
        (state.adapter_voltage, "V"), ", ", (state.bus_voltage, "V"), ", ", (state.root_voltage, "V"),
    ]  # fmt: skip
    assert found.pop("best-fed pixel") == [(state.highest_voltage, "V"), f", number {state.best_pixel}"]
    assert found.pop("worst pixel") == [(state.lowest_voltage, "V"), f", number {state.worst_pixel}"]
    assert found.pop("lead carries") == [(state.lead_current, "A")]
    assert found.pop("feed to section 0 carries") == [(float(state.feed_currents[0]), "A")]
    assert found.pop("largest current between sections") == [(state.largest_hop_current, "A")]
    power = found.pop("lost on the way to the pixels")
    assert power == [(pytest.approx(lost, rel=1e-6), "W"), " of ", (pytest.approx(given), "W")]
    assert "of a pixel's light in another channel" in found.pop("largest colour shift")[0]
    assert found == {f"heat: {kind.together}": [(watts, "W")] for kind, watts in state.losses.items() if watts > 0}
    limited = new_build(TILES | {"adapter.rated_current": 1})
    verdict, _ = state_blocks(limited, solve_panel(limited))
    assert verdict.good is False
    assert told(verdict.sentences[1])[-1] == ", and it is at it: the whole panel sags."


def way(feeds, worsens=False, start=True):
    return Made(
        name="a way", feeds=feeds, start=Made(words="as it is: boots", after=GOOD) if start else None,
        worsens=worsens, lowest_voltage=4.1, voltage_spread=0.2, lowest_brightness=0.9, largest_feed_current=2.0,
        largest_hop_current=1.0, adapter_current=3.0,
    )  # fmt: skip


def test_ways_of_feeding_side_by_side():
    ways = [way((0,), worsens=True), way((1, 3)), way((2,), worsens=True), way((4,), start=False)]
    verdict, table = feeding_blocks(ways, ways[1], stay=False)
    numbers = [(4.1, "V"), (0.2, "V"), "90 %", (2.0, "A"), (1.0, "A"), (3.0, "A")]
    assert rows_of(table) == [
        ["a way", "0", "boots", *numbers],
        ["a way", "1, 3", "boots", *numbers],
        ["a way", "2", "boots (worse: not recommended)", *numbers],
        ["a way", "4", "cannot be computed", *numbers],
    ]
    assert table.chosen == 1
    assert told(verdict.headline) == ["feed sections 1, 3"]
    assert told(verdict.sentences[0]) == ["the worst pixel then gets ", (4.1, "V"), "."]
    assert told(verdict.sentences[1]) == ["Start as it is: boots."]
    one, _ = feeding_blocks(ways, ways[3], stay=False)
    assert told(one.headline) == ["feed section 4"]
    assert "no recommendation" in only(one.sentences[1])
    stay, table = feeding_blocks(ways, ways[0], stay=True)
    assert (stay.headline, table.chosen) == ("leave the feeds as they are", None)


def test_gauges_above_0_awg():
    assert [_awg(gauge) for gauge in (22, 1, 0, -1, -3)] == ["22 AWG", "1 AWG", "1/0 AWG", "2/0 AWG", "4/0 AWG"]


def wire_run(place, enough=True, fuse=None, **changes):
    wire = Made(length=0.5, gauge=20, carried=3.0, ampacity=11.0, drop=0.05, decided_by=Made(value="drop"),
                table="chassis wiring")  # fmt: skip
    usual = {
        "place": place, "wire": wire, "area": 0.5e-6, "ampacity": 9.0, "drop": 0.07, "enough": enough,
        "connector": "USB Type-C", "connector_enough": True, "wanted_connector": "5.08 mm screw terminal",
        "fuse": fuse,
    }  # fmt: skip
    return Made(**(usual | changes))


def wire_list(*runs, kept=True, metres=None, worsens=False):
    found = Made(
        plan=Made(from_what="from what."), runs=runs, lead_drop_kept=kept, metres=metres or {}, pulses=None,
        enough=all(run.enough for run in runs),
    )  # fmt: skip
    rerun = Made(words="as it is: boots", worsens=worsens)
    return wire_list_answer("t", found, rerun)


@pytest.mark.parametrize(
    ("runs", "head"),
    [
        ((wire_run(LEAD),), "every wire that is there does"),
        ((wire_run(LEAD, enough=False),), "1 wire too thin"),
        ((wire_run(LEAD, enough=False), wire_run(feed(0), enough=False)), "2 wires too thin"),
        ((wire_run(LEAD, connector_enough=False),), "1 connector too weak"),
        ((wire_run(LEAD, enough=False, connector_enough=False), wire_run(feed(0), connector_enough=False)),
         "1 wire too thin and 2 connectors too weak"),
        ((wire_run(LEAD, enough=None), wire_run(feed(0), enough=None)), "2 wires not described: what they need is"
         " below"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_wires_is_counted(runs, head):
    assert only(wire_list(*runs).blocks[0].headline) == head


def test_wires_and_their_ends_row_by_row():
    fuse = Made(outcome=FuseOutcome.FITS, rating=5.0)
    runs = (
        wire_run(LEAD, fuse=None),
        wire_run(feed(0), enough=False, fuse=fuse, connector_enough=False),
        wire_run(feed(1), area=None, ampacity=None, fuse=Made(outcome=FuseOutcome.NOT_NEEDED, rating=None),
                 wanted_connector=None, connector=None, connector_enough=None),
        wire_run(hop(0), fuse=Made(outcome=FuseOutcome.MELTS, rating=None)),
    )  # fmt: skip
    answer = wire_list(*runs, metres={20: 2.5, -1: 0.75})
    wires = block_of(answer, "Wires, supply and return alike")
    rows = rows_of(wires)
    assert [row[0] for row in rows] == ["lead", "feed to section 0", "feed to section 1", "jumper 0-1"]
    numbers = [(3.0, "A"), (9.0, "A"), (11.0, "A"), (0.07, "V"), (0.05, "V"), "drop"]
    assert rows[0][3:] == ["20 AWG", *numbers]
    assert rows[2][2] == "not said"
    assert rows[2][5] == "-"
    assert [isinstance(row[2], Beyond) for row in wires.rows] == [False, True, False, False]
    ends = block_of(answer, "Connectors and fuses")
    assert rows_of(ends) == [
        ["lead", "USB Type-C", "as it is", "that of the feeds"],
        ["feed to section 0", "USB Type-C", "5.08 mm screw terminal", (5.0, "A")],
        ["feed to section 1", "not said", "none of the classes does: bolt or solder it",
         "none: it stands what the adapter gives"],
        ["jumper 0-1", "USB Type-C", "as it is", FuseOutcome.MELTS.value],
    ]  # fmt: skip
    assert [isinstance(row[1], Beyond) for row in ends.rows] == [False, True, False, False]
    buy = block_of(answer, "To buy, supply and return together, without waste")
    assert rows_of(buy) == [["20 AWG", "2.50 m"], ["2/0 AWG", "0.75 m"]]
    bare = wire_list(wire_run(LEAD, fuse=None))
    assert rows_of(block_of(bare, "Connectors and fuses"))[0][3] == "none: it stands what the adapter gives"
    assert not [block for block in bare.blocks if isinstance(block, Table) and block.caption.startswith("To buy")]
    assert isinstance(bare.blocks[-1], Caution)
    assert bare.good
    for bad in (wire_list(wire_run(LEAD), worsens=True), wire_list(wire_run(LEAD, enough=False))):
        assert (bad.good, bad.blocks[0].good) == (False, False)
    assert len(wire_list(wire_run(LEAD), kept=False, worsens=True).blocks[0].sentences) == 4
