"""The verdict: which of six, and why, in one sentence."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from inrushlib.build import Build
from inrushlib.laws.constants import LIMIT_SHARE, REGULATION_RESISTANCE
from inrushlib.quantities import format_quantity, told_zero
from inrushlib.startup.switchings import Kind, Switching

MOST_RUNS = 6  # of neighbouring sections that a sentence names
NO_CURRENT = 1e-6  # of the regulator's corner: the rail of a controller that draws nothing creeps, by millivolts


class Verdict(StrEnum):
    """How a start ends, in the order in which :mod:`inrushlib.model.judge` numbers it."""

    BOOTS = "boots"
    BOOTS_AFTER_RESETS = "boots-after-resets"
    ADAPTER_TRIPS = "adapter-trips"
    KEEPS_RESETTING = "keeps-resetting"
    DISPLAY_STAYS_LIT = "display-stays-lit"
    STUCK = "stuck"

    @property
    def starts(self) -> bool:
        """Whether the display ends up running, at the first try or after resets."""
        return self in (Verdict.BOOTS, Verdict.BOOTS_AFTER_RESETS)

    @property
    def words(self) -> str:
        """The verdict as a page says it.

        Examples
        --------
        >>> Verdict.BOOTS_AFTER_RESETS.words
        'boots after resets'
        """
        return self.value.replace("-", " ")

    @property
    def meaning(self) -> str:
        """What the verdict means, in one sentence."""
        return _MEANINGS[self]


_MEANINGS = {
    Verdict.BOOTS: "It starts at the first try.",
    Verdict.BOOTS_AFTER_RESETS: "It gets there, but only after resets or trips on the way.",
    Verdict.ADAPTER_TRIPS: "The adapter's protection switches it off.",
    Verdict.KEEPS_RESETTING: "The controller loses its supply and starts over.",
    Verdict.DISPLAY_STAYS_LIT: "The controller runs, but part of the display never takes or keeps its data.",
    Verdict.STUCK: "It is not running at the end.",
}


@dataclass(frozen=True, kw_only=True)
class Ending:
    """How the run ended, as far as the reason quotes it.

    Attributes
    ----------
    in_boot, mains_on : bool
        The modes at the end.
    brown_outs, trips : int
        Counts over the run [1].
    running_at, shown_at : float or None
        When run was first entered, and since when all sections have shown a frame [s].
    """

    in_boot: bool
    mains_on: bool
    brown_outs: int
    trips: int
    running_at: float | None
    shown_at: float | None


def needed_bus_voltage(build: Build) -> float | None:
    """Return the bus voltage [V] that brings the rail to the level at which reset ends; None where none does.

    The regulator's current law (``model/NOTES.md``) is solved for the input voltage that carries the current drawn
    in reset at the upper brown-out level; feed and diode drop are added. None does where that level is above what
    the regulator can hold: its nominal voltage less 50 mohm times the current drawn in reset, or where it cannot
    give that current. With a supply of its own the controller needs nothing from the bus.

    Parameters
    ----------
    build : Build
        Any build.

    Examples
    --------
    >>> from inrushlib.build import parse_build
    >>> build = parse_build('''
    ... title = "one panel"
    ... [adapter]
    ... rated_current = 1.0
    ... [wiring]
    ... sections = 1
    ... pixels_per_section = 64
    ... ''')
    >>> round(needed_bus_voltage(build), 2)
    2.88
    >>> needed_bus_voltage(build.with_values({"controller.brownout_rising": 3.3})) is None
    True
    """
    c = build.controller
    through_input = _input_current(build, c.brownout_rising)
    if through_input is None:
        return None
    if c.feed == "own":
        return 0.0
    drop = c.dropout_voltage + c.dropout_resistance * through_input + c.reset_current * c.feed_resistance
    return c.brownout_rising + drop + (c.diode_drop if c.feed_diode else 0.0)


def highest_rail_voltage(build: Build) -> float:
    """Return the rail voltage [V] at which the regulator holds the current drawn in reset, whatever its input.

    Parameters
    ----------
    build : Build
        Any build.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> panel = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 64})
    >>> round(highest_rail_voltage(panel), 4)
    3.2995
    """
    return build.controller.rail_voltage - REGULATION_RESISTANCE * build.controller.reset_current


def _input_current(build: Build, rail: float) -> float | None:
    """Return the current [A] that dropout has to let through for the rail to stand at a voltage [V] in reset.

    The law is soft(least(least(a, b, w), limit, w), w) = reset_current, where least(a, b, w) is
    -w ln(exp(-a / w) + exp(-b / w)): it is solved for b. None where a and the limit leave too little.
    """
    c = build.controller
    w = LIMIT_SHARE * c.regulator_limit
    share = max(c.reset_current / w, NO_CURRENT)
    through = w * (share + math.log(-math.expm1(-share)))
    regulated = (c.rail_voltage - rail) / REGULATION_RESISTANCE
    if through >= min(regulated, c.regulator_limit):
        return None
    # Counted from what goes through, so that no exponential overflows.
    left = 1.0 - math.exp((through - regulated) / w) - math.exp((through - c.regulator_limit) / w)
    return through - w * math.log(left) if left > 0 else None


def _volts(value: float) -> str:
    return f"{told_zero(value, 'V'):.2f} V"


def _when(value: float) -> str:
    return format_quantity(value, "s", digits=3)


def _many(count: int, thing: str) -> str:
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def _numbers(items: list[int]) -> str:
    """Sections by number, neighbours together: "sections 0, 5 to 11"."""
    if len(items) == 1:
        return f"section {items[0]}"
    runs: list[list[int]] = []
    for item in items:
        if runs and item == runs[-1][-1] + 1:
            runs[-1].append(item)
        else:
            runs.append([item])
    said = [f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return f"sections {', '.join(said[:MOST_RUNS])}{' and more' if len(said) > MOST_RUNS else ''}"


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """What the reason quotes.

    Attributes
    ----------
    build : Build
        What was started.
    ending : Ending
        How its run ended.
    switchings : tuple of Switching
        Everything that switched, in order.
    bus_voltage, rail_voltage : float
        At the end [V].
    section_voltages : tuple of float
        Of each section's centre lump at the end [V].
    lowest_rail_voltage : float or None
        From the first time the controller came out of reset [V]; None where it never did.
    """

    build: Build
    ending: Ending
    switchings: tuple[Switching, ...]
    bus_voltage: float
    rail_voltage: float
    section_voltages: tuple[float, ...]
    lowest_rail_voltage: float | None

    def first(self, kind: Kind) -> float:
        """When the first switching of a kind was [s]; 0 where there was none.

        Parameters
        ----------
        kind : Kind
            Which kind.
        """
        return next((s.time for s in self.switchings if s.kind is kind), 0.0)

    def unwritten(self) -> list[int]:
        """Sections that show no frame at the end."""
        shown: set[int] = set()
        for s in self.switchings:
            if s.index is not None and s.kind in (Kind.SHOWS, Kind.FORGETS):
                (shown.add if s.kind is Kind.SHOWS else shown.discard)(s.index)
        return [k for k in range(len(self.section_voltages)) if k not in shown]


def explain(verdict: Verdict, evidence: Evidence) -> str:
    """Return one sentence that says why, in the builder's words and numbers.

    Parameters
    ----------
    verdict : Verdict
        How it ended.
    evidence : Evidence
        What is known of the start.
    """
    return _EXPLAIN[verdict](evidence)


def _boots(e: Evidence) -> str:
    text = f"the controller runs at {_when(e.ending.running_at or 0.0)} and every pixel has its data at "
    text += _when(e.ending.shown_at or 0.0)
    if e.lowest_rail_voltage is None:
        return text
    low = _volts(e.build.controller.brownout_falling)
    return f"{text}; once out of reset its rail stays at {_volts(e.lowest_rail_voltage)} or more (it resets at {low})"


def _after_resets(e: Evidence) -> str:
    text = f"every pixel has its data at {_when(e.ending.shown_at or 0.0)}, but only after "
    counts = ((e.ending.brown_outs, "brown-out"), (e.ending.trips, "adapter trip"))
    return text + " and ".join(_many(count, thing) for count, thing in counts if count)


def _trips(e: Evidence) -> str:
    a = e.build.adapter
    limit = format_quantity(a.limit_current, "A", digits=3)
    text = f"the adapter trips at {_when(e.first(Kind.TRIP))}, after {_when(a.trip_delay)} at its limit of {limit}"
    if a.limit_style == "latch-off":
        return f"{text}, and stays off until the mains is switched"
    return f"{text}; it tries again every {_when(a.retry_delay)}: {_many(e.ending.trips, 'trip')} in all"


def _resets(e: Evidence) -> str:
    low = _volts(e.build.controller.brownout_falling)
    text = f"the rail falls to the reset level of {low} {_many(e.ending.brown_outs, 'time')}"
    return f"{text}, first at {_when(e.first(Kind.BROWN_OUT))}, and the controller starts over"


def _stays_lit(e: Evidence) -> str:
    dark = e.unwritten()
    level = e.build.pixel.listen_voltage
    low = min(e.section_voltages[k] for k in dark)
    text = f"the controller runs from {_when(e.ending.running_at or 0.0)}, but "
    if len(dark) == len(e.section_voltages):
        text += "no section shows data at the end"
    else:
        text += f"{_numbers(dark)} {'shows' if len(dark) == 1 else 'show'} no data at the end"
    if low < level:
        return f"{text}: at {_volts(low)} pixels do not listen, they need {_volts(level)}"
    sent = any(s.kind is Kind.FRAME_END for s in e.switchings)
    return f"{text}: " + ("the frames came while pixels were not listening" if sent else "no frame was sent whole")


def _stuck(e: Evidence) -> str:
    if not e.ending.mains_on:
        return f"the mains is away at the end of the run, since {_when(_last(e, Kind.MAINS_OFF))}"
    if e.ending.in_boot:
        return f"the controller still boots when the run ends at {_when(e.build.run.duration)}"
    need = needed_bus_voltage(e.build)
    if need is None:
        return _never_reached(e.build)
    if e.build.controller.feed == "own" or e.bus_voltage >= need:
        level = _volts(e.build.controller.brownout_rising)
        return f"the rail has only reached {_volts(e.rail_voltage)} when the run ends; reset ends at {level}"
    text = f"the bus settles at {_volts(e.bus_voltage)}; the controller needs {_volts(need)} to come out of reset: "
    if not any(e.build.pixel.power_on):
        return text + "it never starts"
    return text + "it never starts, and the pixels never hear that they should go dark"


def _never_reached(build: Build) -> str:
    """Say that the rail cannot come to the level at which reset ends."""
    c = build.controller
    level = format_quantity(c.brownout_rising, "V", digits=4)
    if c.reset_current >= c.regulator_limit:
        limit = format_quantity(c.regulator_limit, "A", digits=3)
        drawn = format_quantity(c.reset_current, "A", digits=3)
        text = f"the regulator gives {limit} and the controller draws {drawn} in reset"
    else:
        text = f"the regulator holds the rail at {format_quantity(highest_rail_voltage(build), 'V', digits=5)} at most"
    return f"{text}, and reset ends at {level}: no bus voltage starts the controller"


def _last(e: Evidence, kind: Kind) -> float:
    return [s.time for s in e.switchings if s.kind is kind][-1]


_EXPLAIN = {
    Verdict.BOOTS: _boots,
    Verdict.BOOTS_AFTER_RESETS: _after_resets,
    Verdict.ADAPTER_TRIPS: _trips,
    Verdict.KEEPS_RESETTING: _resets,
    Verdict.DISPLAY_STAYS_LIT: _stays_lit,
    Verdict.STUCK: _stuck,
}
