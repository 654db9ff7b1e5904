"""A running picture that an adapter can carry without end.

``fitting_picture``  the build's own picture, dimmed as far as it has to be
"""

from __future__ import annotations

from inrushlib.build import Build
from inrushlib.errors import SolverError
from inrushlib.panel import solve_panel
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.search.running import on_ample_adapter, running_picture

LEVELS = 200
"""Steps of a duty from dark to full [1]."""


def picture_current(build: Build, colour: tuple[float, ...]) -> float:
    """Return the mean lead current of a picture on an adapter that does not limit [A].

    Parameters
    ----------
    build : Build
        Any build.
    colour : tuple of float
        Duties of red, green and blue [1].

    Raises
    ------
    SolverError
        Where the steady panel does not settle.
    """
    red, green, blue = colour
    ample = on_ample_adapter(build, (red, green, blue))
    return float(solve_panel(ample, (red, green, blue)).adapter_current)


def carries_picture(build: Build) -> bool:
    """Say whether a build's running picture stays within what its adapter carries without end.

    Parameters
    ----------
    build : Build
        Any build.
    """
    try:
        current = picture_current(build, running_picture(build).colour)
    except SolverError:
        return False
    return current <= CONTINUOUS_SHARE * build.adapter.rated_current


def fitting_picture(build: Build) -> tuple[float, ...] | None:
    """Return the duties of a build's running picture, dimmed until its adapter carries it without end.

    Parameters
    ----------
    build : Build
        Any build.

    Returns
    -------
    tuple of float or None
        Rounded down to steps of 0.005 of the picture [1]; its own duties where they fit, None where not even a
        step does.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> fitting_picture(build)
    (0.0345, 0.0345, 0.0345)
    """
    colour = running_picture(build).colour
    if carries_picture(build):
        return colour
    low, high = 0, LEVELS
    while high - low > 1:
        middle = (low + high) // 2
        try:
            current = picture_current(build, _scaled(colour, middle))
        except SolverError:
            high = middle
            continue
        low, high = (middle, high) if current <= CONTINUOUS_SHARE * build.adapter.rated_current else (low, middle)
    return _scaled(colour, low) if low > 0 else None


def _scaled(colour: tuple[float, ...], level: int) -> tuple[float, ...]:
    return tuple(round(duty * level / LEVELS, 4) for duty in colour)
