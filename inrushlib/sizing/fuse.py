"""Fuses: a rating between what runs and what the wire stands, and one that survives the start-up pulse.

``fuse_for``
    the fuse of one conductor, or why there is none
``pulse_share``, ``required_melting_i2t``
    how much of its melting I2t a fuse stands how often
``pulse_i2t``
    I2t of simple pulse shapes
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from inrushlib.errors import BuildError

HIGHEST_LOAD_SHARE = 0.75
"""Run a fuse at 75 % of its rating or less at 25 C (a fuse maker, EDN, 26 September 1996)."""

FUSE_RATINGS: Final[dict[str, tuple[float, ...]]] = {
    # Ratings of the R10 series as used by IEC 60127 (from memory).
    "miniature": (0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0),
    # Common ratings of ISO 8820 blade fuses (from memory).
    "blade": (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0),
}
"""Ratings to choose from [A], by family."""

PULSE_SHARES: Final[dict[int, float]] = {100: 0.48, 1_000: 0.38, 10_000: 0.29, 100_000: 0.22}
"""Pulse I2t as a share of the nominal melting I2t, by number of pulses at least 10 s apart (fuse catalogue
"Fuseology", chart 2, 2017). Not interpolated: more pulses than a row count as the next row."""

_SHAPES: Final = {"square": 1.0, "sine": 1 / 2, "ramp": 1 / 3, "parabola": 1 / 5, "exponential": 1 / 2}


@dataclass(frozen=True)
class FuseChoice:
    """A fuse for one conductor.

    Attributes
    ----------
    rating : float or None
        Chosen rating [A]; None where none fits.
    lowest, highest : float
        Ratings that the running current and the wire allow [A].
    melting_i2t : float
        Nominal melting I2t that it has to have at least, for the starts [A2 s].
    why_not : str
        Why none fits; empty where one does.
    """

    rating: float | None
    lowest: float
    highest: float
    melting_i2t: float
    why_not: str


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
        raise BuildError(f"pulse shape: {shape!r}; accepted: trapezoid, {', '.join(_SHAPES)}")
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
        raise BuildError(f"starts: {starts}; accepted: 1 to {max(PULSE_SHARES)}")
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


def fuse_for(
    running_current: float,
    wire_limit: float,
    pulse: float,
    *,
    starts: int = 10_000,
    ratings: Sequence[float] = FUSE_RATINGS["miniature"],
    melting_i2t: Mapping[float, float] | None = None,
    wire: str = "the wire",
) -> FuseChoice:
    """The smallest fuse that carries the running current, protects the wire and survives the starts.

    ``running_current / 0.75 <= rating <= wire_limit``, and ``pulse <= share * melting I2t``.

    Parameters
    ----------
    running_current : float
        Largest lasting current [A], 0 or more.
    wire_limit : float
        Ampacity of the thinnest conductor behind the fuse [A], above 0.
    pulse : float
        I2t of one start [A2 s], 0 or more.
    starts : int
        Starts over its life [-], 1 to 100,000.
    ratings : sequence of float
        Ratings to choose from [A], each above 0.
    melting_i2t : mapping of float to float or None
        Nominal melting I2t [A2 s] by rating, from the fuse's data sheet. None leaves that check to the reader.
    wire : str
        What the thinnest conductor is called in the message [-].

    Returns
    -------
    FuseChoice
        The fuse, or why there is none.

    Notes
    -----
    At 25 C. Sources: 75 % rule, a fuse maker in EDN (26 September 1996); pulses, fuse catalogue
    "Fuseology" (2017).

    Examples
    --------
    >>> fuse_for(3.0, 7.0, 0.5).rating
    4.0
    """
    lowest, needed = running_current / HIGHEST_LOAD_SHARE, required_melting_i2t(pulse, starts)
    # A hair of tolerance: 3 / 0.75 is a rating of 4 exactly, whatever the rounding.
    fitting = [rating for rating in sorted(ratings) if lowest * (1 - 1e-9) <= rating <= wire_limit]
    why_not = ""
    if not fitting:
        why_not = _why_none(lowest, wire_limit, max(ratings), wire)
    elif melting_i2t is not None:
        fitting = [rating for rating in fitting if melting_i2t.get(rating, 0.0) >= needed]
        if not fitting:
            why_not = (
                f"no rating up to {wire_limit:.3g} A with a melting I2t of {needed:.3g} A2s in the given data:"
                " use a slower fuse, a thicker wire or a gentler start"
            )
    return FuseChoice(fitting[0] if fitting else None, lowest, wire_limit, needed, why_not)


def _why_none(lowest: float, wire_limit: float, largest: float, wire: str) -> str:
    asks = f"the running current over 75 % asks for {lowest:.3g} A or more"
    if lowest > wire_limit:
        return f"{asks}, and {wire} stands {wire_limit:.3g} A: a thicker wire, or less current through it"
    if lowest > largest:
        return f"{asks}, and the ratings end at {largest:.3g} A: share the current among more feeds, each with its fuse"
    return f"{asks}, {wire} stands {wire_limit:.3g} A, and no rating lies between: a thicker wire"
