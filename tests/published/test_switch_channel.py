"""The P-channel switch against the square law, and its gate against the divider's closed forms."""

import numpy as np
import pytest

from .bare_build import GROUND, at, first_reach, stiff


def divided(source_gate, supply=5.0, pullup=1e5):
    """Gate resistor that leaves this drive over the pull-up, by equation 8 of the application note below."""
    return {"switch.pullup_resistance": pullup, "switch.gate_resistance": pullup * (supply - source_gate) / source_gate}


@pytest.mark.parametrize(
    # Textbook square law: saturation k/2 Vov^2, triode k (Vov Vsd - Vsd^2/2). k = 5 A/V^2, threshold 1 V;
    # numbers derived. The charge-sheet law's corner, 80 mV wide, takes 0.4 mA off the second.
    ("source_gate", "source_drain", "ampere"),
    [(2.0, 4.0, 2.5), (2.0, 0.5, 1.875), (4.5, 0.1, 1.725)],
)
def test_square_law(source_gate, source_drain, ampere):
    values = {
        "switch.threshold_voltage": 1.0, "switch.on_resistance": 1 / (5.0 * 3.5), "switch.on_resistance_drive": 4.5,
        **divided(source_gate), "panel.bulk": GROUND, "panel.bulk_esr": (5.0 - source_drain) / ampere,
    }  # fmt: skip
    startup = stiff(5.0, values, 0.1)
    end = {name: values[0] for name, values in startup.at(np.array([0.1])).items()}
    # The lead's 0.1 mohm take 0.25 mV at most off the 5 V, and their share off the drive.
    assert end["bus_voltage"] == pytest.approx(5.0, abs=0.3e-3)
    assert end["bus_voltage"] - end["gate_voltage"] == pytest.approx(source_gate * end["bus_voltage"] / 5.0, abs=1e-6)
    through_root = end["panel_voltage"] / values["panel.bulk_esr"]
    assert through_root == pytest.approx(ampere, abs=0.5e-3)
    # In saturation the drain's voltage follows the load; in triode it is what the law says.
    assert end["bus_voltage"] - end["panel_voltage"] == pytest.approx(source_drain, abs=2e-3)


def test_on_resistance():
    # R_DS(on) = 1 / (k Vov) = 57.1 mohm at 4.5 V (derived): at 10 mA through it.
    values = {
        "switch.threshold_voltage": 1.0, "switch.on_resistance": "57.142857 mohm", "switch.on_resistance_drive": 4.5,
        **divided(4.5), "panel.bulk": GROUND, "panel.bulk_esr": 500.0,
    }  # fmt: skip
    startup = stiff(5.0, values, 0.1)
    end = {name: values[0] for name, values in startup.at(np.array([0.1])).items()}
    through = end["panel_voltage"] / 500.0
    assert 1e3 * (end["bus_voltage"] - end["panel_voltage"]) / through == pytest.approx(57.1, abs=0.05)


def test_gate_divider():
    # R1 = R2 (Vin - Vsg) / Vsg: application note AND9093, equation 8, page 4 (as quoted); the case is ours:
    # 12 V, 8 V of drive over 10 kohm asks for 5 kohm.
    values = {**divided(8.0, 12.0, 10e3), "switch.threshold_voltage": 2.0}
    assert values["switch.gate_resistance"] == 5e3
    startup = stiff(12.0, values, 0.1)
    assert at(startup, "bus_voltage", 0.1) - at(startup, "gate_voltage", 0.1) == pytest.approx(8.0, abs=1e-4)


def test_gate_delay():
    # tau = C1 (R1 || R2), P-channel limiter of a published design: 20.7 ms and 8.3 V of drive from 48 V. Its
    # resistors are not printed: with 1 uF these two follow. Drain capacitor negligible, threshold above 8.3 V,
    # so that nothing but the divider moves.
    parallel = 20.7e-3 / 1e-6
    to_ground = parallel * 48.0 / 8.3
    across = 1 / (1 / parallel - 1 / to_ground)
    values = {
        "switch.gate_source_capacitance": 1e-6, "switch.gate_drain_capacitance": 1e-12,
        "switch.pullup_resistance": across, "switch.gate_resistance": to_ground,
        "switch.threshold_voltage": 10.0, "switch.on_resistance_drive": 15.0,
        # Plugging in leaves the gate where it is, at the bus, only with the drive's own capacitor discharged: so it is.
        "controller.boot_time": 0.5,
    }  # fmt: skip
    startup = stiff(48.0, values, 1.0)
    since = startup.running_at
    assert at(startup, "bus_voltage", since) - at(startup, "gate_voltage", since) == pytest.approx(0.0, abs=2e-3)
    assert at(startup, "bus_voltage", 1.0) - at(startup, "gate_voltage", 1.0) == pytest.approx(8.3, abs=1e-3)

    class Drive:
        def at(self, times):
            curves = startup.at(times)
            return {"drive": curves["bus_voltage"] - curves["gate_voltage"]}

    reached = first_reach(Drive(), "drive", 8.3 * -np.expm1(-1.0), since, since + 0.1)
    assert 1e3 * (reached - since) == pytest.approx(20.7, abs=0.05)
