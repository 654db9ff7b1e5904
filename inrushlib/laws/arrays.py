"""The pixel's law for a whole panel at once: array forms of :mod:`inrushlib.laws.pixel` and of what it is made of.

``pixel_current``
    what each pixel takes from the rail at a voltage and a colour
``channel_currents``, ``channel_shares``
    its three colours one by one
``soft``, ``least``, ``rise``
    the smooth maximum, minimum and step on arrays

Held to the forms for single numbers by ``tests/laws/test_forms.py``. The steady panel has one adapter, one
switch and one controller, and takes their laws as they are.
"""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from inrushlib.laws.constants import CHANNEL_SHARE, CHANNEL_WIDTH, WAKE_WIDTH

FloatArray = NDArray[np.float64]

BLOCK = 4000
"""Pixels worked on at a time: small temporaries are reused, which is two to three times faster."""


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
    current, weight = least(
        over / pixel.channel_resistance, pixel.channel_current, CHANNEL_SHARE * pixel.channel_current
    )
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
