"""What a builder can do to a build, each with its own levers in values that are sold or can be programmed.

``measures_of``  those that a build can have
``Measure``      one of them: its levers, what it sets, how much changes
``Lever``        one value that can be chosen, from cheap to dear
``FIRMWARE``     the levers of the program, which go with every measure
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from inrushlib.build import Build
from inrushlib.remedies.effort import Effort, effort_of
from inrushlib.remedies.outcome import Change, RemedyName
from inrushlib.search.preferred import E6, E12, ladder
from inrushlib.search.ratings import RATINGS

GATE_DELAY: Final = "firmware.gate_delay"
FIRST_FRAME: Final = "firmware.first_frame_delay"
REPEAT: Final = "firmware.refresh_interval"
LANES: Final = "wiring.lanes"
RATING: Final = "adapter.rated_current"
RAIL: Final = "controller.rail_capacitance"
BULKS: Final = frozenset({"bus.bulk", "panel.bulk"})
BESIDE: Final = BULKS | {RAIL}
"""What a measure may leave as it is."""
SINGLE: Final = frozenset({RemedyName.BIGGER_ADAPTER, RemedyName.DARK_PIXELS})
"""What is bought instead: the dearer way already, so that next to nothing is put together with it."""
DEAR: Final = SINGLE | {RemedyName.CAPACITOR_BANK}
"""Measures beside which a cheaper way is looked for even where they boot often enough."""
_EITHER = (
    {RemedyName.HIGH_SIDE_SWITCH, RemedyName.LOAD_SWITCH},
    {RemedyName.OWN_SUPPLY, RemedyName.RESERVOIR_BEHIND_DIODE},
    {RemedyName.BUS_CAPACITOR, RemedyName.PANEL_CAPACITOR},
    {RemedyName.BUS_CAPACITOR, RemedyName.CAPACITOR_BANK},
    {RemedyName.PANEL_CAPACITOR, RemedyName.CAPACITOR_BANK},
)
_WITH_BOUGHT = ({RemedyName.BIGGER_ADAPTER, RemedyName.MORE_FEEDS},)  # what it gives has to arrive
LARGEST_PIECE: Final = 10e-3
"""Largest electrolytic that is commonly stocked [F]; common practice, no source."""
LARGEST_PAIR: Final = 2 * LARGEST_PIECE
"""Two of them side by side [F]: soldered like one, not a bank yet."""
DAMPING: Final = 1e-3
"""Electrolytic that takes up the lead's current when the display turns dark [F]; common practice, no source."""
LARGEST_RAIL: Final = 1e-3
"""Largest electrolytic that is tried at the controller's rail [F]; common practice, no source."""
_LIMITS = (2.0, 3.0, 5.0, 10.0, 15.0, 20.0)  # [A] of load switches; common practice, no source
_AT_RAIL = "capacitor at the controller's rail"
_BANKS = (3, 5, 7, 10)  # pieces of it
LARGEST_BANK: Final = _BANKS[-1] * LARGEST_PIECE
"""Largest bank of electrolytics that is tried [F]; common practice, no source."""


@dataclass(frozen=True)
class Lever:
    """One value that can be chosen.

    Attributes
    ----------
    key : str
        Dotted key of the build.
    unit : str
        SI unit.
    what : str
        What it is, in words.
    values : tuple of float
        To choose from, from cheap to dear [unit]. Of the first frame: after the display is switched on. Of the
        repetition: in times of one frame [1].
    priced : bool
        Whether a later value costs more; a value of the program does not.
    """

    key: str
    unit: str
    what: str
    values: tuple[float, ...]
    priced: bool = True


@dataclass(frozen=True)
class Measure:
    """Something that a builder can do.

    Attributes
    ----------
    name : RemedyName
        Which.
    change : Change
        How much has to change.
    levers : tuple of Lever
        Its own.
    fixed : dict of str to object
        Dotted key to value, of what it sets in any case.
    pieces : int
        Parts to get and to fit [1].
    """

    name: RemedyName
    change: Change
    levers: tuple[Lever, ...]
    fixed: dict[str, Any]
    pieces: int

    @property
    def effort(self) -> Effort:
        """How much work it is."""
        return effort_of(self.name, self.change)

    def goes_with(self, other: Measure) -> bool:
        """Whether both can be had together.

        Parameters
        ----------
        other : Measure
            Another one.
        """
        pair = {self.name, other.name}
        if pair & SINGLE:
            return pair in _WITH_BOUGHT
        return len(pair) == 2 and pair not in _EITHER


# After the display is switched on, or after the program begins where nothing switches it.
_FIRST = Lever(FIRST_FRAME, "s", "first frame", (1e-3, 0.0, 2e-3, 5e-3, 10e-3, 20e-3, 50e-3, 0.1, 0.2), priced=False)
_REPEAT = Lever(REPEAT, "1", "dark frame again every", (1.1, 1.5, 2.5, 5.0), priced=False)
_GATE = Lever(GATE_DELAY, "s", "display switched on", (0.0, 10e-3, 50e-3, 0.1, 0.2, 0.5, 1.0, 2.0), priced=False)
FIRMWARE: Final = (_FIRST, _REPEAT)
_GATE_PARTS = (
    Lever("switch.gate_resistance", "ohm", "gate resistance", ladder(E12, 100.0, 47e3), priced=False),
    Lever("switch.gate_drain_capacitance", "F", "gate-drain capacitance", ladder(E6, 1e-9, 10e-6), priced=False),
    Lever("switch.pullup_resistance", "ohm", "pull-up", (10e3, 47e3, 100e3), priced=False),
)


def measures_of(build: Build) -> tuple[Measure, ...]:
    """Return what can be done to a build, in the order of effort.

    Parameters
    ----------
    build : Build
        Any build.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> [measure.name.value for measure in measures_of(build)][:3]
    ['capacitor at the bus', 'capacitor at the panel', 'reservoir behind a diode']
    """
    found = [*_gate(build), *_capacitors(build), *_rail(build), *_reservoir(build), *_switches(build), *_supply(build)]
    found += [*_wiring(build), *_bank(build), *_bought(build)]
    return tuple(found)


def _gate(build: Build) -> list[Measure]:
    switch = build.switch
    if switch is None:
        return []
    if switch.kind != "p-channel":
        own = switch.current_limit
        limits = () if own is None else (own, *(limit for limit in _LIMITS if limit > own))
        levers = (
            *([Lever("switch.current_limit", "A", "load switch with a limit", limits)] if len(limits) > 1 else []),
            Lever("switch.slew_rate", "V/s", "slew", ladder(E6, 100.0, 10e3), priced=False),
        )
        return [Measure(RemedyName.LOAD_SWITCH, Change.ONE_PART, levers, {}, 1)]
    return [Measure(RemedyName.SLOWER_GATE, Change.ONE_PART, _GATE_PARTS, {}, 2)]


def _capacitors(build: Build) -> list[Measure]:
    found = []
    for place, name in (("bus", RemedyName.BUS_CAPACITOR), ("panel", RemedyName.PANEL_CAPACITOR)):
        key = f"{place}.bulk"
        values = tuple(value for value in (*ladder(E6, 470e-6, LARGEST_PIECE), LARGEST_PAIR) if value > build.get(key))
        if values:
            lever = Lever(key, "F", f"electrolytic at the {place}", values)
            found.append(Measure(name, Change.ONE_PART, (lever,), {}, 1))
    return found


def _rail(build: Build) -> list[Measure]:
    own = build.controller.rail_capacitance
    values = tuple(value for value in ladder(E6, 100e-6, LARGEST_RAIL) if value > own)
    if not values or not _has_radio(build):
        return []
    lever = Lever(RAIL, "F", _AT_RAIL, values)
    return [Measure(RemedyName.RAIL_CAPACITOR, Change.ONE_PART, (lever,), {}, 1)]


def _has_radio(build: Build) -> bool:
    return bool(build.controller.burst_current or build.controller.boot_peak_current)


def _bank(build: Build) -> list[Measure]:
    values = tuple(count * LARGEST_PIECE for count in _BANKS if count * LARGEST_PIECE > build.bus.bulk)
    lever = Lever("bus.bulk", "F", "electrolytics at the bus", values)
    return [Measure(RemedyName.CAPACITOR_BANK, Change.REWIRING, (lever,), {}, 1)] if values else []


def _reservoir(build: Build) -> list[Measure]:
    c = build.controller
    if c.feed == "own":
        return []
    values = tuple(value for value in ladder(E6, 47e-6, 10e-3) if value > c.reservoir)
    change = Change.ONE_PART if c.feed_diode else Change.REWIRING
    lever = Lever("controller.reservoir", "F", "reservoir behind a diode", values)
    fixed = {"controller.feed_diode": True}
    return [Measure(RemedyName.RESERVOIR_BEHIND_DIODE, change, (lever,), fixed, 2)] if values else []


def _switches(build: Build) -> list[Measure]:
    if build.switch is not None:
        return []
    resistance = Lever("switch.on_resistance", "ohm", "P-channel switch", (20e-3, 10e-3, 5e-3))
    integrated = (
        Lever("switch.on_resistance", "ohm", "load switch", (50e-3, 20e-3, 10e-3)),
        Lever("switch.current_limit", "A", "its limit", _LIMITS),
        Lever("switch.slew_rate", "V/s", "its slew", ladder(E6, 100.0, 10e3), priced=False),
    )
    kind = {"switch.kind": "load-switch"}
    return [
        Measure(RemedyName.HIGH_SIDE_SWITCH, Change.REWIRING, (resistance, *_GATE_PARTS), {}, 4),
        Measure(RemedyName.LOAD_SWITCH, Change.REWIRING, integrated, kind, 1),
    ]


def _supply(build: Build) -> list[Measure]:
    if build.controller.feed == "own":
        return []
    return [Measure(RemedyName.OWN_SUPPLY, Change.REWIRING, (), {"controller.feed": "own"}, 1)]


def _wiring(build: Build) -> list[Measure]:
    w, found = build.wiring, []
    lanes = tuple(float(n) for n in sorted({2, 3, 4, 6, 8, w.sections}) if w.lanes < n <= w.sections)
    if lanes:
        lever = Lever(LANES, "1", "data lines", lanes)
        found.append(Measure(RemedyName.MORE_DATA_LINES, Change.REWIRING, (lever,), {}, 1))
    if w.sections > 1 and len(w.feeds) < w.sections and "wiring.feed_pixels" not in build.given:
        fixed = {"wiring.feeds": list(range(w.sections)), "wiring.feed_resistance": max(w.feed_resistance)}
        found.append(Measure(RemedyName.MORE_FEEDS, Change.REWIRING, (), fixed, w.sections - len(w.feeds)))
    if build.limiter is None:
        ohms = Lever("limiter.cold_resistance", "ohm", "NTC, cold", ladder(E6, 1.0, 10.0), priced=False)
        found.append(Measure(RemedyName.INRUSH_LIMITER, Change.REWIRING, (ohms,), {}, 1))
    return found


def _bought(build: Build) -> list[Measure]:
    larger = tuple(each for each in RATINGS if each > build.adapter.rated_current)
    own, found = build.controller.rail_capacitance, []
    # Neither a larger adapter nor dark pixels carry the radio's bursts at the rail.
    rail = [Lever(RAIL, "F", _AT_RAIL, (own, LARGEST_RAIL))] if _has_radio(build) and own < LARGEST_RAIL else []
    if larger:
        levers = [Lever(RATING, "A", "adapter", larger)]
        if build.bus.bulk < DAMPING:
            # The lead's current has to go somewhere when the display turns dark.
            levers.append(Lever("bus.bulk", "F", "electrolytic at the bus", (build.bus.bulk, DAMPING)))
        found.append(Measure(RemedyName.BIGGER_ADAPTER, Change.ONE_PART, (*levers, *rail), {}, 1))
    if any(build.pixel.power_on):
        dark = {"pixel.power_on": [0, 0, 0]}
        found.append(Measure(RemedyName.DARK_PIXELS, Change.OTHER_PIXELS, tuple(rail), dark, build.wiring.sections))
    return found


def gate_lever(build: Build, measures: tuple[Measure, ...]) -> tuple[Lever, ...]:
    """Return the lever of the program that switches the display on; none where nothing switches it.

    Parameters
    ----------
    build : Build
        The build as it is.
    measures : tuple of Measure
        What is done to it.
    """
    adds = any(each.name in (RemedyName.HIGH_SIDE_SWITCH, RemedyName.LOAD_SWITCH) for each in measures)
    return (_GATE,) if adds or build.switch is not None else ()
