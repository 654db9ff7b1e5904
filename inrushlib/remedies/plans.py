"""What each remedy changes in a build, its part values found by search.

``PLANS``   from the build's own start to a plan, one function a remedy
``Plan``    a changed build, and the part values that it takes or why none does
``NoPlan``  why this build cannot have the remedy
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from inrushlib.build import Build
from inrushlib.quantities import format_quantity
from inrushlib.remedies.leads import lead_for, lead_needed
from inrushlib.remedies.outcome import Change, Found, Needed, Nothing, RemedyName, WhyNot
from inrushlib.safety.finding import CONTINUOUS_SHARE, JUNCTION_RESERVE
from inrushlib.search.adapter import smallest_adapter
from inrushlib.search.adapter_size import NoAdapter
from inrushlib.search.delay_spare import far_enough
from inrushlib.search.islands import find_islands, which_boot
from inrushlib.search.preferred import next_e6
from inrushlib.search.quiet import NoWindow, quiet_start
from inrushlib.search.ratings import RATINGS, next_rating, with_limit
from inrushlib.search.reservoir import smallest_reservoir, with_reservoir
from inrushlib.search.reservoir_size import CAPACITOR_TOLERANCE, LARGEST, NoReservoir
from inrushlib.search.window import FINEST, QUICK_TOLERANCE, between, is_open, quick_window
from inrushlib.startup import Startup, Verdict, screen, simulate

SPARE = 1.05  # of the smallest label that starts the display, below which next to nothing is to spare
SHORTEST_BOOT = 1e-3  # [s]
AFTER_LISTENING = 1.1  # of the delay from which all sections listen: the earliest that is safe to use
ON_RESISTANCES = (40e-3, 20e-3, 10e-3, 5e-3, 2.5e-3)  # [ohm] of switches to try, from cheap to dear; common practice
LARGEST_DIVIDER = 0.25  # of the pull-up: with a larger gate resistance the gate no longer comes low enough
ROUGH = 0.05  # to which part values are found that are rounded up afterwards


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A changed build, before its start is run.

    Attributes
    ----------
    name : RemedyName
        Which remedy.
    change : Change
        How much has to change.
    build : Build
        The changed build.
    parts : Found or Nothing
        What it takes; or why nothing that was tried does, and then the build shows one that was.
    pieces : int
        Parts to get and to fit [1].
    """

    name: RemedyName
    change: Change
    build: Build
    parts: Found | Nothing
    pieces: int = 1


@dataclass(frozen=True, kw_only=True)
class NoPlan:
    """The remedy does not apply to this build.

    Attributes
    ----------
    name, change : RemedyName, Change
        As of :class:`Plan`.
    nothing : Nothing
        Why.
    """

    name: RemedyName
    change: Change
    nothing: Nothing


def _said(value: float, unit: str, digits: int = 3) -> str:
    return format_quantity(value, unit, digits=digits)


def as_it_is(build: Build) -> Plan:
    """The ``build`` without a change."""
    return Plan(name=RemedyName.AS_IT_IS, change=Change.NOTHING, build=build, parts=Found())


def bigger_adapter(base: Startup) -> Plan | NoPlan:
    """The next standard rating that starts the display of ``base`` and carries its picture."""
    build, name = base.build, RemedyName.BIGGER_ADAPTER
    size = smallest_adapter(build)
    ratio = build.adapter.limit_current / build.adapter.rated_current
    if isinstance(size, NoAdapter):
        nothing = Nothing(WhyNot.NO_RATING, f"tried up to {_said(RATINGS[-1], 'A')}")
        largest = with_limit(build, RATINGS[-1] * ratio)
        return Plan(name=name, change=Change.ONE_PART, build=largest, parts=nothing)
    if size.standard_rating <= build.adapter.rated_current and base.headline.boots:
        enough = Nothing(WhyNot.LABEL_IS_ENOUGH, _said(build.adapter.rated_current, "A"))
        return NoPlan(name=name, change=Change.ONE_PART, nothing=enough)
    words = f"adapter of {_said(size.standard_rating, 'A')}: the {size.decided_by} decides"
    words += f"; it starts from {_said(size.starting.rated_current, 'A')} on"
    if size.standard_rating < SPARE * size.starting.rated_current:
        words += ", so next to nothing is to spare: an adapter that gives less than its label does not do"
    needed = Needed("adapter.rated_current", size.standard_rating, "A", words)
    larger = with_limit(build, size.standard_rating * ratio)
    led = larger.with_values(lead_for(build, size.standard_rating))
    parts = Found(needed=(needed, *lead_needed(build, led)))
    return Plan(name=name, change=Change.ONE_PART, build=led, parts=parts)


def reservoir_behind_diode(base: Startup) -> Plan | NoPlan:
    """A diode in front of the reservoir of ``base``, and the smallest capacitor that carries the controller through."""
    build, name = base.build, RemedyName.RESERVOIR_BEHIND_DIODE
    if build.controller.feed == "own":
        return NoPlan(name=name, change=Change.REWIRING, nothing=Nothing(WhyNot.HAS_OWN_SUPPLY))
    change = Change.ONE_PART if build.controller.feed_diode else Change.REWIRING
    found = _reservoir(build)
    if found is None:
        shown = with_reservoir(build, LARGEST / 10)
        tried = f"tried up to {_said(LARGEST, 'F')}; shown with {_said(LARGEST / 10, 'F')}"
        return Plan(name=name, change=change, build=shown, parts=Nothing(WhyNot.NO_RESERVOIR, tried))
    own = build.controller.reservoir
    if build.controller.feed_diode and base.headline.boots and found.value <= own:
        enough = f"it has {_said(own, 'F')}, and {_said(found.value, 'F')} would do"
        return NoPlan(name=name, change=change, nothing=Nothing(WhyNot.RESERVOIR_IS_ENOUGH, enough))
    return Plan(name=name, change=change, build=with_reservoir(build, found.value), parts=Found(needed=(found,)))


def _reservoir(build: Build) -> Needed | None:
    """Return the smallest reservoir that boots, rounded up; None where none does."""
    size = smallest_reservoir(build)
    if isinstance(size, NoReservoir) or isinstance(size.standard, NoReservoir):
        return None
    value = size.standard.value
    words = f"reservoir of {_said(value, 'F')}, an E6 value with its 20 % of tolerance counted; it boots "
    words += f"from {_said(size.smallest, 'F')} on" if size.needed else f"with {_said(size.smallest, 'F')} already"
    return Needed("controller.reservoir", value, "F", words)


def own_supply(base: Startup) -> Plan | NoPlan:
    """A supply for the controller of ``base`` alone."""
    c, name = base.build.controller, RemedyName.OWN_SUPPLY
    if c.feed == "own":
        return NoPlan(name=name, change=Change.REWIRING, nothing=Nothing(WhyNot.HAS_OWN_SUPPLY))
    build = base.build.with_values({"controller.feed": "own"})
    return Plan(name=name, change=Change.REWIRING, build=build, parts=Found(needed=(own_supply_needed(build),)))


def own_supply_needed(build: Build) -> Needed:
    """Return the second supply that the controller of ``build`` takes, with a label that carries it without end."""
    c = build.controller
    current = max(c.boot_current + c.boot_peak_current, c.run_current + c.burst_current)
    rating = next_rating(current / CONTINUOUS_SHARE) or RATINGS[-1]
    words = f"a second supply of {_said(c.own_voltage, 'V')} and {_said(rating, 'A')}, grounds joined: the controller "
    words += f"takes up to {_said(current, 'A')}"
    return Needed("", rating, "A", words)


def dark_pixels(base: Startup) -> Plan | NoPlan:
    """Pixels in place of those of ``base`` that stay dark until they get data."""
    name = RemedyName.DARK_PIXELS
    if not any(base.build.pixel.power_on):
        return NoPlan(name=name, change=Change.OTHER_PIXELS, nothing=Nothing(WhyNot.WAKES_DARK))
    build = base.build.with_values({"pixel.power_on": [0, 0, 0]})
    panels = build.wiring.sections
    return Plan(name=name, change=Change.OTHER_PIXELS, build=build, parts=Found(), pieces=panels)


def faster_first_frame(base: Startup) -> Plan:
    """The first frame of ``base`` as early as pixels listen, a shorter boot, a data line a section if still needed."""
    build, name = base.build, RemedyName.FASTER_FIRST_FRAME
    early, delay = _earliest_frame(build)
    waiting = None if screen(early).verdict is Verdict.BOOTS else _waiting_frame(build)
    if waiting is not None:
        return waiting
    values, needed = _shorter_boot(early)
    if needed is not None:
        quick = Found(needed=(delay, *needed))
        return Plan(name=name, change=Change.FIRMWARE, build=early.with_values(values), parts=quick)
    w = build.wiring
    if w.lanes < w.sections:
        lanes = Needed("wiring.lanes", w.sections, "", f"a data line to each of {w.sections} sections")
        wide, delay = _earliest_frame(build.with_values({"wiring.lanes": w.sections}))
        values, needed = _shorter_boot(wide)
        if needed is not None:
            wider = Found(needed=(delay, lanes, *needed), combined_with=(RemedyName.MORE_DATA_LINES,))
            return Plan(name=name, change=Change.REWIRING, build=wide.with_values(values), parts=wider)
    tried = f"tried from {_said(SHORTEST_BOOT, 's')} to {_said(build.controller.boot_time, 's')}"
    return Plan(name=name, change=Change.FIRMWARE, build=early, parts=Nothing(WhyNot.NO_BOOT_TIME, tried))


def _waiting_frame(build: Build) -> Plan | None:
    """Return the plan with the first frame in the middle of its window; None without a switch or a window."""
    centred = _centred(build)
    if centred is None or screen(centred[0]).verdict is not Verdict.BOOTS:
        return None
    waiting, (_, frame), window = centred
    return Plan(
        name=RemedyName.FIRST_FRAME_AT_ITS_TIME, change=Change.FIRMWARE, build=waiting,
        parts=Found(needed=(frame,), window=window),
    )  # fmt: skip


def _earliest_frame(build: Build) -> tuple[Build, Needed]:
    """Return the build with gate and first frame as early as can be, and that delay."""
    early = build.with_values({"firmware.gate_delay": 0.0})
    delay = 0.0
    quiet = quiet_start(early, tolerance=QUICK_TOLERANCE)
    if not isinstance(quiet, NoWindow) and quiet.heard and quiet.heard[0][0] > 0:
        delay = AFTER_LISTENING * quiet.heard[0][0]
    words = f"first frame {_said(delay, 's')} after the program begins"
    if delay > build.firmware.first_frame_delay:
        words += ", not before the pixels listen"
    if build.firmware.gate_delay > 0:
        words += ", the gate at once"
    early = early.with_values({"firmware.first_frame_delay": delay})
    return early, Needed("firmware.first_frame_delay", delay, "s", words)


def _shorter_boot(build: Build) -> tuple[dict[str, Any], tuple[Needed, ...] | None]:
    """Return the longest boot that still boots, up to the build's own; None where none does."""
    boot = build.controller.boot_time
    if screen(build).verdict is Verdict.BOOTS:
        return {}, ()
    if boot <= SHORTEST_BOOT:
        return {}, None
    islands = find_islands(
        lambda v: build.with_values({"controller.boot_time": v}),
        np.geomspace(SHORTEST_BOOT, boot, 10), relative=ROUGH,
    ).found  # fmt: skip
    if not islands:
        return {}, None
    # Down, not to the nearest: two digits, and a tenth kept as a margin.
    value = max(islands[-1].low, float(f"{0.9 * islands[-1].high:.1e}"))
    words = f"boot in {_said(value, 's')} (now {_said(boot, 's')}); it boots up to {_said(islands[-1].high, 's')}"
    return {"controller.boot_time": value}, (Needed("controller.boot_time", value, "s", words),)


def high_side_switch(base: Startup) -> Plan | NoPlan:
    """A switch between bus and panel of ``base`` that the program closes, with a reservoir where it needs one."""
    build, name = base.build, RemedyName.HIGH_SIDE_SWITCH
    if build.switch is not None:
        return NoPlan(name=name, change=Change.REWIRING, nothing=Nothing(WhyNot.HAS_SWITCH))
    build = build.with_values({"switch": {}})
    alone = _switched(build)
    if alone is not None:
        return alone
    quiet = quiet_start(build, tolerance=QUICK_TOLERANCE)
    if isinstance(quiet, NoWindow):
        lost = Nothing(WhyNot.LOST_WITH_SWITCH, quiet.reason)
        return Plan(name=name, change=Change.REWIRING, build=build, parts=lost)
    if quiet.heard:
        soon = AFTER_LISTENING * quiet.heard[0][0]
        build = build.with_values({"firmware.first_frame_delay": soon})
    found = _reservoir(build) if build.controller.feed == "bus" else None
    both = None if found is None else _switched(with_reservoir(build, found.value), found)
    if both is not None:
        return both
    return Plan(name=name, change=Change.REWIRING, build=build, parts=Nothing(WhyNot.NO_DELAY_WITH_SWITCH))


def _switched(build: Build, reservoir: Needed | None = None) -> Plan | None:
    """Return the plan with a delay in the middle of its window, and a switch that stays cool; None without a window.

    Where no switch stays cool it is the one of least resistance that boots. The reservoir that ``build`` was given
    for it is named beside it.
    """
    chosen: Plan | None = None
    beside = () if reservoir is None else (RemedyName.RESERVOIR_BEHIND_DIODE,)
    for ohms in ON_RESISTANCES:
        # Each has its own window: what the switch drops is missing at the pixels.
        centred = _centred(build.with_values({"switch.on_resistance": ohms}))
        if centred is None:
            if chosen is None:
                return None
            continue
        switched, needed, window = centred
        start = simulate(switched)
        if start.verdict is not Verdict.BOOTS:
            continue
        more = () if reservoir is None else (reservoir,)
        parts = Found(needed=(*needed, *more), combined_with=beside, window=window)
        chosen = Plan(name=RemedyName.HIGH_SIDE_SWITCH, change=Change.REWIRING, build=switched, parts=parts)
        if _is_cool(start):
            break
    return chosen


def _centred(build: Build) -> tuple[Build, tuple[Needed, Needed], tuple[float, float]] | None:
    """Return the build with its first frame in the middle of its window, switch and delay, and the window [s].

    None without a switch or a window.
    """
    quiet = quiet_start(build, tolerance=QUICK_TOLERANCE)
    window = None if isinstance(quiet, NoWindow) else quick_window(quiet)
    if window is None or isinstance(quiet, NoWindow) or build.switch is None:
        return None
    takes = quiet.takes_from(window.low, window.high)
    # With no late edge the middle is not where the search happened to end.
    high = min(window.high, far_enough(takes)) if is_open(window) else window.high
    delay = float(f"{between(takes, high):.2g}")
    delay = delay if takes <= delay <= high else between(takes, high)
    words = f"first frame {_said(delay, 's')} after the program begins; it boots from {_said(window.low, 's')} "
    words += "on, with no upper edge" if is_open(window) else f"to {_said(window.high, 's')}"
    frame = Needed("firmware.first_frame_delay", delay, "s", words)
    ohms = build.switch.on_resistance
    part = Needed("switch.on_resistance", ohms, "ohm", f"P-channel switch of {_said(ohms, 'ohm')}")
    timed = build.with_values({"firmware.first_frame_delay": delay})
    return timed, (part, frame), (window.low, window.high)


def _is_cool(start: Startup) -> bool:
    """Say whether the switch stays cool, should the display stay lit too."""
    switch, hottest = start.build.switch, start.figures.highest_junction_temperature
    if switch is None or hottest is None:
        return True
    return max(hottest, stays_lit(start)) <= switch.highest_junction - JUNCTION_RESERVE


def stays_lit(start: Startup) -> float:
    """Return the highest junction temperature [degC] of ``start`` where its switch closes and no frame ever comes."""
    never = {"firmware.first_frame_delay": start.build.run.duration, "firmware.content_delay": None}
    lit = simulate(start.build.with_values(never), tolerance=QUICK_TOLERANCE)
    hottest = lit.figures.highest_junction_temperature
    return -math.inf if hottest is None else hottest


def slower_gate(base: Startup) -> Plan | NoPlan:
    """A larger gate resistance in ``base``, then a larger gate-drain capacitance, with the first frame moved along."""
    build, name = base.build, RemedyName.SLOWER_GATE
    switch = build.switch
    if switch is None or switch.kind != "p-channel":
        return NoPlan(name=name, change=Change.ONE_PART, nothing=Nothing(WhyNot.NO_GATE_TO_SLOW))
    if base.verdict is Verdict.BOOTS:
        return NoPlan(name=name, change=Change.ONE_PART, nothing=Nothing(WhyNot.BOOTS_WITH_ITS_GATE))
    if screen(_moved_along(build)).verdict is Verdict.BOOTS or _waiting_frame(build) is not None:
        return NoPlan(name=name, change=Change.ONE_PART, nothing=Nothing(WhyNot.GATE_IS_NOT_TO_BLAME))
    top = LARGEST_DIVIDER * switch.pullup_resistance
    largest_added = 1e3 * (switch.gate_drain_capacitance + switch.gate_source_capacitance)
    tries = (
        ("switch.gate_resistance", switch.gate_resistance, top, "ohm", "gate resistance"),
        ("switch.gate_drain_capacitance", max(switch.gate_drain_capacitance, 0.1e-9), largest_added, "F",
         "gate-drain capacitance"),
    )  # fmt: skip
    for key, low, high, unit, what in tries:
        plan = _slowed(build, key, low, high, unit, what) if _worth_trying(low, high) else None
        if plan is not None:
            return plan
    tried = f"gate resistance tried up to {_said(top, 'ohm')}"
    if not _worth_trying(switch.gate_resistance, top):
        tried = f"{_said(switch.gate_resistance, 'ohm')} at the gate leave no room below a quarter of the pull-up"
    tried += f", gate-drain capacitance up to {_said(largest_added, 'F')}"
    return Plan(name=name, change=Change.ONE_PART, build=build, parts=Nothing(WhyNot.NO_SLOWER_GATE, tried))


def _worth_trying(now: float, highest: float) -> bool:
    """Say whether a gate part can be made noticeably larger."""
    return highest > 1.5 * now


def _moved_along(build: Build) -> Build:
    """Return the build with its first frame late enough for the pixels to listen."""
    quiet = quiet_start(build, tolerance=QUICK_TOLERANCE)
    if isinstance(quiet, NoWindow) or not quiet.heard:
        return build
    soon = max(build.firmware.first_frame_delay, AFTER_LISTENING * quiet.heard[0][0])
    return build.with_values({"firmware.first_frame_delay": soon})


def _slowed(build: Build, key: str, low: float, high: float, unit: str, what: str) -> Plan | None:
    """Return the plan with the smallest value of a gate part that boots; None where none does."""

    def make(value: float) -> Build:
        return _moved_along(build.with_values({key: value}))

    found = find_islands(make, np.geomspace(low, high, 6), relative=0.1).found
    # A capacitor may have less than its print; resistors are near enough to it.
    least = 1.0 - (CAPACITOR_TOLERANCE if unit == "F" else 0.0)
    for island in found:
        value = next_e6(island.low / least)
        slow = make(value)
        if value <= high and which_boot([slow, make(least * value)]).all():
            words = (
                f"{what} of {_said(value, unit)} (now {_said(low, unit)}); it boots from {_said(island.low, unit)} on"
            )
            delay = slow.firmware.first_frame_delay
            frame = Needed("firmware.first_frame_delay", delay, "s", f"first frame {_said(max(delay, FINEST), 's')} "
                           "after the program begins")  # fmt: skip
            parts = Found(needed=(Needed(key, value, unit, words), frame))
            return Plan(name=RemedyName.SLOWER_GATE, change=Change.ONE_PART, build=slow, parts=parts)
    return None


PLANS: tuple[Callable[[Startup], Plan | NoPlan], ...] = (
    faster_first_frame, bigger_adapter, slower_gate, reservoir_behind_diode, own_supply, high_side_switch, dark_pixels,
)  # fmt: skip
"""From the build's own start to a plan, one a remedy."""
