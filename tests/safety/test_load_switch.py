"""The switch's kind "load-switch": read, checked, and what it does in a whole start."""

import numpy as np
import pytest

from inrushlib.build import new_build, parse_build, to_toml
from inrushlib.errors import BuildError
from inrushlib.panel import solve_panel
from inrushlib.parts.place import SWITCH, PlaceKind
from inrushlib.safety import Severity, safety_findings, switch_stress
from inrushlib.startup import Verdict, simulate

TILES = {
    "title": "four tiles", "adapter.rated_current": 5, "wiring.sections": 4, "wiring.pixels_per_section": 64,
    "wiring.feeds": [0, 2], "firmware.first_frame_delay": "10 ms", "run.duration": 0.5,
    "switch.kind": "load-switch", "switch.current_limit": "4 A",
}  # fmt: skip


def test_read_and_written_back():
    build = new_build(TILES)
    assert build.switch is not None
    assert (build.switch.kind, build.switch.slew_rate, build.switch.current_limit) == ("load-switch", 1000.0, 4.0)
    assert parse_build(to_toml(build)) == build
    assert new_build(TILES | {"switch": {}}).switch.kind == "p-channel"


@pytest.mark.parametrize(
    ("key", "value", "accepted"),
    [
        ("switch.kind", "relay", '"p-channel" or "load-switch"'),
        ("switch.slew_rate", 0, "above 0 V/s"),
        ("switch.slew_rate", "1 V", "a number in V/s"),
        ("switch.current_limit", 0, "above 0 A"),
    ],
)
def test_refused(key, value, accepted):
    with pytest.raises(BuildError, match=accepted):
        new_build(TILES | {key: value})


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"switch.slew_rate": "50 V/s"},
        {"switch.slew_rate": "1 MV/s", "switch.current_limit": "1 A"},
        {"panel.bulk": "1000 uF", "adapter.rated_current": 2},
        {"run.interruptions": [[0.25, 0.3]]},
        {"controller.feed": "own"},
    ],
)
def test_energy_balance(values):
    startup = simulate(new_build(TILES | values), tolerance=1e-7)
    assert abs(startup.energy.imbalance) < 1e-7
    assert startup.energy.losses[PlaceKind.SWITCH] > 0.0
    # The energy from the curves by the model's law, against the model's own sum.
    times = np.unique(np.concatenate([startup.time, np.linspace(0, 0.5, 20_001)]))
    curves = startup.at(times)
    power = startup.currents(times)[SWITCH] * (curves["bus_voltage"] - curves["panel_voltage"])
    assert np.trapezoid(power, times) == pytest.approx(startup.energy.losses[PlaceKind.SWITCH], rel=2e-3)


def test_limits_and_boots():
    startup = simulate(new_build(TILES))
    assert startup.verdict is Verdict.BOOTS
    through = startup.currents(startup.time)[SWITCH]
    assert through.max() <= 4.0 * (1 + 1e-12)
    # Until the program closes it nothing passes; then the panel follows the slew rate, 1 V/ms: half of 5.1 V in
    # 2.55 ms, less some millivolts over its 40 mohm.
    closed = startup.running_at
    assert through[startup.time < closed].max() == 0.0
    middle = closed + 2.55e-3
    assert startup.at(np.array([middle]))["panel_voltage"][0] == pytest.approx(2.55, abs=0.15)
    assert startup.at(np.array([closed]))["panel_voltage"][0] == pytest.approx(0.0, abs=1e-6)


def test_gate_parts_do_not_matter():
    plain = simulate(new_build(TILES))
    odd = {
        "switch.threshold_voltage": 3.0, "switch.gate_source_capacitance": "10 uF", "switch.gate_driver": "pin",
        "switch.gate_drain_capacitance": "10 uF", "switch.pullup_resistance": 1, "switch.gate_resistance": 1,
    }  # fmt: skip
    assert simulate(new_build(TILES | odd)).figures == plain.figures


def test_slew_and_limit_do_not_matter_to_a_p_channel_switch():
    gated = TILES | {"switch.kind": "p-channel"}
    odd = {"switch.slew_rate": 1, "switch.current_limit": "1 mA"}
    assert simulate(new_build(gated | odd)).figures == simulate(new_build(gated)).figures


def test_off_it_blocks_both_ways():
    # The mains goes away: the controller browns out, the switch opens, and the panel's 2200 uF stay charged above
    # the bus, but for what its dark pixels take.
    values = {
        "panel.bulk": "2200 uF", "run.interruptions": [[0.25, 0.6]], "pixel.quiescent_current": "1 uA",
        "adapter.bleed_resistance": 10,
    }  # fmt: skip
    startup = simulate(new_build(TILES | values))
    end = {name: values[0] for name, values in startup.at(np.array([0.5])).items()}
    assert startup.brown_outs == 1
    assert end["bus_voltage"] < 1.0
    assert end["panel_voltage"] > 1.9
    assert startup.currents(np.array([0.5]))[SWITCH][0] == 0.0


def test_advice_for_one_that_gets_hot_in_its_limit_is_about_its_limit():
    # 2 A through it while the panel stays lit: no resistance of it matters, and there is no gate to slow.
    build = new_build(TILES | {"switch.current_limit": "2 A", "firmware.first_frame_delay": 0, "switch.ambient": 80})
    stress = switch_stress(build)
    remedies = [finding.remedy for finding in stress.findings if finding.severity is Severity.DANGER]
    state = solve_panel(build)
    remedies += [
        finding.remedy
        for finding in safety_findings(build, state)
        if finding.place.kind is PlaceKind.SWITCH and finding.severity is Severity.DANGER
    ]
    assert len(remedies) >= 3
    assert all("limit" in remedy and "gate" not in remedy and "resistance" not in remedy for remedy in remedies)
    (hot,) = simulate(build).overstressed
    assert "higher limit" in hot.cause.advice
