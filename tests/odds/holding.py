"""A build whose start hangs on one capacitor, with its odds in closed form.

The mains is away for a time T. Behind its diode the reservoir C alone then feeds the regulator, which draws the
controller's constant current I: its voltage falls by I T / C. The controller browns out where the rail meets its lower
level, which is where the reservoir meets that level plus the regulator's dropout. With C spread evenly over a range,
the probability to hold is the share of the range above I T / (V - V_least).
"""

from math import expm1, log

from inrushlib.build import new_build

AWAY = 50e-3  # [s]
CURRENT = 0.08  # [A]
SOFT_START = 0.1e-3  # [s]
RESISTANCE, BLEED = 0.05, 10.0  # [ohm] of adapter and lead each; across the adapter
WIDTH = 0.03  # [V] of the bend of the diode, as in the model's description

VALUES = {
    "title": "holds on its reservoir", "adapter.rated_current": 10, "adapter.output_resistance": RESISTANCE,
    "adapter.output_capacitance": 1e-6, "adapter.bleed_resistance": BLEED, "adapter.soft_start": SOFT_START,
    "adapter.rated_voltage": 5.1, "lead.resistance": RESISTANCE, "lead.inductance": 10e-9, "bus.ceramic": 0.1e-6,
    "panel.ceramic": 0.1e-6, "wiring.capacitance_per_pixel": 1e-9, "wiring.sections": 1,
    "wiring.pixels_per_section": 4, "pixel.power_on": [0, 0, 0], "controller.feed_diode": True,
    "controller.feed_resistance": 0.05, "controller.diode_drop": 0.3, "controller.rail_capacitance": 0.1e-6,
    "controller.boot_time": 20e-3, "controller.run_current": CURRENT, "controller.reservoir": 2e-3,
    "firmware.refresh_interval": 50e-3, "run.duration": 0.25, "run.interruptions": [[0.1, 0.1 + AWAY]],
}  # fmt: skip


def least_reservoir(current: float = CURRENT) -> float:
    """The smallest reservoir that holds while the controller draws a current [A] [F]."""
    # The diode's current (soft(v - drop) - soft(-drop)) / resistance, solved for v; soft(x) = w ln(1 + exp(x / w)).
    soft_of_drop = WIDTH * log(1 + 2.718281828459045 ** (-0.3 / WIDTH))
    across = 0.3 + WIDTH * log(expm1((0.05 * current + soft_of_drop) / WIDTH))
    # The bleed loads the adapter, the controller adapter and lead.
    full = (5.1 - RESISTANCE * current) * BLEED / (BLEED + RESISTANCE) - RESISTANCE * current - across
    least = 2.3 + 0.08 + 0.3 * current
    # The ramp has to come back to where the diode leads: at least to the reservoir's voltage.
    return current * (AWAY + SOFT_START * (least + 0.2) / 5.1) / (full - least)


def holding_build(share: float, width: float = 0.4e-3):
    """A build whose reservoir is even over a range of which a share is large enough."""
    low = least_reservoir() - (1 - share) * width
    return new_build(VALUES | {"tolerance.controller.reservoir": {"low": low, "high": low + width}})
