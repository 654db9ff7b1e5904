"""Each part of a build in a few words, for the line that stands for it while it is closed."""

from __future__ import annotations

from collections.abc import Callable

from inrushlib.build import Build
from inrushlib.quantities import format_gauge, format_quantity
from widgets.signs import signs

NONE = "none"


def summary(build: Build, group: str) -> str:
    """Return a group of controls in a few words; empty for one that has none.

    Parameters
    ----------
    build : Build
        The build.
    group : str
        Name of the group, as in :data:`widgets.groups.GROUPS`.
    """
    return signs(_OF[group](build)) if group in _OF else ""


def _q(value: float, unit: str) -> str:
    return format_quantity(value, unit, digits=3)


def _adapter(build: Build) -> str:
    return f"{_q(build.adapter.rated_current, 'A')}, {build.adapter.limit_style}"


def _lead(build: Build) -> str:
    return f"{_q(build.lead.length, 'm')}, {format_gauge(build.lead.gauge)}, {_q(build.lead.resistance, 'ohm')}"


def _capacitors(build: Build) -> str:
    places = ((build.bus.bulk, "at the bus"), (build.panel.bulk, "at the panel"))
    found = [f"{_q(capacitance, 'F')} {where}" for capacitance, where in places if capacitance > 0]
    return ", ".join(found) or "no bulk"


def _switch(build: Build) -> str:
    return NONE if build.switch is None else f"{build.switch.kind}, {_q(build.switch.on_resistance, 'ohm')}"


def _controller(build: Build) -> str:
    own = build.controller
    begins = "own supply," if own.feed == "own" else "starts at"
    return f"{begins} {own.brownout_rising:.2f} V, {_q(own.boot_time, 's')}"


def _firmware(build: Build) -> str:
    return f"first frame after {_q(build.firmware.first_frame_delay, 's')}"


def _pixels(build: Build) -> str:
    wake = build.pixel.power_on
    colour = "white" if min(wake) > 0.99 else "dark" if max(wake) < 0.01 else "coloured"
    return f"{_q(build.pixel.channel_current, 'A')} a colour, wake {colour}"


def _wiring(build: Build) -> str:
    counts = build.wiring.pixels_per_section
    each = str(counts[0]) if len(set(counts)) == 1 else f"{min(counts)} to {max(counts)}"
    fed = ", ".join(str(section) for section in build.wiring.feeds)
    return f"{len(counts)} × {each} pixels, fed at {fed}"


def _run(build: Build) -> str:
    return f"{_q(build.run.duration, 's')} watched"


_OF: dict[str, Callable[[Build], str]] = {
    "Adapter": _adapter, "Lead": _lead, "Capacitors": _capacitors, "Switch": _switch, "Controller": _controller,
    "Firmware": _firmware, "Pixels": _pixels, "Wiring": _wiring, "Run": _run,
}  # fmt: skip
