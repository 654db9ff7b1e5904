"""The start-up's pulse in each conductor: what it carries beyond what can last.

``watched_start``
    the start that the pulses are taken from
``start_pulses``
    I2t by conductor
``pulse_above``
    I2t of one curve's largest pulse above a level
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import SolverError
from inrushlib.parts.place import Place
from inrushlib.safety.hardware import conductors_of
from inrushlib.startup import Startup, simulate

Array = NDArray[np.float64]

LONGEST_WATCH = 2.0  # [s] after the boot: what comes later is no start-up


def pulse_above(time: Array, current: Array, level: float) -> float:
    """I2t of a curve's largest pulse: a stretch in which its magnitude is above a level.

    Parameters
    ----------
    time : array
        Instants [s], rising.
    current : array
        Current at them [A].
    level : float
        Where a pulse begins and ends [A], 0 or more.

    Returns
    -------
    float
        I2t [A2 s] of the stretch that has most, by the trapezoid rule; 0 where there is none.

    Examples
    --------
    >>> time = np.linspace(0.0, 1.0, 1001)
    >>> round(pulse_above(time, np.where(time < 0.5, 4.0, 1.0), 2.0), 1)
    8.0
    """
    above = np.abs(current) > level
    squared = np.where(above, current**2, 0.0)
    so_far = np.concatenate(([0.0], np.cumsum(0.5 * (squared[1:] + squared[:-1]) * np.diff(time))))
    edges = np.flatnonzero(np.diff(np.concatenate(([False], above, [False]))))
    # From the last instant below the level to the first one below it again.
    first, last = np.maximum(edges[::2] - 1, 0), np.minimum(edges[1::2], len(time) - 1)
    return float(np.max(so_far[last] - so_far[first], initial=0.0))


def watched_start(build: Build) -> Startup | None:
    """A start of the build, watched until some time after its boot.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    Startup or None
        Its run as long as the build says, or shorter; None where the start cannot be computed.
    """
    longest = build.adapter.soft_start + build.controller.boot_time + LONGEST_WATCH
    run = build.run.model_copy(update={"duration": min(build.run.duration, longest)})
    try:
        return simulate(build.model_copy(update={"run": run}))
    except SolverError:
        return None


def start_pulses(startup: Startup, levels: Mapping[Place, float]) -> dict[Place, float]:
    """I2t of a start's largest pulse in lead, feeds and hops.

    Parameters
    ----------
    startup : Startup
        A start [SI].
    levels : mapping of Place to float
        Where a pulse begins and ends, by conductor [A]. Current at or below it counts as steady load, not as part
        of a pulse.

    Returns
    -------
    dict of Place to float
        I2t by conductor [A2 s].
    """
    time = startup.time
    currents = startup.currents(time)
    return {place: pulse_above(time, currents[place], levels[place]) for place in conductors_of(startup.build)}
