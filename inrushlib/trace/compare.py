"""A capture and the model together: how far apart, and where.

``compare``      shift, and figures a channel
``Comparison``   them, with the residuals for drawing
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from inrushlib.startup import Startup, curve_named
from inrushlib.trace.align import Alignment, line_up
from inrushlib.trace.features import CurveFigures, curve_figures, on_plateau
from inrushlib.trace.prepare import FloatArray, Measured


@dataclass(frozen=True, kw_only=True)
class ChannelComparison:
    """One channel against the model.

    Attributes
    ----------
    rms : float
        Root mean square of measured minus modelled [V or A].
    largest_difference, largest_difference_at : float
        The one of largest magnitude, with its sign [V or A], and when, in the capture's time [s].
    peak_measured, peak_modelled : float
        Largest values within the capture [V or A].
    measured, modelled : CurveFigures
        All figures of both curves, in the capture's time.
    residual : (n,) array
        Measured minus modelled at each sample [V or A].
    """

    rms: float
    largest_difference: float
    largest_difference_at: float
    peak_measured: float
    peak_modelled: float
    measured: CurveFigures
    modelled: CurveFigures
    residual: FloatArray


@dataclass(frozen=True)
class Comparison:
    """A capture laid over the model.

    Attributes
    ----------
    shift : float
        Time added to the capture's time [s].
    channels : dict of str to ChannelComparison
        By the model's name for the quantity.
    gaps : int
        Samples that are missing [1].
    alignment : Alignment or None
        How sure the shift is; None where it was given.
    """

    shift: float
    channels: dict[str, ChannelComparison]
    gaps: int
    alignment: Alignment | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return everything but the residuals, ready for JSON."""
        channels = {}
        for name, channel in self.channels.items():
            flat = asdict(channel)
            del flat["residual"]
            channels[name] = flat
        lined = self.alignment
        sure = None if lined is None else {"error": lined.error, "doubts": list(lined.doubts)}
        return {"shift": self.shift, "lining_up": sure, "gaps": self.gaps, "channels": channels}


def compare(measured: Measured, start: Startup, shift: float | None = None) -> Comparison:
    """Return how far the capture is from the model.

    Parameters
    ----------
    measured : Measured
        The capture.
    start : Startup
        The model's run.
    shift : float or None
        Time to add to the capture's time [s]; None to line it up.
    """
    alignment = None
    if shift is None:
        alignment = line_up(measured, start)
        shift = alignment.shift
    modelled = start.at(measured.time + shift)
    channels = {
        name: _one(measured.time, values, modelled[name], curve_named(name).is_current)
        for name, values in measured.curves.items()
    }
    return Comparison(shift, channels, measured.gaps, alignment)


def _one(time: FloatArray, measured: FloatArray, modelled: FloatArray, current: bool) -> ChannelComparison:
    residual = measured - modelled
    good = np.isfinite(residual)
    worst = int(np.nanargmax(np.abs(residual)))
    ours = curve_figures(time, measured, current=current)
    theirs = curve_figures(time, np.where(good, modelled, np.nan), current=current)
    # Of the model over the same stretch: its own longest level may be another part of the start.
    stretch = on_plateau(time[good], measured[good])
    theirs = replace(theirs, plateau=float(np.median(modelled[good][stretch])))
    return ChannelComparison(
        rms=float(np.sqrt(np.mean(residual[good] ** 2))),
        largest_difference=float(residual[worst]),
        largest_difference_at=float(time[worst]),
        peak_measured=ours.peak,
        peak_modelled=theirs.peak,
        measured=ours,
        modelled=theirs,
        residual=residual,
    )
