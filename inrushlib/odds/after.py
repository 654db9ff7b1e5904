"""The odds after having measured: what was measured takes the place of what was known before.

``spread_after``  the odds before and after
``Narrowed``      both, and how much of the doubt the measurements settled; ``Doubt`` is what became of it
``at_measured``   a build with its measured values in the place of its own
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, auto
from typing import Any

from inrushlib.build import Build, build_keys
from inrushlib.document import as_written
from inrushlib.errors import BuildError, UsageError
from inrushlib.measurements import Measurement, MeasurementLog
from inrushlib.odds.engine import Workers
from inrushlib.odds.interval import Estimate
from inrushlib.odds.key_ranges import Which
from inrushlib.odds.spread import RUNS, SEED, SpreadFound, spread
from inrushlib.parts import TABLES

OF_BEFORE = 0.3
"""Share of the work that is done once the odds before are known [1]."""
SAME = 1e-6
"""Share by which a measured value may differ from the build's and count as the same [1]."""


class Doubt(Enum):
    """What measurements made of the doubt whether it boots, as far as the runs can tell."""

    NONE_BEFORE = auto()
    LESS = auto()
    MORE = auto()
    UNTOLD = auto()


@dataclass(frozen=True, kw_only=True)
class Narrowed:
    """The odds before and after having measured.

    Attributes
    ----------
    build : Build
        As its file has it.
    before : SpreadFound
        The odds over the ranges that the build's values have without the measurements; no slacks, no corner.
    after : SpreadFound
        The odds with what was measured; its build has the measured values.
    measured : tuple of Measurement
        The rows that took the place of a range, or of a value.
    elsewhere : tuple of str
        Dotted keys of rows that this build does not have.
    """

    build: Build
    before: SpreadFound
    after: SpreadFound
    measured: tuple[Measurement, ...]
    elsewhere: tuple[str, ...]

    @property
    def settled(self) -> Estimate | None:
        """Share of the doubt that the measurements settled [1]: how much smaller the variance of the yes or no is.

        Below zero where more is in doubt than before; None where nothing was in doubt before. The interval is what the
        intervals of both odds allow at the utmost.
        """
        before, after = (_doubt(each.boots) for each in (self.before, self.after))
        if before.value == 0:
            return None
        low = 1 - after.high / before.low if before.low > 0 else -math.inf
        return Estimate(1 - after.value / before.value, low, 1 - after.low / before.high)

    @property
    def doubt(self) -> Doubt:
        """What became of the doubt: less or more only where all of the interval of what was settled says so."""
        settled = self.settled
        if settled is None:
            return Doubt.NONE_BEFORE
        if settled.low > 0:
            return Doubt.LESS
        return Doubt.MORE if settled.high < 0 else Doubt.UNTOLD

    @property
    def moved(self) -> tuple[Measurement, ...]:
        """The rows whose value is not that of the build."""
        return tuple(row for row in self.measured if differs(self.build, row))


def spread_after(
    build: Build,
    log: MeasurementLog,
    *,
    runs: int = RUNS,
    seed: int = SEED,
    which: Which = Which.ALL,
    full: bool = False,
    workers: Workers | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Narrowed:
    """Return the odds of a build before and after having measured.

    A measured key has a two-piece normal distribution in the place of its range, cut at the key's bounds and at three
    standard deviations; a side that the measurement left open reaches to the end of the key's own range. Keys of one
    source go together as it said, by a Gaussian copula. All others keep their ranges. The runs are around the measured
    values, whatever the build has there.

    Parameters
    ----------
    build : Build
        Any build.
    log : MeasurementLog
        What has been measured; of two rows for one key the later one holds.
    runs, seed, which, full, workers
        As for :func:`~inrushlib.odds.spread` [1].
    progress : callable or None
        Called with the share done, 0 to 1.
    cancelled : callable or None
        Asked between chunks; true stops the work.

    Raises
    ------
    BuildError
        Where a measured or a stated value leaves no room for another: before the first run, all of them at once.
    UsageError
        Where nothing of the build was measured, and as :func:`~inrushlib.odds.spread`.
    Cancelled
        Where the caller asked to stop.
    """
    rows = log.newest()
    here = tuple(row for key, row in rows.items() if _has(build, key))
    if not here:
        raise UsageError("what was measured: no value of this build; accepted: a row for one of its keys at least")
    known = at_measured(build.with_measured(log))

    def told(begin: float, end: float) -> Callable[[float], None] | None:
        return None if progress is None else lambda share: progress(begin + (end - begin) * share)

    after = spread(
        known, runs=runs, seed=seed, which=which, full=full, workers=workers, progress=told(0.0, 1 - OF_BEFORE),
        cancelled=cancelled,
    )  # fmt: skip
    before = spread(
        build.with_measured(MeasurementLog()), runs=runs, seed=seed, which=which, workers=workers,
        progress=told(1 - OF_BEFORE, 1.0), cancelled=cancelled,
    )  # fmt: skip
    return Narrowed(
        build=build,
        before=before,
        after=after,
        measured=here,
        elsewhere=tuple(key for key in rows if not _has(build, key)),
    )


def at_measured(build: Build) -> Build:
    """Return a build with its measured values in the place of its own; what follows from them follows.

    Parameters
    ----------
    build : Build
        With what has been measured of it.

    Raises
    ------
    BuildError
        Where a build cannot have these values, with all that is wrong.
    """
    rows = [row for key, row in build.measured.newest().items() if _has(build, key) and differs(build, row)]
    try:
        return build.with_values({row.key: _as_given(build, row) for row in rows}).with_measured(build.measured)
    except BuildError as error:
        raise BuildError(error.problems, "what was measured") from error


def differs(build: Build, row: Measurement) -> bool:
    """Say whether a measured value is not that of a build.

    Parameters
    ----------
    build : Build
        Any build.
    row : Measurement
        Of one of its keys.
    """
    value = build.get(row.key)
    entries = value if isinstance(value, tuple) else (value,)
    return any(not math.isclose(float(entry), row.value, rel_tol=SAME, abs_tol=1e-15) for entry in entries)


def _doubt(odds: Estimate) -> Estimate:
    """Variance of a yes or no, which is largest at one half."""
    value, *ends = (share * (1 - share) for share in (odds.value, odds.low, odds.high))
    return Estimate(value, min(ends), 0.25 if odds.low <= 0.5 <= odds.high else max(ends))


def _has(build: Build, key: str) -> bool:
    return build.get(key) not in (None, ())


def _as_given(build: Build, row: Measurement) -> Any:
    info, value = build_keys()[row.key], build.get(row.key)
    about = TABLES[info.table].about[info.key]
    number: float | int = round(row.value) if about.kind.is_whole else row.value
    return as_written(about, (number,) * len(value) if isinstance(value, tuple) else number)
