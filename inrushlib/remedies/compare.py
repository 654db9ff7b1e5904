"""Remedies side by side: what to change so that a build starts, and what each change brings.

``compare_remedies``   all of them, ordered by how much has to change
``Remedy``             one that was tried: its part values, its start, and what could still go wrong
``NoRemedy``           one that does not apply to this build, and why

Each is looked for along one axis at a time, and judged by its nominal start. :mod:`~inrushlib.remedies.recommend`
looks over all levers at once, and judges by the odds.
"""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.odds.interval import Estimate
from inrushlib.remedies.effort import Effort, effort_of
from inrushlib.remedies.outcome import Change, Found, Needed, Nothing, RemedyName
from inrushlib.remedies.plans import PLANS, NoPlan, Plan, as_it_is
from inrushlib.remedies.risks import dip_verdicts, risks
from inrushlib.search.islands import Asked, Progress
from inrushlib.search.rerun import Rerun
from inrushlib.startup import Cancelled, Headline, Slack, Startup, Verdict, hold_lumps, simulate


@dataclass(frozen=True, kw_only=True)
class Remedy:
    """A remedy that was tried; figures SI, temperatures in degrees Celsius.

    Attributes
    ----------
    name : RemedyName
        Which it is.
    change : Change
        How much has to change.
    parts : Found or Nothing
        What it takes; or why nothing that was tried does, and then the start is of one that was.
    start : Startup
        Of the changed build.
    could_go_wrong : tuple of str
        Sentences from the numbers.
    before : Headline
        How the build starts as it is.
    odds : Estimate or None
        How often the changed build boots at the first try within the ranges [1]; None where that was not asked.
    decided_by : str
        The key that settles most of whether it does; empty where that was not asked or cannot be told.
    pieces : int
        Parts to get and to fit [1].
    """

    name: RemedyName
    change: Change
    parts: Found | Nothing
    start: Startup
    could_go_wrong: tuple[str, ...]
    before: Headline
    odds: Estimate | None = None
    decided_by: str = ""
    pieces: int = 1

    @property
    def effort(self) -> Effort:
        """How much work it is."""
        return effort_of(self.name, self.change, self.combined_with)

    @property
    def slack(self) -> Slack | None:
        """The rule of its start that came closest; None where none had a say."""
        return next((each for each in self.start.slack if each.kept), None)

    @property
    def why(self) -> str:
        """What it does, or why nothing helps, in one sentence."""
        return self.parts.reason if isinstance(self.parts, Nothing) else self.name.effect

    @property
    def needed(self) -> tuple[Needed, ...]:
        """Part values that it takes, found by search; empty where none helps."""
        return self.parts.needed if isinstance(self.parts, Found) else ()

    @property
    def combined_with(self) -> tuple[RemedyName, ...]:
        """What had to come with it, since it did not do it alone."""
        return self.parts.combined_with if isinstance(self.parts, Found) else ()

    @property
    def build(self) -> Build:
        """The changed build."""
        return self.start.build

    @property
    def verdict(self) -> Verdict:
        """How the changed build starts."""
        return self.start.verdict

    @property
    def rerun(self) -> Rerun:
        """How it starts as it is, and with the remedy."""
        return Rerun(self.before, self.start.headline)

    @property
    def helps(self) -> bool:
        """Whether there is what it takes, and the changed build boots at the first try and overstresses nothing."""
        return isinstance(self.parts, Found) and self.start.headline.boots

    @property
    def hottest_junction(self) -> float | None:
        """Highest junction temperature of the switch [degC]; None where the changed build has none."""
        return self.start.figures.highest_junction_temperature


@dataclass(frozen=True, kw_only=True)
class NoRemedy:
    """A remedy that does not apply to this build.

    Attributes
    ----------
    name : RemedyName
        Which it is.
    change : Change
        How much would have to change.
    nothing : Nothing
        Why not.
    before : Headline
        How the build starts as it is.
    """

    name: RemedyName
    change: Change
    nothing: Nothing
    before: Headline

    @property
    def effort(self) -> Effort:
        """How much work it would be."""
        return effort_of(self.name, self.change)

    @property
    def why(self) -> str:
        """Why not, in one sentence."""
        return self.nothing.reason

    @property
    def helps(self) -> bool:
        """It does not."""
        return False


def compare_remedies(
    build: Build, *, progress: Progress | None = None, cancelled: Asked | None = None
) -> tuple[Remedy | NoRemedy, ...]:
    """Return the build as it is and every remedy, ordered by how much has to change.

    Part values are found by search over the model. A remedy that does not help alone is tried together with
    one more, and says so.

    Parameters
    ----------
    build : Build
        The build.
    progress : callable or None
        Called with the share done, 0 to 1.
    cancelled : callable or None
        Asked between remedies; true stops the work.

    Raises
    ------
    SolverError
        Where a start hits a bound.
    inrushlib.startup.Cancelled
        Where the caller asked to stop.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "six tiles", "adapter.rated_current": 1, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> [(r.name.value, r.helps) for r in compare_remedies(build)][:2]
    [('as it is', False), ('faster first frame', False)]
    """
    build = hold_lumps(build)
    base = simulate(build)
    plans: list[Plan | NoPlan] = [as_it_is(build)]
    for number, make in enumerate(PLANS):
        if cancelled is not None and cancelled():
            raise Cancelled("stopped before all remedies were tried")
        if progress is not None:
            progress(number / (len(PLANS) + 1))
        plans.append(make(base))
    tried = [(plan, base if plan.build is build else simulate(plan.build)) for plan in plans if isinstance(plan, Plan)]
    dips = dip_verdicts([start for _, start in tried])
    found: list[Remedy | NoRemedy] = [_remedy(plan, start, dips.get(id(start)), base) for plan, start in tried]
    found += [
        NoRemedy(name=plan.name, change=plan.change, nothing=plan.nothing, before=base.headline)
        for plan in plans
        if isinstance(plan, NoPlan)
    ]
    if progress is not None:
        progress(1.0)
    order = [plan.name for plan in plans]
    return tuple(sorted(found, key=lambda remedy: (remedy.change, order.index(remedy.name))))


def _remedy(plan: Plan, start: Startup, dip: Verdict | None, base: Startup) -> Remedy:
    window = plan.parts.window if isinstance(plan.parts, Found) else None
    return Remedy(
        name=plan.name,
        change=plan.change,
        parts=plan.parts,
        start=start,
        could_go_wrong=risks(start, dip, window),
        before=base.headline,
        pieces=plan.pieces,
    )
