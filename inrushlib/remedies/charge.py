"""The charge that a lit display takes between listening and darkness, against what its adapter gives: a sum on paper.

``charge_of``  that, of a build behind a switch
``Charge``     currents, time, the capacitor that carries the difference, and what would ask for less

Below its limit an adapter carries the display by itself. Above it the difference comes from capacitors, from when the
pixels listen until the frames are over that turn them dark.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from inrushlib.build import Build
from inrushlib.laws.adapter import adapter_limit
from inrushlib.laws.arrays import pixel_current
from inrushlib.odds.key_ranges import key_ranges
from inrushlib.remedies.measures import LARGEST_PAIR
from inrushlib.startup.pack import frame_time

FRAMES: Final = 2
"""Frames from listening to shown at most [1]: the one that was under way, and the next."""
LISTEN_VOLTAGE: Final = "pixel.listen_voltage"
CHANNEL_CURRENT: Final = "pixel.channel_current"
_FINEST = 1e-3  # [V] to which a voltage is found


@dataclass(frozen=True, kw_only=True)
class Charge:
    """What carries the lit display until it is dark; SI.

    Attributes
    ----------
    listen_voltage : float
        The highest at which pixels may begin to listen, within the range [V].
    drawn, given : float
        By the lit display at that voltage, and by the adapter [A].
    lasts : float
        From there until it is dark at the latest [s].
    capacitance : float
        What carries the difference that long, charged to the adapter's voltage [F]; 0 where there is none.
    pair_up_to : float or None
        The highest listen voltage within the range at which two of the largest stocked electrolytics carry it [V]; None
        where they do at none.
    sections_at_once : int
        How many lit sections the adapter carries by itself at that voltage, the others being dark [1].
    """

    listen_voltage: float
    drawn: float
    given: float
    lasts: float
    capacitance: float
    pair_up_to: float | None
    sections_at_once: int


def charge_of(build: Build) -> Charge:
    """Return the charge that a lit display takes until it is dark.

    Parameters
    ----------
    build : Build
        Any build; its data lines and its adapter count.

    Notes
    -----
    ``capacitance = (drawn - given) * lasts / (rated_voltage - listen_voltage)``, ``lasts = listen_delay + 2 frames``,
    all values but the listen voltage as they are. The model's runs have ramps, drops and scatter besides.
    Source: Q = C V, the definition of capacitance, and Q = I t.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64, "wiring.lanes": 6})
    >>> found = charge_of(build)
    >>> round(found.drawn, 2), found.given, round(1e3 * found.capacitance, 1)
    (6.78, 1.2, 12.6)
    """
    low, high = _range(build)
    lasts = build.pixel.listen_delay + FRAMES * frame_time(build)

    def needed(level: float) -> float:
        lacking = max(0.0, _lit(build, level) - _limit(build, level))
        room = build.adapter.rated_voltage - level
        return lacking * lasts / room if room > 0 else 0.0

    return Charge(
        listen_voltage=high, drawn=_lit(build, high), given=_limit(build, high), lasts=lasts, capacitance=needed(high),
        pair_up_to=_highest(needed, low, high), sections_at_once=_sections_at_once(build, high),
    )  # fmt: skip


def _range(build: Build) -> tuple[float, float]:
    """Return between which the pixels may begin to listen [V]."""
    level = build.pixel.listen_voltage
    return next(((each.low, each.high) for each in key_ranges(build) if each.key == LISTEN_VOLTAGE), (level, level))


def _highest(needed: Callable[[float], float], low: float, high: float) -> float | None:
    """Return the highest voltage within a range at which two pieces are enough [V], by halving."""
    if needed(high) <= LARGEST_PAIR:
        return high
    if needed(low) > LARGEST_PAIR:
        return None
    while high - low > _FINEST:
        middle = (low + high) / 2
        low, high = (middle, high) if needed(middle) <= LARGEST_PAIR else (low, middle)
    return low


def _one_pixel(build: Build, voltage: float, duties: tuple[float, ...]) -> float:
    one, _ = pixel_current(np.array([voltage]), np.array(duties)[:, None], build.pixel)
    return float(one[0])


def _lit(build: Build, voltage: float) -> float:
    return _one_pixel(build, voltage, tuple(build.pixel.power_on)) * sum(build.wiring.pixels_per_section)


def _limit(build: Build, voltage: float) -> float:
    a = build.adapter
    if a.limit_style != "foldback":
        return a.limit_current
    return float(adapter_limit(voltage, a.limit_current, True, a.foldback_current, a.foldback_knee)[0])


def _sections_at_once(build: Build, voltage: float) -> int:
    """Return how many of the largest sections the adapter carries lit, the others dark [1]."""
    lit, dark = (_one_pixel(build, voltage, duties) for duties in (tuple(build.pixel.power_on), (0.0, 0.0, 0.0)))
    drawn, found = dark * sum(build.wiring.pixels_per_section), 0
    for pixels in sorted(build.wiring.pixels_per_section, reverse=True):
        drawn += (lit - dark) * pixels
        if drawn > _limit(build, voltage):
            break
        found += 1
    return found
