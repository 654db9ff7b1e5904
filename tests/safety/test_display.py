"""What a display's findings are as a whole, its switch in the long run, its data lines."""

import numpy as np
import pytest

from inrushlib.panel import solve_panel
from inrushlib.parts.place import PlaceKind, hop
from inrushlib.safety.data_line import lane_starts
from inrushlib.safety.display import safety_findings
from inrushlib.safety.finding import DEFERS, grouped, judge
from inrushlib.safety.hardware import Hardware
from inrushlib.severity import Severity

from .tiles import findings, tiles


def test_judge() -> None:
    assert [judge(v, 8.0, 10.0) for v in (8.0, 8.1, 10.0, 10.1)] == [
        Severity.FINE, Severity.CAUTION, Severity.CAUTION, Severity.DANGER,
    ]  # fmt: skip
    assert "local codes" in DEFERS.lower()
    assert "licensed" in DEFERS


def test_alike_findings_are_one_line() -> None:
    build = tiles(wiring__sections=8, wiring__lanes=4, wiring__pixels_per_section=8)
    found = safety_findings(build, solve_panel(build))
    lines = grouped(found)
    assert sum(1 + more for _, more in lines) == len(found)
    hops = [(finding, more) for finding, more in lines if finding.place.kind is PlaceKind.HOP]
    assert [more for _, more in hops] == [6]
    # The hop beside the feed carries most.
    assert hops[0][0].place == hop(0)
    assert [more for finding, more in lines if finding.place.kind is PlaceKind.DATA_LINE] == [3]


def test_the_switch_in_the_long_run() -> None:
    # Gate pulled to 1 % of the bus: 4.9 V of drive on a part of 100 mohm at 4.5 V; some 2.4 A through it.
    build = tiles(switch={"on_resistance": 0.1, "thermal_resistances": [10.0, 50.0], "thermal_times": [1e-3, 1.0]})
    state = solve_panel(build)
    through = float(np.sum(state.feed_currents))
    found = findings(build)["switch: junction in this picture, in the long run"]
    assert found.value == pytest.approx(25 + 60 * through * (state.bus_voltage - state.root_voltage), rel=0.02)
    assert found.severity is Severity.FINE
    hot = findings(
        tiles(switch={"on_resistance": 0.4, "thermal_resistances": [10.0, 90.0], "thermal_times": [1e-3, 1.0]})
    )
    assert hot["switch: junction in this picture, in the long run"].severity is Severity.DANGER
    assert not any(name.startswith("switch") for name in findings(tiles()))


@pytest.mark.parametrize("kind", ["p-channel", "load-switch"])
def test_both_kinds_of_switch_get_hot(kind: str) -> None:
    # 0.4 ohm, 2.3 A, 100 K/W: some 200 K above the air, whatever the kind.
    ladder = {"thermal_resistances": [10.0, 90.0], "thermal_times": [1e-3, 1.0]}
    build = tiles(switch={"kind": kind, "on_resistance": 0.4, "current_limit": 10.0, **ladder})
    state = solve_panel(build)
    through = float(np.sum(state.feed_currents))
    loss = through * (state.bus_voltage - state.root_voltage)
    assert state.losses[PlaceKind.SWITCH] == pytest.approx(loss, rel=1e-6)
    assert PlaceKind.JOINT not in state.losses
    found = findings(build)
    for name in ("in this picture, in the long run", "while the display stays in its power-on colour"):
        each = found[f"switch: junction {name}"]
        assert each.severity is Severity.DANGER
        assert each.value == pytest.approx(25 + 100 * loss, rel=1e-6)


def test_a_load_switch_in_its_own_limit_is_hot() -> None:
    # It holds 1.5 A and takes what is over: some volts.
    build = tiles(switch={"kind": "load-switch", "current_limit": 1.5}, wiring__pixels_per_section=140)
    found = findings(build)["switch: junction in this picture, in the long run"]
    assert found.severity is Severity.DANGER
    assert not solve_panel(build).limiting


def test_losses_of_a_limiter_are_its_own() -> None:
    build = tiles(limiter={"cold_resistance": 5.0})
    state = solve_panel(build)
    assert PlaceKind.LIMITER in state.losses
    assert state.losses[PlaceKind.LEAD] == pytest.approx(state.lead_current**2 * build.lead.resistance, rel=1e-9)
    assert PlaceKind.LIMITER not in solve_panel(tiles()).losses


def test_data_line_level() -> None:
    # Data sheet of a 5050 RGB pixel: VIH 0.7 VDD, 3.57 V at 5.1 V: 3.3 V logic is out of specification.
    name = "data line 0: high level at its first pixel, in section 0"
    assert findings(tiles())[name].severity is Severity.CAUTION
    assert findings(tiles(), Hardware(data_level=5.0))[name].severity is Severity.FINE


def test_ground_shift_counts() -> None:
    # A long thin feed: the pixel's supply falls by d, so 0.7 d is won; its ground rises by d / 2, which is lost.
    build = tiles(wiring__feed_resistance=0.5)
    state = solve_panel(build, (0.5, 0.5, 0.5))
    drop = state.root_voltage - float(state.voltages[0])
    wanted = 0.7 * float(state.voltages[0]) + drop / 2
    assert wanted < 0.7 * 5.1
    found = findings(build)["data line 0: high level at its first pixel, in section 0"]
    assert found.limit == pytest.approx(0.7 * 5.1)


@pytest.mark.parametrize(("sections", "lanes", "expected"), [(7, 3, [0, 3, 5]), (4, 1, [0]), (4, 4, [0, 1, 2, 3])])
def test_lane_starts(sections: int, lanes: int, expected: list[int]) -> None:
    assert lane_starts(tiles(wiring__sections=sections, wiring__lanes=lanes)) == expected
