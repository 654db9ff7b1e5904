"""Searches over the start-up model and the steady panel: one function a question.

``smallest_adapter``, ``AdapterSize``, ``NoAdapter``, ``WhyNoAdapter``
    the smallest adapter and the next standard rating up, what start and running picture ask for (``StartNeed``,
    ``PictureNeed``, ``NoNeed``) and which of them for more (``Decides``); ``rating_ladder`` of each ``Rung``, the
    standard ratings (``RATINGS``); ``with_limit`` puts one in
``delay_window``, ``DelayWindow``, ``NoWindow``, ``WhyNone``
    how long to wait between closing the switch and the first frame; ``with_delay``, ``is_open``;
    ``gate_map``, ``GateMap`` over the gate's parts
``smallest_reservoir``, ``ReservoirSize``, ``StandardValue``, ``NoReservoir``, ``WhyNoReservoir``
    the smallest capacitor behind a diode, and by hand: ``HandFormula``, ``WhyNoFormula``
``brightness_caps``, ``firmware_constants``
    the largest level, and the constants for the firmware: ``BrightnessCaps``, ``BrightnessCap``, ``Cap``,
    ``NoCap``, ``OtherLimit``, ``Level``, ``NotShown``, ``limit_in_words``, ``FirmwareConstant``
``verdict_map``, ``VerdictMap``, ``Axis``
    the verdict over any two keys
``compare_feeds``, ``place_feeds``, ``best_feeding``, ``wire_plan``
    where to feed, and with what wire: ``Feeding``, ``FeedSearch``, ``WirePlan``, ``Wire``
``wire_list``, ``lengths_of``, ``metres_of``
    every wire that is there and that is needed, and what to buy: ``WireList``, ``WireRun``
``rerun``, ``Rerun``
    a start before and after a change
``running_picture``, ``Picture``
    the picture that a display is taken to show once it runs
``picture_pulses``, ``Pulses``
    what a dimmed picture draws beside its mean: pulses of the full current
``Island``
    a stretch of values that boots

Below it: :mod:`~inrushlib.search.islands` and :mod:`~inrushlib.search.boundary` (scan, refine, follow an edge: what the
searches share), :mod:`~inrushlib.search.quiet` and :mod:`~inrushlib.search.delay_spare` (of the delay),
:mod:`~inrushlib.search.preferred` (E6 values), :mod:`~inrushlib.search.ratings`.
"""

from inrushlib.search.adapter import smallest_adapter
from inrushlib.search.adapter_size import (
    AdapterSize,
    Decides,
    NoAdapter,
    NoNeed,
    PictureNeed,
    StartNeed,
    WhyNoAdapter,
)
from inrushlib.search.axis import Axis
from inrushlib.search.brightness import brightness_caps
from inrushlib.search.by_hand import HandFormula, WhyNoFormula
from inrushlib.search.caps import BrightnessCap, BrightnessCaps, Cap, Level, NoCap, NotShown, OtherLimit, limit_in_words
from inrushlib.search.feeds import Feeding, FeedSearch, best_feeding, compare_feeds, place_feeds
from inrushlib.search.firmware import FirmwareConstant, firmware_constants
from inrushlib.search.gate_map import GateMap, gate_map
from inrushlib.search.islands import Island
from inrushlib.search.map import VerdictMap, verdict_map
from inrushlib.search.pulses import Pulses, picture_pulses
from inrushlib.search.quiet import NoWindow, WhyNone, with_delay
from inrushlib.search.ratings import RATINGS, Rung, rating_ladder, with_limit
from inrushlib.search.rerun import Rerun, rerun
from inrushlib.search.reservoir import smallest_reservoir
from inrushlib.search.reservoir_size import NoReservoir, ReservoirSize, StandardValue, WhyNoReservoir
from inrushlib.search.running import Picture, running_picture
from inrushlib.search.window import DelayWindow, delay_window, is_open
from inrushlib.search.wire_needs import WireList, WireRun, lengths_of, metres_of, wire_list
from inrushlib.search.wires import Wire, WirePlan, wire_plan

__all__ = [
    "RATINGS",
    "AdapterSize",
    "Axis",
    "BrightnessCap",
    "BrightnessCaps",
    "Cap",
    "Decides",
    "DelayWindow",
    "FeedSearch",
    "Feeding",
    "FirmwareConstant",
    "GateMap",
    "HandFormula",
    "Island",
    "Level",
    "NoAdapter",
    "NoCap",
    "NoNeed",
    "NoReservoir",
    "NoWindow",
    "NotShown",
    "OtherLimit",
    "Picture",
    "PictureNeed",
    "Pulses",
    "Rerun",
    "ReservoirSize",
    "Rung",
    "StandardValue",
    "StartNeed",
    "VerdictMap",
    "WhyNoAdapter",
    "WhyNoFormula",
    "WhyNoReservoir",
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
    "limit_in_words",
    "metres_of",
    "picture_pulses",
    "place_feeds",
    "rating_ladder",
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
