"""What the checks of a finished start allow is no more than the laws give, and they see what is wrong."""

from dataclasses import replace

import numpy as np
import pytest

from inrushlib.laws.controller import regulator
from inrushlib.laws.pixel import pixel
from inrushlib.laws.switch import body, load_switch
from inrushlib.parts.place import PlaceKind

from .bench import BENCH, start
from .checking import faults, given_back, imbalance, resolved

SECOND = {"run.duration": 1.0}
BELOW = np.concatenate([np.linspace(-3.0, 0.0, 20_001), -np.geomspace(1e-6, 1.0, 20_001)])  # [V]


def most(power):
    """Largest power [W] that comes back at any voltage below zero, of what flows as a function of it."""
    return max(-u * power(u) for u in BELOW)


def test_a_regulator_gives_back_no_more_than_its_corner():
    build = BENCH.with_values(SECOND | {"controller.dropout_voltage": 0})
    c = build.controller
    back = most(lambda u: regulator(1.0 + u, 1.0, c.rail_voltage, 0.0, c.dropout_resistance, c.regulator_limit)[0])
    assert back == pytest.approx(given_back(build)[PlaceKind.REGULATOR], rel=1e-3)


def test_a_load_switch_gives_back_no_more_than_its_corner():
    build = BENCH.with_values(SECOND | {"switch.kind": "load-switch"})
    s = build.switch
    back = most(lambda u: load_switch(2.0 + u, 2.0, 99.0, s.on_resistance, s.current_limit)[0])
    assert back == pytest.approx(given_back(build)[PlaceKind.SWITCH], rel=1e-3)


def test_a_body_diode_gives_back_no_more_than_its_tail():
    build = BENCH.with_values(SECOND | {"switch.kind": "p-channel"})
    back = most(lambda u: body(2.0, 2.0 + u)[0])
    assert back == pytest.approx(given_back(build)[PlaceKind.SWITCH], rel=1e-3)


def test_pixels_below_zero_volts_give_back_no_more_than_their_tail():
    build = BENCH.with_values(SECOND | {"pixel.wake_voltage": 0.9, "pixel.channel_resistance": 0.01})
    p = build.pixel
    forward = (-9.0,) * 3  # so that all of a channel's current would flow, as the bound has it
    args = (*(1,) * 3, *forward, p.channel_resistance, p.channel_current, p.quiescent_current, p.wake_voltage)
    back = most(lambda u: sum(build.wiring.pixels_per_section) * pixel(u, *args)[0])
    allowed = given_back(build)[PlaceKind.PIXELS]
    assert 0.9 * allowed < back < allowed * (1 + 1e-9)


def test_nothing_else_may_give_back():
    build = BENCH.with_values({"switch.kind": "load-switch"})
    assert set(given_back(build)) == {PlaceKind.REGULATOR, PlaceKind.PIXELS, PlaceKind.SWITCH}
    assert set(given_back(BENCH)) == {PlaceKind.REGULATOR, PlaceKind.PIXELS}


@pytest.mark.parametrize("place", [PlaceKind.LEAD, PlaceKind.REGULATOR])
def test_what_comes_back_beyond_that_is_seen(place):
    startup = start({})
    assert faults(startup) == []
    losses = startup.energy.losses | {place: -2.0 * given_back(BENCH).get(place, 1e-12)}
    found = faults(replace(startup, energy=replace(startup.energy, losses=losses)))
    assert any(fault.startswith(place.value) for fault in found)


def test_a_term_that_is_left_out_is_seen():
    startup = start({})
    losses = dict(startup.energy.losses)
    losses[PlaceKind.PIXELS] *= 1.1
    assert imbalance(startup) < 1e-4
    assert imbalance(replace(startup, energy=replace(startup.energy, losses=losses))) > 1e-3


def test_what_can_be_told_is_what_the_tolerance_makes_of_what_is_held():
    """Three tolerances at 5 V on the capacitors: C V dV; no other capacitor of this build holds as much as a tenth."""
    build = BENCH.with_values({"bus.bulk": "10 mF"})
    for tolerance in (1e-5, 1e-6):
        startup = start({}, build, tolerance)
        volts = max(startup.curves["bus_bulk_voltage"])
        expected = 10e-3 * volts * 3 * tolerance * (1 + volts)
        assert expected < resolved(startup) < 1.1 * expected
