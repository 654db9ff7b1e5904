"""Pictures: each takes data and axes (or a figure) and returns them. Nothing below this draws.

``draw_startup``, ``View``, ``Overlay``, ``VOLTAGES``, ``SHOWN``
    a start: voltages, lead current, and what each part is doing; ``LivePicture`` is the same, redrawn often;
    ``Line``, ``values_by_line`` what its lines are and show; ``Scheme`` light or dark
``draw_voltage``, ``draw_brightness``, ``draw_chain_current``
    a panel in steady state
``draw_map``, ``draw_gate_map``
    the verdict over two keys, the window for the first frame over the gate's parts
``draw_circuit``, ``CIRCUIT_SIZE``, ``draw_tiles``, ``tiles_size``
    a build's circuit, and its sections from the front, for paper
``draw_remedies``, ``height_for``
    remedies side by side
``draw_odds``, ``draw_tornado``, ``draw_spread``
    how sure an answer is: odds against a value, how near the verdict turns, the spread of a curve
``draw_comparison``, ``draw_channels``
    a capture and the model; a capture alone

Below it: :mod:`~inrushlib.plots.scheme` (the colours), :mod:`~inrushlib.plots.style`,
:mod:`~inrushlib.plots.strip`, :mod:`~inrushlib.plots.thin`.
"""

from inrushlib.plots.chain import draw_chain_current
from inrushlib.plots.channels import draw_channels
from inrushlib.plots.circuit import CIRCUIT_SIZE, draw_circuit
from inrushlib.plots.compare import draw_comparison
from inrushlib.plots.live import LivePicture
from inrushlib.plots.map import draw_gate_map, draw_map
from inrushlib.plots.odds import draw_odds, draw_spread, draw_tornado
from inrushlib.plots.panel import draw_brightness, draw_voltage
from inrushlib.plots.remedies import draw_remedies, height_for
from inrushlib.plots.scheme import Line, Scheme
from inrushlib.plots.startup import SHOWN, VOLTAGES, Overlay, View, draw_startup, values_by_line
from inrushlib.plots.tiles import draw_tiles, tiles_size

__all__ = [
    "CIRCUIT_SIZE",
    "SHOWN",
    "VOLTAGES",
    "Line",
    "LivePicture",
    "Overlay",
    "Scheme",
    "View",
    "draw_brightness",
    "draw_chain_current",
    "draw_channels",
    "draw_circuit",
    "draw_comparison",
    "draw_gate_map",
    "draw_map",
    "draw_odds",
    "draw_remedies",
    "draw_spread",
    "draw_startup",
    "draw_tiles",
    "draw_tornado",
    "draw_voltage",
    "height_for",
    "tiles_size",
    "values_by_line",
]
