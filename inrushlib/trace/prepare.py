"""From a capture to measured curves that the model can be laid over.

``Measured``   curves by the model's name for them, over a common time, with their noise
``measure``    pick channels, apply factors, leave out gaps
``channel_named``
               the channel that a caller means
``sample_noise``, ``converter_step``
               standard deviation of one sample; distance of two levels
"""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.errors import TraceError
from inrushlib.startup import curve_named, curves_of
from inrushlib.trace.read.record import Trace
from inrushlib.trace.read.settings import Advice, CaptureRefused, Setting, Way, Wording, either, wording

FloatArray = NDArray[np.float64]
WITHOUT_EDGES = 0.9
# Of a Gaussian cut off at the quantile that leaves 0.9 of it, z = 1.645: 1 - 2 z phi(z) / 0.9.
VARIANCE_LEFT = 0.6231
LARGEST = 1e6  # [V or A] that a sample may be: far beyond any display, and its square still a number
LONGER = 3.0  # times the run, from which a capture's times without a unit are no seconds
BEYOND = {"V": 20.0, "A": 50.0}  # times the adapter's voltage or rated current, from which samples are no V or A
OTHER_UNIT = {"V": "A", "A": "V"}  # that a channel may be in only with a factor that says so
CHANNEL = Way("--channel NAME=QUANTITY", "the choice beside its name")


@dataclass(frozen=True)
class Measured:
    """Measured curves over one time.

    Attributes
    ----------
    time : (n,) array
        Of the capture [s], rising.
    curves : dict of str to (n,) array
        By the model's name for them [V or A]; NaN in gaps.
    noise : dict of str to float
        Standard deviation of a sample, from second differences and the smallest step of the converter [V or A].
    gaps : int
        Samples that are missing, over all curves [1].
    name, checksum : str
        Of the capture.
    """

    time: FloatArray
    curves: dict[str, FloatArray]
    noise: dict[str, float]
    gaps: int
    name: str = ""
    checksum: str = ""


def channel_named(trace: Trace, text: str) -> str:
    """Return the channel that is meant: by its name, by its header cell, or by either in any case if only one fits.

    A text that fits none, or several, comes back as it is.

    Parameters
    ----------
    trace : Trace
        The capture.
    text : str
        Such as ``"CH1"``, ``"ch1"`` or ``"CH1 (V)"``.
    """
    text = text.strip()
    if text in trace.channels:
        return text
    for fold in (str, str.casefold):
        for told in ({name: name for name in trace.channels}, {name: c.label for name, c in trace.channels.items()}):
            fitting = [name for name, label in told.items() if label and fold(label.strip()) == fold(text)]
            if len(fitting) == 1:
                return fitting[0]
    return text


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
        Factor of a channel, probe and shunt included [1, or A/V of a shunt]; 1 where not given.

    Raises
    ------
    TraceError
        Where a channel or a quantity is not there, a factor is not a number, a sample is too large for one, or too
        little was measured.
    CaptureRefused
        Where the file gives no unit and what was taken for it cannot be, against the run's length and the adapter.
    """
    scales = dict(scales or {})
    known = {curve.name: curve for curve in curves_of(build)}
    problems = [
        wording(f"channel {name}: not in the capture; it has {', '.join(trace.channels)}")
        for name in (*channels, *scales)
        if name not in trace.channels
    ]
    problems += [
        wording(f"channel {name}: {quantity} is no quantity of the model; accepted: {', '.join(known)}")
        for name, quantity in channels.items()
        if quantity not in known
    ]
    problems += [
        wording(f"scale of {name}: {factor}; accepted: a number other than zero")
        for name, factor in scales.items()
        if not np.isfinite(factor) or factor == 0
    ]
    problems += [
        wording(
            f"channel {name}: in {trace.channels[name].unit}, but {quantity} is in {known[quantity].unit}; "
            f"accepted: that unit, or a factor for {name} that leads to it: ", _factor(name),
        )
        for name, quantity in channels.items()
        if name in trace.channels
        and quantity in known
        and name not in scales
        and trace.channels[name].unit == OTHER_UNIT[known[quantity].unit]
    ]  # fmt: skip
    if len(set(channels.values())) < len(channels):
        problems.append(wording("two channels are given the same quantity; accepted: one channel a quantity"))
    if not channels:
        said = f"no channel is named; the capture has {', '.join(trace.channels)}; say what one shows with "
        problems.append(wording(said, CHANNEL))
    if len(trace.time) < 8 or not trace.time[-1] > trace.time[0]:
        said = f"{len(trace.time)} samples that span no time; accepted: 8 or more samples at rising times"
        problems.append(wording(said))
    if problems:
        raise CaptureRefused(problems, trace.name)
    if doubts := _doubtful_units(trace, channels, build, scales):
        raise CaptureRefused(doubts, trace.name)
    with np.errstate(over="ignore"):
        curves = {q: trace.channels[name].values * scales.get(name, 1.0) for name, q in channels.items()}
    _check_samples(trace, channels, curves)
    gaps = sum(int(np.isnan(values).sum()) for values in curves.values())
    noise = {q: sample_noise(values) for q, values in curves.items()}
    return Measured(trace.time, curves, noise, gaps, trace.name, trace.checksum)


def _doubtful_units(
    trace: Trace, channels: Mapping[str, str], build: Build, scales: Mapping[str, float]
) -> list[Wording]:
    """Units that the file does not give and that cannot be what was taken, a question each."""
    doubts = []
    span, duration = float(trace.time[-1] - trace.time[0]), build.run.duration
    if trace.time_assumed and span > LONGER * duration:
        said = f"the time has no unit: in seconds the capture lasts {span:.4g} s, the build's run {duration:.4g} s; "
        ways = [Advice(Setting.TIME_UNIT, unit) for unit in ("ms", "us", "s")]
        doubts.append(wording(said, "choose ", *either(ways)))
    for name, quantity in channels.items():
        channel, curve = trace.channels[name], curve_named(quantity)
        supplied = build.adapter.rated_current if curve.is_current else build.adapter.rated_voltage
        largest = float(np.nanmax(np.abs(channel.values), initial=0.0))
        if not channel.unit_assumed or name in scales or largest <= BEYOND[curve.unit] * supplied:
            continue
        reached = f"in {curve.unit} it reaches {largest:.4g}, the adapter gives {supplied:.4g}"
        said = f"channel {name} has no unit: {reached}; "
        ways = [Advice(Setting.UNITS, unit, name) for unit in (f"m{curve.unit}", curve.unit)]
        doubts.append(wording(said, "choose ", *either(ways)))
    return doubts


def _factor(name: str) -> Way:
    """How a channel's factor is told."""
    return Way(f"--scale {shlex.quote(f'{name}=FACTOR')}", f'"factor of {name}"')


def _check_samples(trace: Trace, channels: Mapping[str, str], curves: Mapping[str, FloatArray]) -> None:
    """Raise where a curve has too few samples, or one too large to be squared."""
    for name, quantity in channels.items():
        values = curves[quantity]
        if np.count_nonzero(~np.isnan(values)) < 8:
            raise TraceError(f"{quantity}: fewer than 8 samples that are not gaps", trace.name)
        largest = float(np.nanmax(np.abs(values)))
        if largest > LARGEST:
            seen = f"{largest:.3g} {curve_named(quantity).unit}"
            said = f"channel {name}: {seen} with its factor; accepted: up to {LARGEST:g}; change it with "
            raise CaptureRefused([wording(said, _factor(name))], trace.name)


def sample_noise(values: FloatArray) -> float:
    """Return the standard deviation of one sample: scatter of second differences, and of the converter's step.

    The tenth of largest second differences is left to edges; of Gaussian noise what remains has 0.623 of the
    variance. A converter's step of size q alone scatters by q / sqrt(12).

    Parameters
    ----------
    values : array
        Samples [V or A], evenly spaced; NaN in gaps.

    Examples
    --------
    >>> noise = np.random.default_rng(1).normal(0.0, 0.02, 20000)
    >>> round(sample_noise(np.linspace(0, 5, 20000) + noise), 3)
    0.02
    """
    finite = values[np.isfinite(values)]
    second = np.sort(np.abs(np.diff(finite, 2)))
    second = second[: max(1, int(WITHOUT_EDGES * len(second)))]
    scatter = float(np.sqrt(np.mean(second**2) / VARIANCE_LEFT / 6.0)) if len(second) else 0.0
    smallest = converter_step(finite) / np.sqrt(12.0)
    extent = float(np.ptp(finite)) if len(finite) else 0.0
    return float(max(scatter, smallest, 1e-6 * extent, 1e-9))


def converter_step(values: FloatArray) -> float:
    """Return the step of the converter that samples came through [V or A]: the smallest distance of two levels.

    Levels that text rounded lie apart by a little more or less, so the mean of distances near the smallest
    is taken. Samples of a fine converter give a step far below their noise.

    Parameters
    ----------
    values : array
        Samples [V or A]; NaN in gaps.

    Examples
    --------
    >>> round(converter_step(np.array([0.0313, 0.0625, 0.0938, 0.125, 5.0, 0.0625])), 5)
    0.03123
    """
    apart = np.diff(np.unique(values[np.isfinite(values)]))
    if not len(apart):
        return 0.0
    smallest = float(apart.min())
    return float(round(np.mean(apart[apart < 1.5 * smallest]), 12))
