"""What a remedy does not solve, in sentences from its build.

``unsolved``  the sentences
"""

from __future__ import annotations

from inrushlib.build import Build
from inrushlib.quantities import format_quantity, in_percent
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.search.running import running_current
from inrushlib.startup import Startup

_FILLING = 2.2e-3  # [F] from which filling it keeps an adapter at its limit for a while
_TRIPS = ("hiccup", "latch-off")


def unsolved(start: Startup, asked: Build) -> tuple[str, ...]:
    """Return what stays as it is, or is new, with a remedy.

    Parameters
    ----------
    start : Startup
        Of the changed build.
    asked : Build
        As it was before the remedy.
    """
    build = start.build
    found = []
    bulk = build.bus.bulk + build.panel.bulk
    if bulk >= _FILLING and build.adapter.limit_style not in _TRIPS and "adapter.limit_style" not in build.given:
        said = format_quantity(bulk, "F", digits=3)
        found.append(
            f"Filling {said} takes an adapter that goes on at its limit; one that switches off there does not fill it."
        )
    if bulk >= _FILLING:
        found.append("The capacitor holds its charge after switching off, and melts what shorts it.")
    full = sum(build.wiring.pixels_per_section) * build.pixel.channel_current * sum(build.pixel.power_on)
    if full > build.adapter.rated_current:
        said, share = format_quantity(full, "A", digits=2), f"{in_percent(CONTINUOUS_SHARE)}"
        found.append(
            f"Full white would take about {said}: the program has to keep every picture within {share} of the label."
        )
    if sum(build.firmware.content) < sum(asked.firmware.content) and (drawn := running_current(asked)) is not None:
        duties = ", ".join(f"{duty:.2g}" for duty in asked.firmware.content)
        current, label = (format_quantity(each, "A", digits=2) for each in (drawn, drawn / CONTINUOUS_SHARE))
        found.append(
            f"The picture is dimmed: with the build's own duties ({duties}) it would draw {current}, which asks for a "
            f"label of {label} or more."
        )
    return tuple(found)
