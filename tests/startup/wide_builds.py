"""Random valid builds over wide ranges, from any source of chance.

``random_values`` asks a source for numbers and returns the values of a build; ``Chance`` is the source that a
seed makes, the property tests have another one that can shrink what fails.
"""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np


class Source(Protocol):
    """Where the randomness comes from."""

    def between(self, low: float, high: float) -> float: ...

    def whole(self, low: int, high: int) -> int: ...

    def pick(self, options: list[Any]) -> Any: ...


class Chance:
    """A source made by a seed."""

    def __init__(self, seed: int):
        self.generator = np.random.default_rng(seed)

    def between(self, low, high):
        return float(self.generator.uniform(low, high))

    def whole(self, low, high):
        return int(self.generator.integers(low, high + 1))

    def pick(self, options):
        return options[self.whole(0, len(options) - 1)]


def decades(source, low, high):
    """A number spread evenly over the decades from low to high, to four digits."""
    return float(f"{10 ** source.between(np.log10(low), np.log10(high)):.4g}")


def often(source, chances, in_all):
    return source.whole(1, in_all) <= chances


def adapter(source):
    rated = decades(source, 0.2, 40)
    limit = rated * source.pick([0.8, 1.0, 1.2, 1.6])
    values = {
        "rated_voltage": source.pick([3.8, 4.75, 5.0, 5.1, 5.25, 5.4]), "rated_current": rated, "limit_current": limit,
        "limit_style": source.pick(["constant-current", "foldback", "hiccup", "latch-off"]),
        "output_resistance": decades(source, 2e-3, 0.3), "output_capacitance": decades(source, 10e-6, 10e-3),
        "soft_start": decades(source, 0.1e-3, 60e-3), "trip_delay": source.pick([0, 0.2e-3, 5e-3, 20e-3, 60e-3]),
        "retry_delay": decades(source, 5e-3, 0.5), "bleed_resistance": decades(source, 20, 50e3),
        "foldback_current": limit * source.pick([0.05, 0.3, 0.7, 1.0]), "foldback_knee": source.between(1.0, 5.0),
    }  # fmt: skip
    if often(source, 1, 3):
        values |= {"peak_current": limit * source.pick([1.0, 1.5, 3.0]), "peak_time": decades(source, 1e-3, 0.1)}
    return values


def capacitors(source):
    return {
        "ceramic": decades(source, 0.05e-6, 300e-6), "bulk": source.pick([0, 47e-6, 470e-6, 2200e-6, 10e-3]),
        "bulk_esr": decades(source, 3e-3, 1.0),
    }  # fmt: skip


def switch(source):
    return {
        "kind": source.pick(["p-channel", "p-channel", "p-channel", "load-switch"]),
        "threshold_voltage": source.between(0.4, 2.5), "on_resistance": decades(source, 3e-3, 0.5),
        "on_resistance_drive": source.pick([2.7, 4.5, 10.0]), "gate_source_capacitance": decades(source, 0.1e-9, 1e-6),
        "gate_drain_capacitance": source.pick([0, 30e-12, 1e-9, 47e-9]),
        "pullup_resistance": decades(source, 300, 1e6), "gate_resistance": decades(source, 5, 100e3),
        "gate_driver": source.pick(["transistor", "pin"]), "slew_rate": decades(source, 20, 1e5),
        "current_limit": decades(source, 0.3, 10),
    }  # fmt: skip


def controller(source):
    falling = source.between(1.8, 2.8)
    period = decades(source, 5e-3, 0.3)
    return {
        "feed": source.pick(["bus", "bus", "own"]), "own_voltage": source.between(2.5, 5.5),
        "feed_resistance": decades(source, 5e-3, 5), "feed_diode": source.pick([True, False]),
        "diode_drop": source.pick([0, 0.3, 0.6]), "reservoir": decades(source, 1e-6, 5e-3),
        "dropout_voltage": source.pick([0, 0.08, 0.3, 1.0]), "dropout_resistance": decades(source, 0.02, 2),
        "regulator_limit": decades(source, 0.15, 2), "rail_capacitance": decades(source, 1e-6, 1e-3),
        "brownout_falling": falling, "brownout_rising": falling + source.between(0.02, 0.6),
        "reset_hold": source.pick([0, 1e-3, 1e-3, 20e-3]), "boot_peak_current": source.pick([0, 0, 0.2, 0.4]),
        "boot_peak_at": source.pick([0, 1e-3, 20e-3]), "boot_peak_length": decades(source, 0.5e-3, 60e-3),
        "boot_time": source.pick([0, 2e-3, 50e-3, 150e-3]), "reset_current": source.pick([0, 1e-3, 10e-3, 50e-3]),
        "boot_current": source.between(0, 0.2), "run_current": source.between(0, 0.3),
        "burst_current": source.pick([0, 0.1, 0.3, 0.6]), "burst_period": period, "burst_length": 0.3 * period,
    }  # fmt: skip


def colour(source):
    return source.pick([[0, 0, 0], [1, 1, 1], [0.3, 0.3, 0.3], [1, 0, 0], [0.1, 0.4, 0.9]])


def firmware(source):
    values = {
        "gate_delay": source.pick([0, 1e-3, 50e-3]), "first_frame_delay": source.pick([0, 1e-3, 10e-3, 60e-3]),
        "refresh_interval": source.pick([0, 0, 5e-3, 20e-3, 50e-3]), "first_frame": colour(source),
        "content": colour(source), "bits_per_pixel": source.pick([24, 32]), "reset_gap": source.pick([50e-6, 300e-6]),
    }  # fmt: skip
    if often(source, 2, 3):
        values["content_delay"] = source.pick([0, 5e-3, 40e-3, 120e-3])
    return values


def pixel(source):
    forget = source.between(1.0, 2.2)
    return {
        "power_on": colour(source), "quiescent_current": source.pick([0, 0.3e-3, 1e-3]),
        "channel_current": decades(source, 2e-3, 20e-3), "channel_resistance": decades(source, 5, 400),
        "wake_voltage": source.between(1.2, 2.6), "listen_voltage": forget + source.between(0.05, 1.0),
        "listen_delay": source.pick([0, 0.3e-3, 5e-3]), "forget_voltage": forget,
    }  # fmt: skip


def wiring(source):
    sections = source.whole(1, 12)
    feeds = sorted({source.whole(0, sections - 1) for _ in range(source.whole(1, 3))})
    pixels = [source.whole(1, 200) for _ in range(sections)]
    values = {
        "sections": sections, "pixels_per_section": pixels,
        "lanes": source.whole(1, min(sections, 4)), "capacitance_per_pixel": decades(source, 5e-9, 2e-6),
        "hop_resistance": [decades(source, 0.5e-3, 2) for _ in range(sections - 1)] if sections > 1 else 0.03,
        "feeds": feeds, "feed_resistance": [decades(source, 1e-3, 0.5) for _ in feeds],
        "rail_resistance": source.pick([0, 0.1e-3, 6e-3]),
    }  # fmt: skip
    if often(source, 1, 2):
        values["feed_pixels"] = [source.whole(0, pixels[feed] - 1) for feed in feeds]
    if often(source, 1, 2):
        values["lumps"] = 1
    return values


def run_of(source):
    duration = decades(source, 0.05, 0.8)
    values = {"duration": duration, "start": source.pick(["mains", "mains", "plug"]), "interruptions": []}
    instant = 0.0
    for _ in range(source.pick([0, 0, 1, 1, 2])):
        off_at = instant + duration * source.between(0.02, 0.4)
        instant = off_at + duration * source.pick([1e-4, 0.01, 0.1, 0.4])
        values["interruptions"].append([off_at, instant])
    return values


def random_values(source: Source) -> dict[str, Any]:
    """The values of a random build, by dotted key."""
    tables = {
        "adapter": adapter(source),
        "lead": {"resistance": decades(source, 3e-3, 2), "inductance": decades(source, 10e-9, 30e-6)},
        "bus": capacitors(source), "panel": capacitors(source), "controller": controller(source),
        "firmware": firmware(source), "pixel": pixel(source), "wiring": wiring(source), "run": run_of(source),
    }  # fmt: skip
    if often(source, 1, 2):
        tables["switch"] = switch(source)
    if often(source, 1, 8):
        tables["limiter"] = {"cold_resistance": decades(source, 0.2, 20), "heat_capacity": decades(source, 0.05, 2)}
    values: dict[str, Any] = {"title": "random"}
    for table, keys in tables.items():
        values |= {f"{table}.{key}": value for key, value in keys.items()}
    return values
