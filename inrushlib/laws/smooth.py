"""Smooth maximum, minimum and step: what keeps every law differentiable.

``soft``   smooth ``max(x, 0)``
``least``  smooth ``min(a, b)``
``rise``   smooth step from 0 to 1
"""

from __future__ import annotations

from math import exp, log1p

# Beyond this many widths the smooth laws equal their limits to the last bit of a double.
FAR = 37.0

# exp(-12). Below it a few terms of the series of ln(1 + e) and 1 / (1 + e) are exact to the last bit too, and faster.
SMALL = 6.1e-6


def soft(x: float, w: float) -> tuple[float, float]:
    """Smooth maximum of x and 0, and its slope.

    ``w ln(1 + exp(x / w))``, slope ``1 / (1 + exp(-x / w))``.

    Parameters
    ----------
    x : float
        Any [any unit].
    w : float
        Width of the bend [unit of x], above 0.

    Returns
    -------
    tuple of float
        Value [unit of x] and slope [1].

    Examples
    --------
    >>> value, slope = soft(0.0, 1.0)
    >>> round(value, 3), slope
    (0.693, 0.5)
    >>> soft(50.0, 1.0), soft(-50.0, 1.0)
    ((50.0, 1.0), (0.0, 0.0))
    """
    z = x / w
    if z > FAR:
        return x, 1.0
    if z < -FAR:
        return 0.0, 0.0
    e = exp(-abs(z))
    if e < SMALL:
        bend = e * (1.0 - e * (0.5 - e / 3.0))
        share = 1.0 - e * (1.0 - e)
    else:
        bend = log1p(e)
        share = 1.0 / (1.0 + e)
    if z > 0.0:
        return x + w * bend, share
    return w * bend, e * share


def least(a: float, b: float, w: float) -> tuple[float, float, float]:
    """Smooth minimum of a and b, and its slopes.

    ``a - soft(a - b, w)``.

    Parameters
    ----------
    a, b : float
        Any [any unit].
    w : float
        Width of the bend [unit of a], above 0.

    Returns
    -------
    tuple of float
        Value [unit of a], slope to a [1] and to b [1].

    Examples
    --------
    >>> least(1.0, 5.0, 0.1), least(9.0, 5.0, 0.1)
    ((1.0, 1.0, 0.0), (5.0, 0.0, 1.0))
    """
    d, s = soft(a - b, w)
    return a - d, 1.0 - s, s


def rise(x: float, w: float) -> tuple[float, float]:
    """Smooth step from 0 to 1, and its slope.

    ``1 / (1 + exp(-x / w))``.

    Parameters
    ----------
    x : float
        Any [any unit].
    w : float
        Width of the step [unit of x], above 0.

    Returns
    -------
    tuple of float
        Value [1] and slope [1 / unit of x].

    Examples
    --------
    >>> rise(0.0, 0.5)
    (0.5, 0.5)
    """
    z = x / w
    if z > FAR:
        return 1.0, 0.0
    if z < -FAR:
        return 0.0, 0.0
    r = 1.0 / (1.0 + exp(-z))
    return r, r * (1.0 - r) / w
