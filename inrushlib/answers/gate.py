"""The window for the first frame over the gate's parts."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from inrushlib.answers.blocks import Answer, Note, Picture, Strong, Value, Verdict, Words
from inrushlib.answers.by_odds import percent
from inrushlib.search import GateMap

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from inrushlib.plots import Scheme

LOWEST = 3.5  # [inch], in a low window
HOW = (
    "Edges of the windows to 50 us or 2 %; the line is followed by bisection. A slower gate lowers the peak current "
    "and heats the switch more: look at its stress too."
)


def gate_map_answer(title: str, found: GateMap) -> Answer:
    """Return at how many gates some delay boots, the widest window, and the map.

    Parameters
    ----------
    title : str
        The build's.
    found : GateMap
        The window over gate resistance and gate-drain capacitance.
    """
    share = float(np.isfinite(found.earliest).mean())
    verdict = Verdict(("some delay boots at ", Strong(percent(share)), " of these gates"), _widest(found), share > 0)
    about = "Window for the first frame over gate resistance and gate-drain capacitance."
    picture = Picture(about, lambda axes, scheme: _draw(found, axes, scheme), 10.0, 6.0, lowest=LOWEST)
    return Answer(title, share > 0, (verdict, picture, Note(HOW)))


def _draw(found: GateMap, axes: Axes, scheme: Scheme) -> None:
    from inrushlib.plots import draw_gate_map  # long to import, and a terminal shows no picture

    draw_gate_map(found, axes, scheme)


def _widest(found: GateMap) -> tuple[Words, ...]:
    if not np.isfinite(found.earliest).any():
        return ()
    row, column = np.unravel_index(int(np.nanargmax(found.latest - found.earliest)), found.latest.shape)
    latest = float(found.latest[row, column])
    upto: Words = "on, with no upper edge" if math.isinf(latest) else ("to ", Value(latest, "s"))
    return (
        (
            "The widest window is from ", Value(float(found.earliest[row, column]), "s"), " ", upto,
            ", with a gate resistance of ", Value(float(found.resistance[column]), "ohm"),
            " and a gate-drain capacitance of ", Value(float(found.capacitance[row]), "F"), ".",
        ),
    )  # fmt: skip
