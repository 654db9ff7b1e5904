"""Closed forms through the whole start-up model, every other part made negligible.

Where a check's numbers stand in a maker's text or handbook it is named beside them; those marked
"derived" follow from that form and were recomputed. What the model's fixed laws (the joint's 2 mohm,
smooth corners) shift is stated beside each check, never covered by a wider tolerance.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from inrushlib.parts.place import PlaceKind
from inrushlib.startup import simulate

from .bare_build import ideal

TIGHT = 1e-7

NEGLIGIBLE = {
    "title": "closed form",
    # One pixel that draws nothing, on 1 pF: what lies behind the bus takes no current.
    "pixel.power_on": [0, 0, 0], "pixel.quiescent_current": 0, "pixel.wake_voltage": 1e-9,
    "wiring.sections": 1, "wiring.pixels_per_section": 1, "wiring.capacitance_per_pixel": 1e-12,
    "wiring.feed_resistance": 1e-6, "panel.ceramic": 1e-12,
    # The controller has a supply of its own and takes nothing from the bus.
    "controller.feed": "own",
    "adapter.bleed_resistance": 1e9,
}  # fmt: skip


def plugged_in(volts, ohm, henry, farad, duration):
    """A stiff source plugged onto a series R, L and C at the bus."""
    return simulate(
        ideal(
            {
                **NEGLIGIBLE,
                # 1000 F behind the plug hold the voltage whatever the regulator does.
                "adapter.rated_voltage": volts, "adapter.rated_current": 1, "adapter.output_capacitance": 1000,
                "lead.resistance": ohm, "lead.inductance": henry, "bus.ceramic": farad,
                "run.start": "plug", "run.duration": duration,
            }
        ),
        tolerance=TIGHT,
    )  # fmt: skip


def first_reach(startup, name, level, guess):
    """First instant at which a rising curve has a level, near a guess."""
    return brentq(lambda t: startup.at(np.array([t]))[name][0] - level, 0.2 * guess, 5 * guess, xtol=1e-15)


@pytest.fixture(scope="module")
def into_rc():
    return plugged_in(5.0, 0.25, 1e-10, 1000e-6, 10e-3)


class TestStepIntoRC:
    """5 V, 0.25 ohm, 1000 uF. Textbook; numbers derived from it.

    The lead keeps 0.1 nH, so the current takes 0.4 ns to rise: below the last digit everywhere.
    """

    def test_peak_current(self, into_rc):
        # V/R = 20 A; the inductance takes (1 + ln(tau / 0.4 ns)) 0.4 ns / tau = 0.002 % off it.
        assert into_rc.figures.peak_lead_current == pytest.approx(20.0, rel=5e-5)

    def test_one_time_constant(self, into_rc):
        assert into_rc.at(np.array([0.25e-3]))["bus_voltage"][0] == pytest.approx(3.1606, abs=0.5e-4)

    @pytest.mark.parametrize(("share", "milliseconds"), [(0.90, 0.5756), (0.95, 0.7489)])
    def test_rise(self, into_rc, share, milliseconds):
        assert 1e3 * first_reach(into_rc, "bus_voltage", share * 5.0, 0.6e-3) == pytest.approx(milliseconds, abs=0.5e-4)

    def test_whole_curve(self, into_rc):
        t = np.linspace(1e-6, 2e-3, 400)
        expected = 5.0 * -np.expm1(-t / 0.25e-3)
        assert into_rc.at(t)["bus_voltage"] == pytest.approx(expected, abs=2e-5)

    def test_integrals(self, into_rc):
        # I2t = V^2 C / (2 R) = 0.05 A2s; any series resistance turns 1/2 C V^2 into heat: 12.5 mJ; Q = 5 mC.
        (lead,) = [wire for wire in into_rc.conductors if wire.name == "lead"]
        assert lead.i2t == pytest.approx(0.05, rel=1e-4)
        assert lead.energy == pytest.approx(12.5e-3, rel=1e-4)
        assert lead.charge == pytest.approx(5e-3, rel=1e-5)


@pytest.mark.parametrize(
    # A capacitor charged through ANY series resistance turns 1/2 C V^2 into heat in it: textbook;
    # numbers at 5 V derived.
    ("microfarad", "millijoule"),
    [(470, 5.875), (1000, 12.5), (2200, 27.5), (4700, 58.75)],
)
@pytest.mark.parametrize("ohm", [0.05, 1.0])
def test_heat_in_any_series_resistance(microfarad, millijoule, ohm):
    farad = microfarad * 1e-6
    startup = plugged_in(5.0, ohm, 1e-9, farad, 40 * ohm * farad)
    (lead,) = [wire for wire in startup.conductors if wire.name == "lead"]
    assert 1e3 * lead.energy == pytest.approx(millijoule, rel=1e-4)


# ----- series RLC on plugging in: 5 V, 1 uH, 100 uF (Z0 0.1 ohm, critical 0.2 ohm) -----
# Form: wikibooks Electronics/RCL; damping ratio and overshoot as in Alexander and Sadiku, chapter 8.4
# (from memory); numbers derived from it: 27.31 A is 50 A exp(-pi / (3 sqrt(3))) = 27.3147 A.


@pytest.mark.parametrize(
    ("ohm", "volts", "at_volts_us", "amperes", "at_amperes_us"),
    [(0.02, 8.646, 31.57, 43.13, 14.78), (0.05, 7.222, 32.45, 35.58, 13.61), (0.10, 5.815, 36.28, 27.31, 12.09)],
)
def test_series_rlc_overshoot(ohm, volts, at_volts_us, amperes, at_amperes_us):
    figures = plugged_in(5.0, ohm, 1e-6, 100e-6, 0.5e-3).figures
    assert figures.highest_bus_voltage == pytest.approx(volts, abs=0.5e-3)
    assert 1e6 * figures.highest_bus_voltage_at == pytest.approx(at_volts_us, abs=0.5e-2)
    assert figures.peak_lead_current == pytest.approx(amperes, abs=0.5e-2)
    assert 1e6 * figures.peak_lead_current_at == pytest.approx(at_amperes_us, abs=0.5e-2)
    zeta = ohm / 2 * math.sqrt(100e-6 / 1e-6)
    overshoot = math.exp(-math.pi * zeta / math.sqrt(1 - zeta**2))
    assert figures.highest_bus_voltage == pytest.approx(5.0 * (1 + overshoot), rel=1e-5)


def test_series_rlc_overdamped():
    # 0.25 ohm is above the critical 0.2 ohm: no overshoot. What the bus ends above 5 V is the solver's
    # tolerance, and the regulator's corner feeding some mA into the source's 1000 F: nanovolts.
    figures = plugged_in(5.0, 0.25, 1e-6, 100e-6, 0.5e-3).figures
    assert figures.highest_bus_voltage <= 5.0 + 1e-6
    assert figures.final_bus_voltage == pytest.approx(5.0, abs=1e-4)


# ----- constant-current charging: t = C V / (Ilim - I_L); 1000 uF, 5 V, 2 A. Textbook; derived. -----


def charging(load, duration):
    """2 A into 1000 uF at the bus, with a pixel that draws ``load`` amperes from its waking on."""
    return simulate(
        ideal(
            {
                **NEGLIGIBLE,
                # Rated 10 V, so that 5 V lies far below where the limit ends: the limit is met exactly. 0.5 ohm
                # damp the lead against the adapter's 1 nF, which takes nothing that shows.
                "adapter.rated_voltage": 10, "adapter.rated_current": 2, "adapter.limit_current": 2,
                "adapter.soft_start": 1e-9, "adapter.output_capacitance": 1e-9,
                "lead.resistance": 0.5, "lead.inductance": 1e-9,
                # 1000 uF in all; a pixel that draws an ampere from its start needs some of it at hand.
                "bus.ceramic": 998e-6, "panel.ceramic": 1e-6, "wiring.capacitance_per_pixel": 1e-6,
                "wiring.feed_resistance": 1e-3,
                "pixel.quiescent_current": load, "run.duration": duration,
            }
        ),
        tolerance=TIGHT,
    )  # fmt: skip


def test_constant_current_charging():
    startup = charging(0.0, 4e-3)
    assert 1e3 * first_reach(startup, "bus_voltage", 5.0, 2e-3) == pytest.approx(2.5, rel=1e-5)
    # A straight line on the way.
    t = np.linspace(0.1e-3, 2.4e-3, 50)
    assert startup.at(t)["bus_voltage"] == pytest.approx(2000.0 * t, abs=1e-4)


def test_constant_current_charging_with_a_load():
    startup = charging(1.0, 7e-3)
    reached = first_reach(startup, "bus_voltage", 5.0, 4e-3)
    assert 1e3 * reached == pytest.approx(5.0, abs=0.05)
    # The load is a pixel that wakes over 80 mV, so it is missing at first: that saves
    # integral of 1 - 1 / (2 - rise(v)) dv C / 1 A = 80 mV ln(3)/2 C / 1 A = 43.9 us. It also sits up to
    # 3 mV lower, behind the joint's 2 mohm and the feed's 1 mohm: that is below 2 us.
    saved = 0.080 * math.log(3.0) / 2 * 1000e-6 / 1.0
    assert reached + saved == pytest.approx(5.0e-3, abs=2e-6)
    # Once the load is awake: C 4 V / 1 A.
    span = reached - first_reach(startup, "bus_voltage", 1.0, 1e-3)
    assert span == pytest.approx(4.0e-3, rel=1e-5)


def test_constant_current_charging_never_ends_with_too_much_load():
    # 2.5 A wanted, 2 A given: it stays where the waking pixel takes 2 A, rise(v) = 0.8, that is 80 mV ln 4,
    # and what 2 A drop in the joint's 2 mohm and the feed's 1 mohm above it.
    figures = charging(2.5, 0.1).figures
    assert figures.final_bus_voltage == pytest.approx(0.080 * math.log(4.0) + 2.0 * 3e-3, abs=1e-5)
    assert figures.highest_bus_voltage < 0.12


# ----- switch-on by a linear gate ramp -----


LOW_AT = 260.0  # when the gate goes low [s]


@pytest.fixture(scope="module")
def ramp():
    build = ideal(
        {
            **NEGLIGIBLE,
            "adapter.rated_voltage": 5, "adapter.rated_current": 50, "adapter.limit_current": 50,
            "adapter.soft_start": 200, "adapter.output_resistance": 1e-3,
            "lead.resistance": 1e-3, "lead.inductance": 1e-9, "panel.ceramic": 1000e-6,
            # 1 mohm: steep enough that the plateau stands still. In saturation the charge-sheet law
            # takes 0.3 A at 38.6 mV below threshold, so this threshold gives a plateau of 2.000 V.
            "switch.threshold_voltage": 2.0386, "switch.on_resistance": 1e-3, "switch.on_resistance_drive": 4.5,
            "switch.gate_source_capacitance": 1e-12, "switch.gate_drain_capacitance": 100e-9,
            "switch.gate_resistance": 100e3, "switch.pullup_resistance": 100e6,
            "controller.boot_time": LOW_AT, "run.duration": LOW_AT + 0.2,
        }
    )  # fmt: skip
    return simulate(build, tolerance=TIGHT)


def panel_reach(ramp, volts):
    """When the panel's voltage reaches a level [s]."""
    return brentq(lambda t: ramp.at(np.array([t]))["panel_voltage"][0] - volts, LOW_AT, LOW_AT + 0.1, xtol=1e-12)


def panel_slope(ramp, volts):
    """How fast the panel's voltage rises there [V/s]."""
    middle = panel_reach(ramp, volts)
    low, high = ramp.at(np.array([middle - 1e-4, middle + 1e-4]))["panel_voltage"]
    return (high - low) / 2e-4


class TestGateRamp:
    """5 V, plateau 2 V, gate resistor 100 kohm, added gate-drain capacitor 100 nF, load 1000 uF.

    dV/dt = Ig / Cg and inrush (C_L / C_G) Ig: data sheet TPS2400 (SLUS599A), equations 1 and 2, and
    TPS2359, equation 7 (effective gate capacitance is the gate-drain one). dV_out/dt = Ig / Cgd on the
    plateau, t = Q / Ig, Ig = (Vdrive - Vplateau) / Rg: gate-drive application notes. Example derived:
    30 uA, 300 V/s, 0.30 A, 16.7 ms, 12.5 mJ in the switch.

    So that the switch is surely off beforehand, the bus rises over 200 s while 100 Mohm (10 s with
    100 nF) keep the gate at most 0.25 V behind. They take 0.02 uA off the 30 uA: 0.07 %.
    """

    def test_off_before(self, ramp):
        # Nothing flows in 260 s; the gate's own rise to 5 V lifts 1000 uF by 100 nF / 1000 uF of it, 0.5 mV.
        assert ramp.at(np.array([LOW_AT]))["panel_voltage"][0] == pytest.approx(0.5e-3, rel=5e-3)

    def test_plateau_slope_and_current(self, ramp):
        middle = panel_reach(ramp, 2.5)
        curves = {name: values[0] for name, values in ramp.at(np.array([middle])).items()}
        drive = curves["bus_voltage"] - curves["gate_voltage"]
        assert drive == pytest.approx(2.0, abs=2e-3)
        gate_current = curves["gate_voltage"] / 100e3 - drive / 100e6
        assert gate_current == pytest.approx(30e-6, rel=2e-3)
        # 300 V/s less the pull-up's 0.07 % and what the bus sags at 0.3 A, some 0.6 mV of the drive's 3 V.
        assert panel_slope(ramp, 2.5) == pytest.approx(300.0, rel=2e-3)
        assert curves["lead_current"] == pytest.approx(0.30, abs=0.005)
        assert curves["lead_current"] == pytest.approx(1000e-6 / 100e-9 * gate_current, rel=1e-3)

    def test_straight(self, ramp):
        assert [panel_slope(ramp, volts) for volts in (0.5, 1.5, 3.5, 4.3)] == pytest.approx([300.0] * 4, rel=5e-3)

    def test_ramp_time(self, ramp):
        # From 10 to 90 %, straight, and so 8/10 of the whole; t = Q / Ig with Q = 100 nF 5 V.
        whole = (panel_reach(ramp, 4.5) - panel_reach(ramp, 0.5)) / 0.8
        assert 1e3 * whole == pytest.approx(16.7, abs=0.05)
        assert whole == pytest.approx(100e-9 * 5.0 / 30e-6, rel=2e-3)

    def test_heat_in_the_switch(self, ramp):
        assert 1e3 * ramp.energy.losses[PlaceKind.SWITCH] == pytest.approx(12.5, abs=0.05)


# ----- I = C dV/dt as makers of load switches print it -----


@pytest.mark.parametrize(
    ("microfarad", "volts", "milliampere", "microseconds"),
    [
        # Data sheet TPS22810, section 10.5.2.3: 22 uF by 9.6 V (80 % of 12 V) at 400 mA: 528 us.
        (22, 9.6, 400, 528.0),
        # Data sheet TPS22992 (SLVSFT0A): 5 V at 200 mA: above 1175 us (implies 47 uF, derived).
        (47, 5.0, 200, 1175.0),
        # Data sheets TPS22965, TPS22966, TPS22976: 3.3 V at 400 mA: 181.5 us (22 uF, derived).
        (22, 3.3, 400, 181.5),
    ],
)
def test_current_limited_rise(microfarad, volts, milliampere, microseconds):
    startup = simulate(
        ideal(
            {
                **NEGLIGIBLE,
                # Rated 5 V above the end of the swing, so that the limit is met exactly all the way; 0.5 ohm
                # damp the lead against the adapter's 1 nF, which takes nothing that shows.
                "adapter.rated_voltage": volts + 5, "adapter.rated_current": 1e-3 * milliampere,
                "adapter.limit_current": 1e-3 * milliampere, "adapter.soft_start": 1e-9,
                "adapter.output_capacitance": 1e-9, "lead.resistance": 0.5, "lead.inductance": 1e-9,
                "bus.ceramic": 1e-6 * microfarad, "run.duration": 2e-3,
            }
        ),
        tolerance=TIGHT,
    )  # fmt: skip
    assert 1e6 * first_reach(startup, "bus_voltage", volts, microseconds * 1e-6) == pytest.approx(
        microseconds, abs=0.05
    )
