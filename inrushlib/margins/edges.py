"""The nearest edges: for each key the value nearest to the present one at which the verdict changes.

``nearest_edges``   of all keys of a build, nearest first
``Edge``            one of them

Each key is moved alone within its range (stated in the file, of its class, or typical), to its ends first. Where the
verdict is another there, or some rule comes near its edge, there are rungs that grow from the own value on; the first
rung with another verdict on either side is narrowed by halving. All keys go through the compiled model together. What
can be missed is a change that is undone again between two neighbouring rungs, and one on the way to an end where each
rule is farther from its edge, here as there, than that way takes it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.margins.moves import Move, Range, movable_keys
from inrushlib.margins.reach import reach, typical_reach
from inrushlib.model import layout as at
from inrushlib.odds import KeyRange, key_ranges
from inrushlib.odds.active import idle_keys
from inrushlib.parts import Spread
from inrushlib.startup import Answers, Headline, Packed, Verdict, hold_lumps, pack, screen_packed, screen_slacks
from inrushlib.startup.effort import SCREEN_TOLERANCE, TOLERANCE

RUNGS = (0.04, 0.3)  # share of the way to the end of the range, which is the last one
FINENESS = 0.005  # of an edge's distance, to which it is narrowed
LEAST = 1e-5  # of the range: an edge that is nearer is not narrowed further

BOOTS = list(Verdict).index(Verdict.BOOTS)
GRADES = tuple(Headline(verdict, "").grade for verdict in Verdict)

Cancelled = Callable[[], bool]
Verdicts = NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Edge:
    """Where the verdict changes when one key moves and all others stay.

    Attributes
    ----------
    key : str
        Dotted key.
    own, value : float
        The present value, and the first one found beyond the edge [unit of the key]; of a list its largest entry, the
        others in the ratios that they have.
    relative : float or None
        How far that is, as a signed share of the present value [1]; None where that is zero.
    in_tolerances : float or None
        How far in units of its tolerance, or where none is stated of its half-range that way [1]; None for a key that
        has no range, such as one that is chosen.
    verdict : Verdict
        The verdict there.
    stated : bool
        Whether ``[tolerance]`` of the file says the range.
    decides_at : float or None
        Nearest value tried at which the build starts and now does not, or only after resets, or the other way round
        [unit of the key]; None where there is none: one way of failing took the place of another.
    decides : Verdict or None
        The verdict there.
    uneven : bool
        Whether the key is a list of different entries.
    """

    key: str
    own: float
    value: float
    relative: float | None
    in_tolerances: float | None
    verdict: Verdict
    uneven: bool = False
    stated: bool = False
    decides_at: float | None = None
    decides: Verdict | None = None

    @property
    def above(self) -> bool:
        """Whether the verdict changes above the value."""
        return self.value > self.own

    def to_dict(self) -> dict[str, object]:
        """Return it ready for JSON, SI."""
        return {
            "key": self.key, "value": self.value, "relative": self.relative, "in_tolerances": self.in_tolerances,
            "verdict": self.verdict.value,
        }  # fmt: skip


@dataclass
class _Side:
    """One key moved one way: the last value with the build's own verdict, and the first with another."""

    move: Move
    end: float
    kept: float = field(init=False)
    turned: float | None = None

    def __post_init__(self) -> None:
        self.kept = self.move.own

    @property
    def rungs(self) -> tuple[float, ...]:
        """Values on the way to the end of the range, by equal steps of the factor where that can be."""
        own = self.move.own
        if own > 0.0 and self.end > 0.0:
            return (*(float(own * (self.end / own) ** share) for share in RUNGS), self.end)
        return (*(own + share * (self.end - own) for share in RUNGS), self.end)

    @property
    def distance(self) -> float:
        """How far the first value with another verdict is from the own one [unit of the key]."""
        assert self.turned is not None
        return abs(self.turned - self.move.own)

    @property
    def narrow(self) -> bool:
        """Whether the edge is known well enough."""
        assert self.turned is not None
        width = abs(self.turned - self.kept)
        return width <= max(FINENESS * self.distance, LEAST * abs(self.end - self.move.own))


class _Runs:
    """Starts whether values keep the build's own verdict."""

    def __init__(self, packed: Packed, cancelled: Cancelled | None, verdict: Verdict | None) -> None:
        self.cancelled = cancelled
        self.tolerance = SCREEN_TOLERANCE
        self.until_lost = False
        self.count = 1
        self.first, self.slack = self._run_slacks([packed])
        if verdict is not None and self.first.verdict(0) is not verdict:  # so near an edge that the tolerance decides
            self.tolerance = TOLERANCE
            self.first, self.slack = self._run_slacks([packed])
        self.own = int(self.first.verdicts[0])
        self.until_lost = self.own == BOOTS  # what is lost once does not boot at the first try any more

    def _run(self, packed: Sequence[Packed]) -> Answers:
        return screen_packed(
            packed,
            tolerance=self.tolerance, until_lost=self.until_lost, until_decided=True, cancelled=self.cancelled,
        )  # fmt: skip

    def _run_slacks(self, packed: Sequence[Packed]) -> tuple[Answers, NDArray[np.float64]]:
        return screen_slacks(packed, tolerance=self.tolerance, until_lost=self.until_lost, cancelled=self.cancelled)

    def keep(self, packed: Sequence[Packed]) -> tuple[NDArray[np.bool_], Answers]:
        """Say for each whether its verdict is the build's own; one that hits a bound counts as such."""
        found = self._run(packed)
        self.count += len(packed)
        return self._kept(found), found

    def _kept(self, found: Answers) -> NDArray[np.bool_]:
        kept: NDArray[np.bool_] = (found.verdicts == self.own) | (found.statuses != at.DONE)
        return kept

    def keep_all_the_way(self, packed: Sequence[Packed]) -> tuple[NDArray[np.bool_], NDArray[np.bool_], Answers]:
        """Say the same, and for which that holds on the whole way there from the build's own start.

        It does where each rule is farther from its edge, here as there, than the way takes it: the slack would have to
        bend by more than it changes to come to zero between.
        """
        own = self.slack[0]
        if not own.all():  # of a rule that took effect the slack is not known
            kept, found = self.keep(packed)
            return kept, np.zeros_like(kept), found
        found, slacks = self._run_slacks(packed)
        self.count += len(packed)
        no_say = np.isnan(slacks) & np.isnan(own)
        far = np.minimum(np.abs(slacks), np.abs(own)) > np.abs(slacks - own)
        kept = self._kept(found)
        return kept, kept & (no_say | far).all(axis=1), found

    def verdicts(self, packed: Sequence[Packed]) -> list[Verdict]:
        """The verdicts themselves."""
        self.until_lost = False
        self.count += len(packed)
        return [list(Verdict)[int(number)] for number in self._run(packed).verdicts]

    def idle(self, found: Answers, i: int) -> bool:
        """Whether start i went exactly as the build's own, so that its key has no part in it."""
        pairs = (
            (found.peak_lead_current, self.first.peak_lead_current),
            (found.final_bus_voltage, self.first.final_bus_voltage),
            (found.final_lead_current, self.first.final_lead_current),
            (found.ready_at, self.first.ready_at),
            (found.verdicts, self.first.verdicts),
        )
        return all(there[i] == here[0] for there, here in pairs)


def nearest_edges(
    build: Build,
    *,
    verdict: Verdict | None = None,
    keys: Sequence[str] | None = None,
    ranges: Mapping[str, Range] | None = None,
    cancelled: Cancelled | None = None,
) -> tuple[Edge, ...]:
    """Return where the verdict changes when one key alone moves within its range, nearest first.

    Parameters
    ----------
    build : Build
        Any build; its lumps are held while values move.
    verdict : Verdict or None
        How it starts, where that is known: where the coarser runs of a search say otherwise, finer ones are taken.
    keys : sequence of str or None
        Which keys; None for all that have a number and can change how it starts.
    ranges : mapping of str to (float, float) or None
        From and to [unit of the key], in the place of the ranges of :func:`~inrushlib.odds.key_ranges`. Keys that have
        none (chosen, counted) are moved by a factor of 3 either way within their bounds, from zero up to a
        thousandth of their upper bound.
    cancelled : callable or None
        Asked between chunks of starts; true stops the work.

    Returns
    -------
    tuple of Edge
        By how far they are relative to the present value; those of values that are zero last. A key without a change
        of the verdict in its range is left out.

    Raises
    ------
    BuildError
        Where a stated range is not right.
    inrushlib.errors.Cancelled
        Where the caller asked to stop.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> tiles = new_build({"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> edge = nearest_edges(tiles, keys=["adapter.limit_current"])[0]
    >>> f"{edge.verdict.value} from {edge.value:.2f} A, {100 * edge.relative:.1f} %"
    'stuck from 3.56 A, -1.1 %'
    """
    build = hold_lumps(build)
    packed = pack(build)
    runs = _Runs(packed, cancelled, verdict)
    known = {each.key: each for each in key_ranges(build)}
    reaches = typical_reach(build, known.values()) | dict(ranges or {})
    moves = [Move(build, packed, key, reaches) for key in (_live_keys(build) if keys is None else keys)]
    sides, decided = _climb(moves, runs)
    sides = _nearer(sides)
    while open_ := [side for side in sides if not side.narrow]:
        middles = [_between(side) for side in open_]
        kept, _ = runs.keep([side.move.at(value) for side, value in zip(open_, middles, strict=True)])
        for side, value, keeps in zip(open_, middles, kept, strict=True):
            if keeps:
                side.kept = value
            else:
                side.turned = value
        sides = _nearer(sides)
    sides = _one_a_key(sides)
    verdicts = runs.verdicts([side.move.at(side.turned or 0.0) for side in sides])
    edges = []
    for side, there in zip(sides, verdicts, strict=True):
        edge = _edge(build, side, there, known.get(side.move.key))
        at_first = (edge.value, there) if runs.own == BOOTS else decided.get(edge.key, (None, None))
        edges.append(replace(edge, decides_at=at_first[0], decides=at_first[1]))
    return tuple(sorted(edges, key=lambda edge: (edge.relative is None, abs(edge.relative or 0.0))))


def _live_keys(build: Build) -> tuple[str, ...]:
    idle = idle_keys(build)
    return tuple(key for key in movable_keys(build) if key not in idle)


def _climb(moves: Sequence[Move], runs: _Runs) -> tuple[list[_Side], dict[str, tuple[float, Verdict]]]:
    """Return the ways on which a rung has another verdict, and of each key the nearest rung with another grade."""
    sides = [_Side(move, end) for move in moves for end in (move.low, move.high) if end != move.own]
    all_ends = [(side, side.rungs[-1]) for side in sides]
    ends, settled, found = runs.keep_all_the_way([side.move.at(value) for side, value in all_ends])
    live = {side.move.key for i, side in enumerate(sides) if not runs.idle(found, i)}
    last = {id(side): bool(keeps) for side, keeps in zip(sides, ends, strict=True)}
    sides = [side for side, sure in zip(sides, settled, strict=True) if not sure and side.move.key in live]
    inner = [(side, value) for side in sides for value in side.rungs[:-1]]
    kept, at_inner = runs.keep([side.move.at(value) for side, value in inner])
    keeps_at = {(id(side), value): bool(keeps) for (side, value), keeps in zip(inner, kept, strict=True)}
    decided: dict[str, tuple[float, Verdict]] = {}
    tried = [*zip(all_ends, found.verdicts, ends, strict=True), *zip(inner, at_inner.verdicts, kept, strict=True)]
    for (side, value), number, keeps in sorted(tried, key=lambda each: -abs(each[0][1] - each[0][0].move.own)):
        if not keeps and GRADES[int(number)] != GRADES[runs.own]:
            decided[side.move.key] = (value, list(Verdict)[int(number)])
    for side in sides:
        for value in side.rungs:
            if keeps_at.get((id(side), value), last[id(side)]):
                side.kept = value
            else:
                side.turned = value
                break
    return [side for side in sides if side.turned is not None], decided


def _nearer(sides: Sequence[_Side]) -> list[_Side]:
    """Leave out a way whose edge is farther than the same key's the other way, however both turn out."""
    nearest: dict[str, float] = {}
    for side in sides:
        nearest[side.move.key] = min(nearest.get(side.move.key, np.inf), side.distance)
    return [side for side in sides if abs(side.kept - side.move.own) <= nearest[side.move.key]]


def _one_a_key(sides: Sequence[_Side]) -> list[_Side]:
    """Return the nearer way of each key."""
    found: dict[str, _Side] = {}
    for side in sides:
        if side.move.key not in found or side.distance < found[side.move.key].distance:
            found[side.move.key] = side
    return list(found.values())


def _between(side: _Side) -> float:
    assert side.turned is not None
    return 0.5 * (side.kept + side.turned)


def _edge(build: Build, side: _Side, verdict: Verdict, known: KeyRange | None) -> Edge:
    own, value = side.move.own, side.turned or 0.0
    # What was measured takes the place of what [tolerance] says.
    stated = known is None or known.posterior is None
    spread = next((each for each in build.spreads() if stated and each.key == side.move.key), None)
    far = None if spread is None else _in_tolerances(spread, own, value)
    if spread is None and known is not None:
        low, high = reach(build, known)
        far = abs(value - own) / abs((high if value > own else low) - own)
    return Edge(
        key=side.move.key,
        own=own,
        value=value,
        relative=(value - own) / own if own != 0.0 else None,
        in_tolerances=far,
        verdict=verdict,
        uneven=len(set(side.move.entries)) > 1,
        stated=spread is not None,
    )


def _in_tolerances(spread: Spread, own: float, value: float) -> float | None:
    """How far a value is from the own one, in units of the tolerance on that side [1]."""
    width = spread.sigma or 0.0
    if spread.relative is not None:
        width = spread.relative * abs(own)
    elif spread.low is not None and spread.high is not None:
        width = spread.high - own if value > own else own - spread.low
    return abs(value - own) / width if width > 0.0 else None
