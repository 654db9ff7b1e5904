"""From a capture to measured curves that the model can be laid over.

``Measured``   curves by the model's name for them, over a common time, with their noise
``measure``    pick channels, apply factors, leave out gaps
``bins``       averages over equal stretches of time, which keep the misfit smooth
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import TraceError
from inrushlib.trace.record import Trace

FloatArray = NDArray[np.float64]
_FIXED = (
    "adapter_voltage",
    "lead_current",
    "bus_voltage",
    "bus_bulk_voltage",
    "gate_voltage",
    "panel_voltage",
    "panel_bulk_voltage",
    "reservoir_voltage",
    "rail_voltage",
)


def quantities_of(build: Build) -> tuple[str, ...]:
    """Return the names of the model's curves that a channel can be laid over."""
    return (*_FIXED, *(f"section_{k}_voltage" for k in range(build.wiring.sections)))


@dataclass(frozen=True)
class Measured:
    """Measured curves over one time.

    Attributes
    ----------
    time : (n,) array
        Of the capture [s], rising.
    curves : dict of str to (n,) array
        By the model's name for them, SI; NaN in gaps.
    noise : dict of str to float
        Standard deviation of a sample, from second differences and the smallest step of the converter [V or A].
    gaps : int
        Samples that are missing, over all curves.
    name, checksum : str
        Of the capture.
    """

    time: FloatArray
    curves: dict[str, FloatArray]
    noise: dict[str, float]
    gaps: int
    name: str = ""
    checksum: str = ""


def measure(
    trace: Trace, channels: Mapping[str, str], build: Build, scales: Mapping[str, float] | None = None
) -> Measured:
    """Return the chosen channels as measured curves.

    Parameters
    ----------
    trace : Trace
        The capture.
    channels : mapping of str to str
        Channel name to the model's name for its quantity, such as ``{"CH1": "bus_voltage"}``.
    build : Build
        Says which quantities there are.
    scales : mapping of str to float or None
        Factor of a channel, probe and shunt included; 1 where not given.

    Raises
    ------
    TraceError
        Where a channel or a quantity is not there, a factor is not a number, or too little was measured.
    """
    scales = dict(scales or {})
    known = quantities_of(build)
    problems = [
        f"channel {name}: not in the capture; it has {', '.join(trace.channels)}"
        for name in (*channels, *scales)
        if name not in trace.channels
    ]
    problems += [
        f"channel {name}: {quantity} is no quantity of the model; accepted: {', '.join(known)}"
        for name, quantity in channels.items()
        if quantity not in known
    ]
    problems += [
        f"scale of {name}: {factor}; accepted: a number other than zero"
        for name, factor in scales.items()
        if not np.isfinite(factor) or factor == 0
    ]
    if len(set(channels.values())) < len(channels):
        problems.append("two channels are given the same quantity; accepted: one channel a quantity")
    if not channels:
        problems.append(f"no channel is named; the capture has {', '.join(trace.channels)}")
    if problems:
        raise TraceError(problems, trace.name)
    curves = {q: trace.channels[name].values * scales.get(name, 1.0) for name, q in channels.items()}
    for quantity, values in curves.items():
        if np.isfinite(values).sum() < 8:
            raise TraceError(f"{quantity}: fewer than 8 samples that are not gaps", trace.name)
    gaps = sum(int(np.isnan(values).sum()) for values in curves.values())
    noise = {q: sample_noise(values) for q, values in curves.items()}
    return Measured(trace.time, curves, noise, gaps, trace.name, trace.checksum)


def sample_noise(values: FloatArray) -> float:
    """Return the standard deviation of one sample: robust scatter of second differences, and the converter's step.

    A step of size q alone scatters by q / sqrt(12).

    Examples
    --------
    >>> noise = np.random.default_rng(1).normal(0.0, 0.02, 20000)
    >>> round(sample_noise(np.linspace(0, 5, 20000) + noise), 3)
    0.02
    """
    finite = values[np.isfinite(values)]
    second = np.diff(finite, 2)
    scatter = float(np.median(np.abs(second)) / 0.6745 / np.sqrt(6.0)) if len(second) else 0.0
    steps = np.diff(np.unique(finite))
    smallest = float(steps.min()) / np.sqrt(12.0) if len(steps) else 0.0
    extent = float(np.ptp(finite)) if len(finite) else 0.0
    return max(scatter, smallest, 1e-6 * extent, 1e-9)


@dataclass(frozen=True)
class Bins:
    """Averages of measured curves over equal stretches.

    Attributes
    ----------
    edges : (k + 1,) array
        Of the stretches [s].
    means : dict of str to (k,) array
        Average of the samples in each stretch, NaN where there is none.
    counts : dict of str to (k,) array
        Samples in each.
    """

    edges: FloatArray
    means: dict[str, FloatArray]
    counts: dict[str, FloatArray]


def bins(measured: Measured, most: int = 2000) -> Bins:
    """Return averages over at most ``most`` equal stretches of the capture."""
    count = int(min(most, max(8, len(measured.time) // 2)))
    start, end = float(measured.time[0]), float(measured.time[-1])
    edges = np.linspace(start, end, count + 1)
    row = np.clip(((measured.time - start) / (end - start) * count).astype(int), 0, count - 1)
    means, counts = {}, {}
    for quantity, values in measured.curves.items():
        good = np.isfinite(values)
        number = np.bincount(row[good], minlength=count).astype(float)
        total = np.bincount(row[good], weights=values[good], minlength=count)
        with np.errstate(invalid="ignore", divide="ignore"):
            means[quantity] = total / number
        counts[quantity] = number
    return Bins(edges, means, counts)
