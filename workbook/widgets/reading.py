"""The answer at the head of a page: how the build as it stands turns out, by how much, and what that rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

import ipywidgets as w

from inrushlib.answers.assumed import hangs_on, reservation
from inrushlib.answers.html import html_of
from inrushlib.answers.margins import TURNS, closest_line, shown
from inrushlib.build import Build, build_keys
from inrushlib.margins import Assumed, Edge
from inrushlib.parts import Origin, key_words
from inrushlib.quantities import format_quantity
from inrushlib.startup import Rule, Slack, Startup, needed_bus_voltage
from inrushlib.text import for_html
from widgets.margin import MarginState
from widgets.signs import Sign, mark_of, signs
from widgets.state import BuildState
from widgets.values import shown as shown_value
from widgets.values import shown_number
from widgets.worker import SAY

FIRST_RUN = (
    '<div class="wb-answered wb-alone"><div><div class="wb-line"><span class="wb-words">Computing</span>'
    '</div><div class="wb-say">On a machine that is new to this the model is compiled first, once; that takes half a '
    "minute at most.</div></div></div>"
)
MOST = 3  # values that the answer rests on
WIDE, NARROW = 0.4, 0.01  # [1] of the need: half of the gauge's scale at most and at least
ROOM = 2.5  # half of the scale over the gap


class Reading:
    """The newest start in the fewest words, tied to a state; ``said`` is what a screen reader hears of it.

    Parameters
    ----------
    state : BuildState
        Has the start.
    margin : MarginState
        Has its margin.
    question : str
        What the page answers.
    """

    def __init__(self, state: BuildState, margin: MarginState, question: str) -> None:
        self.state, self.margin, self.question = state, margin, question
        self.box = w.HTML(FIRST_RUN)
        self.box.add_class("wb-read-out")
        self._shows: tuple[Any, ...] = ()
        self.said = w.HTML()
        self.said.add_class("wb-said")
        state.observe(self.refresh, "start")
        margin.observe(self.refresh, ["marked", "edges", "assumed"])
        self._say_newest()

    def refresh(self, _: Any = None) -> None:
        """Say how the newest start turns out, after its picture; one thread says all, the newest last."""
        self.state.worker.submit(SAY, self._say_newest)

    def _say_newest(self) -> None:
        start, margin = self.state.start, self.margin
        if start is None:
            return
        marked = start if margin.marked is start else None
        edges, assumed = margin.of(start)
        shows = (start, marked, edges, assumed)
        if len(self._shows) == len(shows) and all(a is b for a, b in zip(shows, self._shows, strict=True)):
            return  # start and margin are told of one after the other
        self._shows = shows
        self.box.value = reading_html(start, self.question, marked, edges, assumed)
        self.say(f"{self.question} {start.headline.words}.")

    def say(self, words: str) -> None:
        """Tell a screen reader, where this is not what it heard last: margins follow the verdict without a word.

        Parameters
        ----------
        words : str
            The question and how it turns out.
        """
        said = for_html(words)
        if self.said.value != said:
            self.said.value = said


def sign_of(start: Startup, assumed: Sequence[Assumed] | None) -> Sign:
    """How a start turns out: it holds, only within what was assumed, or not."""
    if not start.headline.good:
        return Sign.SHORT
    return Sign.THIN if hangs_on(assumed or ()) else Sign.HOLDS


def reading_html(
    start: Startup,
    question: str,
    marked: Startup | None = None,
    edges: Sequence[Edge] = (),
    assumed: Sequence[Assumed] | None = None,
) -> str:
    """Return the reading: answer, margin, what it rests on; signs that do not rest on colour."""
    sign = sign_of(start, assumed)
    slack = shown(marked)[:1] if marked is not None else ()
    cells = [_answer(start, question, sign, assumed), _margin(start, slack), _rests(start, edges)]
    return f'<div class="wb-answered wb-{sign.value}">{"".join(f"<div>{cell}</div>" for cell in cells)}</div>'


def _answer(start: Startup, question: str, sign: Sign, assumed: Sequence[Assumed] | None) -> str:
    headline = start.headline
    count = len(hangs_on(assumed or ()))
    but = reservation(count) if headline.good else ""
    why = " ".join(f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in (headline.reason, *headline.advice))
    unused = start.build.tolerance.unused
    more = f"<br>{for_html(unused)}" if unused else ""
    said = for_html(f"{headline.meaning} {why}") if headline.overstressed else for_html(why)
    return (
        f'<div class="wb-eyebrow">{for_html(question)}</div>'
        f'<div title="{for_html(headline.meaning)}">'
        f'<div class="wb-line">{sign.drawing}<span class="wb-words">{for_html(headline.words)}</span>{_but(but)}</div>'
        f'<div class="wb-say">{said}{more}</div></div>'
    )


def _but(reserved: str) -> str:
    words = reserved.removeprefix(", ")
    return f'<span class="wb-but">{for_html(words)}</span>' if words else ""


def _margin(start: Startup, slack: Sequence[Slack]) -> str:
    if not slack:
        return '<div class="wb-eyebrow">Margin at the tightest point</div>'
    one = slack[0]
    number = signs(format_quantity(abs(one.value), one.unit, digits=3))
    signed = f"{'+' if one.kept else '−'}{number}"
    head = "Margin at the tightest point" if one.kept else "Short at the tightest point"
    return (
        f'<div class="wb-eyebrow">{head}</div><div class="wb-margin"><b>{for_html(signed)}</b>'
        f"<span>{html_of(closest_line(start, one))}</span></div>{_gauge(start, one)}"
    )


def _gauge(start: Startup, slack: Slack) -> str:
    """Need and value as marks on a scale, the gap between them: solid where it is to spare, hatched where it lacks."""
    need = slack.value / slack.share if slack.share else 0.0
    value, name = need + slack.value, "rail" if slack.rule in (Rule.RELEASE, Rule.BROWN_OUT) else slack.where.name
    bus = needed_bus_voltage(start.build)
    if slack.bus_voltage is not None and bus and bus < slack.bus_voltage + 4 * abs(slack.value):
        need, value, name = bus, slack.bus_voltage, "bus"
    half = min(max(ROOM * abs(value - need), NARROW * abs(need)), max(WIDE * abs(need), 1.2 * abs(value - need)))
    low = need - half
    at = [min(max(100 * (x - low) / (2 * half or 1.0), 0.0), 100.0) for x in (need, value)]
    left, wide = min(at), abs(at[1] - at[0])
    lacks = "" if slack.kept else " wb-lacks"
    words = [f"{x:.3g} {slack.unit}" for x in (need, value)]
    if slack.unit != "V":
        words = [signs(format_quantity(x, slack.unit, digits=3)) for x in (need, value)]
    said = for_html(f"{name} {words[1]}, needed {words[0]}")
    edge = [min(max(x, 8.0), 92.0) for x in at]
    return (
        f'<div class="wb-gauge" role="img" aria-label="{said}"><div class="wb-track"></div>'
        f'<div class="wb-fails" style="width: {at[0]:.1f}%"></div>'
        f'<div class="wb-gap{lacks}" style="left: {left:.1f}%; width: {wide:.1f}%"></div>'
        f'<div class="wb-need" style="left: {at[0]:.1f}%"></div>'
        f'<div class="wb-needle wb-gap" style="left: {at[1]:.1f}%; width: 4px"></div>'
        f'<div class="wb-value" style="left: {edge[1]:.1f}%">{for_html(name)} {words[1]}</div>'
        f'<div class="wb-needs" style="left: {edge[0]:.1f}%">needs {words[0]}</div></div>'
    )


def _rests(start: Startup, edges: Sequence[Edge]) -> str:
    build = start.build
    counted = Counter(build.origin(key) for key, info in build_keys().items() if info.table and _is_there(build, key))
    shown_origins = ((Origin.MEASURED, "measured"), (Origin.GIVEN, "given"), (Origin.ASSUMED, "typical"))
    known = {Origin.GIVEN: counted[Origin.GIVEN] + counted[Origin.CLASS]}
    counts = "".join(
        f"<span>{mark_of(origin)} {number} {words}</span>"
        for origin, words in shown_origins
        if (number := known.get(origin, counted[origin]))
    )
    # First what makes a yes of a no, or the reverse; then what makes another no of it.
    nearest = sorted(edges, key=lambda edge: edge.verdict.starts == start.verdict.starts)[:MOST]
    rows = "".join(_rest(start, edge) for edge in nearest)
    head = "Rests on" if rows else ""
    return (
        f'<div class="wb-between"><span class="wb-eyebrow">{head}</span><div class="wb-counts">{counts}</div></div>'
        f'<ul class="wb-rests">{rows}</ul>'
    )


def _is_there(build: Build, key: str) -> bool:
    return build.get(key) is not None


def _rest(start: Startup, edge: Edge) -> str:
    info, build = build_keys()[edge.key], start.build
    way = "over" if edge.above else "under"
    turns = "starts" if edge.verdict.starts else "fails"
    if edge.verdict.starts == start.verdict.starts:
        turns = TURNS[edge.verdict]
    at, name = signs(shown_number(edge.value, info)), for_html(key_words(edge.key))
    # Of a list its largest, which is what the edge is told of, too.
    own = signs(shown_number(edge.own, info)) if edge.uneven else shown_value(build, edge.key)
    return (
        f'<li>{mark_of(build.origin(edge.key))}<span title="{name}">{name}</span>'
        f"<b>{for_html(own)}</b><em>{turns} {way} {for_html(at)}</em></li>"
    )
