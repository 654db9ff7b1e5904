"""A build in which every part but the one under test is negligible, and helpers to read its curves."""

import math
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
from scipy.optimize import brentq

from inrushlib.build import Build, new_build
from inrushlib.parts import TABLES
from inrushlib.startup import simulate

TIGHT = 1e-7

NEGLIGIBLE = {
    "title": "closed form",
    # One pixel that draws nothing, on 1 pF: what lies behind the root takes no current.
    "pixel.power_on": [0, 0, 0], "pixel.quiescent_current": 0, "pixel.wake_voltage": 1e-9,
    "wiring.sections": 1, "wiring.pixels_per_section": 1, "wiring.capacitance_per_pixel": 1e-12,
    "wiring.feed_resistance": 1e-6, "panel.ceramic": 1e-9,
    # The controller has a supply of its own, takes nothing from the bus and closes the switch at LOW_AT or so.
    "controller.feed": "own", "controller.reset_hold": 0, "controller.boot_time": 10e-3,
    "adapter.bleed_resistance": 1e9,
}  # fmt: skip

STIFF = {
    # 1e6 F behind the plug hold the bus whatever the regulator does. 0.1 mohm damp the lead against the
    # bus's 1000 uF, which is full long before the switch closes.
    "adapter.rated_current": 1, "adapter.output_capacitance": 1e6, "run.start": "plug",
    "lead.resistance": 1e-4, "lead.inductance": 1e-12, "bus.ceramic": 1e-3,
}  # fmt: skip

GROUND = 1e9  # [F] a capacitor that never charges: its series resistance is a resistor to ground


@contextmanager
def no_upper_bounds() -> Iterator[None]:
    """Let keys be as large as a closed form wants its ideal parts; a builder's are refused there."""
    keys = [key for part in TABLES.values() for key in part.about.values()]
    highs = [key.high for key in keys]
    for key in keys:
        object.__setattr__(key, "high", math.inf)
    try:
        yield
    finally:
        for key, high in zip(keys, highs, strict=True):
            object.__setattr__(key, "high", high)


def ideal(values) -> Build:
    """A build from values without upper bounds."""
    with no_upper_bounds():
        return new_build(values)


def run(values, duration):
    return simulate(ideal({**NEGLIGIBLE, "run.duration": duration, **values}), tolerance=TIGHT)


def stiff(volts, values, duration):
    return run({**STIFF, "adapter.rated_voltage": volts, **values}, duration)


def at(startup, name, instant):
    return float(startup.at(np.array([instant]))[name][0])


def first_reach(startup, name, level, earliest, latest):
    """Instant between two at which a rising curve has a level."""
    return brentq(lambda t: at(startup, name, t) - level, earliest, latest, xtol=1e-13)
