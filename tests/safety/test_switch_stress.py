"""The switch's stress: against closed forms of its heat and its gate, and the findings that each build raises."""

import numpy as np
import pytest
from scipy.optimize import brentq

from inrushlib.build import new_build
from inrushlib.errors import BuildError
from inrushlib.parts import Switch
from inrushlib.parts.place import PlaceKind
from inrushlib.safety.switch_stress import off_state, on_resistance, switch_stress
from inrushlib.severity import Severity
from inrushlib.startup import Verdict, simulate

# Invented: two tiles that the adapter can feed lit.
TILES = {
    "title": "two tiles", "adapter.rated_current": 8, "wiring.sections": 2, "wiring.pixels_per_section": 64,
    "firmware.first_frame_delay": "10 ms", "firmware.refresh_interval": "20 ms", "firmware.content_delay": "50 ms",
    "run.duration": 0.6, "lead.gauge": "18 AWG", "switch": {},
}  # fmt: skip


@pytest.fixture(scope="module")
def stress():
    return switch_stress(new_build(TILES))


def words(stress, severity=None):
    return " | ".join(each.sentence for each in stress.findings if severity in (None, each.severity))


def test_no_switch():
    with pytest.raises(BuildError, match=r"switch: none in the build; its stress needs a \[switch\] table"):
        switch_stress(new_build(TILES | {"switch": None}))


def test_start(stress):
    start = simulate(new_build(TILES))
    assert stress.start.verdict is Verdict.BOOTS
    assert stress.start.hottest_junction == start.figures.highest_junction_temperature
    assert stress.start.energy == start.energy.losses[PlaceKind.SWITCH]
    assert 0 < stress.start.closing_energy < stress.start.energy


def test_stays_lit(stress):
    lit = stress.stays_lit
    assert lit.verdict is Verdict.DISPLAY_STAYS_LIT
    # Before it closes nothing passes: all its heat comes after, and the trapezoid over the curves agrees with the
    # model's own sum.
    assert lit.closing_energy == pytest.approx(lit.energy, rel=1e-3)
    # Five of the ladder's longest time constants: all but exp(-5) of its 50 K/W.
    expected = 25.0 + lit.steady_power * (1 + 3 + 10 + 50 * (1 - np.exp(-5.0)))
    assert lit.hottest_junction == pytest.approx(expected, abs=0.1)
    assert lit.steady_junction == pytest.approx(25.0 + 64.0 * lit.steady_power)


def test_steady_power(stress):
    # Textbook: I Vsd, I = k (Vov Vsd - Vsd^2 / 2) at the divided gate drive, k = 1 / (R_DS(on) Vov).
    build = new_build(TILES | {"pixel.listen_delay": 100, "run.duration": 5.5})
    end = {name: values[0] for name, values in simulate(build).at(np.array([5.5])).items()}
    drive = end["bus_voltage"] * 10e3 / 10.1e3
    drop = end["bus_voltage"] - end["panel_voltage"]
    current = ((drive - 0.9) * drop - drop**2 / 2) / (0.04 * (4.5 - 0.9))
    # The controller takes 80 mA of the lead's current, the gate's resistors half a milliampere.
    assert current == pytest.approx(end["lead_current"] - 0.0805, rel=1e-3)
    assert stress.stays_lit.steady_power == pytest.approx(current * drop, rel=1e-3)


def test_longer_run_for_the_content():
    late = TILES | {"firmware.content_delay": 2.0, "firmware.content": [1, 1, 1]}
    found = switch_stress(new_build(late)).start
    assert found.duration > 2.15
    dark = switch_stress(new_build(TILES | {"firmware.content": [0, 0, 0]})).start
    assert found.steady_power > 10 * dark.steady_power


def test_gate_drive_at_the_lowest_bus_voltage(stress):
    # Divider Vsg = Vin R2 / (R1 + R2), application note AND9093, equation 8 turned round; on-resistance 1 / (k Vov).
    assert stress.drive_at_lowest == pytest.approx(stress.lowest_bus_voltage * 10 / 10.1)
    on = 0.04 * 3.6 / (stress.drive_at_lowest - 0.9)
    assert stress.on_resistance_at_lowest == pytest.approx(on)
    assert on_resistance(Switch(), 0.9) is None
    assert on_resistance(Switch(), 4.5) == pytest.approx(0.04)


def test_gate_drive_findings():
    weak = switch_stress(new_build(TILES | {"switch.gate_resistance": "5 kohm"}))
    assert "specified at a lower drive" in words(weak, Severity.CAUTION)
    never = switch_stress(
        new_build(TILES | {"switch.gate_resistance": "50 kohm", "switch.threshold_voltage": 1.5})
    )  # fmt: skip
    assert never.on_resistance_at_lowest is None
    assert "choose a logic-level switch" in words(never, Severity.DANGER)
    strong = switch_stress(new_build(TILES | {"switch.on_resistance_drive": 2.5}))
    assert "specified at a lower drive" not in words(strong)


def test_plugging_in_divides_onto_the_gate():
    # An instant rise V leaves V C_gd / (C_gd + C_gs) between gate and source: capacitive divider, textbook. The
    # plug's rise takes a fraction of a microsecond; the gate's own time is 100 kohm x 11 nF.
    gate = {
        "switch.gate_source_capacitance": "1 nF", "switch.gate_drain_capacitance": "10 nF",
        "switch.pullup_resistance": "100 kohm", "switch.threshold_voltage": 5.5, "switch.on_resistance_drive": 10,
        "bus.ceramic": "0.1 uF",
    }  # fmt: skip
    found = switch_stress(new_build(TILES | gate))
    assert found.plug_in_drive == pytest.approx(5.1 * 10 / 11)
    # With a threshold above all of it nothing passes, and the root stays near ground, as the divider assumes.
    startup = simulate(new_build(TILES | gate | {"run.start": "plug", "run.duration": 1e-3}))
    times = np.linspace(5e-6, 20e-6, 1501)
    curves = startup.at(times)
    ratio = (curves["bus_voltage"] - curves["gate_voltage"]) / (curves["bus_voltage"] - curves["panel_voltage"])
    assert np.median(ratio) == pytest.approx(10 / 11, rel=0.02)


def test_plug_in_current_and_its_remedy():
    leaky = TILES | {"switch.gate_drain_capacitance": "47 nF"}
    found = switch_stress(new_build(leaky))
    assert found.plugged.peak_current > 1.0
    assert found.plugged.highest_panel_voltage > 0.2
    assert "on plugging in" in words(found, Severity.CAUTION)
    assert " A (limit 80 mA)" in words(found, Severity.CAUTION)  # it was 0.08 A, beside the page's 80 mA
    # What the finding recommends helps.
    better = switch_stress(new_build(leaky | {"switch.gate_source_capacitance": "1 uF"}))
    assert better.plugged.peak_current < 0.01 * found.plugged.peak_current
    assert "on plugging in" in words(better, Severity.FINE)


def test_bare_pin_against_transistor(stress):
    # The pin's clamp to the 3.3 V rail, 0.6 V and 30 mV wide, against the pull-up: where the two currents meet.
    state = off_state(new_build(TILES), "pin", "mains")
    end = simulate(
        new_build(TILES | {"switch.gate_driver": "pin", "controller.boot_time": 100, "run.duration": 0.6})
    ).at(np.array([0.6]))  # fmt: skip
    bus, rail = end["bus_voltage"][0], end["rail_voltage"][0]

    def surplus(gate):
        return (bus - gate) / 10e3 - 0.03 * np.log1p(np.exp((gate - rail - 0.6) / 0.03)) / 200.0

    assert state.settled_drive == pytest.approx(bus - brentq(surplus, rail, bus), abs=2e-3)
    assert stress.pin == state
    # Some 1.2 V is above its threshold of 0.9 V: it never opens.
    assert state.settled_drive > 0.9
    assert stress.pin.settled_current > 0.1
    assert stress.pin.highest_panel_voltage > 1.5
    assert stress.transistor.settled_drive == pytest.approx(0.0, abs=1e-6)
    assert stress.transistor.peak_current < 1e-3
    assert "Not this build's driver" in words(stress, Severity.NOTE)
    bare = switch_stress(new_build(TILES | {"switch.gate_driver": "pin"}))
    assert "use an open-drain transistor" in words(bare, Severity.CAUTION)
    # Plugged in, the pin is without power at first, and the switch is on.
    assert bare.plugged.peak_current > 10 * stress.plugged.peak_current


def test_too_hot():
    hot = switch_stress(new_build(TILES | {"switch.on_resistance": "0.4 ohm", "switch.highest_junction": 100}))
    assert "stays lit" in words(hot, Severity.DANGER)
    ranks = [each.severity.rank for each in hot.findings]
    assert ranks == sorted(ranks, reverse=True)
    assert hot.findings[0].severity is Severity.DANGER
    assert all(each.source for each in hot.findings)


def test_switch_that_never_closes():
    never = switch_stress(new_build(TILES | {"controller.brownout_rising": 4.9, "controller.rail_voltage": 3.3}))
    assert never.lowest_bus_voltage is None
    assert never.drive_at_lowest is None
    assert never.start.closing_energy == 0.0
    assert "It never closes" in words(never, Severity.NOTE)


def test_load_switch():
    found = switch_stress(new_build(TILES | {"switch.kind": "load-switch", "switch.current_limit": "6 A"}))
    assert found.transistor is None
    assert found.pin is None
    assert found.drive_at_lowest is None
    assert found.plug_in_drive is None
    assert found.plugged.peak_current == 0.0
    assert found.plugged.driver == "load switch"
    assert found.start.hottest_junction > 25.5
    assert found.stays_lit.hottest_junction > found.start.hottest_junction
