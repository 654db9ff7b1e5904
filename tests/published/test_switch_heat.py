"""Heat in the switch: energy while its output ramps, and the junction's temperature for a single pulse."""

import math

import pytest

from inrushlib.parts.place import PlaceKind

from .bare_build import GROUND, STIFF, run, stiff

RAMP = {
    "switch.kind": "load-switch", "switch.on_resistance": 3e-4, "switch.slew_rate": 5.0 / 10e-3,
    "switch.current_limit": 20, "panel.ceramic": 1e-7,
}  # fmt: skip
AFTER = 11e-3  # [s] boot and a little, beside the ramp's 10 ms
# What the model adds: the root's own 0.1 uF, and w^2 pi^2 / 6 / slew at 1 A where the ramp meets its input in a
# corner w = 20 mV wide.
ADDED = 0.5 * 1e-7 * 5.0**2 + 0.020**2 * math.pi**2 / 6 / 500.0


def test_ramp_into_a_resistor():
    # A resistive load's share of the energy in the switch over a linear ramp T is V^2 T / (6 R): textbook
    # (derived). 5 V, 10 ms, 5 ohm: 8.33 mJ. Once on, 0.3 mohm take a fraction of a microjoule.
    values = {**RAMP, "panel.bulk": GROUND, "panel.bulk_esr": 5.0}
    startup = stiff(5.0, values, 10e-3 + AFTER)
    assert 1e3 * (startup.energy.losses[PlaceKind.SWITCH] - ADDED) == pytest.approx(8.33, abs=0.5e-2)


def test_ramp_into_a_constant_current():
    # Constant current: V I T / 2 (derived). 5 V, 10 ms, 1 A: 25 mJ. The load is a pixel that wakes over
    # w = 80 mV: I integral (V - v) (1 - 1 / (1 + exp(-v / w))) dv / slew = (V w ln 2 - w^2 pi^2 / 12) I / slew less.
    values = {**RAMP, "pixel.quiescent_current": 1.0}
    startup = stiff(5.0, values, 10e-3 + AFTER)
    waking = (5.0 * 0.080 * math.log(2) - 0.080**2 * math.pi**2 / 12) * 1.0 / 500.0
    assert 1e3 * (startup.energy.losses[PlaceKind.SWITCH] - ADDED + waking) == pytest.approx(25.0, abs=0.005)


@pytest.mark.parametrize(("microfarad", "millijoule"), [(470, 5.875), (1000, 12.5), (2200, 27.5), (4700, 58.75)])
@pytest.mark.parametrize("how", ["slew", "limit"])
def test_charging_a_capacitor_through_a_load_switch(microfarad, millijoule, how):
    # A capacitor charged through ANY series resistance turns 1/2 C V^2 into heat in it: textbook, numbers at
    # 5 V derived. Slewed or limited, the switch is that resistance; the lead's 0.1 mohm get microjoules.
    values = {
        "switch.kind": "load-switch", "switch.on_resistance": 1e-3, "panel.ceramic": microfarad * 1e-6,
        "switch.slew_rate": 500 if how == "slew" else 1e9, "switch.current_limit": 1 if how == "limit" else 20,
    }  # fmt: skip
    startup = stiff(5.0, values, 60e-3)
    assert 1e3 * startup.energy.losses[PlaceKind.SWITCH] == pytest.approx(millijoule, rel=1e-4)


class TestStepOfPower:
    """Step response of a Foster ladder: Z_th(t) = sum of R_i (1 - exp(-t / tau_i)) (textbook).

    Constant power: a load switch at its limit of 2 A from 5 V into a root held at ground. The model integrates each
    step of the ladder along the run; no curve of a data sheet is in this check.
    """

    LADDER = ((1.0, 100e-6), (3.0, 2e-3), (10.0, 30e-3), (50.0, 1.0))

    def stepped(self, pulse):
        """A start that ends so long after the switch closed."""
        values = {
            "switch.kind": "load-switch", "switch.slew_rate": 1e9, "switch.current_limit": 2.0,
            "switch.on_resistance": 0.05, "switch.ambient": 40.0,
            "switch.thermal_resistances": [r for r, _ in self.LADDER],
            "switch.thermal_times": [tau for _, tau in self.LADDER],
            "panel.bulk": GROUND, "panel.bulk_esr": 1e-6, "panel.ceramic": 1e-9,
        }  # fmt: skip
        own = stiff(5.0, values, 20e-3).running_at
        return stiff(5.0, values, own + pulse)

    @pytest.mark.parametrize("pulse", [100e-6, 1e-3, 20e-3, 0.3, 8.0])
    def test_pulse(self, pulse):
        startup = self.stepped(pulse)
        own = startup.running_at
        # The lead's 0.1 mohm and the root's 1 uohm take 0.2 mV of the 5 V.
        power = 2.0 * (5.0 - 2.0 * 1.01e-4)
        expected = 40.0 + power * sum(r * -math.expm1(-pulse / tau) for r, tau in self.LADDER)
        assert startup.figures.highest_junction_temperature == pytest.approx(expected, abs=2e-3)
        assert startup.figures.highest_junction_temperature_at == pytest.approx(own + pulse, abs=1e-9)

    def test_long_after_it_is_power_times_the_whole_resistance(self):
        # What a data sheet states as R_th,JA: here 64 K/W (its definition, JESD51-1, from memory).
        startup = self.stepped(8.0)
        assert startup.figures.highest_junction_temperature - 40.0 == pytest.approx(10.0 * 64.0, rel=1e-3)

    def test_at_first_it_is_energy_over_heat_capacity(self):
        # Before anything flows on, each step of the ladder warms by P t / C_i with C_i = tau_i / R_i (textbook). Within
        # 2 us the quickest has lost a hundredth.
        startup = self.stepped(2e-6)
        rise = 10.0 * 2e-6 * sum(r / tau for r, tau in self.LADDER)
        assert startup.figures.highest_junction_temperature - 40.0 == pytest.approx(rise, rel=0.015)


def test_switch_and_limiter_share_one_half_c_v_squared():
    # The same textbook result with two nonlinear resistances and the lead in series.
    values = {
        **STIFF, "adapter.rated_voltage": 5.0, "lead.resistance": 0.05, "bus.ceramic": 1e-7,
        "limiter.cold_resistance": 2.0, "limiter.heat_capacity": 1e-3,
        "switch.on_resistance": 0.1, "panel.ceramic": 1000e-6,
        "switch.gate_source_capacitance": 1e-12, "switch.gate_drain_capacitance": 1e-12,
    }  # fmt: skip
    losses = run(values, 60e-3).energy.losses
    together = losses[PlaceKind.SWITCH] + losses[PlaceKind.LIMITER] + losses[PlaceKind.LEAD]
    assert losses[PlaceKind.LIMITER] > 0.5 * together
    # Bus and gate, charged before: 1.25 uJ; the gate's divider draws 0.5 mA through the lead and limiter.
    assert 1e3 * together == pytest.approx(12.5, abs=0.05)
