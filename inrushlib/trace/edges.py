"""Edges of a capture against those of the model, once it is lined up: which are early or late.

One shift lays one edge on the model. Where another is then off, a time of the build is off, not the shift.

``edges_of``      the large edges of a curve
``edges_apart``   those that are not where the model has them
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from inrushlib.startup import curve_named
from inrushlib.trace.prepare import FloatArray, Measured

CELLS, AVERAGED = 2000, 40  # of the capture, and cells on either side of an edge whose averages are compared
LARGE = 0.3  # of a curve's range, that an edge is at least
ALIKE = 1.6  # times in size between an edge and the model's
NEAR = 0.1  # of the capture, within which an edge is taken for the model's
SURE = 3.0  # cells that edges are apart at least


@dataclass(frozen=True)
class EdgeLag:
    """An edge that is not where the model has it.

    Attributes
    ----------
    quantity : str
        Of the curve.
    at : float
        When the model has it, in the run's time [s].
    lag : float
        How much later the capture has it, once lined up [s]; below 0 earlier.
    """

    quantity: str
    at: float
    lag: float

    @property
    def sentence(self) -> str:
        """It in words."""
        words, early = curve_named(self.quantity).words, "later" if self.lag > 0 else "earlier"
        return (
            f"{words} changes {1e3 * abs(self.lag):.3g} ms {early} than the model does at {1e3 * self.at:.4g} ms, "
            "while other edges lie on it: a time of the build is off, such as its boot time"
        )


def edges_of(time: FloatArray, values: FloatArray) -> list[tuple[float, float]]:
    """Return when a curve's large edges are, and by how much it changes there.

    Parameters
    ----------
    time : (n,) array
        Instants [s], rising.
    values : (n,) array
        Samples [V or A]; NaN in gaps.

    Returns
    -------
    list of tuple of float and float
        Instant [s] and change [V or A].

    Examples
    --------
    >>> time = np.linspace(0.0, 1.0, 5000)
    >>> [(round(at, 2), round(change, 1)) for at, change in edges_of(time, np.where(time > 0.4, 5.0, 0.0))]
    [(0.4, 5.0)]
    """
    from scipy.ndimage import maximum_filter1d  # long to import, and only captures need it

    good = np.isfinite(values)
    if np.count_nonzero(good) < 2 or not time[-1] > time[0]:
        return []
    grid = np.linspace(time[0], time[-1], CELLS)
    total = np.concatenate(([0.0], np.cumsum(np.interp(grid, time[good], values[good]))))
    middle = np.arange(AVERAGED, CELLS - AVERAGED)
    change = (total[middle + AVERAGED] - 2.0 * total[middle] + total[middle - AVERAGED]) / AVERAGED
    height, reach = np.abs(change), float(np.ptp(np.nanquantile(values, [0.01, 0.99])))
    steepest = (height >= maximum_filter1d(height, 2 * AVERAGED + 1)) & (height >= LARGE * max(reach, 1e-12))
    return [(float(grid[middle[i]]), float(change[i])) for i in np.flatnonzero(steepest)]


def edges_apart(measured: Measured, modelled: Mapping[str, FloatArray], shift: float) -> tuple[EdgeLag, ...]:
    """Return the edges that lie apart from the model's while others lie on them.

    Parameters
    ----------
    measured : Measured
        The capture.
    modelled : mapping of str to (n,) array
        The model's curves at the capture's samples, shifted [V or A].
    shift : float
        Time that was added to the capture's [s].
    """
    span = float(measured.time[-1] - measured.time[0])
    sure, found = SURE * span / CELLS, []
    for name, values in measured.curves.items():
        ours = edges_of(measured.time, values)
        for at, change in edges_of(measured.time, modelled[name]):
            like = [t for t, c in ours if change * c > 0 and 1 / ALIKE < c / change < ALIKE]
            lag = min((t - at for t in like), key=abs, default=np.inf)
            if abs(lag) < NEAR * span:
                found.append(EdgeLag(name, at + shift, lag))
    if not any(abs(edge.lag) < sure for edge in found):
        return ()
    return tuple(edge for edge in found if abs(edge.lag) > sure)
