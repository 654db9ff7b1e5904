"""Making a raw capture fit for comparison: factors, polarity, offset, skew, pairs.

Every function takes a ``Trace`` and returns a new one; the samples of the old one stay as they are.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from inrushlib.errors import TraceError
from inrushlib.trace.read.record import Channel, Trace

#: Fewer samples than this before the event say little about the offset.
FEWEST_FOR_OFFSET = 8


def with_factor(trace: Trace, name: str, factor: float, unit: str | None = None) -> Trace:
    """Multiply a channel by the factor of its probe or clamp.

    ``value = sample * factor``, by definition. A probe set to 10:1 on a channel set to 1:1 takes 10; a clamp of
    100 mV/A takes 10 and the unit A.

    Parameters
    ----------
    trace : Trace
        The capture.
    name : str
        The channel.
    factor : float
        Factor [1], or [A/V] for a clamp; finite, not 0. A negative one turns the polarity too.
    unit : str or None
        Unit of the result; that of the channel when None.

    Returns
    -------
    Trace
        The capture with this channel scaled.

    Raises
    ------
    TraceError
        Where there is no such channel, or the factor is not a number other than 0.

    Examples
    --------
    >>> trace = Trace(time=np.array([0.0, 1.0]), channels={"ch1": Channel(np.array([0.1, 0.2]), "V")})
    >>> with_factor(trace, "ch1", 10.0, "A").channels["ch1"].values
    array([1., 2.])
    """
    if not math.isfinite(factor) or factor == 0.0:
        raise TraceError(f"factor of {name} is {factor:g}; a finite number other than 0 is accepted")
    channel = _channel(trace, name)
    return _with(trace, name, replace(channel, values=channel.values * factor, unit=unit or channel.unit))


def through_shunt(trace: Trace, name: str, resistance: float, gain: float = 1.0) -> Trace:
    """Turn the voltage across a shunt into the current through it.

    ``i = v / (R * gain)``, Ohm's law and the gain by definition; the shunt's inductance is left out.

    Parameters
    ----------
    trace : Trace
        The capture.
    name : str
        The channel, in volts.
    resistance : float
        Resistance of the shunt [ohm], > 0.
    gain : float
        Gain of an amplifier between shunt and scope [1], not 0.

    Returns
    -------
    Trace
        The capture with this channel in amperes.

    Raises
    ------
    TraceError
        Where there is no such channel, it is in amperes already, or shunt or gain is no number that can be.

    Examples
    --------
    >>> trace = Trace(time=np.array([0.0, 1.0]), channels={"shunt": Channel(np.array([0.01, 0.05]), "V")})
    >>> through_shunt(trace, "shunt", 0.01).channels["shunt"].values
    array([1., 5.])
    """
    if not (math.isfinite(resistance) and resistance > 0.0):
        raise TraceError(f"shunt of {name} is {resistance:g} ohm; a resistance above 0 is accepted")
    if not math.isfinite(gain) or gain == 0.0:
        raise TraceError(f"gain of {name} is {gain:g}; a finite number other than 0 is accepted")
    channel = _channel(trace, name)
    if channel.unit == "A":
        raise TraceError(f"{name} is in amperes already; a shunt is for a channel in volts")
    return _with(trace, name, replace(channel, values=channel.values / (resistance * gain), unit="A"))


def turned(trace: Trace, name: str) -> Trace:
    """Turn the polarity of a channel, for a probe or a clamp the wrong way round.

    Parameters
    ----------
    trace : Trace
        The capture.
    name : str
        The channel.

    Returns
    -------
    Trace
        The capture with this channel negated.

    Examples
    --------
    >>> trace = Trace(time=np.array([0.0, 1.0]), channels={"lead": Channel(np.array([-1.0, -2.0]), "A")})
    >>> turned(trace, "lead").channels["lead"].values
    array([1., 2.])
    """
    return with_factor(trace, name, -1.0)


def offset_before(trace: Trace, name: str, event: float) -> tuple[float, float]:
    """Offset and noise of a channel from its samples before an event.

    The offset is the median, the noise 1.4826 times the median distance from it, which is the standard
    deviation of Gaussian noise; neither follows a stray spike.

    Parameters
    ----------
    trace : Trace
        The capture.
    name : str
        The channel.
    event : float
        Time at which something begins to happen [s].

    Returns
    -------
    tuple of float and float
        Offset and standard deviation of the noise [V or A].

    Raises
    ------
    TraceError
        Where there is no such channel, or there are too few samples before the event.

    References
    ----------
    .. [1] Rousseeuw and Croux, Alternatives to the Median Absolute Deviation, JASA 88 (1993), for 1.4826.

    Examples
    --------
    >>> trace = Trace(time=np.arange(10.0), channels={"lead": Channel(np.array([0.2] * 8 + [3.0, 4.0]), "A")})
    >>> offset_before(trace, "lead", 7.5)
    (0.2, 0.0)
    """
    values = _channel(trace, name).values[: int(np.searchsorted(trace.time, event))]
    values = values[~np.isnan(values)]
    if values.size < FEWEST_FOR_OFFSET:
        raise TraceError(
            f"{name} has {values.size} samples before {event:g} s; {FEWEST_FOR_OFFSET} are needed for its offset"
        )
    offset = float(np.median(values))
    return offset, 1.4826 * float(np.median(np.abs(values - offset)))


def without_offset(trace: Trace, name: str, event: float, resting: float = 0.0) -> Trace:
    """Shift a channel so that it rests where it should before an event.

    Parameters
    ----------
    trace : Trace
        The capture.
    name : str
        The channel.
    event : float
        Time at which something begins to happen [s].
    resting : float
        True value before the event [V or A]; 0 for a current before the plug is in.

    Returns
    -------
    Trace
        The capture with this channel shifted.

    Examples
    --------
    >>> trace = Trace(time=np.arange(10.0), channels={"lead": Channel(np.array([0.5] * 8 + [3.0, 4.0]), "A")})
    >>> without_offset(trace, "lead", 7.5).channels["lead"].values[-2:]
    array([2.5, 3.5])
    """
    offset, _ = offset_before(trace, name, event)
    channel = _channel(trace, name)
    return _with(trace, name, replace(channel, values=channel.values - offset + resting))


def without_skew(trace: Trace, name: str, delay: float) -> Trace:
    """Take back the delay of a channel against the others, such as that of a clamp's amplifier.

    ``value(t) = sample(t + delay)``, by definition, straight between samples. Where a neighbour is a gap, and at
    the end that the shift uncovers, there is a gap.

    Parameters
    ----------
    trace : Trace
        The capture.
    name : str
        The channel.
    delay : float
        How much later than the others this channel shows the same instant [s].

    Returns
    -------
    Trace
        The capture with this channel shifted in time.

    Raises
    ------
    TraceError
        Where there is no such channel, the delay is no number, or rows come in pairs.

    Examples
    --------
    >>> trace = Trace(time=np.arange(4.0), channels={"lead": Channel(np.array([0.0, 0.0, 2.0, 4.0]), "A")})
    >>> without_skew(trace, "lead", 0.5).channels["lead"].values
    array([ 0.,  1.,  3., nan])
    """
    if not math.isfinite(delay):
        raise TraceError(f"delay of {name} is {delay:g} s; a finite number is accepted")
    if trace.paired:
        raise TraceError(f"{name} has two samples at each time; take middle_of_pairs first")
    channel = _channel(trace, name)
    values = np.interp(trace.time + delay, trace.time, channel.values, left=np.nan, right=np.nan)
    gaps = int(np.count_nonzero(np.isnan(values)))
    return _with(trace, name, replace(channel, values=values, gaps=gaps))


def middle_of_pairs(trace: Trace) -> Trace:
    """One row for each pair of a peak-detect capture, half way between its lowest and highest value.

    Parameters
    ----------
    trace : Trace
        The capture; one without pairs comes back as it is.

    Returns
    -------
    Trace
        The capture with half the rows.

    Examples
    --------
    >>> pairs = Trace(time=np.array([0.0, 0.0]), channels={"bus": Channel(np.array([4.0, 5.0]), "V")}, paired=True)
    >>> middle_of_pairs(pairs).channels["bus"].values
    array([4.5])
    """
    if not trace.paired:
        return trace
    channels = {}
    for name, channel in trace.channels.items():
        values = 0.5 * (channel.values[0::2] + channel.values[1::2])
        channels[name] = replace(channel, values=values, gaps=int(np.count_nonzero(np.isnan(values))))
    return replace(trace, time=trace.time[0::2], channels=channels, paired=False)


def _channel(trace: Trace, name: str) -> Channel:
    if name not in trace.channels:
        raise TraceError(f"there is no channel {name!r}; the capture has {', '.join(trace.channels)}", trace.name)
    return trace.channels[name]


def _with(trace: Trace, name: str, channel: Channel) -> Trace:
    return replace(trace, channels={**trace.channels, name: channel})
