"""Currents of a start that are no states: against the equations written a second time, and the run's own sums."""

from itertools import pairwise

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.parts.place import (
    ADAPTER,
    BODY_DIODE,
    CHANNEL,
    CONTROLLER,
    GATE_DRIVER,
    JOINT,
    LEAD,
    PIN_CLAMP,
    PULL_UP,
    SWITCH,
    PlaceKind,
    feed,
    hop,
)
from inrushlib.startup import simulate

from ..model import equations as eq
from ..model.driving import drive, modes

TILES = {
    "title": "t", "adapter.rated_current": 2, "wiring.sections": 3, "wiring.pixels_per_section": 64,
    "wiring.feeds": [0, 2], "panel.bulk": "220 uF", "run.duration": 0.6, "controller.boot_time": 0.1,
    "firmware.refresh_interval": 0.1, "firmware.content_delay": 0.2,
}  # fmt: skip
GATED = {"switch.kind": "p-channel", "switch.gate_drain_capacitance": "2 nF"}
BUILDS = {
    "joint": {},
    "switch": GATED,
    "switch on a bare pin": GATED | {"switch.gate_driver": "pin"},
    # The bus goes away under a panel that holds its charge: the body diode conducts.
    "back through the body diode": GATED
    | {
        "panel.bulk": "4700 uF", "pixel.quiescent_current": 0, "run.interruptions": [[0.3, 0.5]],
        "adapter.bleed_resistance": 10,
    },
    "load switch": {"switch.kind": "load-switch", "run.interruptions": [[0.3, 0.45]]},
    "diode and reservoir": {
        "controller.feed_diode": True, "controller.reservoir": "470 uF", "run.interruptions": [[0.3, 0.32]],
    },
    "own supply": {"controller.feed": "own"},
    "plugged, foldback": {"run.start": "plug", "adapter.limit_style": "foldback"},
    "lumps": {"wiring.rail_resistance": "6 mohm", "wiring.lumps": 3, "wiring.feed_pixels": [5, 40]},
}  # fmt: skip
EACH = pytest.mark.parametrize("values", BUILDS.values(), ids=BUILDS)


def expected_currents(build, mode, t, y):
    """The same currents by the equations of tests/model, which share nothing with the library."""
    v_o, i_l, v_b, _, v_g, v_r, _, v_h, v_3 = y[:9]
    a, c = build.adapter, build.controller
    regulated = 0.0
    if mode.on:
        v_ref = a.rated_voltage * float(eq.clip((t - mode.t_on) / a.soft_start))
        limit = eq.limit_current(v_o, mode.top, a.limit_style, a.foldback_current, a.foldback_knee)
        regulated = eq.adapter_current(v_ref, v_o, a.output_resistance, limit, 0.01 * a.limit_current)
    source = c.own_voltage * min(t / 1e-3, 1.0) if c.feed == "own" else v_b
    fed = eq.feed_current(source, v_h, c.feed_resistance, c.feed_diode, c.diode_drop)
    across, pull, clamp, low = eq._switch(build, mode, t, v_b, v_g, v_r, v_3)
    found = {ADAPTER: regulated, LEAD: i_l, CONTROLLER: fed, (SWITCH if build.switch else JOINT): across}
    if build.switch is not None and build.switch.kind == "p-channel":
        sw = build.switch
        gate = (sw.threshold_voltage, sw.on_resistance, sw.on_resistance_drive)
        found[CHANNEL], found[BODY_DIODE] = eq.channel_current(v_b, v_g, v_r, *gate), eq.body_current(v_b, v_r)
        found[PULL_UP], found[GATE_DRIVER] = pull, low
        if sw.gate_driver == "pin":
            found[PIN_CLAMP] = clamp
    return found


@EACH
def test_against_the_equations(values):
    build = new_build(TILES | values)
    record, start = drive(build), simulate(build)
    compared = 0
    for stretch in modes(record):
        times = stretch.start + (stretch.end - stretch.start) * np.array([0.1, 0.5, 0.9])
        states, currents = record.at(times), start.currents(times)
        assert not any(np.isnan(current).any() for current in currents.values())
        for i, t in enumerate(times):
            expected = expected_currents(build, stretch.mode, t, states[i])
            for place, current in expected.items():
                # 1e-8 A: microvolts across 2 mohm, rounded at 5 V, are some 1e-13 A; a slope of 500 S on 1e-11 V.
                assert currents[place][i] == pytest.approx(float(current), rel=1e-9, abs=1e-8), (place, t)
                compared += 1
            assert set(currents) - set(expected) == {*map(feed, build.wiring.feeds), hop(0), hop(1)}
    assert compared > 50


@EACH
def test_against_the_sums_of_the_run(values):
    # Charge by conductor and energies by place come from quadrature inside the compiled run.
    start = simulate(new_build(TILES | values))
    # By the middles of small pieces: none of them is an instant at which something switches.
    ends = np.unique(np.concatenate([np.linspace(a, b, 9) for a, b in pairwise(start.time) if b > a]))
    times, lengths = (ends[1:] + ends[:-1]) / 2, np.diff(ends)
    curves, currents = start.at(times), start.currents(times)
    by_name = {place.name: current for place, current in currents.items()}
    moved = max(abs(conductor.charge) for conductor in start.conductors)
    for conductor in start.conductors:
        charge = by_name[conductor.name] @ lengths
        assert charge == pytest.approx(conductor.charge, rel=1e-3, abs=1e-3 * moved)
    delivered = (currents[ADAPTER] * curves["adapter_voltage"]) @ lengths
    assert delivered == pytest.approx(start.energy.adapter, rel=1e-3)
    across = currents[SWITCH if start.build.switch else JOINT]
    lost = (across * (curves["bus_voltage"] - curves["panel_voltage"])) @ lengths
    assert lost == pytest.approx(start.energy.losses[PlaceKind.SWITCH], rel=1e-3)


def test_body_diode_conducts_where_the_bus_goes_away():
    start = simulate(new_build(TILES | BUILDS["back through the body diode"]))
    currents = start.currents(start.time)
    assert currents[BODY_DIODE].max() > 1e-3
    assert currents[SWITCH] == pytest.approx(currents[CHANNEL] - currents[BODY_DIODE], abs=1e-12)


def test_at_a_switching_what_holds_after_it_and_beyond_the_run_its_end():
    start = simulate(new_build(TILES | GATED))
    assert start.running_at is not None
    closed = start.running_at + start.build.firmware.gate_delay
    low = start.currents(np.array([closed - 1e-6, closed, start.build.run.duration, 99.0]))[GATE_DRIVER]
    assert low[0] == 0.0
    # The gate stood at the bus: all of it across the gate resistor.
    gate = start.at(np.array([closed]))["gate_voltage"][0]
    assert low[1] == pytest.approx(gate / start.build.switch.gate_resistance, rel=1e-9)
    assert low[2] == low[3] > 0.0


def test_only_places_that_the_build_has():
    bare = simulate(new_build(TILES | {"run.duration": 0.01})).currents(np.array([0.005]))
    assert set(bare) == {ADAPTER, LEAD, CONTROLLER, JOINT, feed(0), feed(2), hop(0), hop(1)}
    load = simulate(new_build(TILES | BUILDS["load switch"] | {"run.duration": 0.01, "run.interruptions": None}))
    assert set(load.currents(np.array([0.005]))) == set(bare) - {JOINT} | {SWITCH}
