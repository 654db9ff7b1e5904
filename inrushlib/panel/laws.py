"""The laws of the steady panel, on arrays, each with its slope for Newton's method.

``pixel_current``
    what a pixel takes from the rail at a voltage and a colour
``channel_currents``, ``channel_shares``
    its three colours one by one
``adapter_current``
    what the adapter's regulator gives at an output voltage
``switch_current``
    what a high-side P-channel switch lets through
``soft``, ``least``, ``rise``
    the smooth maximum, minimum and step that they are made of
"""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

CHANNEL_WIDTH = 60e-3
"""Width of a channel's turn-on [V]."""
KNEE_SHARE = 0.03
"""Width of the knee to constant current, as a share of it [1]."""
WAKE_WIDTH = 80e-3
"""Width of the chip's waking [V]."""
LIMIT_SHARE = 0.01
"""Width of an adapter's knee into its limit, as a share of it [1]."""
CORNER = 10e-3
"""Widest bend of an adapter's lower corner [A]: a wider one lifts its output when little is drawn."""
PHI = 40e-3
"""Sub-threshold width of the switch [V]."""
BLOCK = 4000
"""Pixels worked on at a time: small temporaries are reused, which is two to three times faster."""
BODY_DROP, BODY_WIDTH, BODY_RESISTANCE = 0.7, 30e-3, 50e-3
"""Body diode: drop [V], width [V], resistance [ohm] (typical, from memory)."""


class PixelPart(Protocol):
    """What the laws ask of a pixel."""

    @property
    def quiescent_current(self) -> float:
        """Of the chip alone [A]."""

    @property
    def channel_current(self) -> float:
        """Of each fully lit channel [A]."""

    @property
    def forward_voltages(self) -> Any:
        """Of red, green, blue [V]."""

    @property
    def channel_resistance(self) -> float:
        """How gradually a channel fades [ohm]."""

    @property
    def wake_voltage(self) -> float:
        """At which the chip wakes [V]."""


def soft(x: FloatArray, width: float) -> tuple[FloatArray, FloatArray]:
    """Smooth maximum of x and 0, and its slope.

    ``w * ln(1 + exp(x / w))``, slope ``1 / (1 + exp(-x / w))``.

    Parameters
    ----------
    x : array
        Any [any unit].
    width : float
        Width of the bend [unit of x], above 0.

    Returns
    -------
    tuple of array
        Value [unit of x] and slope [1].

    Notes
    -----
    Written with exp(-|x| / w), which cannot overflow.

    Examples
    --------
    >>> value, slope = soft(np.array([0.0, 50.0]), 1.0)
    >>> value.round(3).tolist(), slope.tolist()
    ([0.693, 50.0], [0.5, 1.0])
    """
    z = x / width
    tail = np.exp(-np.abs(z))
    bend = 1.0 / (1.0 + tail)
    # log of the bend instead of log1p: absolute accuracy is all a sum of currents needs, and it is faster.
    return width * (np.maximum(z, 0.0) - np.log(bend)), np.where(z > 0.0, bend, 1.0 - bend)


def least(a: FloatArray, b: Any, width: float) -> tuple[FloatArray, FloatArray]:
    """Smooth minimum of a and b, and its slope to a (that to b is one minus it).

    ``a - soft(a - b, w)``.

    Parameters
    ----------
    a : array
        Any [any unit].
    b : array or float
        Any [unit of a].
    width : float
        Width of the bend [unit of a], above 0.

    Returns
    -------
    tuple of array
        Value [unit of a] and slope to a [1].

    Examples
    --------
    >>> value, slope = least(np.array([1.0, 9.0]), 5.0, 0.1)
    >>> value.round(6).tolist(), slope.round(6).tolist()
    ([1.0, 5.0], [1.0, 0.0])
    """
    excess, weight = soft(a - b, width)
    return a - excess, 1.0 - weight


def rise(x: FloatArray, width: float) -> tuple[FloatArray, FloatArray]:
    """Smooth step from 0 to 1, and its slope.

    ``1 / (1 + exp(-x / w))``.

    Parameters
    ----------
    x : array
        Any [any unit].
    width : float
        Width of the step [unit of x], above 0.

    Returns
    -------
    tuple of array
        Value [1] and slope [1 / unit of x].

    Examples
    --------
    >>> [float(part[0]) for part in rise(np.array([0.0]), 0.5)]
    [0.5, 0.5]
    """
    z = x / width
    tail = np.exp(-np.abs(z))
    high = 1.0 / (1.0 + tail)
    value = np.where(z > 0.0, high, tail * high)
    return value, tail * high * high / width


def channel_currents(
    voltage: FloatArray, pixel: PixelPart, channels: Any = slice(None)
) -> tuple[FloatArray, FloatArray]:
    """Current of each fully lit colour channel at a supply voltage, and its slope.

    ``u = soft(v - forward_voltage, 60 mV) / channel_resistance``;
    ``i = least(u, channel_current, 0.03 * channel_current)``.

    Parameters
    ----------
    voltage : array
        Supply of each pixel [V], N of them.
    pixel : PixelPart
        The part [SI].
    channels : index
        Which of red, green, blue [1].

    Returns
    -------
    tuple of array
        Current [A] and slope [S], a row per channel.

    Notes
    -----
    Before the chip's waking: see :func:`channel_shares`.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> part = SimpleNamespace(channel_current=12e-3, forward_voltages=(1.9, 2.75, 2.85),
    ...     channel_resistance=80.0)
    >>> (channel_currents(np.array([5.0, 2.85]), part)[0] * 1e3).round(2).tolist()
    [[12.0, 11.68], [12.0, 1.38], [12.0, 0.52]]
    """
    forward = np.asarray(pixel.forward_voltages, dtype=float)[channels]
    over, slope = soft(voltage - forward[:, None], CHANNEL_WIDTH)
    current, weight = least(over / pixel.channel_resistance, pixel.channel_current, KNEE_SHARE * pixel.channel_current)
    return current, weight * slope / pixel.channel_resistance


def channel_shares(voltage: FloatArray, pixel: PixelPart) -> FloatArray:
    """Current of each channel while lit, as a share of its full current, whatever the duty.

    ``rise(v - wake_voltage, 80 mV) * i_c / channel_current``.

    Parameters
    ----------
    voltage : array
        Supply of each pixel [V], N of them.
    pixel : PixelPart
        The part [SI].

    Returns
    -------
    array
        Shares [1], N rows of red, green, blue.

    Notes
    -----
    Light follows current closely, so a share is also the relative light of the channel (common practice).

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> part = SimpleNamespace(channel_current=12e-3, forward_voltages=(1.9, 2.75, 2.85),
    ...     channel_resistance=80.0, wake_voltage=2.0)
    >>> channel_shares(np.array([5.0, 2.85]), part).round(3).tolist()
    [[1.0, 1.0, 1.0], [0.974, 0.115, 0.043]]
    """
    current, _ = channel_currents(voltage, pixel)
    awake, _ = rise(voltage - pixel.wake_voltage, WAKE_WIDTH)
    return np.ascontiguousarray((awake * current / pixel.channel_current).T)


def pixel_current(voltage: FloatArray, duty: FloatArray, pixel: PixelPart) -> tuple[FloatArray, FloatArray]:
    """Supply current of each pixel, and its slope.

    ``rise(v - wake_voltage, 80 mV) * (quiescent_current + sum of duty_c * i_c)``.

    Parameters
    ----------
    voltage : array
        Supply of each pixel [V], N of them.
    duty : array
        Duty of red, green, blue [1], 0 to 1: shape (3, 1) for one colour or (3, N).
    pixel : PixelPart
        The part [SI].

    Returns
    -------
    tuple of array
        Current [A] and slope [S] of each pixel.

    Notes
    -----
    Never negative, and fades with the voltage: a constant-current pixel would not.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> part = SimpleNamespace(quiescent_current=0.6e-3, channel_current=12e-3, channel_resistance=80.0,
    ...     forward_voltages=(1.9, 2.75, 2.85), wake_voltage=2.0)
    >>> current, _ = pixel_current(np.array([5.0, 0.0]), np.ones((3, 1)), part)
    >>> (current * 1e3).round(3).tolist()
    [36.6, 0.0]
    """
    lit = duty.any(axis=1)
    lit_duty = duty[lit]
    total, total_slope = np.empty_like(voltage), np.empty_like(voltage)
    for first in range(0, len(voltage), BLOCK):
        block = slice(first, first + BLOCK)
        duties = lit_duty if lit_duty.shape[1] == 1 else lit_duty[:, block]
        current, slope = channel_currents(voltage[block], pixel, lit)
        awake, waking = rise(voltage[block] - pixel.wake_voltage, WAKE_WIDTH)
        drawn = pixel.quiescent_current + (duties * current).sum(axis=0)
        total[block] = awake * drawn
        total_slope[block] = waking * drawn + awake * (duties * slope).sum(axis=0)
    return total, total_slope


def adapter_current(
    voltage: Any, reference: float, resistance: float, limit: float, limit_slope: float, knee: float
) -> tuple[Any, Any]:
    """Current of the adapter's regulator at its output voltage, and its slope.

    ``soft(least((v_ref - v) / R, limit, w), w0)``, w the knee and w0 the smaller of it and 10 mA.

    Parameters
    ----------
    voltage : float
        Output voltage [V].
    reference : float
        Regulated voltage [V].
    resistance : float
        Load regulation slope [ohm], above 0.
    limit : float
        Current limit at this voltage [A].
    limit_slope : float
        How the limit changes with the voltage [S]; 0 unless it folds back.
    knee : float
        Width of the bend into the limit [A], 1 % of the limit current.

    Returns
    -------
    tuple of float
        Current [A] and slope [S].

    Notes
    -----
    Never backwards: an adapter does not sink current.

    Examples
    --------
    >>> round(float(adapter_current(4.0, 5.1, 0.03, 4.8, 0.0, 0.048)[0]), 3)
    4.8
    """
    regulated = (reference - voltage) / resistance
    lower, weight = least(regulated, limit, knee)
    current, bend = soft(lower, min(knee, CORNER))
    return current, bend * (-weight / resistance + (1.0 - weight) * limit_slope)


def switch_current(
    source: Any, drain: Any, gate: Any, threshold: float, beta: float
) -> tuple[tuple[Any, Any], tuple[Any, Any, Any]]:
    """Channel and body current of a high-side P-channel switch, and the slopes of their sum.

    ``i_ch = beta / 2 * (soft(v_s - v_g - V_t, 2 phi)**2 - soft(v_d - v_g - V_t, 2 phi)**2)``, phi = 40 mV;
    ``i_body = soft(v_d - v_s - 0.7 V, 30 mV) / 50 mohm``; through it flows ``i_ch - i_body``.

    Parameters
    ----------
    source : float
        Source voltage, the bus [V].
    drain : float
        Drain voltage, the panel's root [V].
    gate : float
        Gate voltage to ground [V].
    threshold : float
        Threshold [V], magnitude.
    beta : float
        ``1 / (on_resistance * (on_resistance_drive - threshold))`` [A/V2], above 0.

    Returns
    -------
    tuple
        (channel current [A], body current [A]) and the slopes of their difference to source, drain and
        gate [S].

    Notes
    -----
    Charge-sheet interpolation with a slope factor of one (Enz, Krummenacher and Vittoz, 1995, from memory).

    Examples
    --------
    >>> (channel, body), _ = switch_current(5.0, 4.9, 0.0, 0.9, 6.94)
    >>> round(float(channel), 3), round(float(body), 9)
    (2.811, 0.0)
    """
    forward, d_forward = soft(source - gate - threshold, 2.0 * PHI)
    reverse, d_reverse = soft(drain - gate - threshold, 2.0 * PHI)
    channel = beta / 2.0 * (forward**2 - reverse**2)
    over, d_over = soft(drain - source - BODY_DROP, BODY_WIDTH)
    body, d_body = over / BODY_RESISTANCE, d_over / BODY_RESISTANCE
    to_source = beta * forward * d_forward
    to_drain = -beta * reverse * d_reverse
    return (channel, body), (to_source + d_body, to_drain - d_body, -(to_source + to_drain))
