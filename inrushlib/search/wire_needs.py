"""Every wire of a build: what is there, what is needed for the largest adapter, and what has to be bought.

``wire_list``
    the runs of a build, from the adapter's lead to the jumpers
``WireList``, ``WireRun``
    the list, and one run of it
``lengths_of``
    the lengths that a build says
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from inrushlib.build import Build
from inrushlib.copper import AMPACITY_TABLES, BUNDLED, ampacity_of_area, awg_area, wire_resistance
from inrushlib.errors import SolverError, UsageError
from inrushlib.parts import CONNECTORS, LEAD, WIRE_CONNECTORS, Place, PlaceKind, feed, hop
from inrushlib.quantities import format_gauge
from inrushlib.safety import FUSE_FAMILIES, FuseChoice, fuse_for
from inrushlib.safety.hardware import areas_of_build, conductor_currents, connectors_of_build
from inrushlib.search.pulses import Pulses, picture_pulses
from inrushlib.search.wires import (
    MOST_ROUNDS,
    Wire,
    WirePlan,
    fuse_before,
    on_stiff_adapter,
    wire_for,
    wire_plan,
)

FUSES = tuple(sorted({rating for family in FUSE_FAMILIES.values() for rating in family}))
"""Ratings of fuses to choose from [A]: those of all families."""


@dataclass(frozen=True, kw_only=True)
class WireRun:
    """One wire of a build, supply and return.

    Attributes
    ----------
    place : Place
        Which one.
    wire : Wire
        The thinnest stocked gauge that does.
    area : float or None
        Copper that is there [m2]; None where the build does not say.
    ampacity : float or None
        Rating of that [A]; None where it is not known, or thinner than the table.
    drop : float
        Along the loop as it is, in the picture that is shown [V].
    connector : str or None
        Class of connector that is there; None where the build does not say.
    wanted_connector : str or None
        Class of connector with the least rating that does; None where none does.
    fuse : FuseChoice or None
        At its head; None for a jumper, which stands the largest fuse of the feeds.
    """

    place: Place
    wire: Wire
    area: float | None
    ampacity: float | None
    drop: float
    connector: str | None
    wanted_connector: str | None
    fuse: FuseChoice | None

    @property
    def enough(self) -> bool | None:
        """Whether the wire that is there does; None where the build does not say what it is."""
        return None if self.area is None else self.area >= awg_area(self.wire.gauge) * (1.0 - 1e-9)

    @property
    def connector_enough(self) -> bool | None:
        """Whether the connector that is there does; None where the build does not say what it is."""
        if self.connector is None:
            return None
        return CONNECTORS[self.connector][0] >= self.wire.stands * (1.0 - 1e-9)


@dataclass(frozen=True, kw_only=True)
class WireList:
    """Every wire of a build.

    Attributes
    ----------
    runs : tuple of WireRun
        Lead, feeds, jumpers.
    plan : WirePlan
        Feeds and jumpers, and the panel with all of it in place.
    lead_drop_kept : bool
        False where the lead drops more than wanted even in the thickest gauge.
    changes : dict of str to object
        What the wires to buy change, by dotted key of a build [SI, or text with its unit].
    pulses : Pulses or None
        What the picture draws as it is; None where it is not dimmed, is no plain colour, or that is not known.
    """

    runs: tuple[WireRun, ...]
    plan: WirePlan
    lead_drop_kept: bool
    changes: dict[str, object]
    pulses: Pulses | None

    @property
    def enough(self) -> bool:
        """False where a wire or a connector that is there does not do."""
        return not any(run.enough is False or run.connector_enough is False for run in self.runs)

    @property
    def metres(self) -> dict[int, float]:
        """Wire to buy, supply and return together [m], by gauge [AWG], thickest first."""
        return metres_of([run.wire for run in self.runs if run.enough is not True])


def metres_of(wires: Iterable[Wire]) -> dict[int, float]:
    """Return how much of each gauge wires take, supply and return together [m], by gauge [AWG], thickest first.

    Parameters
    ----------
    wires : iterable of Wire
        Each there and back.

    Examples
    --------
    >>> metres_of([wire_for(2.0, 0.5, 0.1), wire_for(2.0, 1.0, 0.2)])
    {20: 3.0}
    """
    found: dict[int, float] = {}
    for wire in wires:
        found[wire.gauge] = found.get(wire.gauge, 0.0) + 2.0 * wire.length
    return dict(sorted(found.items()))


def lengths_of(build: Build) -> tuple[tuple[float, ...] | None, tuple[float, ...] | None]:
    """Lengths of feeds and jumpers that a build says.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    (tuple or None, tuple or None)
        Of the feeds and of the jumpers, one way [m]; None for what it does not say.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> lengths_of(new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                       "wiring.pixels_per_section": 8}))
    (None, ())
    """
    wiring = build.wiring
    return wiring.feed_length, () if wiring.sections == 1 else wiring.hop_length


def wire_list(
    build: Build,
    feed_lengths: Sequence[float],
    hop_lengths: Sequence[float],
    *,
    largest_adapter: float | None = None,
    highest_lead_drop: float = 0.25,
    highest_feed_drop: float = 0.1,
    highest_hop_drop: float = 0.05,
    colour: ArrayLike = (1.0, 1.0, 1.0),
    table: str = BUNDLED,
    celsius: float = 40.0,
) -> WireList:
    """Every wire of a build with what is there and what is needed.

    The feeds and jumpers are those of :func:`~inrushlib.search.wires.wire_plan`, the lead is chosen alike; what is
    there stays where it is thick enough.

    Parameters
    ----------
    build : Build
        The build [SI].
    feed_lengths, hop_lengths : sequence of float
        Of each feed and jumper, one way [m], 0 or more.
    largest_adapter : float or None
        Limit of the largest adapter that may ever be used [A], above 0; the build's own counts where that is larger.
        None for the build's own.
    highest_lead_drop, highest_feed_drop, highest_hop_drop : float
        Along each loop, contacts not counted [V], above 0.
    colour : array
        Duty of red, green and blue [1], 0 to 1: the brightest picture to be shown.
    table : str
        Ampacity table.
    celsius : float
        Temperature of the copper [C], -60 to 250.

    Returns
    -------
    WireList
        The runs.

    Raises
    ------
    UsageError
        Where lengths are missing, or no stocked gauge does; a lead's drop alone is no reason.
    SolverError
        Where the wires do not settle.

    Notes
    -----
    Sources as for ``wire_for`` and ``fuse_for``; connectors by :data:`inrushlib.parts.CONNECTORS`, rated as the wire.
    """
    limit = max(largest_adapter or 0.0, build.adapter.limit_current)
    before, _ = on_stiff_adapter(build, colour, limit)
    areas = areas_of_build(build)
    wired, plan, lead = build, None, None
    for _ in range(MOST_ROUNDS):
        plan = wire_plan(
            wired, feed_lengths, hop_lengths, highest_feed_drop=highest_feed_drop, highest_hop_drop=highest_hop_drop,
            colour=colour, largest_adapter=limit, table=table, celsius=celsius, fuses=FUSES,
        )  # fmt: skip
        lead = _lead(build, plan, highest_lead_drop, table, celsius)
        there = wired.lead.gauge if LEAD in areas or wired is not build else 0.0
        if awg_area(lead.gauge) <= there * (1.0 + 1e-9):
            break
        wired = build.with_values({"lead.gauge": f"{lead.gauge} AWG", "lead.resistance": None})
    else:
        raise SolverError(f"wire list: the lead still changes after {MOST_ROUNDS} rounds; accepted: it does not")
    assert plan is not None
    assert lead is not None
    places = (LEAD, *(feed(section) for section in build.wiring.feeds), *map(hop, range(build.wiring.sections - 1)))
    currents = conductor_currents(build, before)
    loops = (build.lead.resistance, *build.wiring.feed_resistance, *build.wiring.hop_resistance)
    kinds = connectors_of_build(build)
    runs = tuple(
        _run(place, wire, areas.get(place), loop * currents[place], kinds.get(place), limit)
        for place, wire, loop in zip(places, (lead, *plan.feeds, *plan.hops), loops, strict=True)
    )
    kept = lead.drop <= highest_lead_drop * (1.0 + 1e-9)
    duties = np.asarray(colour, dtype=float)
    dimmed = duties.shape == (3,) and bool(((duties > 0.0) & (duties < 1.0)).any())
    pulses = picture_pulses(build, (duties[0], duties[1], duties[2])) if dimmed else None
    return WireList(runs=runs, plan=plan, lead_drop_kept=kept, changes=_changes(build, wired, runs), pulses=pulses)


def _lead(build: Build, plan: WirePlan, highest_drop: float, table: str, celsius: float) -> Wire:
    shown, lit = plan.state.lead_current, plan.power_on.lead_current
    # Where even the thickest gauge drops more, it is taken all the same: the rest of the list is worth having.
    thickest = awg_area(min(AMPACITY_TABLES[table].amperes))
    least = wire_resistance(2.0 * build.lead.length, thickest, celsius) * shown
    highest_drop = max(highest_drop, least * (1.0 + 1e-9))
    return wire_for(
        shown, build.lead.length, highest_drop, power_on=lit, table=table, celsius=celsius, name="lead",
        protected_by=fuse_before(max(shown, lit), FUSES, plan.largest_adapter),
    )  # fmt: skip


def _run(place: Place, wire: Wire, area: float | None, drop: float, connector: str | None, limit: float) -> WireRun:
    fitting = {kind: CONNECTORS[kind][0] for kind in WIRE_CONNECTORS if CONNECTORS[kind][0] >= wire.stands}
    fuse = None
    if place.kind is not PlaceKind.HOP:
        fuse = fuse_for(wire.carried, wire.ampacity, 0.0, ratings=FUSES, faults=(limit,), fault_source="its limit")
    rated = None
    if area is not None:
        try:
            rated = ampacity_of_area(area, wire.table)
        except UsageError:  # thinner than the whole table
            rated = None
    return WireRun(
        place=place, wire=wire, area=area, ampacity=rated, drop=drop, connector=connector,
        wanted_connector=min(fitting, key=lambda kind: fitting[kind], default=None), fuse=fuse,
    )  # fmt: skip


def _changes(build: Build, wired: Build, runs: Sequence[WireRun]) -> dict[str, object]:
    """What the wires to buy change in the build: what is there and thick enough stays."""
    changes: dict[str, object] = {}
    if wired is not build:
        changes |= {"lead.gauge": format_gauge(wired.lead.gauge), "lead.resistance": None}
    for kind, name, now in (
        (PlaceKind.FEED, "feed", build.wiring.feed_resistance),
        (PlaceKind.HOP, "hop", build.wiring.hop_resistance),
    ):
        each = [run for run in runs if run.place.kind is kind]
        if any(run.enough is not True for run in each):
            loops = [
                ohms if run.enough else max(run.wire.resistance, 1e-6) for run, ohms in zip(each, now, strict=True)
            ]
            gauges = {run.wire.gauge for run in each}
            changes[f"wiring.{name}_resistance"] = loops
            changes[f"wiring.{name}_gauge"] = f"{gauges.pop()} AWG" if len(gauges) == 1 else None
    return changes
