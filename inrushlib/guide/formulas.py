"""From readings on the bench to values of a build: plain functions, no more than Ohm's and Kirchhoff's laws.

``channel_current``, ``quiescent_current``, ``channel_slope``
    of a pixel
``output_slope``, ``open_voltage``
    of the adapter
``dropout``
    of the controller's regulator
``drop_resistance``
    of a wire
"""

from __future__ import annotations


def quiescent_current(dark: float, pixels: int) -> float:
    """Current of one dark pixel [A]: ``I_dark / n``.

    Parameters
    ----------
    dark : float
        What all pixels draw, all dark [A].
    pixels : int
        How many there are [1].

    Examples
    --------
    >>> round(quiescent_current(0.154, 256) * 1e3, 2)
    0.6
    """
    return dark / pixels


def channel_current(lit: float, dark: float, pixels: int, duty: float = 1.0) -> float:
    """Current of one channel [A]: ``(I_white - I_dark) / (3 k d)``.

    Holds while the supply at the pixels is above some 4.5 V, so that every channel regulates.

    Parameters
    ----------
    lit, dark : float
        What the section draws with ``pixels`` of it white, and all dark [A].
    pixels : int
        How many are white [1].
    duty : float
        How long of its period each channel is on [1], above 0 up to 1.

    Examples
    --------
    >>> round(channel_current(0.73, 0.154, 16) * 1e3, 2)
    12.0
    """
    return (lit - dark) / (3 * pixels * duty)


def channel_slope(high_v: float, high_i: float, low_v: float, low_i: float, pixels: int) -> float:
    """Resistance of one channel below its regulation [ohm]: ``k (V_1 - V_2) / (I_1 - I_2)``.

    Holds between a fifth and six tenths of the full current, where the channel follows its resistance.

    Parameters
    ----------
    high_v, low_v : float
        Supply at the pixels [V].
    high_i, low_i : float
        What they draw there in one colour [A].
    pixels : int
        How many are lit [1].

    Examples
    --------
    >>> round(channel_slope(3.23, 0.25, 2.99, 0.202, 16), 1)
    80.0
    """
    return pixels * (high_v - low_v) / (high_i - low_i)


def output_slope(light_v: float, light_i: float, heavy_v: float, heavy_i: float) -> float:
    """Slope of the load regulation [ohm]: ``(V_1 - V_2) / (I_2 - I_1)``.

    Parameters
    ----------
    light_v, heavy_v : float
        Voltage at the plug at the lighter and the heavier load [V].
    light_i, heavy_i : float
        Current there [A].

    Examples
    --------
    >>> round(output_slope(5.09, 0.5, 5.01, 3.0), 4)
    0.032
    """
    return (light_v - heavy_v) / (heavy_i - light_i)


def open_voltage(volts: float, current: float, slope: float) -> float:
    """Voltage without load [V]: ``V + R I``.

    Parameters
    ----------
    volts : float
        Voltage at the plug [V].
    current : float
        Current there [A].
    slope : float
        Of the load regulation [ohm].

    Examples
    --------
    >>> open_voltage(5.0, 2.0, 0.05)
    5.1
    """
    return volts + slope * current


def load_line(light_v: float, light_i: float, heavy_v: float, heavy_i: float) -> tuple[float, float]:
    """Voltage without load [V], and slope of the load regulation [ohm]; see the two functions above.

    Parameters
    ----------
    light_v, heavy_v : float
        Voltage at the plug at the lighter and the heavier load [V].
    light_i, heavy_i : float
        Current there [A].

    Examples
    --------
    >>> load_line(5.0, 1.0, 4.5, 2.0)
    (5.5, 0.5)
    """
    slope = output_slope(light_v, light_i, heavy_v, heavy_i)
    return open_voltage(light_v, light_i, slope), slope


def dropout(drop: float, current: float, slope: float) -> float:
    """Dropout of a regulator without load [V]: ``V_in - V_rail - R I``.

    Parameters
    ----------
    drop : float
        Voltage across the regulator while its input is too low for it to regulate [V].
    current : float
        Through it [A].
    slope : float
        Rise of the dropout with the current [ohm].

    Examples
    --------
    >>> round(dropout(0.224, 0.08, 0.3), 3)
    0.2
    """
    return drop - slope * current


def drop_resistance(drop: float, current: float) -> float:
    """Resistance of a loop [ohm] by the four-wire method: ``V / I``.

    Parameters
    ----------
    drop : float
        Both conductors and the plugs together [V].
    current : float
        Through them [A].

    Examples
    --------
    >>> drop_resistance(0.2, 2.0)
    0.1
    """
    return drop / current
