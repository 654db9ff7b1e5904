"""From a Build to the plain numbers and arrays that the compiled model takes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.laws.switch import gain
from inrushlib.model import layout as at
from inrushlib.parts.part import ABSOLUTE_ZERO
from inrushlib.parts.switch import Switch
from inrushlib.startup.lumps import Lumps, cut, lanes_of

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Packed:
    """A build as the compiled run takes it.

    Attributes
    ----------
    parts : record of PARTS
        A number for each value of a part, SI.
    lumps : (M, LUMP_CONSTANTS) array
        Pixels, capacitance [F], feed conductance and that to the next lump [S], lane.
    interruptions : (n, 2) array
        Mains off and on again [s].
    """

    parts: Any
    lumps: Array
    interruptions: Array


def frame_time(build: Build) -> float:
    """Return how long one frame takes [s]: the longest lane's bits, then the gap."""
    wiring = build.wiring
    pixels = [0] * wiring.lanes
    for lane, count in zip(lanes_of(wiring.sections, wiring.lanes), wiring.pixels_per_section, strict=True):
        pixels[lane] += count
    firmware = build.firmware
    return max(pixels) * firmware.bits_per_pixel * firmware.bit_time + firmware.reset_gap


def pack(build: Build) -> Packed:
    """Pack a build for the compiled run."""
    p = np.zeros(1, at.PARTS).view(np.recarray)[0]
    for table, keys in at.KEYS.items():
        part = getattr(build, table)
        for key in keys if part is not None else ():
            value = getattr(part, key)
            p[f"{table}_{key}"] = math.inf if value is None else value
    _work_out_adapter(build, p)
    _work_out_switch(build.switch, p)
    if build.limiter is not None:
        p.limiter_fitted = 1.0
        p.limiter_ambient_kelvin = build.limiter.ambient - ABSOLUTE_ZERO
    p.controller_own_feed = build.controller.feed == "own"
    p.firmware_frame_time = frame_time(build)
    p.run_plugged = build.run.start == "plug"
    p.pixel_forward_voltages = build.pixel.forward_voltages
    p.colours = [build.pixel.power_on, build.firmware.first_frame, build.firmware.content]
    interruptions = np.array(build.run.interruptions, dtype=float).reshape(-1, 2)
    return Packed(p, _pack_lumps(build, cut(build)), interruptions)


def _work_out_adapter(build: Build, p: Any) -> None:
    a = build.adapter
    if a.peak_current is None:
        p.adapter_peak_current = a.limit_current
    p.adapter_folds = a.limit_style == "foldback"
    p.adapter_trips = a.limit_style in ("hiccup", "latch-off")
    p.adapter_latches = a.limit_style == "latch-off"


def _work_out_switch(switch: Switch | None, p: Any) -> None:
    if switch is None:
        p.switch_kind = at.JOINT
    elif switch.kind == "load-switch":
        p.switch_kind = at.LOAD_SWITCH
        # No gate: its capacitances would load bus and root.
        p.switch_gate_source_capacitance = p.switch_gate_drain_capacitance = 0.0
    else:
        p.switch_kind = at.P_CHANNEL
        p.switch_gain = gain(switch.on_resistance, switch.on_resistance_drive, switch.threshold_voltage)
        p.switch_on_pin = switch.gate_driver == "pin"


def _pack_lumps(build: Build, lumps: Lumps) -> Array:
    w = build.wiring
    lanes = lanes_of(w.sections, w.lanes)
    s = np.zeros((len(lumps), at.LUMP_CONSTANTS))
    s[:, at.COUNT] = [float(pixels) for pixels in lumps.pixels]
    s[:, at.CAPACITANCE] = s[:, at.COUNT] * w.capacitance_per_pixel
    for lump, resistance in zip(lumps.fed, w.feed_resistance, strict=True):
        s[lump, at.FEED] = 1.0 / resistance
    links = w.rail_resistance * (s[:-1, at.COUNT] + s[1:, at.COUNT]) / 2
    links[list(lumps.last[:-1])] += w.hop_resistance
    s[:-1, at.HOP] = 1.0 / links
    s[:, at.LANE] = [lanes[section] for section in lumps.section]
    return s
