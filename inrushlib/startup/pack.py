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

_FIELDS = {table: [(key, f"{table}_{key}") for key in keys] for table, keys in at.KEYS.items()}
_NAMES = at.PARTS.names or ()


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
    """Return how long one frame takes [s]: the longest lane's bits, then the gap.

    Parameters
    ----------
    build : Build
        Any build.
    """
    wiring = build.wiring
    pixels = [0] * wiring.lanes
    for lane, count in zip(lanes_of(wiring.sections, wiring.lanes), wiring.pixels_per_section, strict=True):
        pixels[lane] += count
    firmware = build.firmware
    return max(pixels) * firmware.bits_per_pixel * firmware.bit_time + firmware.reset_gap


def pack(build: Build) -> Packed:
    """Pack a build for the compiled run.

    Parameters
    ----------
    build : Build
        Any build.
    """
    values: dict[str, Any] = {}
    for table, keys in _FIELDS.items():
        part = getattr(build, table)
        for key, field in keys if part is not None else ():
            value = getattr(part, key)
            values[field] = math.inf if value is None else value
    values |= _worked_out(build) | _of_switch(build.switch)
    # All at once: a record filled field by field takes longer than the rest of packing.
    record = np.array([tuple(values.get(name, 0.0) for name in _NAMES)], at.PARTS)[0]
    interruptions = np.array(build.run.interruptions, dtype=float).reshape(-1, 2)
    return Packed(record, _pack_lumps(build, cut(build)), interruptions)


def _worked_out(build: Build) -> dict[str, Any]:
    a, pixel, firmware = build.adapter, build.pixel, build.firmware
    found: dict[str, Any] = {
        "adapter_peak_current": a.limit_current if a.peak_current is None else a.peak_current,
        "adapter_folds": a.limit_style == "foldback",
        "adapter_trips": a.limit_style in ("hiccup", "latch-off"),
        "adapter_latches": a.limit_style == "latch-off",
        "controller_own_feed": build.controller.feed == "own",
        "firmware_frame_time": frame_time(build),
        "run_plugged": build.run.start == "plug",
        "pixel_forward_voltages": pixel.forward_voltages,
        "colours": (pixel.power_on, firmware.first_frame, firmware.content),
    }
    if build.limiter is not None:
        found |= {"limiter_fitted": 1.0, "limiter_ambient_kelvin": build.limiter.ambient - ABSOLUTE_ZERO}
    return found


def _of_switch(switch: Switch | None) -> dict[str, Any]:
    if switch is None:
        return {"switch_kind": at.JOINT}
    if switch.kind == "load-switch":
        # No gate: its capacitances would load bus and root.
        gate = {"switch_gate_source_capacitance": 0.0, "switch_gate_drain_capacitance": 0.0}
        return {"switch_kind": at.LOAD_SWITCH} | gate
    return {
        "switch_kind": at.P_CHANNEL,
        "switch_gain": gain(switch.on_resistance, switch.on_resistance_drive, switch.threshold_voltage),
        "switch_on_pin": switch.gate_driver == "pin",
    }


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
