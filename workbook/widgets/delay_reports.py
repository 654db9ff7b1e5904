"""Delay window, gate map and switch stress in words, tables and pictures, as HTML."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from inrushlib.build import Build, build_keys
from inrushlib.errors import BuildError
from inrushlib.plots.map import draw_gate_map
from inrushlib.safety.finding import DEFERS, Finding, Severity
from inrushlib.safety.switch_stress import Heating, OffState, SwitchStress, switch_stress
from inrushlib.search.gate_map import GateMap, gate_map
from inrushlib.search.islands import Island
from inrushlib.search.rerun import rerun
from inrushlib.search.window import DelayWindow, NoWindow, delay_window, is_open, with_delay
from inrushlib.startup import Verdict, simulate
from inrushlib.text import for_html
from widgets.answer_html import answer, beside, celsius, picture, quantity, sentence, small, table
from widgets.question import Asked, Told
from widgets.values import written

DELAY = "firmware.first_frame_delay"
# With spaces that do not break.
MARKS = {
    Severity.DANGER: "✗\u00a0danger",
    Severity.CAUTION: "▲\u00a0caution",
    Severity.NOTE: "•\u00a0note",
    Severity.FINE: "✓\u00a0fine",
}
NO_SWITCH = "switch: none in the build; put one in under “Switch” above, or choose a build that has one"


class Window:
    """A build's window, with the build it is for."""

    def __init__(self, build: Build, window: DelayWindow | NoWindow) -> None:
        self.build, self.window = build, window
        self.start = None
        if isinstance(window, DelayWindow):
            self.start = rerun(simulate(build).headline, with_delay(build, window.recommended))


def _with_switch(build: Build) -> Build:
    if build.switch is None:
        raise BuildError(NO_SWITCH, build.title)
    return build


def ask_window(build: Build, _: Told, __: Asked) -> Window:
    """Return the window for the first frame."""
    return Window(build, delay_window(_with_switch(build)))


def ask_gate_map(build: Build, told: Told, asked: Asked) -> GateMap:
    """Return the window over the gate's resistance and capacitance."""
    return gate_map(_with_switch(build), progress=told, cancelled=asked)


def ask_stress(build: Build, _: Told, __: Asked) -> SwitchStress:
    """Return what the switch has to stand."""
    return switch_stress(_with_switch(build))


def window_values(found: Window) -> Mapping[str, Any]:
    """Return the recommended delay as a value for the build, to a hundredth of its margin or finer."""
    if isinstance(found.window, NoWindow) or found.start is None or found.start.worsens:
        return {}
    rounded = float(f"{found.window.recommended:.4g}")
    return {} if rounded == found.build.firmware.first_frame_delay else {DELAY: written(rounded, build_keys()[DELAY])}


def window_html(found: Window) -> str:
    """Return the window with its margins, and where the build's own delay lies."""
    window, build = found.window, found.build
    own = build.firmware.first_frame_delay
    if isinstance(window, NoWindow):
        return answer(for_html(sentence(window.reason)))
    inside = any(island.low <= own and (is_open(island) or own <= island.high) for island in window.islands)
    head = f"Send the first frame <b>{quantity(window.recommended, 's')}</b> after the program begins. The build's own "
    head += f"{quantity(own, 's')} {'lies in' if inside else 'is outside'} the window."
    if found.start is not None:
        head += for_html(f" Start: {found.start.words}.")
        if found.start.after.overstressed:
            head = f"<b>Overstressed</b>: {for_html(found.start.after.damage)}. {head}"
    if window.ready_at > build.run.duration:
        head += f"<br>The build's run of {quantity(build.run.duration, 's')} ends before that can be seen: with this "
        head += f"delay the display is ready at {quantity(window.ready_at, 's')}."
    rows = [
        ("earliest that boots", quantity(window.earliest, "s")),
        ("latest that boots", "no upper edge" if window.latest is None else quantity(window.latest, "s")),
        ("the first frame itself takes from", quantity(window.first_frame_takes_from, "s")),
        ("recommended", quantity(window.recommended, "s")),
        ("margin to the early edge", quantity(window.margin_early, "s")),
        ("margin to the late edge", quantity(window.margin_late, "s")),
        ("switch too hot", _too_hot(window)),
        ("flash: lit before data, at the recommended", quantity(window.flash, "s")),
    ]
    edges = [
        ("earlier", _edge(window.too_early, "begins with the program")),
        ("later", _edge(window.too_late, "has no upper edge: however late the frame, it boots")),
        ("starts run", str(window.runs)),
    ]
    more = ""
    if len(window.islands) > 1:
        stretches = [(quantity(island.low, "s"), _until(island)) for island in window.islands]
        more = table(f"It boots in {len(stretches)} separate stretches", ("from", "to"), stretches, numbers=(0, 1))
    return answer(head) + _bar(window, own) + beside(
        table("The window", (), rows, numbers=(1,)),
        table("To spare, at the recommended delay", (), _spare(window), numbers=(1,)),
        table("Outside it", (), edges) + more,
    ) + small(
        "Counted from the first line of the program. The recommended delay is the middle of the stretch over which the "
        "least of what is to spare stays within 5 % of its most, but no later than three times the earliest, or "
        "20 ms after it: a later one spares no more and the display stays lit longer."
    )  # fmt: skip


def _spare(window: DelayWindow) -> list[tuple[str, str]]:
    """Return what the recommended delay leaves."""
    spare = window.spare
    rows = [
        ("rail above its reset level", quantity(spare.rail, "V")),
        ("pixels above their listen level, while the frame comes", quantity(spare.listening, "V")),
    ]
    if spare.heat is not None:
        rows.append(("switch below what it stands", f"{spare.heat:.0f} K"))
    low, high = window.flat
    upto = "later too" if high is None else quantity(high, "s")
    return [*rows, ("as much from", quantity(low, "s")), ("as much to", upto)]


def _until(island: Island) -> str:
    return "no end" if is_open(island) else quantity(island.high, "s")


def _too_hot(window: DelayWindow) -> str:
    if window.too_hot_from is None:
        return "at no delay"
    at_every_delay = window.too_hot_from <= window.earliest
    return "at every delay" if at_every_delay else f"from {quantity(window.too_hot_from, 's')} on"


def _edge(verdict: Verdict | None, whole: str) -> str:
    return f"the window {whole}" if verdict is None else verdict.value.replace("-", " ")


def _bar(window: DelayWindow, own: float) -> str:
    """Return the delays as a bar on a ruler by factors: what boots, the recommended one, the build's own."""
    recommended = window.recommended
    marks = [v for v in (window.earliest, window.latest, recommended, own) if v]
    low, high = min(marks) / 2, max(marks) * 2

    def end(island: Island) -> float:
        return high if is_open(island) else island.high

    def at(delay: float) -> float:
        share = math.log(max(delay, low) / low) / math.log(high / low)
        return 20 + 860 * min(max(share, 0.0), 1.0)

    bars = "".join(_stretch(at(i.low), at(end(i)), is_open(i)) for i in window.islands)
    told = [(at(t), t) for t in _ruler(low, high)]
    if window.earliest < low:  # a ruler by factors has no zero: its left end stands for it
        told = [(at(low), window.earliest), *(one for one in told if one[0] > 80)]
    ticks = "".join(_tick(x, quantity(t, "s")) for x, t in told)
    upto = "on" if window.latest is None else f"to {quantity(window.latest, 's')}"
    return (
        '<svg class="wb-plot wb-window" viewBox="0 0 900 112" style="width:100%;max-width:900px;font:12.5px sans-serif"'
        f' role="img" aria-label="Delays that boot, from {quantity(window.earliest, "s")} {upto}; '
        f'recommended {quantity(recommended, "s")}"><g fill="#1f2a33">'
        f'<rect x="20" y="34" width="860" height="26" fill="#f1f4f6" stroke="#c5ccd1"/>{bars}{ticks}'
        f"{_pointer(at(recommended), 'recommended', above=True)}"
        f"{_pointer(at(own), 'this build', above=False)}</g></svg>"
    )


def _stretch(left: float, right: float, opened: bool) -> str:
    """A stretch that boots; one without an upper edge ends in a point instead of a side."""
    right = max(right, left + 2)
    side = f"L{right - 16:.1f} 34 L{right:.1f} 47 L{right - 16:.1f} 60" if opened else f"H{right:.1f} V60"
    return f'<path d="M{left:.1f} 34 {side} H{left:.1f} Z" fill="#bfdcc6" stroke="#2b7a3d"/>'


def _tick(x: float, words: str) -> str:
    return (
        f'<line x1="{x:.1f}" x2="{x:.1f}" y1="60" y2="66" stroke="#5b656d"/>'
        f'<text x="{x:.1f}" y="80" text-anchor="middle">{words}</text>'
    )


def _pointer(x: float, words: str, above: bool) -> str:
    anchor = "start" if x < 80 else "end" if x > 820 else "middle"
    ends, place = ((22, 60), 16) if above else ((34, 90), 105)
    dash = "" if above else ' stroke-dasharray="5 3"'
    line = f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{ends[0]}" y2="{ends[1]}" stroke="#1f2a33" stroke-width="2"{dash}/>'
    return f'{line}<text x="{x:.1f}" y="{place}" text-anchor="{anchor}" font-weight="600">{words}</text>'


def _ruler(low: float, high: float) -> list[float]:
    """Return round delays [s] between two: 1, 2, 5 of each decade, or only 1 over many decades."""
    digits = (1, 2, 5) if high < 300 * low else (1,)
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    return [t for e in decades for d in digits if low < (t := d * 10.0**e) < high]


def gate_map_html(found: GateMap) -> str:
    """Return the gate map's picture and its own window's numbers in words."""
    share = float(np.isfinite(found.earliest).mean())
    head = f"Some delay boots at <b>{share:.0%}</b> of these gates."
    if share:
        row, column = np.unravel_index(int(np.nanargmax(found.latest - found.earliest)), found.latest.shape)
        latest = float(found.latest[row, column])
        head += f" The widest window is {quantity(float(found.earliest[row, column]), 's')} "
        head += "on, with no upper edge" if math.isinf(latest) else f"to {quantity(latest, 's')}"
        head += ", with a gate resistance of "
        head += f"{quantity(float(found.resistance[column]), 'ohm')} and a gate-drain capacitance of "
        head += f"{quantity(float(found.capacitance[row]), 'F')}."
    about = "Window for the first frame over gate resistance and gate-drain capacitance."
    return answer(head) + picture(lambda axes: draw_gate_map(found, axes), 10.0, 6.0, about) + small(
        "Edges of the windows to 50 us or 2 %; the line is followed by bisection. A slower gate lowers the peak "
        "current and heats the switch more: look at its stress too."
    )  # fmt: skip


def stress_html(found: SwitchStress) -> str:
    """Return the findings, worst first, and the figures behind them."""
    counts = {severity: sum(f.severity is severity for f in found.findings) for severity in MARKS}
    told = ", ".join(f"{counts[s]} {s.value}" for s in MARKS if counts[s])
    rows = [_finding(finding) for finding in found.findings]
    findings = table("Findings, worst first", ("", "what", "value", "limit", "what to do", "limit from"), rows, (2, 3))
    heat = table(
        "Heat", ("", "this start", "display stays lit"), _heat(found.start, found.stays_lit), numbers=(1, 2)
    )  # fmt: skip
    off = [(words, state) for words, state in _off_states(found) if state is not None]
    heads = ("", "peak current", "panel reaches", "gate drive left", "settled current")
    offs = table("While it should be off", heads, [_off(words, state) for words, state in off], numbers=(1, 2, 3, 4))
    return answer(f"Of {len(rows)} findings: <b>{told}</b>.") + findings + beside(heat, offs) + small(DEFERS)


def _finding(f: Finding) -> tuple[str, ...]:
    def shown(value: float | None) -> str:
        return celsius(value) if f.unit == "C" else quantity(value, f.unit)

    what = f.question.words(f.detail)
    limit = f"at least {shown(f.limit)}" if f.minimum else shown(f.limit)
    return MARKS[f.severity], what, shown(f.value), limit, sentence(f.remedy) or "–", f.source


def _heat(start: Heating, lit: Heating) -> list[tuple[str, ...]]:
    return [
        ("ends as", *(h.headline.title.replace("-", " ") for h in (start, lit))),
        ("hottest junction", *(celsius(h.hottest_junction) for h in (start, lit))),
        ("at", *(quantity(h.hottest_at, "s") for h in (start, lit))),
        ("heat while closing", *(quantity(h.closing_energy, "J") for h in (start, lit))),
        ("heat over the whole run", *(quantity(h.energy, "J") for h in (start, lit))),
        ("power at the end", *(quantity(h.steady_power, "W") for h in (start, lit))),
        ("junction in the long run", *(celsius(h.steady_junction) for h in (start, lit))),
    ]


def _off_states(found: SwitchStress) -> tuple[tuple[str, OffState | None], ...]:
    return (
        ("plugged in, its own driver", found.plugged),
        ("open-drain transistor as driver", found.transistor),
        ("bare controller pin as driver", found.pin),
    )


def _off(words: str, state: OffState) -> tuple[str, ...]:
    return (
        words, quantity(state.peak_current, "A"), quantity(state.highest_panel_voltage, "V"),
        quantity(state.settled_drive, "V"), quantity(state.settled_current, "A"),
    )  # fmt: skip
