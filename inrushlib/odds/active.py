"""Which keys can change how a build starts: those of parts that it does not have cannot.

``idle_keys``  the keys that cannot
"""

from __future__ import annotations

from inrushlib.build import Build

_GATE = (
    "threshold_voltage", "gate_source_capacitance", "gate_drain_capacitance", "pullup_resistance", "gate_resistance",
)  # fmt: skip
_FOLDBACK = ("foldback_current", "foldback_knee")


def idle_keys(build: Build) -> frozenset[str]:
    """Return the dotted keys that cannot change how a build starts.

    Parameters
    ----------
    build : Build
        Any build.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> "bus.bulk_esr" in idle_keys(build), "adapter.limit_current" in idle_keys(build)
    (True, False)
    """
    return frozenset((*_supply(build), *_switch(build), *_controller(build), *_lines(build)))


def _supply(build: Build) -> list[str]:
    adapter, idle = build.adapter, []
    if adapter.limit_style != "foldback":
        idle += [f"adapter.{key}" for key in _FOLDBACK]
    if adapter.limit_style not in ("hiccup", "latch-off"):
        idle.append("adapter.trip_delay")
    if adapter.limit_style != "hiccup":
        idle.append("adapter.retry_delay")
    if {"lead.resistance", "lead.inductance"} <= build.given:
        idle.append("lead.length")
    if "lead.resistance" in build.given:
        idle += ["lead.gauge", "lead.contact_resistance"]
    return idle + [f"{table}.bulk_esr" for table in ("bus", "panel") if build.get(f"{table}.bulk") == 0]


def _switch(build: Build) -> list[str]:
    if build.switch is None:
        return []
    if build.switch.kind == "load-switch":
        return [f"switch.{key}" for key in _GATE]
    return ["switch.slew_rate", "switch.current_limit"]


def _controller(build: Build) -> list[str]:
    controller, idle = build.controller, []
    if controller.feed != "own":
        idle.append("controller.own_voltage")
    if not controller.feed_diode:
        idle.append("controller.diode_drop")
    if controller.boot_peak_current == 0:
        idle += ["controller.boot_peak_at", "controller.boot_peak_length"]
    if controller.burst_current == 0:
        idle += ["controller.burst_period", "controller.burst_length"]
    return idle


def _lines(build: Build) -> list[str]:
    return ["wiring.hop_resistance"] if build.wiring.sections == 1 else []
