"""The brightness cap: how bright full white, and the build's picture, may be on its adapter and its wires.

``brightness_caps``     the largest levels, the table of levels and currents
``BrightnessCap``       one picture's cap
``firmware_constants``  what the builder carries into the firmware: names, values, units

The build's picture is that of :mod:`inrushlib.search.running`.

A level is 0 to 255 and scales the duty of every channel alike. Pulse-width modulation is linear: the
current of a channel is its duty times its full current (fitted to a published measurement of a strip of 5 V
RGB pixels within 1 %, see tests/published/test_panel_measured.py). All currents are averages; within a
modulation period pixels whose channels are on together take more, from the capacitors.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from inrushlib.build import Build
from inrushlib.panel import PanelState, solve_panel
from inrushlib.parts.place import Place, PlaceKind
from inrushlib.safety.conductors import rating_of
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.safety.hardware import areas_of_build, conductor_currents, conductors_of
from inrushlib.search.rerun import Rerun, rerun
from inrushlib.search.running import Colour, on_ample_adapter, picture_in_words, running_picture, showing
from inrushlib.search.window import DelayWindow, NoWindow, with_delay
from inrushlib.startup import Headline, Startup, hold_lumps, simulate

FULL = 255
TABLE_STEP = 16  # levels between the rows of the table
WHITE = (1.0, 1.0, 1.0)


ADAPTER, LOAD_SWITCH = Place(PlaceKind.ADAPTER), Place(PlaceKind.LOAD_SWITCH)


class Beside(StrEnum):
    """What decides a cap beside the ratings; the value says it in words."""

    NOTHING = ""  # 255 is within all limits
    START = "start"  # the build does not start and stay up with a brighter picture


@dataclass(frozen=True, kw_only=True)
class Level:
    """One row of the table.

    Attributes
    ----------
    level : int
        0 to 255 [1].
    adapter_current : float
        Average current of the adapter, the controller's included [A].
    share_of_rating : float
        Of the adapter's label [1].
    largest_feed_current, largest_hop_current : float
        [A].
    lowest_voltage : float
        At the worst pixel [V].
    """

    level: int
    adapter_current: float
    share_of_rating: float
    largest_feed_current: float
    largest_hop_current: float
    lowest_voltage: float


@dataclass(frozen=True)
class Cap:
    """The largest level within one set of limits.

    Attributes
    ----------
    share : float
        Of every rating that is used: 1, or 0.8 for a lasting load [1].
    level : int or None
        0 to 255 [1]; None where even level 0 is too much.
    adapter_current : float
        At that level, or at level 0 [A].
    limited_by : Place or Beside
        What the next level would overload: adapter, load switch, lead, a feed, a hop; ``Beside.START`` where it would
        make the start end worse; ``Beside.NOTHING`` where 255 is within all limits.
    """

    share: float
    level: int | None
    adapter_current: float
    limited_by: Place | Beside


@dataclass(frozen=True, kw_only=True)
class BrightnessCap:
    """The caps of one picture.

    Attributes
    ----------
    picture : str
        ``"full white"``, ``"firmware.content"`` or ``"firmware.first_frame"``.
    colour : tuple of float
        Duty of red, green and blue at level 255 [1].
    rating : Cap
        Against the full ratings of adapter and conductors.
    continuous : Cap
        Against 80 % of them: a load that lasts three hours or more. This is the one to carry over.
    levels : tuple of Level
        Every sixteenth level, 255 and both caps.
    start : Rerun or None
        The start as it is, and with this picture shown at the level for a lasting load; None where the program
        never runs.
    """

    picture: str
    colour: Colour
    rating: Cap
    continuous: Cap
    levels: tuple[Level, ...]
    start: Rerun | None


@dataclass(frozen=True, kw_only=True)
class BrightnessCaps:
    """Caps of full white and of the build's picture, and what they were held against.

    Attributes
    ----------
    start : Headline
        How the build starts as it is. Where it does not, the caps are for a display that something else starts.
    running : str
        The build's picture in words, and why it is taken.
    white, picture : BrightnessCap
        The two.
    limits : dict of Place to float
        Full rating of the adapter, of every conductor whose gauge is known, and a load switch's limit [A].
    unchecked : tuple of Place
        Conductors whose gauge is not known.
    table : str
        The ampacity table.
    """

    start: Headline
    running: str
    white: BrightnessCap
    picture: BrightnessCap
    limits: dict[Place, float]
    unchecked: tuple[Place, ...]
    table: str


@dataclass(frozen=True)
class FirmwareConstant:
    """One value for the firmware.

    Attributes
    ----------
    name : str
        Such as ``"first frame delay"``.
    value : int
        Whole, in its unit.
    unit : str
        ``"us"``, or ``"of 255"``.
    meaning : str
        What it is counted from, in words.
    """

    name: str
    value: int
    unit: str
    meaning: str


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
    return BrightnessCaps(
        start=start.headline,
        running=picture_in_words(build),
        white=_cap_of(start, "full white", WHITE, limits),
        picture=_cap_of(start, picture.value, colour, limits),
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


def firmware_constants(
    build: Build, caps: BrightnessCaps, window: DelayWindow | NoWindow | None = None
) -> tuple[FirmwareConstant, ...]:
    """What the builder carries into the firmware; values, no code.

    Parameters
    ----------
    build : Build
        The build [SI].
    caps : BrightnessCaps
        Its caps; those for a lasting load are carried over.
    window : DelayWindow, NoWindow or None
        Its delay window; the recommended delay then takes the place of the build's own, unless the start with it
        is worse.

    Returns
    -------
    tuple of FirmwareConstant
        Gate delay (with a switch), first frame delay, the cap that holds for any picture and that for the
        build's own.
    """
    delay, origin = _first_frame(build, caps, window)
    found = []
    if build.switch is not None:
        meaning = "from the first line of the program to closing the switch"
        found.append(FirmwareConstant("gate delay", round(1e6 * build.firmware.gate_delay), "us", meaning))
    meaning = f"from the first line of the program to the first frame; {origin}"
    found.append(FirmwareConstant("first frame delay", round(1e6 * delay), "us", meaning))
    for name, cap in (("brightness cap, any picture", caps.white), ("brightness cap, this picture", caps.picture)):
        meaning = f"scales every channel; {cap.picture} at {CONTINUOUS_SHARE:.0%} of every rating"
        if cap.continuous.level is None:
            meaning += f"; even level 0 is too much for the {cap.continuous.limited_by}"
        found.append(FirmwareConstant(name, cap.continuous.level or 0, f"of {FULL}", meaning))
    return tuple(found)


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
    rows = {*range(0, FULL, TABLE_STEP), FULL, rating.level or 0, continuous.level or 0}
    levels = tuple(_row(build, level, state(level)) for level in sorted(rows))
    return BrightnessCap(
        picture=picture, colour=colour, rating=rating, continuous=continuous, levels=levels, start=start
    )


def _first_frame(build: Build, caps: BrightnessCaps, window: DelayWindow | NoWindow | None) -> tuple[float, str]:
    """Return the first frame delay to carry over [s], and where it comes from."""
    own = "as in the build" if caps.start.good else f"as in the build, which ends as: {caps.start.title}"
    if not isinstance(window, DelayWindow):
        return build.firmware.first_frame_delay, own
    tried = rerun(caps.start, with_delay(build, window.recommended))
    if tried.worsens:
        return (
            build.firmware.first_frame_delay,
            f"{own}; the delay recommended for its window would be worse: {tried.after.title}",
        )
    return window.recommended, f"recommended ({tried.words})"


def _at_level(colour: Colour, level: int) -> Colour:
    red, green, blue = (level / FULL * duty for duty in colour)
    return red, green, blue


def _that_starts(
    base: Startup, colour: Colour, state: Callable[[int], PanelState], cap: Cap
) -> tuple[Cap, Rerun | None]:
    """Return the cap, lowered until the start that shows it is no worse than the build's own, and both starts."""
    if base.running_at is None:
        return cap, None
    running_at = base.running_at

    def shown(level: int) -> Rerun:
        return rerun(base.headline, showing(base.build, _at_level(colour, level), running_at))

    found = shown(cap.level or 0)
    if cap.level is None or not found.worsens:
        return cap, found
    # What a brighter picture does to a start it does all the more the brighter it is.
    good, bad = -1, cap.level
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (good, middle) if shown(middle).worsens else (middle, bad)
    level = None if good < 0 else good
    return Cap(cap.share, level, state(level or 0).adapter_current, Beside.START), shown(level or 0)


def _currents(build: Build, state: PanelState) -> dict[Place, float]:
    through = abs(float(np.sum(state.feed_currents)))
    return {ADAPTER: state.adapter_current, LOAD_SWITCH: through} | conductor_currents(build, state)


def _largest(build: Build, state: Callable[[int], PanelState], limits: dict[Place, float], share: float) -> Cap:
    """Largest level within ``share`` of all limits, by bisection: every current rises with the level."""

    def overloaded(level: int) -> Place | Beside:
        currents = _currents(build, state(level))
        over = {place: currents[place] / (share * limit) for place, limit in limits.items()}
        worst = max(over, key=lambda place: over[place])
        return worst if over[worst] > 1.0 + 1e-9 else Beside.NOTHING

    if overloaded(FULL) is Beside.NOTHING:
        return Cap(share, FULL, state(FULL).adapter_current, Beside.NOTHING)
    if (first := overloaded(0)) is not Beside.NOTHING:
        return Cap(share, None, state(0).adapter_current, first)
    good, bad = 0, FULL
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (good, middle) if overloaded(middle) is not Beside.NOTHING else (middle, bad)
    return Cap(share, good, state(good).adapter_current, overloaded(bad))


def _row(build: Build, level: int, state: PanelState) -> Level:
    return Level(
        level=level,
        adapter_current=state.adapter_current,
        share_of_rating=state.adapter_current / build.adapter.rated_current,
        largest_feed_current=float(np.abs(state.feed_currents).max()),
        largest_hop_current=state.largest_hop_current,
        lowest_voltage=state.lowest_voltage,
    )
