"""How far each rule of a start was from turning out otherwise.

``Rule``        the rules that can change a verdict
``Slack``       how far one was from it
``slack_of``    of one build, smallest share of its threshold first
``slack_many``  of many builds at once, a :class:`Slacks` of plain arrays; ``slack_columns`` of variants of one

A slack is positive where the rule kept, negative where it took effect, zero on the edge. It is the distance of a run in
which that rule never takes effect, all else being as it is: how far the rail would have fallen had the controller not
browned out, how long the adapter would have stayed at its limit had it not tripped.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.model import layout as at
from inrushlib.parts.place import ADAPTER, Place, PlaceKind
from inrushlib.startup.effort import FIRST_ROWS, LARGEST_KEPT, MOST_STEPS, MOST_SWITCHINGS, SCREEN_TOLERANCE, TOLERANCE
from inrushlib.startup.first_use import Compiles, compiling
from inrushlib.startup.lumps import cut
from inrushlib.startup.many import share_out
from inrushlib.startup.pack import Packed, pack
from inrushlib.startup.pack_columns import PackedColumns
from inrushlib.startup.unfinished import progress_of, raise_unfinished, too_large

Array = NDArray[np.float64]
RAIL = Place(PlaceKind.CONTROLLER_RAIL)


class Rule(Enum):
    """A rule that can change the verdict, in the order in which :mod:`inrushlib.model.slack` numbers them."""

    RELEASE = ("reset-release", "V", "the reset ends once the rail has held its upper level")
    BROWN_OUT = ("brown-out", "V", "the controller browns out where its rail falls to its lower level")
    LISTEN = ("listening", "V", "a frame reaches pixels that stay above the supply that they need for data")
    FORGET = ("forgetting", "V", "pixels lose their data where they fall to their power-on reset voltage")
    TRIP = ("trip", "s", "the adapter trips when it has been at its limit for its trip delay")
    ALLOWANCE = ("allowance", "s", "the short-term allowance ends after its time at the limit")
    FRAME_IN_TIME = ("frame-in-time", "s", "the first frame has to end before the rail runs out")

    def __init__(self, key: str, unit: str, sentence: str) -> None:
        self.key = key
        self.unit = unit
        self.sentence = sentence


@dataclass(frozen=True)
class Slack:
    """How far a rule was from turning out otherwise.

    Attributes
    ----------
    rule : Rule
        The rule.
    value : float
        How far [unit]: positive where it kept, negative where it took effect; of the release of the reset, positive
        where it was released.
    unit : str
        Of the value, ``"V"`` or ``"s"``.
    share : float
        The value over the rule's own threshold [1].
    at : float
        When it came closest [s].
    where : Place
        The part that it was watched at.
    bus_voltage : float or None
        Of the release: the bus voltage at which the rail held its highest level [V]; None for the other rules.
    """

    rule: Rule
    value: float
    unit: str
    share: float
    at: float
    where: Place
    bus_voltage: float | None = None

    @property
    def kept(self) -> bool:
        """Whether it is on the good side."""
        return self.value >= 0.0

    def to_dict(self) -> dict[str, object]:
        """Return it ready for JSON, SI."""
        return {
            "rule": self.rule.key, "slack": self.value, "unit": self.unit, "at": self.at, "where": self.where.name,
        }  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Slacks:
    """Slacks of many starts: arrays of one row a build, one column a rule in the order of :class:`Rule`.

    Attributes
    ----------
    values : (n, rules) array
        In the rules' own units [V or s]; not a number where a rule has no say in a run.
    shares : (n, rules) array
        Over the rules' own thresholds [1].
    instants : (n, rules) array
        When each came closest [s].
    verdicts : (n,) array of int
        Places in :class:`~inrushlib.startup.Verdict` [1].
    statuses : (n,) array of int
        How each run ended [1], 0 for done; the other numbers stand in :mod:`inrushlib.model.layout`, and
        :mod:`inrushlib.model.slack` has one for curves that take too much memory.
    """

    values: Array
    shares: Array
    instants: Array
    verdicts: NDArray[np.int64]
    statuses: NDArray[np.int64]


def slack_of(build: Build, *, tolerance: float = TOLERANCE) -> tuple[Slack, ...]:
    """Return the slack of each rule that has a say in a build's start, smallest share of its threshold first.

    Parameters
    ----------
    build : Build
        What to start.
    tolerance : float
        As of :func:`~inrushlib.startup.simulate` [1].

    Raises
    ------
    SolverError
        Where a bound on steps or switchings was reached.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> tiles = new_build({"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> closest = slack_of(tiles)[0]
    >>> closest.rule.name, round(closest.value, 3), closest.where.name
    ('RELEASE', 0.01, 'controller rail')
    """
    from inrushlib.model import slack_readout as col
    from inrushlib.model.slack import ROWS_SPENT

    table, answers, status = _run([pack(build)], tolerance)
    raise_unfinished(build, answers[0], MOST_STEPS, MOST_SWITCHINGS)
    section = cut(build).section
    if status[0] == ROWS_SPENT:
        raise too_large(build, len(section), LARGEST_KEPT, progress_of(answers[0]))
    found = [
        Slack(
            rule, float(row[col.VALUE]), rule.unit, float(row[col.SHARE]), float(row[col.AT]),
            _place(rule, int(row[col.WHERE]), section), float(row[col.BUS]) if math.isfinite(row[col.BUS]) else None,
        )
        for rule, row in zip(Rule, table[0], strict=True)
        if math.isfinite(row[col.VALUE])
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda each: each.share))


def _place(rule: Rule, lump: int, section: tuple[int, ...]) -> Place:
    if rule in (Rule.LISTEN, Rule.FORGET):
        return Place(PlaceKind.SECTION, section[lump])
    return ADAPTER if rule in (Rule.TRIP, Rule.ALLOWANCE) else RAIL


def slack_many(
    packed: Sequence[Packed],
    *,
    tolerance: float = SCREEN_TOLERANCE,
    workers: int | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Slacks:
    """Return the slacks of many starts, with no Python objects between the runs of a chunk.

    Parameters
    ----------
    packed : sequence of Packed
        What to start, as :func:`inrushlib.startup.pack.pack` gives it.
    tolerance : float
        As of :func:`~inrushlib.startup.screen` [1].
    workers : int or None
        Threads [1]; None for one a processor.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    inrushlib.errors.Cancelled
        Where the caller asked to stop.
    """
    from inrushlib.model import slack_readout as col

    tables = np.full((len(packed), col.RULES, col.COLUMNS), math.nan)
    verdicts = np.zeros(len(packed), dtype=np.int64)
    statuses = np.zeros(len(packed), dtype=np.int64)

    def run(rows: list[int]) -> None:
        tables[rows], answers, statuses[rows] = _run([packed[i] for i in rows], tolerance)
        verdicts[rows] = _verdicts(answers)

    share_out(packed, run, workers=workers, cancelled=cancelled)
    return Slacks(
        values=tables[:, :, col.VALUE],
        shares=tables[:, :, col.SHARE],
        instants=tables[:, :, col.AT],
        verdicts=verdicts,
        statuses=statuses,
    )


def slack_columns(pieces: Sequence[PackedColumns], *, tolerance: float = SCREEN_TOLERANCE) -> Slacks:
    """Return the slacks of variants of a build, in the thread that asks; holds no global lock meanwhile.

    Parameters
    ----------
    pieces : sequence of PackedColumns
        The variants, in one piece or several.
    tolerance : float
        As of :func:`~inrushlib.startup.screen` [1].
    """
    from inrushlib.model import slack_readout as col

    found = [_run_arrays(each.parts, each.lumps, each.interruptions, tolerance) for each in pieces]
    tables, answers, statuses = (np.concatenate(each) for each in zip(*found, strict=True))
    return Slacks(
        values=tables[:, :, col.VALUE],
        shares=tables[:, :, col.SHARE],
        instants=tables[:, :, col.AT],
        verdicts=_verdicts(answers),
        statuses=statuses,
    )


def _verdicts(answers: Array) -> NDArray[np.int64]:
    from inrushlib.model.batch import VERDICT

    return answers[:, VERDICT].astype(np.int64)


Table = tuple[Array, Array, NDArray[np.int64]]  # slacks, answers of the runs as they are, how each ended


def _run(packed: Sequence[Packed], tolerance: float) -> Table:
    """Run builds that are alike."""
    parts, lumps = np.array([each.parts for each in packed]), np.array([each.lumps for each in packed])
    return _run_arrays(parts, lumps, packed[0].interruptions, tolerance)


def _run_arrays(parts: NDArray[np.void], lumps: Array, interruptions: Array, tolerance: float) -> Table:
    """Run starts that are packed as arrays; again with more room where steps or switchings did not fit.

    Where the most room is too little for the start as it is, its status says so; where it is too little for one of the
    runs without a rule, that rule's slack is left out.
    """
    from inrushlib.model import batch
    from inrushlib.model import slack as sl
    from inrushlib.model.dense_output import width

    count = len(parts)
    tables, answers = np.empty((count, sl.RULES, sl.COLUMNS)), np.empty((count, batch.ANSWERS))
    statuses = np.full(count, sl.ROWS_SPENT)
    most = LARGEST_KEPT // (tables.itemsize * width(lumps.shape[1]))
    for rows in _rooms(most):
        left = np.flatnonzero(statuses == sl.ROWS_SPENT).tolist()
        if not left:
            break
        some, told, ended = np.empty((len(left), *tables.shape[1:])), answers[left], statuses[left]
        with compiling(Compiles.SLACK):
            sl.slack_batch(
                parts[left], lumps if len(lumps) == 1 else lumps[left], interruptions, tolerance, MOST_STEPS,
                MOST_SWITCHINGS, rows, ended, told, some,
            )  # fmt: skip
        tables[left], answers[left], statuses[left] = some, told, ended
    had_room = np.maximum(answers[:, batch.STEPS_KEPT], answers[:, batch.SWITCHINGS]) <= most
    statuses[(statuses == sl.ROWS_SPENT) & had_room] = at.DONE
    tables[statuses != at.DONE] = math.nan
    return tables, answers, statuses


def _rooms(most: int) -> Iterator[int]:
    """Rows that are tried, four times as many each time, the most that are allowed at last."""
    rows = min(FIRST_ROWS, most)
    while rows < most:
        yield rows
        rows = min(4 * rows, most)
    yield most
