"""The story of the demo display, from a box of parts to a running board: every number computed when it is asked for.

``STEPS``   the steps in their order
``Story``   the builds, the capture, and what the library finds on them
``judge``   a reader's answer against the computed one
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from enum import Enum
from functools import cached_property
from typing import Any, Final

from inrushlib.answers.blocks import Value, Words
from inrushlib.build import Build, load_build
from inrushlib.guide import Dealt, deal, enter, joined
from inrushlib.margins import Edge, nearest_edges
from inrushlib.measurements import MeasurementLog
from inrushlib.parts import key_words
from inrushlib.quantities import parse_quantity
from inrushlib.remedies import Remedy, RemedyName, compare_remedies
from inrushlib.search import DelayWindow, WirePlan, delay_window, wire_plan
from inrushlib.startup import Startup, simulate
from inrushlib.trace import compare, find_shift, fit_build, measure, read_trace
from widgets.bench_state import RUNS
from widgets.files import shipped

STUCK, SWITCHED = "tide_board_never_starts.toml", "tide_board_with_switch.toml"
CAPTURE: Final = "tide_board_with_switch.csv"
FITTED: Final = ("adapter.limit_current", "lead.resistance", "controller.boot_time")
FEED_LENGTH, HOP_LENGTH = 0.5, 0.1
"""Of the feeds and the jumpers, one way [m]."""
NEAR: Final = 0.03
"""Share by which an answer that was read off may be off [1]."""


class Story:
    """The builds, the capture, and what the library finds on them, each once and when it is asked for."""

    @cached_property
    def stuck(self) -> Startup:
        """The display as it comes out of the box."""
        return simulate(self._build(STUCK))

    @cached_property
    def edge(self) -> Edge:
        """The nearest single value that turns its verdict."""
        return nearest_edges(self.stuck.build)[0]

    @cached_property
    def remedies(self) -> tuple[bool, ...]:
        """Of each remedy that was tried, whether it helps."""
        tried = (each for each in compare_remedies(self.stuck.build) if each.name is not RemedyName.AS_IT_IS)
        return tuple(isinstance(each, Remedy) and each.helps for each in tried)

    @cached_property
    def switched(self) -> Startup:
        """The display with a switch."""
        return simulate(self._build(SWITCHED))

    @cached_property
    def window(self) -> DelayWindow:
        """How long it may wait for its first frame."""
        found = delay_window(self.switched.build)
        assert isinstance(found, DelayWindow)
        return found

    @cached_property
    def wires(self) -> WirePlan:
        """Its wires."""
        build = self.switched.build
        feeds, hops = len(build.wiring.feeds), build.wiring.sections - 1
        return wire_plan(build, feed_lengths=[FEED_LENGTH] * feeds, hop_lengths=[HOP_LENGTH] * hops)

    @cached_property
    def capture(self) -> Any:
        """The capture of its start, as measured channels."""
        trace = read_trace(shipped("sample_traces") / CAPTURE)
        return measure(trace, {name: name for name in ("bus_voltage", "lead_current")}, self.switched.build)

    @cached_property
    def apart(self) -> float:
        """How far capture and model are apart in the lead's current, root mean square [A]."""
        shift = find_shift(self.capture, self.switched)
        return compare(self.capture, self.switched, shift).channels["lead_current"].rms

    @cached_property
    def fitted(self) -> Any:
        """What the capture tells of the board."""
        return fit_build(self.switched.build, self.capture, list(FITTED))

    @property
    def limit_below(self) -> float:
        """Share by which the fitted limit is below the one that was assumed [1]."""
        return 1 - float(self.fitted.keys["adapter.limit_current"].value) / self.switched.build.adapter.limit_current

    @cached_property
    def dealt(self) -> Dealt:
        """The odds, and what to measure."""
        return deal(self.switched.build, runs=RUNS)

    @cached_property
    def measured(self) -> Dealt:
        """The same once the first card's readings are entered, all as expected."""
        build, first = self.switched.build, self.dealt.cards[0]
        readings = [each.value for each in first.readings]
        entered = enter(build, first.name, readings, date.today(), MeasurementLog())
        return deal(entered.build, joined(MeasurementLog(), [entered]), runs=RUNS)

    @staticmethod
    def _build(name: str) -> Build:
        return load_build(shipped("builds") / name)


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of the story.

    Attributes
    ----------
    title : str
        What happens.
    notebook : str
        Where the reader looks.
    words : callable
        What is said, from the story.
    task : str
        What the reader is to find out.
    unit : str
        Of the answer; empty for a count, "%" for a share in per cent.
    answer : callable
        The answer, from the story [unit].
    """

    title: str
    notebook: str
    words: Callable[[Story], Words]
    task: str
    unit: str
    answer: Callable[[Story], float]


class Judged(Enum):
    """What is said of a reader's answer."""

    RIGHT = "Right."
    NOT_YET = "Not yet: look again, or open the answer below."
    UNREADABLE = "This is no number with its unit."
    EMPTY = ""


def judge(text: str, unit: str, answer: float) -> Judged:
    """Return what is to be said of a reader's answer.

    Parameters
    ----------
    text : str
        As typed.
    unit : str
        Of the answer; empty for a count, "%" for per cent.
    answer : float
        The computed one [unit].
    """
    if not text.strip():
        return Judged.EMPTY
    try:
        said = parse_quantity(text, unit) if unit not in ("", "%") else float(text.rstrip("% "))
    except ValueError:
        return Judged.UNREADABLE
    room = 0.0 if not unit else 1.0 if unit == "%" else NEAR * abs(answer)
    return Judged.RIGHT if abs(abs(said) - abs(answer)) <= room + 1e-12 else Judged.NOT_YET


def _sticks(story: Story) -> Words:
    b = story.stuck.build
    pixels = sum(b.wiring.pixels_per_section)
    return (
        f"Out of the box: {b.wiring.sections} panels, {pixels} pixels, a controller, an adapter of ",
        Value(b.adapter.rated_current, "A"), f". Switched on, it is {story.stuck.verdict.words}.",
    )  # fmt: skip


def _why(story: Story) -> Words:
    return ("Every pixel wakes white and draws until the adapter is in its limit: ",
            Value(story.stuck.figures.final_lead_current, "A"), " hold the bus down, and the controller, which would "
            "turn the pixels dark, never comes out of reset.")  # fmt: skip


def _margin(story: Story) -> Words:
    closest = story.stuck.slack[0]
    return (f"The closest rule: {closest.rule.sentence}. A margin below zero is what is short.",)


def _remedy(story: Story) -> Words:
    return f"{len(story.remedies)} remedies are tried side by side, each alone, in standard values."


def _delay(story: Story) -> Words:
    begin, end = story.window.flat
    until: Words = " on" if end is None else (" to ", Value(end, "s"))
    return ("With a switch between bus and panels the controller starts first. It closes the switch; the panels flash "
            "white until the first frame. From ", Value(begin, "s"), until, " after the program's start the margin "
            "is widest.")  # fmt: skip


def _wire(story: Story) -> Words:
    feeds = story.wires.feeds
    return (f"{len(feeds)} feeds of ", Value(FEED_LENGTH, "m"), " carry up to ",
            Value(max(each.current for each in feeds), "A"), ".")  # fmt: skip


def _first(story: Story) -> Words:
    return ("Bus, switch and panels together, a hand on the plug: the sheet (inrush sheet) says what to expect. The "
            "lead's current peaks at ", Value(story.switched.figures.peak_lead_current, "A"), ".")  # fmt: skip


def _capture(story: Story) -> Words:
    return ("A capture of that start (made for this workbook, not measured) laid over the model: in the lead's current "
            "they are apart by ", Value(story.apart, "A"), " rms.")  # fmt: skip


def _fit(story: Story) -> Words:
    keys = story.fitted.keys
    return ("The fit finds what differs on this board: it limits at ", Value(keys["adapter.limit_current"].value, "A"),
            ", and its lead has ", Value(keys["lead.resistance"].value, "ohm"), ".")  # fmt: skip


def _odds(story: Story) -> Words:
    first = story.dealt.cards[0]
    return (f"What was assumed decides the rest: it boots in {100 * story.dealt.odds.boots.value:.0f} % of the runs. "
            f"The guide asks first for: {first.name.words}.")  # fmt: skip


STEPS: Final = (
    Step(title="It sticks", notebook="1_will_it_boot.ipynb", words=_sticks,
         task="Open the tide board that never starts. At which voltage does the bus stay?", unit="V",
         answer=lambda s: s.stuck.figures.final_bus_voltage),
    Step(title="Why", notebook="1_will_it_boot.ipynb", words=_why,
         task="How much does one pixel draw at full white, its channels and its chip?", unit="A",
         answer=lambda s: 3 * s.stuck.build.pixel.channel_current + s.stuck.build.pixel.quiescent_current),
    Step(title="How close it was", notebook="1_will_it_boot.ipynb", words=_margin,
         task="Read the margin: how many volts is the controller's rail short?", unit="V",
         answer=lambda s: s.stuck.slack[0].value),
    Step(title="What would turn it", notebook="6_how_sure.ipynb",
         words=lambda s: f"The nearest single value that turns the verdict: {key_words(s.edge.key, 'the')}.",
         task="Move that value's slider until the display boots. From which value on?", unit="A",
         answer=lambda s: s.edge.value),
    Step(title="Which remedy", notebook="2_which_supply.ipynb", words=_remedy,
         task="Compare the remedies. How many help?", unit="", answer=lambda s: float(sum(s.remedies))),
    Step(title="When to send the first frame", notebook="3_switch_delay.ipynb", words=_delay,
         task="Open the board with the switch. How long is the program to wait?", unit="s",
         answer=lambda s: s.window.recommended),
    Step(title="Feed and wire", notebook="4_feed_and_wire.ipynb", words=_wire,
         task="By Ohm's law: how much do the loop of the first feed and its current drop?", unit="V",
         answer=lambda s: s.wires.feeds[0].drop),
    Step(title="First power-on", notebook="1_will_it_boot.ipynb", words=_first,
         task="When does every pixel have its first frame?", unit="s", answer=lambda s: s.switched.ready_at or 0.0),
    Step(title="A capture", notebook="5_model_against_scope.ipynb", words=_capture,
         task="What does the fit say of the controller's boot time?", unit="s",
         answer=lambda s: s.fitted.keys["controller.boot_time"].value),
    Step(title="The fit", notebook="5_model_against_scope.ipynb", words=_fit,
         task="By how many per cent is that limit below the one that was assumed?", unit="%",
         answer=lambda s: 100 * s.limit_below),
    Step(title="The odds after measuring", notebook="7_at_the_bench.ipynb", words=_odds,
         task="Enter that card's readings as they are expected. To how many per cent do the odds move?", unit="%",
         answer=lambda s: 100 * s.measured.odds.boots.value),
)  # fmt: skip
