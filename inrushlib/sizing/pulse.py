"""The start-up's pulse in each conductor: what it carries beyond its running current.

``start_pulses``
    I2t by conductor
``pulse_above``
    I2t of one curve while it is above a level
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from inrushlib.startup import Startup

Array = NDArray[np.float64]


def pulse_above(time: Array, current: Array, level: float) -> float:
    """I2t of a curve over the stretches in which its magnitude is above a level.

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
        I2t [A2 s] of all such stretches together, by the trapezoid rule.

    Examples
    --------
    >>> time = np.linspace(0.0, 1.0, 1001)
    >>> round(pulse_above(time, np.where(time < 0.5, 4.0, 1.0), 2.0), 1)
    8.0
    """
    squared = np.where(np.abs(current) > level, current**2, 0.0)
    return float(np.trapezoid(squared, time))


def start_pulses(startup: Startup, running: Mapping[str, float]) -> dict[str, float]:
    """I2t of a start in lead, feeds and hops, counted while the current is above the running one.

    Parameters
    ----------
    startup : Startup
        A start [SI].
    running : mapping of str to float
        Lasting current by conductor [A], as :func:`inrushlib.sizing.safety.conductor_currents`.

    Returns
    -------
    dict of str to float
        I2t by conductor [A2 s].

    Notes
    -----
    A run with several starts (trips, interruptions) counts them all as one pulse, which errs to the safe side.
    """
    time, curves = startup.time, startup.curves
    resistances = {each.name: each.resistance for each in startup.conductors}
    volts = [curves[f"section_{k}_voltage"] for k in range(startup.build.wiring.sections)]
    currents = {"lead": curves["lead_current"]}
    for section in startup.build.wiring.feeds:
        name = f"feed to section {section}"
        currents[name] = (curves["panel_voltage"] - volts[section]) / resistances[name]
    for hop in range(len(volts) - 1):
        name = f"hop {hop}-{hop + 1}"
        currents[name] = (volts[hop] - volts[hop + 1]) / resistances[name]
    return {name: pulse_above(time, current, running[name]) for name, current in currents.items()}
