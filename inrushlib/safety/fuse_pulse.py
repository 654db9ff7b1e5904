"""The start-up pulse and a fuse: how much of its melting I2t it stands how often.

``pulse_share``, ``required_melting_i2t``
    how much of its melting I2t a fuse stands how often
"""

from __future__ import annotations

from typing import Final

from inrushlib.errors import UsageError

PULSE_SHARES: Final[dict[int, float]] = {100: 0.48, 1_000: 0.38, 10_000: 0.29, 100_000: 0.22}
"""Pulse I2t as a share of the nominal melting I2t, by number of pulses at least 10 s apart (fuse catalogue
"Fuseology", chart 2, 2017). Not interpolated: more pulses than a row count as the next row."""


def pulse_share(starts: int) -> float:
    """Share of its nominal melting I2t that a fuse stands a number of times.

    Parameters
    ----------
    starts : int
        Pulses over its life [1], 1 to 100,000, at least 10 s apart.

    Returns
    -------
    float
        Share [1].

    Raises
    ------
    UsageError
        For a number outside 1 to 100,000.

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
        Pulses over its life [1], 1 to 100,000.

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
