"""The brightness cap: how bright full white, and the build's picture, may be on its adapter and its wires.

``brightness_caps``     the largest levels, the table of levels and currents
``conductor_limits``    what they are held against

The build's picture is that of :mod:`inrushlib.search.running`.

A level is 0 to 255 and scales the duty of every channel alike. Pulse-width modulation is linear: the
current of a channel is its duty times its full current (fitted to a published measurement of a strip of 5 V
RGB pixels within 1 %, see tests/published/test_panel_measured.py). All currents are averages; within a
modulation period pixels whose channels are on together take more, from the capacitors.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from inrushlib.build import Build
from inrushlib.panel import PanelState, solve_panel
from inrushlib.parts.place import Place, PlaceKind
from inrushlib.safety.conductors import rating_of
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.safety.hardware import areas_of_build, conductor_currents, conductors_of
from inrushlib.search.caps import FULL, BrightnessCap, BrightnessCaps, Cap, Level, NoCap, NotShown, OtherLimit
from inrushlib.search.pulses import picture_pulses
from inrushlib.search.rerun import Rerun, rerun
from inrushlib.search.running import Colour, on_ample_adapter, picture_in_words, running_picture, showing
from inrushlib.startup import Startup, hold_lumps, simulate

TABLE_STEP = 16  # levels between the rows of the table
WHITE = (1.0, 1.0, 1.0)

ADAPTER, LOAD_SWITCH = Place(PlaceKind.ADAPTER), Place(PlaceKind.LOAD_SWITCH)


def brightness_caps(build: Build, table: str = "chassis wiring") -> BrightnessCaps:
    """The largest levels of full white and of the build's picture that adapter and conductors carry.

    Parameters
    ----------
    build : Build
        The build [SI]; ``lead.gauge``, ``wiring.feed_gauge`` and ``wiring.hop_gauge`` say which wires are checked.
    table : str
        Name of the ampacity table, a key of :data:`inrushlib.copper.AMPACITY_TABLES`.

    Returns
    -------
    BrightnessCaps
        From the steady panel on an adapter that does not limit. The caps for a lasting load are then shown in a
        start, and lowered until it ends no worse than that of the build as it is.

    Notes
    -----
    80 % for a lasting load: NEC 210.20(A) and 215.3, which ask for 125 % of it in breaker and conductor. A
    calculation, not an approval: local codes decide.
    """
    build = hold_lumps(build)
    limits, unchecked = conductor_limits(build, table)
    picture, colour = running_picture(build)
    start = simulate(build)
    shown = _cap_of(start, picture.words, colour, limits)
    cap = shown.continuous
    return BrightnessCaps(
        start=start.headline,
        running=picture_in_words(build),
        white=_cap_of(start, "full white", WHITE, limits),
        picture=shown,
        pulses=picture_pulses(build, _at_level(colour, cap.level)) if isinstance(cap, Cap) else None,
        limits=limits,
        unchecked=unchecked,
        table=table,
    )


def conductor_limits(build: Build, table: str) -> tuple[dict[Place, float], tuple[Place, ...]]:
    """Full ratings of adapter, load switch and conductors, and the conductors whose gauge is not known.

    Parameters
    ----------
    build : Build
        The build [SI].
    table : str
        Name of the ampacity table.

    Returns
    -------
    tuple of dict and tuple of Place
        Rating [A] by place; places without a known gauge. A lead whose resistance was given without its gauge
        counts as not known.
    """
    areas = areas_of_build(build)
    places = conductors_of(build)
    limits = {ADAPTER: build.adapter.rated_current}
    if build.switch is not None and build.switch.kind == "load-switch":
        limits[LOAD_SWITCH] = build.switch.current_limit
    limits |= {place: rating_of(build, place, areas[place], table) for place in places if place in areas}
    return limits, tuple(place for place in places if place not in areas)


def _cap_of(base: Startup, picture: str, colour: Colour, limits: dict[Place, float]) -> BrightnessCap:
    build = base.build
    ample = on_ample_adapter(build, colour)
    solved: dict[int, PanelState] = {}

    def state(level: int) -> PanelState:
        if level not in solved:
            solved[level] = solve_panel(ample, _at_level(colour, level))
        return solved[level]

    rating, continuous = (_largest(build, state, limits, share) for share in (1.0, CONTINUOUS_SHARE))
    continuous, start = _that_starts(base, colour, state, continuous)
    rows = {*range(0, FULL, TABLE_STEP), FULL, rating.shown_level, continuous.shown_level}
    levels = tuple(_row(build, level, state(level)) for level in sorted(rows))
    return BrightnessCap(
        picture=picture, colour=colour, rating=rating, continuous=continuous, levels=levels, start=start
    )


def _at_level(colour: Colour, level: int) -> Colour:
    red, green, blue = (level / FULL * duty for duty in colour)
    return red, green, blue


def _that_starts(
    base: Startup, colour: Colour, state: Callable[[int], PanelState], cap: Cap | NoCap
) -> tuple[Cap | NoCap, Rerun | NotShown]:
    """Return the cap, lowered until the start that shows it is no worse than the build's own, and both starts."""
    if base.running_at is None:
        return cap, NotShown.PROGRAM_NEVER_RUNS
    running_at = base.running_at

    def shown(level: int) -> Rerun:
        return rerun(base.headline, showing(base.build, _at_level(colour, level), running_at))

    found = shown(cap.shown_level)
    if isinstance(cap, NoCap) or not found.worsens:
        return cap, found
    # What a brighter picture does to a start it does all the more the brighter it is.
    good, bad = -1, cap.level
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (good, middle) if shown(middle).worsens else (middle, bad)
    if good < 0:
        return NoCap(share=cap.share, adapter_current=state(0).adapter_current, limited_by=OtherLimit.START), shown(0)
    current = state(good).adapter_current
    return Cap(share=cap.share, level=good, adapter_current=current, limited_by=OtherLimit.START), shown(good)


def _currents(build: Build, state: PanelState) -> dict[Place, float]:
    through = abs(float(np.sum(state.feed_currents)))
    return {ADAPTER: state.adapter_current, LOAD_SWITCH: through} | conductor_currents(build, state)


def _largest(build: Build, state: Callable[[int], PanelState], limits: dict[Place, float], share: float) -> Cap | NoCap:
    """Largest level within ``share`` of all limits, by bisection: every current rises with the level."""

    def overloaded(level: int) -> Place | OtherLimit:
        currents = _currents(build, state(level))
        over = {place: currents[place] / (share * limit) for place, limit in limits.items()}
        worst = max(over, key=lambda place: over[place])
        return worst if over[worst] > 1.0 + 1e-9 else OtherLimit.NOTHING

    def cap(level: int, limited_by: Place | OtherLimit) -> Cap:
        return Cap(share=share, level=level, adapter_current=state(level).adapter_current, limited_by=limited_by)

    if overloaded(FULL) is OtherLimit.NOTHING:
        return cap(FULL, OtherLimit.NOTHING)
    if (first := overloaded(0)) is not OtherLimit.NOTHING:
        return NoCap(share=share, adapter_current=state(0).adapter_current, limited_by=first)
    good, bad = 0, FULL
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (good, middle) if overloaded(middle) is not OtherLimit.NOTHING else (middle, bad)
    return cap(good, overloaded(bad))


def _row(build: Build, level: int, state: PanelState) -> Level:
    return Level(
        level=level,
        adapter_current=state.adapter_current,
        share_of_rating=state.adapter_current / build.adapter.rated_current,
        largest_feed_current=float(np.abs(state.feed_currents).max()),
        largest_hop_current=state.largest_hop_current,
        lowest_voltage=state.lowest_voltage,
    )
