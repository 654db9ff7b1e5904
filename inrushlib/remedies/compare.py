"""Remedies side by side: what to change so that a build starts, and what each change brings.

``compare_remedies``   all of them, ordered by how much has to change
``Remedy``             one of them, with verdict, part values, figures and what could still go wrong
``Change``             how much has to change
"""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.remedies.plans import PLANS, Change, Needed, Plan, RemedyName, as_it_is
from inrushlib.remedies.risks import dip_verdicts, risks
from inrushlib.search.islands import Asked, Progress
from inrushlib.search.rerun import Rerun
from inrushlib.startup import Cancelled, Headline, Startup, Verdict, hold_lumps, simulate


@dataclass(frozen=True, kw_only=True)
class Remedy:
    """One remedy; figures SI, temperatures in degrees Celsius, None where there is none.

    Attributes
    ----------
    name : RemedyName
        Which it is.
    change : Change
        How much has to change.
    why : str
        Why not, or what is done, in one sentence.
    combined_with : tuple of RemedyName
        What had to come with it, since it did not do it alone.
    needed : tuple of Needed
        Part values that it takes, found by search; empty where none helps.
    start : Startup or None
        The start of the changed build; None where this build cannot have it at all.
    could_go_wrong : tuple of str
        Sentences from the numbers.
    before : Headline
        How the build starts as it is.
    """

    name: RemedyName
    change: Change
    why: str
    combined_with: tuple[RemedyName, ...]
    needed: tuple[Needed, ...]
    start: Startup | None
    could_go_wrong: tuple[str, ...]
    before: Headline

    @property
    def applicable(self) -> bool:
        """Whether this build can have it at all; there are no part values and no start where it cannot."""
        return self.start is not None

    @property
    def build(self) -> Build | None:
        """The changed build."""
        return None if self.start is None else self.start.build

    @property
    def verdict(self) -> Verdict | None:
        """How the changed build starts."""
        return None if self.start is None else self.start.verdict

    @property
    def rerun(self) -> Rerun | None:
        """How it starts as it is, and with the remedy."""
        return None if self.start is None else Rerun(self.before, self.start.headline)

    @property
    def helps(self) -> bool:
        """Whether the changed build boots at the first try and overstresses nothing."""
        return self.start is not None and self.start.headline.boots

    @property
    def peak_lead_current(self) -> float | None:
        """Largest current in the lead [A]."""
        return None if self.start is None else self.start.figures.peak_lead_current

    @property
    def lit_before_data(self) -> float | None:
        """How long the display glows before the first data [s]."""
        return None if self.start is None else self.start.figures.lit_before_data

    @property
    def lowest_rail_voltage(self) -> float | None:
        """Lowest voltage of the controller's rail once it was out of reset [V]."""
        return None if self.start is None else self.start.figures.lowest_rail_voltage

    @property
    def hottest_junction(self) -> float | None:
        """Highest junction temperature of the switch [degC]."""
        return None if self.start is None else self.start.figures.highest_junction_temperature


def compare_remedies(
    build: Build, *, progress: Progress | None = None, cancelled: Asked | None = None
) -> tuple[Remedy, ...]:
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
    plans: list[Plan] = [as_it_is(build)]
    for number, make in enumerate(PLANS):
        if cancelled is not None and cancelled():
            raise Cancelled("stopped before all remedies were tried")
        if progress is not None:
            progress(number / (len(PLANS) + 1))
        plans.append(make(base))
    starts = [base if p.build is build else None if p.build is None else simulate(p.build) for p in plans]
    dips = dip_verdicts([start for start in starts if start is not None])
    found = []
    for plan, start in zip(plans, starts, strict=True):
        wrong = () if start is None else risks(plan, start, dips.get(id(start)))
        found.append(
            Remedy(
                name=plan.name,
                change=plan.change,
                why=plan.why,
                combined_with=plan.combined_with,
                needed=plan.needed,
                start=start,
                could_go_wrong=wrong,
                before=base.headline,
            )
        )
    if progress is not None:
        progress(1.0)
    return tuple(sorted(found, key=lambda remedy: remedy.change))
