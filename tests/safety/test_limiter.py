"""The [limiter] table: read, checked, off by default, and its energy accounted for."""

import numpy as np
import pytest

from inrushlib.build import new_build, parse_build, to_toml
from inrushlib.errors import BuildError
from inrushlib.model import layout as at
from inrushlib.parts.place import PlaceKind
from inrushlib.startup import simulate

TILES = {
    "title": "four tiles", "adapter.rated_current": 4, "wiring.sections": 4, "wiring.pixels_per_section": 64,
    "wiring.feeds": [0, 2], "firmware.first_frame_delay": "10 ms", "run.duration": 0.5,
}  # fmt: skip


def test_read_and_written_back():
    build = parse_build(to_toml(new_build(TILES)) + '\n[limiter]\ncold_resistance = "2.5 ohm"\nambient = 40\n')
    assert build.limiter is not None
    assert (build.limiter.cold_resistance, build.limiter.ambient, build.limiter.beta) == (2.5, 40.0, 2800.0)
    assert parse_build(to_toml(build)) == build
    assert build.with_values({"limiter": None}) == new_build(TILES)
    assert new_build(TILES).limiter is None
    assert new_build(TILES).get("limiter.beta") is None


@pytest.mark.parametrize(
    ("key", "value", "accepted"),
    [
        ("limiter.cold_resistance", 0, "above 0 ohm"),
        ("limiter.beta", "2800 ohm", "a number in K"),
        ("limiter.dissipation", 0, "above 0 W/K"),
        ("limiter.heat_capacity", -1, "above 0 J/K"),
        ("limiter.ambient", -273.15, "above -273.15 C"),
        ("limiter.hot_resistance", 1, "the keys of limiter"),
    ],
)
def test_refused(key, value, accepted):
    with pytest.raises(BuildError, match=accepted):
        new_build(TILES | {key: value})


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"limiter.heat_capacity": "5 mJ/K"},
        {"switch": {}},
        {"switch.kind": "load-switch", "switch.current_limit": "6 A"},
        {"run.start": "plug", "bus.bulk": "2200 uF"},
        {"adapter.limit_style": "hiccup", "adapter.rated_current": 1},
    ],
)
def test_energy_balance(values):
    build = new_build(TILES | {"limiter.cold_resistance": "0.5 ohm"} | values)
    startup = simulate(build)
    assert abs(startup.energy.imbalance) < 1e-6
    assert startup.energy.losses[PlaceKind.LIMITER] > 0.0
    # What it lost as electricity it holds as heat or has given to the air.
    times = np.linspace(0.0, build.run.duration, 200_001)
    rise = startup.steps.states_at(times)[:, at.LIMITER_RISE]
    kept = build.limiter.heat_capacity * rise[-1] + build.limiter.dissipation * np.trapezoid(rise, times)
    assert kept == pytest.approx(startup.energy.losses[PlaceKind.LIMITER], rel=1e-4)


def test_lowers_the_peak_and_costs_voltage():
    plugged = TILES | {"run.start": "plug", "bus.bulk": "2200 uF", "bus.bulk_esr": "20 mohm"}
    without, with_it = simulate(new_build(plugged)), simulate(new_build(plugged | {"limiter": {}}))
    # Cold, 1 ohm and the lead's leave at most 5.1 V over both.
    bound = 5.1 / (1.0 + with_it.build.lead.resistance)
    assert without.figures.peak_lead_current > 2 * bound
    assert with_it.figures.peak_lead_current <= bound
    assert with_it.figures.final_bus_voltage < without.figures.final_bus_voltage
    assert without.energy.losses[PlaceKind.LIMITER] == 0.0
