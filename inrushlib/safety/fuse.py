"""Fuses: a rating between what runs and what the weakest part carries, that survives the starts and does blow.

``fuse_for``
    the fuse of one conductor
``FuseChoice``, ``FuseOutcome``
    the fuse, or why there is none
``FUSE_FAMILIES``
    ratings to choose from
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final

from inrushlib.safety.fuse_pulse import required_melting_i2t

HIGHEST_LOAD_SHARE = 0.75
"""Run a fuse at 75 % of its rating or less at 25 C (a fuse maker, EDN, 26 September 1996)."""

FUSE_FAMILIES: Final[dict[str, tuple[float, ...]]] = {
    # Ratings of the R10 series as used by IEC 60127 (from memory).
    "miniature": (0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0),
    # Common ratings of ISO 8820 blade fuses (from memory).
    "blade": (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0),
}
"""Ratings to choose from [A], by family."""

OPENS = 2.0
"""Times its rating at which a fuse up to 30 A surely opens within two minutes [1] (UL 248-14, as the fuse catalogue
"Fuseology" prints it). Blade fuses are quicker: within 5 s (ISO 8820-3, from memory). What flows for long has to
reach it for the fuse to be of use."""
OPENS_SLOWLY = 1.35
"""The same within an hour [1]; blade fuses within ten minutes (sources as above). Too slow for a wire or a contact that
is overloaded (common practice, no source)."""


class FuseOutcome(Enum):
    """Whether a fuse was found, or why not."""

    FITS = "carries the running current, protects what is behind it, and blows"
    NOT_NEEDED = "nothing that can flow for long is too much for what is behind it"
    TOO_WEAK = "what is behind it carries less than the least rating"
    LADDER_ENDS = "the least rating is above the largest of the family"
    NONE_BETWEEN = "no rating of the family lies between the least and the highest"
    MELTS = "the starts would melt every rating that fits"
    TOO_SLOW = "what can flow may take up to an hour to blow it"
    NEVER_BLOWS = "what can flow may never blow it"


@dataclass(frozen=True, kw_only=True)
class FuseChoice:
    """A fuse for one conductor.

    Attributes
    ----------
    outcome : FuseOutcome
        Whether one was found, or why not.
    rating : float or None
        Chosen rating [A]; None where none fits.
    lowest, highest : float
        Ratings that the running current and the weakest part behind it allow [A].
    melting_i2t : float
        Nominal melting I2t that it has to have at least, for the starts [A2 s].
    largest : float
        Largest rating of the family [A].
    fault : float or None
        The current that has to blow it: the smallest that is too much for what is behind it and can flow for long
        [A]; where none is, the largest that can. None where that is not known.
    fault_source : str
        What sets it, on a page; empty where that is not known.
    protects : str
        What the weakest part is called on a page.
    better : str
        What would stand more, on a page.
    smallest : float or None
        Smallest rating that carries the current and protects the weakest part, whether or not it blows [A].
    """

    outcome: FuseOutcome
    rating: float | None
    lowest: float
    highest: float
    melting_i2t: float
    largest: float
    fault: float | None
    fault_source: str
    protects: str
    better: str
    smallest: float | None

    @property
    def of_use(self) -> bool:
        """False where a fuse could be fitted, and would protect nothing."""
        return self.outcome not in (FuseOutcome.NOT_NEEDED, FuseOutcome.TOO_SLOW, FuseOutcome.NEVER_BLOWS)

    @property
    def why_not(self) -> str:
        """Why there is none, and what then protects; empty where there is one."""
        asks = f"the running current over 75 % asks for {self.lowest:.3g} A or more"
        carries = f"{self.protects} carries at most {self.highest:.3g} A"
        match self.outcome:
            case FuseOutcome.FITS:
                return ""
            case FuseOutcome.TOO_WEAK:
                return f"{asks}, and {carries}: {self.better}, or less current through it"
            case FuseOutcome.LADDER_ENDS:
                return (
                    f"{asks}, and the ratings end at {self.largest:.3g} A: share the current among more feeds, each"
                    " with its fuse"
                )
            case FuseOutcome.NONE_BETWEEN:
                return f"{asks}, {carries}, and no rating lies between: {self.better}"
            case FuseOutcome.MELTS:
                return (
                    f"no rating up to {self.highest:.3g} A has a melting I2t of {self.melting_i2t:.3g} A2s in the"
                    f" given data, and {carries}: use a slower fuse, {self.better}, or a gentler start"
                )
        assert self.fault is not None
        flows = f"{self.fault:.3g} A" + (f" ({self.fault_source})" if self.fault_source else "")
        if self.outcome is FuseOutcome.NOT_NEEDED:
            return (
                f"a fuse here protects nothing: no more than {flows} can flow for long, and {carries}."
                " That protects it, as long as the supply works as described; ask again with another one"
            )
        assert self.smallest is not None
        times = self.fault / self.smallest
        slow = "take up to an hour to blow it" if self.outcome is FuseOutcome.TOO_SLOW else "never blow it"
        return (
            f"a fuse here protects nothing: {carries}, and {flows} can flow for long, only {times:.2g} times"
            f" a fuse of {self.smallest:g} A, so that it may {slow}. Take {self.better}, for {self.fault:.3g} A,"
            " or let less current run, so that a smaller fuse will do"
        )


def fuse_for(
    running_current: float,
    wire_limit: float,
    pulse: float,
    *,
    starts: int = 10_000,
    ratings: Sequence[float] = FUSE_FAMILIES["miniature"],
    melting_i2t: Mapping[float, float] | None = None,
    wire: str = "the wire",
    better: str = "a thicker wire",
    faults: Sequence[float] | None = None,
    fault_source: str = "",
) -> FuseChoice:
    """The smallest fuse that carries the running current, protects what is behind it and survives the starts.

    ``running_current / 0.75 <= rating <= wire_limit``, ``pulse <= share * melting I2t``, and
    ``fault >= 2 * rating`` for each fault current above the wire's limit.

    Parameters
    ----------
    running_current : float
        Largest lasting current [A], 0 or more.
    wire_limit : float
        What the weakest of wires, connectors and tracks behind the fuse carries at most [A], above 0.
    pulse : float
        I2t of one start [A2 s], 0 or more.
    starts : int
        Starts over its life [1], 1 to 100,000.
    ratings : sequence of float
        Ratings to choose from [A], each above 0.
    melting_i2t : mapping of float to float or None
        Nominal melting I2t [A2 s] by rating, from the fuse's data sheet. None leaves that check to the reader.
    wire, better : str
        What that weakest part is called in the message, and what would stand more.
    faults : sequence of float or None
        Currents that a fault can draw without end [A]; None where they have no bound.
    fault_source : str
        What sets them, for the message.

    Returns
    -------
    FuseChoice
        The fuse, or why there is none.

    Notes
    -----
    At 25 C. Sources: 75 % rule, a fuse maker in EDN (26 September 1996); pulses, fuse catalogue
    "Fuseology" (2017); opening at twice the rating, UL 248-14.

    Examples
    --------
    >>> fuse_for(3.0, 7.0, 0.5).rating
    4.0
    >>> fuse_for(3.0, 7.0, 0.5, faults=[6.0]).outcome.name
    'NOT_NEEDED'
    """
    lowest, needed = running_current / HIGHEST_LOAD_SHARE, required_melting_i2t(pulse, starts)
    harmful = [fault for fault in faults or () if fault > wire_limit]
    fault = min(harmful) if harmful else max(faults or (), default=None)
    # A hair of tolerance: 3 / 0.75 is a rating of 4 exactly, whatever the rounding.
    fitting = [rating for rating in sorted(ratings) if lowest * (1 - 1e-9) <= rating <= wire_limit]
    survive = [each for each in fitting if melting_i2t is None or melting_i2t.get(each, 0.0) >= needed]
    smallest = survive[0] if survive else None
    if faults is not None and not harmful:
        outcome = FuseOutcome.NOT_NEEDED
    elif smallest is not None:
        outcome = FuseOutcome.FITS if fault is None else _blows(fault / smallest)
    elif fitting:
        outcome = FuseOutcome.MELTS
    elif lowest > wire_limit:
        outcome = FuseOutcome.TOO_WEAK
    else:
        outcome = FuseOutcome.LADDER_ENDS if lowest > max(ratings) else FuseOutcome.NONE_BETWEEN
    rating = smallest if outcome is FuseOutcome.FITS else None
    return FuseChoice(
        outcome=outcome,
        rating=rating,
        lowest=lowest,
        highest=wire_limit,
        melting_i2t=needed,
        largest=max(ratings),
        fault=fault,
        fault_source=fault_source,
        protects=wire,
        better=better,
        smallest=smallest,
    )


def _blows(times: float) -> FuseOutcome:
    """Whether so many times its rating blow a fuse in useful time."""
    if times >= OPENS * (1 - 1e-9):
        return FuseOutcome.FITS
    return FuseOutcome.TOO_SLOW if times >= OPENS_SLOWLY * (1 - 1e-9) else FuseOutcome.NEVER_BLOWS
