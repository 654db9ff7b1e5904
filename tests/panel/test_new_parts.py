"""A limiter and a load switch in the steady panel, against a start-up that has run for long."""

from math import exp, log

import pytest

from inrushlib.build import new_build
from inrushlib.panel import solve_panel
from inrushlib.panel.limiter import warm_resistance
from inrushlib.panel.settle import settle
from inrushlib.parts import Limiter
from inrushlib.parts.place import PlaceKind
from inrushlib.startup import simulate

BASE = {
    "title": "one lit tile", "adapter.rated_current": 8.0, "wiring.sections": 1, "wiring.pixels_per_section": 200,
    "wiring.rail_resistance": 1e-6, "controller.boot_time": 1000.0, "controller.boot_current": 0.08,
    "run.duration": 400.0,
}  # fmt: skip


def both(values):
    build = new_build(BASE | values)
    return solve_panel(build), simulate(build).figures


def test_limiter_is_as_warm_as_its_current_keeps_it():
    state, settled = both({"limiter": {"cold_resistance": 2.0, "dissipation": 0.02, "heat_capacity": 0.5}})
    assert settled.final_bus_voltage == pytest.approx(state.bus_voltage, abs=2e-3)
    assert settled.final_lead_current == pytest.approx(state.lead_current, rel=1e-3)


def test_load_switch_passes_its_limit_and_no_more():
    own = {
        "controller.feed": "own",
        "run.duration": 2.0,
        "controller.boot_time": 0.01,
        "firmware.first_frame": [1, 1, 1],
    }
    switch = {"kind": "load-switch", "on_resistance": 0.05, "current_limit": 3.0}
    state, settled = both(own | {"switch": switch})
    assert state.lead_current == pytest.approx(3.0, rel=0.01)
    assert settled.final_lead_current == pytest.approx(state.lead_current, rel=1e-4)
    wide, settled = both(own | {"switch": switch | {"current_limit": 20.0}})
    assert wide.lead_current > 4.0
    assert settled.final_section_voltages[0] == pytest.approx(float(wide.section_voltages[0]), abs=1e-3)


@pytest.mark.parametrize("current", [0.01, 0.1, 1.0, 5.0])
def test_heat_balance(current):
    part = Limiter(cold_resistance=5.0, beta=3000.0, dissipation=0.02)
    resistance = warm_resistance(part, current)
    warm = 1.0 / (1.0 / 298.15 + log(resistance / 5.0) / 3000.0)
    assert 0.02 * (warm - 298.15) == pytest.approx(resistance * current**2, rel=1e-9)


def test_a_limiter_settles_in_few_rounds(monkeypatch: pytest.MonkeyPatch) -> None:
    solves = []

    def counted(*arguments: object) -> object:
        solves.append(arguments)
        return settle(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr("inrushlib.panel.settle", counted)
    state = solve_panel(
        new_build({"title": "t", "adapter.rated_current": 4, "wiring.sections": 1, "wiring.pixels_per_section": 64,
                   "limiter": {"cold_resistance": 2.0}})
    )  # fmt: skip
    assert state.largest_imbalance < 1e-6
    assert 2 < len(solves) < 15


def test_the_limiter_in_the_panel_is_as_warm_as_the_panels_current_keeps_it():
    build = new_build({"title": "t", "adapter.rated_current": 4, "wiring.sections": 1, "wiring.pixels_per_section": 64,
                       "limiter": {"cold_resistance": 2.0, "ambient": 40.0}})  # fmt: skip
    state = solve_panel(build)
    warm = warm_resistance(build.limiter, state.lead_current)
    assert state.losses[PlaceKind.LIMITER] == pytest.approx(warm * state.lead_current**2, rel=1e-8)
    # Nothing flows: as cold as the room, 40 C, by the beta equation.
    assert warm_resistance(build.limiter, 0.0) == pytest.approx(
        2.0 * exp(build.limiter.beta * (1 / 313.15 - 1 / 298.15)), rel=1e-9
    )
