"""Delay window, gate map and switch stress in words, tables and pictures, as HTML."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inrushlib.answers.delay import delay_answer
from inrushlib.answers.gate import gate_map_answer
from inrushlib.answers.html import render
from inrushlib.answers.screen import Screen
from inrushlib.answers.switch import switch_answer
from inrushlib.build import Build, build_keys
from inrushlib.errors import UsageError
from inrushlib.safety import SwitchStress, switch_stress
from inrushlib.search import DelayWindow, GateMap, NoWindow, delay_window, gate_map, rerun, with_delay
from inrushlib.startup import simulate
from widgets.question import Asked, Told
from widgets.values import written

DELAY = "firmware.first_frame_delay"
NO_SWITCH = (
    "this build has no switch between bus and panel, so the display lights as soon as the adapter does; put one in "
    "here, or in the part “Switch” of the chain"
)


class Window:
    """A build's window, with the build it is for."""

    def __init__(self, build: Build, window: DelayWindow | NoWindow) -> None:
        self.build, self.window = build, window
        self.start = None
        if isinstance(window, DelayWindow):
            self.start = rerun(simulate(build).headline, with_delay(build, window.recommended))


def _with_switch(build: Build) -> Build:
    if build.switch is None:
        raise UsageError(NO_SWITCH)
    return build


def ask_window(build: Build, _: Told, __: Asked) -> Window:
    """Return the window for the first frame."""
    return Window(build, delay_window(_with_switch(build)))


def ask_gate_map(build: Build, told: Told, asked: Asked) -> GateMap:
    """Return the window over the gate's resistance and capacitance."""
    return gate_map(_with_switch(build), progress=told, cancelled=asked)


def ask_stress(build: Build, _: Told, __: Asked) -> SwitchStress:
    """Return the stress of the switch."""
    return switch_stress(_with_switch(build))


def window_values(found: Window) -> Mapping[str, Any]:
    """Return the recommended delay as a value for the build, to a hundredth of its margin or finer."""
    if isinstance(found.window, NoWindow) or found.start is None or found.start.worsens:
        return {}
    rounded = float(f"{found.window.recommended:.4g}")
    return {} if rounded == found.build.firmware.first_frame_delay else {DELAY: written(rounded, build_keys()[DELAY])}


def window_html(found: Window, screen: Screen | None = None) -> str:
    """Return the window with its margins, and where the build's own delay lies."""
    return render(delay_answer(found.build, found.window, found.start), screen)


def gate_map_html(found: GateMap, screen: Screen | None = None) -> str:
    """Return the gate map's picture and its widest window in words."""
    return render(gate_map_answer("", found), screen)


def stress_html(found: SwitchStress, screen: Screen | None = None) -> str:
    """Return the findings, worst first, and the figures behind them."""
    return render(switch_answer("", found), screen)
