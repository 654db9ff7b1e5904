"""The start-up pulse and a fuse: how much of its melting I2t it stands how often.

``pulse_share``, ``required_melting_i2t``
    how much of its melting I2t a fuse stands how often
``pulse_i2t``
    I2t of simple pulse shapes
"""

from __future__ import annotations

from typing import Final

from inrushlib.errors import UsageError

PULSE_SHARES: Final[dict[int, float]] = {100: 0.48, 1_000: 0.38, 10_000: 0.29, 100_000: 0.22}
"""Pulse I2t as a share of the nominal melting I2t, by number of pulses at least 10 s apart (fuse catalogue
"Fuseology", chart 2, 2017). Not interpolated: more pulses than a row count as the next row."""

_SHAPES: Final = {"square": 1.0, "sine": 1 / 2, "ramp": 1 / 3, "parabola": 1 / 5, "exponential": 1 / 2}


def pulse_i2t(peak: float, seconds: float, shape: str = "square", base: float = 0.0) -> float:
    """Integral of the squared current over a pulse of simple shape.

    Square ``ip^2 t``, sine (half wave) ``ip^2 t / 2``, ramp ``ip^2 t / 3``, trapezoid
    ``(ip^2 + ip ib + ib^2) t / 3``, parabola ``ip^2 t / 5``, exponential ``ip^2 t / 2`` with t down to ip / e.

    Parameters
    ----------
    peak : float
        Highest current ip [A], 0 or more.
    seconds : float
        Duration t [s], 0 or more.
    shape : str
        "square", "sine", "ramp", "trapezoid", "parabola" or "exponential" [-].
    base : float
        Current ib at the other side of a trapezoid [A]; 0 for the other shapes.

    Returns
    -------
    float
        I2t [A2 s].

    Notes
    -----
    Source: fuse catalogue "Fuseology", chart 1 (2017).

    Examples
    --------
    >>> pulse_i2t(10.0, 1e-3), pulse_i2t(10.0, 1e-3, "sine")
    (0.1, 0.05)
    """
    if shape == "trapezoid":
        return (peak**2 + peak * base + base**2) / 3.0 * seconds
    if shape not in _SHAPES:
        raise UsageError(f"pulse shape: {shape!r}; accepted: trapezoid, {', '.join(_SHAPES)}")
    return peak**2 * seconds * _SHAPES[shape]


def pulse_share(starts: int) -> float:
    """Share of its nominal melting I2t that a fuse stands a number of times.

    Parameters
    ----------
    starts : int
        Pulses over its life [-], 1 to 100,000, at least 10 s apart.

    Returns
    -------
    float
        Share [-].

    Notes
    -----
    The table's row for that many pulses or more. Source: fuse catalogue "Fuseology", chart 2 (2017).

    Examples
    --------
    >>> pulse_share(1_000), pulse_share(1_001)
    (0.38, 0.29)
    """
    if not 1 <= starts <= max(PULSE_SHARES):
        raise UsageError(f"starts: {starts}; accepted: 1 to {max(PULSE_SHARES)}")
    return PULSE_SHARES[min(row for row in PULSE_SHARES if row >= starts)]


def required_melting_i2t(pulse: float, starts: int) -> float:
    """Nominal melting I2t that a fuse needs to survive a pulse a number of times.

    ``pulse / share``, share by :func:`pulse_share`.

    Parameters
    ----------
    pulse : float
        I2t of one pulse [A2 s], 0 or more.
    starts : int
        Pulses over its life [-], 1 to 100,000.

    Returns
    -------
    float
        Nominal melting I2t [A2 s].

    Notes
    -----
    Source: as :func:`pulse_share`.

    Examples
    --------
    >>> round(required_melting_i2t(0.29, 10_000), 6)
    1.0
    """
    return pulse / pulse_share(starts)
