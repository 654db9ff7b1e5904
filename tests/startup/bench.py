"""A bench build whose parts can be made to switch at will, and helpers to read what a start did.

The controller hangs on a supply of its own, so that it runs whatever the adapter does. The pixels fade
so steeply (10 ohm) that at 3.5 V and above they draw a constant current: ``pixel_load`` has it in closed form.
The bench shows three loads one after the other: ``pixel.power_on``, ``firmware.first_frame``, ``firmware.content``.
"""

import numpy as np

from inrushlib.build import parse_build
from inrushlib.startup import Kind, simulate

BENCH = parse_build("""
title = "bench"
[adapter]
rated_voltage = "5 V"
rated_current = "2 A"
limit_current = "2 A"
soft_start = "2 ms"
output_resistance = "30 mohm"
output_capacitance = "47 uF"
[lead]
resistance = "0.5 ohm"
inductance = "0.2 uH"
[bus]
ceramic = "10 uF"
[controller]
feed = "own"
reset_hold = 0
boot_time = "3 ms"
[pixel]
power_on = [0, 0, 0]
channel_resistance = "10 ohm"
[wiring]
sections = 2
pixels_per_section = 8
feeds = [0, 1]
[run]
duration = "40 ms"
""")

PIXELS = 16
DARK, GREY, WHITE = [0, 0, 0], [0.5, 0.5, 0.5], [1, 1, 1]
FIRST, CONTENT = 1, 2  # what a frame carries, as the list of switchings numbers it

# A controller on the bus that keeps going for a while when the bus sags.
ON_THE_BUS = {"controller.feed": "bus", "controller.feed_diode": True, "controller.reservoir": "470 uF"}


def start(values, build=BENCH, tolerance=1e-6):
    return simulate(build.with_values(values), tolerance=tolerance)


def instants(startup, kind, index=None):
    """When each switching of a kind happened [s]."""
    return [s.time for s in startup.switchings if s.kind is kind and index in (None, s.index)]


def kinds(startup, *wanted):
    """The switchings of some kinds, in order."""
    return [s.kind for s in startup.switchings if s.kind in wanted]


def showing(startup):
    """Sections that show a frame at the end."""
    shown = set()
    for s in startup.switchings:
        if s.kind is Kind.SHOWS:
            shown.add(s.index)
        if s.kind is Kind.FORGETS:
            shown.discard(s.index)
    return sorted(shown)


def value(startup, name, t):
    return float(startup.at(np.array([t]))[name][0])


def soft(x, w):
    return w * np.logaddexp(0.0, x / w)


def least(a, b, w):
    return a - soft(a - b, w)


def pixel_load(duty, pixels=PIXELS):
    """Current [A] of the bench's pixels, all three channels at one duty, at 3.5 V and above."""
    return pixels * (0.6e-3 + 3 * duty * 12e-3)


def limit_at(build, v_o):
    """The adapter's limit [A] without its short-term allowance."""
    a = build.adapter
    if a.limit_style != "foldback":
        return a.limit_current
    share = np.clip(v_o / a.foldback_knee, 0, 1)
    return a.foldback_current + (a.limit_current - a.foldback_current) * share


def law_current(build, v_ref, v_o, top):
    """The adapter's law: what its regulator delivers [A] at the limit ``top``."""
    a = build.adapter
    w = 0.01 * a.limit_current
    return soft(least((v_ref - v_o) / a.output_resistance, top, w), min(w, 0.01))


def delivered(startup, t, dt=2e-6):
    """What the regulator delivers [A], from the curves alone: lead, bleed and the output capacitor's charge."""
    a = startup.build.adapter
    before, now, after = startup.at(np.array([t - dt, t, t + dt]))["adapter_voltage"]
    charging = a.output_capacitance * (after - before) / (2 * dt)
    return charging + now / a.bleed_resistance + value(startup, "lead_current", t)
