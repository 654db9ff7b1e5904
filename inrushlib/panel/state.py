"""The steady panel's result, and how it is read off settled voltages.

``PanelState``
    every voltage, current, share and loss
``read_state``
    builds one from settled voltages
``relative_light``, ``colour_shift``
    what the eye sees, against the best-fed pixel
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from inrushlib.laws.arrays import FloatArray, PixelPart, channel_shares, pixel_current
from inrushlib.laws.constants import OVER_SHARE
from inrushlib.panel.network import IntArray, Rail
from inrushlib.panel.newton import imbalance, rail_currents
from inrushlib.panel.settle import Settled
from inrushlib.panel.supply import BUS, OUTPUT, ROOT, SupplyFront
from inrushlib.parts.place import PlaceKind

TIE = 1e-12  # [V] between pixels that a symmetric panel makes equal: its rounding is a hundredth of that


@dataclass(frozen=True, kw_only=True)
class PanelState:
    """A panel in steady state; all SI, pixels counted through all sections from 0.

    Attributes
    ----------
    voltages : array
        Supply of each pixel [V].
    shares : array
        Current of each channel as a share of its full current, whatever the duty [1], a row per pixel.
    duties : array
        Colour of each pixel [1], a row per pixel.
    pixel_currents : array
        Taken by each pixel [A].
    segment_currents : array
        From pixel k to k + 1 [A].
    hop_currents : array
        From section k to k + 1 [A].
    feed_pixels : array
        Pixel on which each feed lands [1].
    feed_currents : array
        From the root into each feed [A].
    link_currents : array
        From the first to the second end of each extra link [A].
    section_starts : array
        First pixel of each section, then the number of pixels [1].
    adapter_current, lead_current : float
        Given by the adapter's regulator, and by its plug into the lead [A]; they differ by its bleed.
    adapter_limit : float
        Limit of the adapter at its output voltage [A]: below ``limit_current`` where it folds back.
    adapter_voltage, bus_voltage, root_voltage : float
        At the adapter's output, the bus and the panel's root [V].
    losses : mapping of PlaceKind to float
        Power by kind of place [W]; they add up to what the adapter delivers. Kinds that the build does not have are
        not in it.
    brightness : array
        Light of each pixel as a share of what it would give with full currents, over that of the best-fed
        pixel [1].
    colour_shift : array
        Part of its light that is in another channel than at the best-fed pixel [1], 0 to 1.
    best_pixel, worst_pixel : int
        Pixels of highest and lowest voltage [1], the first on a tie.
    largest_imbalance : float
        Largest current that is missing or left over at any node [A]: how well the solution holds.
    iterations : int
        Newton steps taken [1].
    method : str
        "newton", or "run-down" where Newton's method alone went in circles.
    """

    voltages: FloatArray
    shares: FloatArray
    duties: FloatArray
    pixel_currents: FloatArray
    segment_currents: FloatArray
    hop_currents: FloatArray
    feed_pixels: IntArray
    feed_currents: FloatArray
    link_currents: FloatArray
    section_starts: IntArray
    adapter_current: float
    lead_current: float
    adapter_limit: float
    adapter_voltage: float
    bus_voltage: float
    root_voltage: float
    losses: Mapping[PlaceKind, float]
    brightness: FloatArray
    colour_shift: FloatArray
    best_pixel: int
    worst_pixel: int
    largest_imbalance: float
    iterations: int
    method: str

    @property
    def limiting(self) -> bool:
        """Whether the adapter is in its limit."""
        return self.adapter_current >= OVER_SHARE * self.adapter_limit

    @property
    def lowest_voltage(self) -> float:
        """Voltage of the worst pixel [V]."""
        return float(self.voltages[self.worst_pixel])

    @property
    def highest_voltage(self) -> float:
        """Voltage of the best-fed pixel [V]."""
        return float(self.voltages[self.best_pixel])

    @property
    def largest_hop_current(self) -> float:
        """Largest current between two sections, whichever way [A]; 0 where there is one section."""
        return float(np.abs(self.hop_currents).max(initial=0.0))

    @property
    def section_voltages(self) -> FloatArray:
        """Mean pixel voltage of each section [V]."""
        return np.add.reduceat(self.voltages, self.section_starts[:-1]) / np.diff(self.section_starts)

    @property
    def lowest_brightness(self) -> float:
        """Light of the dimmest pixel over that of the best-fed one [1]."""
        return float(self.brightness.min())

    def figures(self) -> dict[str, Any]:
        """The figures of the panel as plain numbers and lists, for printing."""
        return {
            "adapter_current": self.adapter_current,
            "lead_current": self.lead_current,
            "adapter_limit": self.adapter_limit,
            "adapter_limiting": self.limiting,
            "adapter_voltage": self.adapter_voltage,
            "bus_voltage": self.bus_voltage,
            "root_voltage": self.root_voltage,
            "lowest_voltage": self.lowest_voltage,
            "lowest_pixel": self.worst_pixel,
            "highest_voltage": self.highest_voltage,
            "highest_pixel": self.best_pixel,
            "section_voltages": self.section_voltages.tolist(),
            "feed_currents": self.feed_currents.tolist(),
            "feed_pixels": self.feed_pixels.tolist(),
            "hop_currents": self.hop_currents.tolist(),
            "largest_hop_current": self.largest_hop_current,
            "largest_segment_current": float(np.abs(self.segment_currents).max(initial=0.0)),
            "lowest_brightness": self.lowest_brightness,
            "largest_colour_shift": float(self.colour_shift.max()),
            "worst_pixel_shares": self.shares[self.worst_pixel].tolist(),
            "losses": {kind.together: power for kind, power in self.losses.items()},
            "iterations": self.iterations,
            "method": self.method,
        }


def first_within(values: FloatArray, target: float) -> int:
    """Index [1] of the first of ``values`` that equals ``target``, in any one unit [V or 1], but for rounding."""
    return int(np.flatnonzero(np.abs(values - target) <= TIE)[0])


def _weights(duties: FloatArray) -> FloatArray:
    """Each channel's part of a pixel's colour, a row per pixel; a dark pixel counts as white."""
    total = duties.sum(axis=1, keepdims=True)
    return np.where(total > 0.0, duties / np.where(total > 0.0, total, 1.0), 1.0 / 3.0)


def relative_light(shares: FloatArray, duties: FloatArray, best: int) -> FloatArray:
    """Light of each pixel as a share of its own full light, over that of the best-fed pixel.

    ``sum(duty_c * share_c) / sum(duty_c)``, divided by the same of the best-fed pixel's shares.

    Parameters
    ----------
    shares : array
        Channel currents as shares of full [1], a row per pixel.
    duties : array
        Colours [1], 0 to 1, a row per pixel; a dark pixel is judged as if it were white.
    best : int
        Index of the best-fed pixel [1].

    Returns
    -------
    array
        Relative light [1] of each pixel.

    Notes
    -----
    Light is taken as proportional to current, the channels as equally bright (common practice, no source).

    Examples
    --------
    >>> relative_light(np.array([[1.0, 1.0, 1.0], [1.0, 0.5, 0.3]]), np.ones((2, 3)), 0).tolist()
    [1.0, 0.6]
    """
    weights = _weights(duties)
    at_best = weights @ shares[best]
    relative: FloatArray = (weights * shares).sum(axis=1) / np.where(at_best > 0.0, at_best, 1.0)
    return relative


def colour_shift(shares: FloatArray, duties: FloatArray, best: int) -> FloatArray:
    """Part of each pixel's light that has moved to another channel, against the best-fed pixel.

    ``sum |p_c - q_c| / 2``: p the channels' parts of its light, q what they would be at the best-fed pixel.

    Parameters
    ----------
    shares : array
        Channel currents as shares of full [1], a row per pixel.
    duties : array
        Colours [1], 0 to 1, a row per pixel; a dark pixel is judged as if it were white.
    best : int
        Index of the best-fed pixel [1].

    Returns
    -------
    array
        Shift [1], 0 (same hue) to 1 (nothing in common), of each pixel.

    Examples
    --------
    >>> colour_shift(np.array([[1.0, 1.0, 1.0], [1.0, 0.5, 0.5]]), np.ones((2, 3)), 0).round(4).tolist()
    [0.0, 0.1667]
    """
    weights = _weights(duties)
    parts, wanted = weights * shares, weights * shares[best]
    total, full = parts.sum(axis=1, keepdims=True), wanted.sum(axis=1, keepdims=True)
    parts = parts / np.where(total > 0.0, total, 1.0)
    wanted = wanted / np.where(full > 0.0, full, 1.0)
    shift: FloatArray = np.abs(parts - wanted).sum(axis=1) / 2.0
    return shift


def _losses(
    rail: Rail,
    hops: IntArray,
    hop_shares: FloatArray,
    settled: Settled,
    front: SupplyFront,
    drawn: FloatArray,
) -> dict[PlaceKind, float]:
    output, bus, root = (float(each) for each in settled.front)
    segment, feed, link = rail_currents(rail, root, settled.pixels)
    along = segment**2 * rail.segments
    in_hops = float((along[hops] * hop_shares).sum())
    (forward, body), _ = front.joint(bus, root)
    in_lead = (output - bus) ** 2 / front.lead_resistance
    in_limiter = in_lead * front.limiter_resistance / front.lead_resistance
    losses = {PlaceKind.ADAPTER_BLEED: output**2 / front.bleed_resistance, PlaceKind.LEAD: in_lead - in_limiter}
    if front.limiter_resistance > 0.0:
        losses[PlaceKind.LIMITER] = in_limiter
    losses[PlaceKind.CONTROLLER] = front.controller(bus)[0] * bus
    losses[PlaceKind.SWITCH if front.has_switch else PlaceKind.JOINT] = (forward - body) * (bus - root)
    if front.switched:
        losses[PlaceKind.GATE] = bus**2 / (front.gate_resistance + front.pullup_resistance)
    return losses | {
        PlaceKind.FEED: float((feed**2 * rail.feed_resistances).sum()),
        PlaceKind.HOP: in_hops,
        PlaceKind.RAIL: float(along.sum()) - in_hops,
        PlaceKind.LINK: float((link**2 * rail.link_resistances).sum()),
        PlaceKind.PIXELS: float(settled.pixels @ drawn),
    }


def read_state(
    rail: Rail,
    front: SupplyFront,
    pixel: PixelPart,
    duty: FloatArray,
    starts: IntArray,
    hop_resistances: FloatArray,
    settled: Settled,
) -> PanelState:
    """Everything that settled voltages say.

    Parameters
    ----------
    rail : Rail
        The network [SI].
    front : SupplyFront
        What stands before the root [SI].
    pixel : PixelPart
        The pixel [SI].
    duty : array
        Colour, shape (3, 1) or (3, N) [1].
    starts : array
        First pixel of each section, then the number of pixels [1].
    hop_resistances : array
        The joints' own part of the resistance between sections [ohm].
    settled : Settled
        The voltages [V].

    Returns
    -------
    PanelState
        Voltages, currents, shares, losses [SI].
    """
    voltages, root = settled.pixels, float(settled.front[ROOT])
    drawn, _ = pixel_current(voltages, duty, pixel)
    surplus, fed = imbalance(rail, root, voltages, drawn)
    at_front = front.evaluate(settled.front)[0]
    at_front[ROOT] += fed
    segment, feed, link = rail_currents(rail, root, voltages)
    hops = starts[1:-1] - 1
    shares = channel_shares(voltages, pixel)
    duties = np.ascontiguousarray(np.broadcast_to(duty, (3, len(voltages))).T)
    best = first_within(voltages, float(voltages.max()))
    return PanelState(
        voltages=voltages,
        shares=shares,
        duties=duties,
        pixel_currents=drawn,
        segment_currents=segment,
        hop_currents=segment[hops],
        feed_pixels=rail.feed_pixels,
        feed_currents=feed,
        link_currents=link,
        section_starts=starts,
        adapter_current=float(front.regulator(float(settled.front[OUTPUT]))[0]),
        adapter_limit=front.limit(float(settled.front[OUTPUT]))[0],
        lead_current=float((settled.front[OUTPUT] - settled.front[BUS]) / front.lead_resistance),
        adapter_voltage=float(settled.front[OUTPUT]),
        bus_voltage=float(settled.front[BUS]),
        root_voltage=root,
        losses=_losses(rail, hops, hop_resistances / rail.segments[hops], settled, front, drawn),
        brightness=relative_light(shares, duties, best),
        colour_shift=colour_shift(shares, duties, best),
        best_pixel=best,
        worst_pixel=first_within(voltages, float(voltages.min())),
        largest_imbalance=max(float(np.abs(surplus).max()), float(np.abs(at_front).max())),
        iterations=settled.iterations,
        method=settled.method,
    )
