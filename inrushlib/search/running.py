"""The running picture: what the display is taken to show once it runs, by everything that sizes a supply.

``running_picture``   which one, and its duties
``picture_in_words``  the same for a page, with why
``running_current``   what the lead carries then
``on_ample_adapter``  the build on an adapter that does not limit a picture
``showing``           the build made to show a picture from some time on, for a start that includes it

The rule: with a ``firmware.content_delay`` it is ``firmware.content``. Without one the program sends its first
frame only. Where that is lit, it is the picture; where it is dark, the build does not say what will be shown, and
``firmware.content`` (30 % of each colour unless given) is taken: the adapter is bought for a display that shows
something.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache
from typing import Any, Final, NamedTuple

from inrushlib.build import Build, build_keys
from inrushlib.errors import SolverError
from inrushlib.panel import solve_panel
from inrushlib.parts import key_words
from inrushlib.search.ratings import limit_ratio, with_limit
from inrushlib.startup import simulate
from inrushlib.startup.pack import frame_time

AMPLE = 1.5  # limit of an ample adapter over what is drawn
LEAST_LIMIT = 1e-3  # [A]
AFTER_FIRST = 0.05  # [s] from the first frame to the picture, where the build does not say when it comes
WATCHED = 0.2  # [s] that a picture is watched
REMEMBERED: Final = 64
"""Panels whose current is kept [1]: remedies mostly change what a steady picture does not see."""

Colour = tuple[float, float, float]


class PictureKey(StrEnum):
    """Where the running picture is taken from."""

    CONTENT = "firmware.content"
    FIRST_FRAME = "firmware.first_frame"

    @property
    def words(self) -> str:
        """Which picture it is, on a page."""
        return key_words(self.value)


class Picture(NamedTuple):
    """The running picture.

    Attributes
    ----------
    key : PictureKey
        Key of the build.
    colour : tuple of float
        Duties of red, green and blue [1].
    """

    key: PictureKey
    colour: Colour


def running_picture(build: Build) -> Picture:
    """The picture that the display is taken to show once it runs.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    Picture
        Its key, and duties [1].

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 4, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> running_picture(build).colour
    (0.3, 0.3, 0.3)
    """
    f = build.firmware
    first = f.content_delay is None and any(f.first_frame)
    red, green, blue = f.first_frame if first else f.content
    return Picture(PictureKey.FIRST_FRAME if first else PictureKey.CONTENT, (red, green, blue))


def picture_in_words(build: Build) -> str:
    """The running picture for a page: which, its duties, and why it is taken.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 4, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> picture_in_words(build)
    'running picture, duties 0.3, 0.3, 0.3 (assumed: the build does not say when it comes)'
    """
    key, colour = running_picture(build)
    text = f"{key.words}, duties {', '.join(f'{duty:g}' for duty in colour)}"
    if build.firmware.content_delay is not None:
        return text
    if key is PictureKey.FIRST_FRAME:
        return f"{text} (it stays: the build does not say when another picture comes)"
    return f"{text} (assumed: the build does not say when it comes)"


def on_ample_adapter(build: Build, colour: Colour) -> Build:
    """The build on an adapter that does not limit a picture, but only just.

    The limit is put at half more than the picture draws from an adapter for twice what all pixels can take. It
    must not stay there: the law's corner is 1 % of the limit wide, and lifts the voltage of a small load.

    Parameters
    ----------
    build : Build
        The build [SI].
    colour : tuple of float
        The brightest duties of red, green and blue [1], 0 to 1.

    Returns
    -------
    Build
        The changed copy.
    """
    larger = _without_limit(build, colour)
    return _with_ample(larger, AMPLE * solve_panel(larger, colour).adapter_current)


def _without_limit(build: Build, colour: Colour) -> Build:
    """The build on an adapter, and behind a switch, for twice what all pixels can take."""
    pixel = build.pixel
    most = sum(build.wiring.pixels_per_section) * (pixel.quiescent_current + pixel.channel_current * sum(colour))
    if build.switch is not None and build.switch.kind == "load-switch":
        # What the picture asks for is wanted, not what the switch lets through.
        build = build.with_values({"switch.current_limit": max(2 * most, LEAST_LIMIT)})
    return _with_ample(build, 2 * (most + build.controller.run_current))


def _with_ample(build: Build, limit: float) -> Build:
    """The build on an adapter of that limit, or of the largest that a build may have."""
    keys = build_keys()
    largest = min(keys["adapter.limit_current"].high, limit_ratio(build) * keys["adapter.rated_current"].high)
    return with_limit(build, min(limit, largest))


def running_current(build: Build) -> float | None:
    """Lead current of the running picture on an adapter that does not limit.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    float or None
        From the steady panel [A]; where that does not settle, the mean of the last tenth of a start that shows it;
        None where that does not get so far.
    """
    colour = running_picture(build).colour
    steady = _steady_current(_Shown(_seen(build), colour, build))
    if steady is not None:
        return steady
    shown = {"firmware.first_frame": list(colour), "firmware.content_delay": None}
    start = simulate(_without_limit(build, colour).with_values(shown))
    return start.figures.settled_lead_current if start.verdict.starts else None


@dataclass(frozen=True)
class _Shown:
    """A picture on a build, told from others by what a steady panel sees of it."""

    seen: tuple[Any, ...]
    colour: Colour
    build: Build = field(compare=False)


def _seen(build: Build) -> tuple[Any, ...]:
    c = build.controller
    parts = (build.adapter, build.lead, build.limiter, build.bus, build.switch, build.panel, build.wiring, build.pixel)
    return (*parts, c.feed, c.run_current)


@lru_cache(REMEMBERED)
def _steady_current(shown: _Shown) -> float | None:
    """Return the lead current of a picture on an ample adapter [A]; None where the panel does not settle."""
    try:
        return float(solve_panel(on_ample_adapter(shown.build, shown.colour), shown.colour).adapter_current)
    except SolverError:
        return None


def showing(build: Build, colour: Colour, running_at: float) -> Build:
    """The build with a picture in place of its running one, and a run long enough to watch it.

    Parameters
    ----------
    build : Build
        The build [SI].
    colour : tuple of float
        Duties of red, green and blue [1], 0 to 1.
    running_at : float
        When its program first runs [s].

    Returns
    -------
    Build
        Where the build does not say when its picture comes, some time after the first frame.
    """
    f = build.firmware
    if running_picture(build).key is PictureKey.FIRST_FRAME:
        values: dict[str, object] = {"firmware.first_frame": list(colour)}
        comes = f.first_frame_delay
    else:
        comes = f.first_frame_delay + AFTER_FIRST if f.content_delay is None else f.content_delay
        values = {"firmware.content": list(colour), "firmware.content_delay": comes}
    end = running_at + comes + f.refresh_interval + 2 * frame_time(build) + WATCHED
    return build.with_values(values | {"run.duration": max(build.run.duration, end)})
