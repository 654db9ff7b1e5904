"""All that stands on a sheet, computed once by the functions that the commands call."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from inrushlib.build import Build
from inrushlib.copper import BUNDLED, FREE_AIR
from inrushlib.errors import InrushError, SolverError
from inrushlib.guide import LogLine, bench_log
from inrushlib.margins import Assumed, assumed_values
from inrushlib.measurements import MeasurementLog
from inrushlib.odds import SpreadFound, at_measured, spread
from inrushlib.panel import solve_panel
from inrushlib.safety import Finding, SwitchStress, safety_findings, switch_stress, watched_start
from inrushlib.search import (
    AdapterSize,
    DelayWindow,
    NoAdapter,
    NoWindow,
    WireList,
    delay_window,
    lengths_of,
    smallest_adapter,
    wire_list,
    with_limit,
)
from inrushlib.search.running import running_current
from inrushlib.startup import Startup, highest_rail_voltage, simulate
from inrushlib.startup.pack import frame_time

RUNS: Final = 128
"""Starts of the odds on a sheet [1]."""
WHITE: Final = (1.0, 1.0, 1.0)
FEED_LENGTH: Final = 0.5  # [m]
HOP_LENGTH: Final = 0.1  # [m]


@dataclass(frozen=True, kw_only=True)
class Lengths:
    """Lengths of feeds and jumpers where the build does not say them.

    Attributes
    ----------
    feed, hop : float
        One way [m].
    """

    feed: float = FEED_LENGTH
    hop: float = HOP_LENGTH


@dataclass(frozen=True, kw_only=True)
class SheetFacts:
    """All that stands on a sheet.

    Attributes
    ----------
    start : Startup
        The start of the build.
    assumed : tuple of Assumed
        What was assumed of it.
    odds : SpreadFound or None
        The odds; None where they were not asked for.
    size : AdapterSize or NoAdapter
        The adapter to buy.
    wires : WireList or str
        The wires for the larger of that adapter and the build's; a sentence where there is no such list.
    lengths_taken : Lengths or None
        What was taken for lengths that the build does not say; None where it says all.
    window : DelayWindow, NoWindow or None
        How long to wait for the first frame; None without a switch.
    stress : SwitchStress or None
        Of the switch; None without one.
    findings : tuple of Finding
        What can get hot or burn while every pixel is white, worst first; empty where that cannot be computed.
    running_current : float or None
        What the lead carries in the running picture [A]; None where that cannot be computed.
    measured : tuple of LogLine
        What has been measured against what the model had; empty for nothing.
    """

    start: Startup
    assumed: tuple[Assumed, ...]
    odds: SpreadFound | None
    size: AdapterSize | NoAdapter
    wires: WireList | str
    lengths_taken: Lengths | None
    window: DelayWindow | NoWindow | None
    stress: SwitchStress | None
    findings: tuple[Finding, ...]
    running_current: float | None
    measured: tuple[LogLine, ...] = ()

    @property
    def build(self) -> Build:
        """The build."""
        return self.start.build

    @property
    def rating(self) -> float:
        """Label of the adapter to use [A]: the build's own where that does, or none does, else the one to buy."""
        own = self.build.adapter.rated_current
        standard = self.size.standard_rating if isinstance(self.size, AdapterSize) else None
        if standard is None or (self.start.headline.good and own >= standard):
            return own
        return standard

    @property
    def bought(self) -> Build:
        """The build with the adapter and the wires to buy, for the drawings."""
        build, a = self.build, self.build.adapter
        if self.rating != a.rated_current:
            build = with_limit(build, self.rating * a.limit_current / a.rated_current)
        return build.with_values(self.wires.changes) if isinstance(self.wires, WireList) else build

    @property
    def highest_rail(self) -> float:
        """Rail voltage of the controller where its supply is ample [V]."""
        return highest_rail_voltage(self.build)

    @property
    def frame_time(self) -> float:
        """Length of a frame on the longest data line, its gap included [s]."""
        return frame_time(self.build)


def collect(
    build: Build,
    *,
    runs: int | None = RUNS,
    lengths: Lengths | None = None,
    log: MeasurementLog | None = None,
    progress: Callable[[float], None] | None = None,
) -> SheetFacts:
    """Compute all that stands on the sheet of a build.

    Parameters
    ----------
    build : Build
        The build [SI].
    runs : int or None
        Starts for the odds [1], 64 or more; None for no odds.
    lengths : Lengths or None
        For feeds and jumpers whose lengths the build does not say; None for the usual ones.
    log : MeasurementLog or None
        What has been measured of it; None for nothing.
    progress : callable or None
        Called with the share of the odds' runs, 0 to 1.

    Raises
    ------
    SolverError
        Where a start does not settle.
    UsageError
        Where the number of runs is not accepted.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> facts = collect(new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                            "wiring.pixels_per_section": 8, "run.duration": 0.3}), runs=None)
    >>> facts.rating, facts.size.standard_rating, facts.window
    (2.0, 0.5, None)
    """
    start = simulate(build)
    size = smallest_adapter(build)
    wires, taken = _wires(build, size, lengths or Lengths())
    return SheetFacts(
        start=start,
        assumed=assumed_values(build),
        odds=None if runs is None else spread(_known(build, log), runs=runs, progress=progress),
        size=size,
        wires=wires,
        lengths_taken=taken,
        window=None if build.switch is None else delay_window(build),
        stress=None if build.switch is None else switch_stress(build),
        findings=_findings(build),
        running_current=_running(build),
        measured=() if log is None else bench_log(build, log),
    )


def _wires(build: Build, size: AdapterSize | NoAdapter, lengths: Lengths) -> tuple[WireList | str, Lengths | None]:
    """Wires for the adapter to buy, single in free air where a bundle does not do, and the lengths that were taken."""
    feeds, hops = lengths_of(build)
    a = build.adapter
    largest = size.standard_rating if isinstance(size, AdapterSize) else None
    limit = None if largest is None else largest * a.limit_current / a.rated_current
    taken = None if feeds is not None and hops is not None else lengths
    feeds = feeds if feeds is not None else (lengths.feed,) * len(build.wiring.feeds)
    hops = hops if hops is not None else (lengths.hop,) * (build.wiring.sections - 1)
    why = ""
    for table in (BUNDLED, FREE_AIR):
        try:
            return wire_list(build, feeds, hops, largest_adapter=limit, table=table), taken
        except InrushError as error:
            why = why or str(error)
    return why, taken


def _findings(build: Build) -> tuple[Finding, ...]:
    try:
        return safety_findings(build, solve_panel(build, WHITE), watched_start(build))
    except SolverError:
        return ()


def _known(build: Build, log: MeasurementLog | None) -> Build:
    return build if log is None else at_measured(build.with_measured(log))


def _running(build: Build) -> float | None:
    try:
        return running_current(build)
    except InrushError:
        return None
