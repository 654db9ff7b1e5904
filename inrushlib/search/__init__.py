"""Searches over the start-up model and the steady panel: one function a question.

``smallest_adapter``, ``AdapterSize``, ``Decides``
    the smallest adapter and the next standard rating up (``RATINGS``); ``with_limit`` puts one in
``delay_window``, ``DelayWindow``, ``NoWindow``, ``WhyNone``
    how long to wait between closing the switch and the first frame; ``with_delay``, ``is_open``;
    ``gate_map``, ``GateMap`` over the gate's parts
``smallest_reservoir``, ``ReservoirSize``, ``StandardValue``, ``NoReservoir``
    the smallest capacitor behind a diode
``brightness_caps``, ``firmware_constants``
    the largest level, and the constants for the firmware: ``BrightnessCaps``, ``BrightnessCap``, ``Cap``,
    ``Beside``, ``FirmwareConstant``
``verdict_map``, ``VerdictMap``, ``Axis``
    the verdict over any two keys
``compare_feeds``, ``place_feeds``, ``best_feeding``, ``wire_plan``
    where to feed, and with what wire: ``Feeding``, ``FeedSearch``, ``WirePlan``, ``Wire``
``wire_list``, ``lengths_of``
    every wire that is there and that is needed, and what to buy: ``WireList``, ``WireRun``
``rerun``, ``Rerun``
    a start before and after a change
``running_picture``, ``Picture``
    the picture that a display is taken to show once it runs
``Island``
    a stretch of values that boots

Below it: :mod:`~inrushlib.search.islands` and :mod:`~inrushlib.search.boundary` (scan, refine, follow an edge: what the
searches share), :mod:`~inrushlib.search.quiet` and :mod:`~inrushlib.search.delay_spare` (of the delay),
:mod:`~inrushlib.search.preferred` (E6 values), :mod:`~inrushlib.search.ratings`.
"""

from inrushlib.search.adapter import AdapterSize, Decides, smallest_adapter
from inrushlib.search.axis import Axis
from inrushlib.search.brightness import (
    Beside,
    BrightnessCap,
    BrightnessCaps,
    Cap,
    FirmwareConstant,
    brightness_caps,
    firmware_constants,
)
from inrushlib.search.feeds import Feeding, FeedSearch, best_feeding, compare_feeds, place_feeds
from inrushlib.search.gate_map import GateMap, gate_map
from inrushlib.search.islands import Island
from inrushlib.search.map import VerdictMap, verdict_map
from inrushlib.search.quiet import NoWindow, WhyNone, with_delay
from inrushlib.search.ratings import RATINGS, with_limit
from inrushlib.search.rerun import Rerun, rerun
from inrushlib.search.reservoir import NoReservoir, ReservoirSize, StandardValue, smallest_reservoir
from inrushlib.search.running import Picture, running_picture
from inrushlib.search.window import DelayWindow, delay_window, is_open
from inrushlib.search.wire_needs import WireList, WireRun, lengths_of, wire_list
from inrushlib.search.wires import Wire, WirePlan, wire_plan

__all__ = [
    "RATINGS",
    "AdapterSize",
    "Axis",
    "Beside",
    "BrightnessCap",
    "BrightnessCaps",
    "Cap",
    "Decides",
    "DelayWindow",
    "FeedSearch",
    "Feeding",
    "FirmwareConstant",
    "GateMap",
    "Island",
    "NoReservoir",
    "NoWindow",
    "Picture",
    "Rerun",
    "ReservoirSize",
    "StandardValue",
    "VerdictMap",
    "WhyNone",
    "Wire",
    "WireList",
    "WirePlan",
    "WireRun",
    "best_feeding",
    "brightness_caps",
    "compare_feeds",
    "delay_window",
    "firmware_constants",
    "gate_map",
    "is_open",
    "lengths_of",
    "place_feeds",
    "rerun",
    "running_picture",
    "smallest_adapter",
    "smallest_reservoir",
    "verdict_map",
    "wire_list",
    "wire_plan",
    "with_delay",
    "with_limit",
]
