"""From a Build to the plain numbers and arrays that the compiled model takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

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
    parts : (PARTS,) array
        One number a part's value, SI.
    lumps : (M, LUMP_CONSTANTS) array
        Pixels, capacitance [F], feed conductance and that to the next lump [S], lane.
    interruptions : (n, 2) array
        Mains off and on again [s].
    """

    parts: Array
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
    p = np.zeros(at.PARTS)
    _pack_adapter(build, p)
    _pack_wires(build, p)
    _pack_controller(build, p)
    _pack_firmware_and_pixels(build, p)
    interruptions = np.array(build.run.interruptions, dtype=float).reshape(-1, 2)
    return Packed(p, _pack_lumps(build, cut(build)), interruptions)


def _pack_adapter(build: Build, p: Array) -> None:
    a = build.adapter
    p[at.RATED_VOLTAGE] = a.rated_voltage
    p[at.LIMIT] = a.limit_current
    p[at.PEAK] = a.limit_current if a.peak_current is None else a.peak_current
    p[at.PEAK_TIME] = math.inf if a.peak_time is None else a.peak_time
    p[at.FOLDBACK] = a.limit_style == "foldback"
    p[at.TRIPS] = a.limit_style in ("hiccup", "latch-off")
    p[at.LATCHES] = a.limit_style == "latch-off"
    p[at.FOLDBACK_CURRENT] = a.foldback_current
    p[at.FOLDBACK_KNEE] = a.foldback_knee
    p[at.OUTPUT_RESISTANCE] = a.output_resistance
    p[at.OUTPUT_CAPACITANCE] = a.output_capacitance
    p[at.SOFT_START] = a.soft_start
    p[at.TRIP_DELAY] = a.trip_delay
    p[at.RETRY_DELAY] = a.retry_delay
    p[at.BLEED] = a.bleed_resistance


def _pack_wires(build: Build, p: Array) -> None:
    p[at.LEAD_RESISTANCE] = build.lead.resistance
    p[at.LEAD_INDUCTANCE] = build.lead.inductance
    p[at.BUS_CERAMIC : at.BUS_BULK_ESR + 1] = build.bus.ceramic, build.bus.bulk, build.bus.bulk_esr
    p[at.ROOT_CERAMIC : at.ROOT_BULK_ESR + 1] = build.panel.ceramic, build.panel.bulk, build.panel.bulk_esr
    limiter = build.limiter
    if limiter is not None:
        p[at.LIMITER] = 1.0
        p[at.LIMITER_COLD] = limiter.cold_resistance
        p[at.LIMITER_BETA] = limiter.beta
        p[at.LIMITER_DISSIPATION] = limiter.dissipation
        p[at.LIMITER_HEAT] = limiter.heat_capacity
        p[at.LIMITER_AMBIENT] = limiter.ambient - ABSOLUTE_ZERO
    _pack_switch(build.switch, p)


def _pack_switch(switch: Switch | None, p: Array) -> None:
    if switch is None:
        p[at.SWITCH] = at.JOINT
        return
    if switch.kind == "load-switch":
        # No gate: its capacitances stay zero, or they would load bus and root.
        p[at.SWITCH] = at.LOAD_SWITCH
        p[at.SLEW] = switch.slew_rate
        p[at.SWITCH_LIMIT] = switch.current_limit
        p[at.SWITCH_RESISTANCE] = switch.on_resistance
        return
    p[at.SWITCH] = at.P_CHANNEL
    p[at.THRESHOLD] = switch.threshold_voltage
    p[at.BETA] = gain(switch.on_resistance, switch.on_resistance_drive, switch.threshold_voltage)
    p[at.GATE_SOURCE] = switch.gate_source_capacitance
    p[at.GATE_DRAIN] = switch.gate_drain_capacitance
    p[at.PULLUP] = switch.pullup_resistance
    p[at.GATE_RESISTANCE] = switch.gate_resistance
    p[at.PIN] = switch.gate_driver == "pin"


def _pack_controller(build: Build, p: Array) -> None:
    c = build.controller
    p[at.OWN] = c.feed == "own"
    p[at.OWN_VOLTAGE] = c.own_voltage
    p[at.CTRL_RESISTANCE] = c.feed_resistance
    p[at.DIODE] = c.feed_diode
    p[at.DIODE_DROP] = c.diode_drop
    p[at.RESERVOIR] = c.reservoir
    p[at.RAIL_VOLTAGE] = c.rail_voltage
    p[at.DROPOUT] = c.dropout_voltage
    p[at.DROPOUT_RESISTANCE] = c.dropout_resistance
    p[at.REGULATOR_LIMIT] = c.regulator_limit
    p[at.RAIL_CAPACITANCE] = c.rail_capacitance
    p[at.RISING] = c.brownout_rising
    p[at.FALLING] = c.brownout_falling
    p[at.RESET_HOLD] = c.reset_hold
    p[at.BOOT_TIME] = c.boot_time
    p[at.BOOT_PEAK_CURRENT] = c.boot_peak_current
    p[at.BOOT_PEAK_AFTER] = c.boot_peak_at
    p[at.BOOT_PEAK_LENGTH] = c.boot_peak_length
    p[at.RESET_CURRENT] = c.reset_current
    p[at.BOOT_CURRENT] = c.boot_current
    p[at.RUN_CURRENT] = c.run_current
    p[at.BURST_CURRENT] = c.burst_current
    p[at.BURST_LENGTH] = c.burst_length
    p[at.BURST_PERIOD] = c.burst_period


def _pack_firmware_and_pixels(build: Build, p: Array) -> None:
    f = build.firmware
    p[at.GATE_DELAY] = f.gate_delay
    p[at.FIRST_FRAME_DELAY] = f.first_frame_delay
    p[at.REFRESH] = f.refresh_interval
    p[at.FRAME_TIME] = frame_time(build)
    p[at.CONTENT_DELAY] = math.inf if f.content_delay is None else f.content_delay
    x = build.pixel
    p[at.QUIESCENT] = x.quiescent_current
    p[at.CHANNEL_CURRENT] = x.channel_current
    p[at.FORWARD_R : at.FORWARD_B + 1] = x.forward_voltages
    p[at.CHANNEL_RESISTANCE] = x.channel_resistance
    p[at.WAKE] = x.wake_voltage
    p[at.LISTEN] = x.listen_voltage
    p[at.LISTEN_DELAY] = x.listen_delay
    p[at.FORGET] = x.forget_voltage
    p[at.DURATION] = build.run.duration
    p[at.PLUG] = build.run.start == "plug"
    p[at.COLOURS : at.COLOURS + 9] = [*x.power_on, *f.first_frame, *f.content]


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
