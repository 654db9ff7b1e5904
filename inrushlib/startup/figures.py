"""What is read off a finished run: peaks, lows, temperatures, charge, energy."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.parts.place import LEAD, Place, PlaceKind, feed, hop
from inrushlib.startup.lumps import Lumps

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Figures:
    """Figures of one start; None where there is none. ``..._at`` is the instant [s].

    Attributes
    ----------
    peak_lead_current, settled_lead_current, final_lead_current : float
        Largest current of the lead, its mean over the last tenth of the run, and its value at the end [A].
    peak_lead_current_at : float
        When it was largest [s].
    final_bus_voltage, final_rail_voltage : float
        At the end [V].
    final_section_voltages : tuple of float
        Of each section's centre lump at the end [V].
    final_lowest_lump_voltage : float
        The lowest of all lumps at the end [V].
    final_lowest_lump_section : int
        The section that this lump belongs to [1].
    lowest_bus_voltage, lowest_rail_voltage : float or None
        From the first time the controller came out of reset [V]; None where it never did.
    lowest_bus_voltage_at, lowest_rail_voltage_at : float or None
        When [s].
    lit_before_data : float
        How long any pixel glowed in its power-on colour, at 5 % of its full current or more [s].
    highest_bus_voltage, highest_panel_voltage, highest_reservoir_voltage : float
        At the bus, at the root of the panel, at the regulator's input [V].
    highest_bus_voltage_at, highest_panel_voltage_at, highest_reservoir_voltage_at, highest_section_voltage_at : float
        When [s].
    highest_section_voltage : float
        The highest of all lumps [V].
    highest_junction_temperature : float or None
        Of the switch [degrees Celsius]; None without one.
    highest_junction_temperature_at : float or None
        When [s].
    """

    peak_lead_current: float
    peak_lead_current_at: float
    settled_lead_current: float
    final_lead_current: float
    final_bus_voltage: float
    final_rail_voltage: float
    final_section_voltages: tuple[float, ...]
    final_lowest_lump_voltage: float
    final_lowest_lump_section: int
    lowest_bus_voltage: float | None
    lowest_bus_voltage_at: float | None
    lowest_rail_voltage: float | None
    lowest_rail_voltage_at: float | None
    lit_before_data: float
    highest_bus_voltage: float
    highest_bus_voltage_at: float
    highest_panel_voltage: float
    highest_panel_voltage_at: float
    highest_reservoir_voltage: float
    highest_reservoir_voltage_at: float
    highest_section_voltage: float
    highest_section_voltage_at: float
    highest_junction_temperature: float | None
    highest_junction_temperature_at: float | None


@dataclass(frozen=True, kw_only=True)
class Conductor:
    """What went through one conductor loop.

    Attributes
    ----------
    place : Place
        The lead, a feed, or a hop.
    resistance : float
        Of the loop [ohm].
    charge, energy, i2t : float
        Integrals of i (signed, positive away from the adapter) [C], R i^2 [J], i^2 [A2s].
    """

    place: Place
    resistance: float
    charge: float
    energy: float
    i2t: float

    @property
    def name(self) -> str:
        """Name on a page: ``"lead"``, ``"feed to section 0"``, ``"jumper 0-1"``."""
        return self.place.name

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON, SI."""
        return {
            "name": self.name,
            "resistance": self.resistance,
            "charge": self.charge,
            "energy": self.energy,
            "i2t": self.i2t,
        }


@dataclass(frozen=True)
class EnergyBalance:
    """Where the energy came from and where it went [J].

    Attributes
    ----------
    adapter, own_supply : float
        What the adapter's regulator and the controller's own supply delivered [J].
    stored : float
        What capacitors and the lead's inductance hold more at the end than at the start [J].
    losses : dict of PlaceKind to float
        What all places of a kind turned into heat and light [J].
    """

    adapter: float
    own_supply: float
    stored: float
    losses: dict[PlaceKind, float]

    @property
    def imbalance(self) -> float:
        """Difference between delivered and stored plus lost, as a share of what was moved."""
        delivered = self.adapter + self.own_supply
        lost = sum(self.losses.values())
        moved = max(abs(delivered), abs(self.stored), abs(lost))
        return (delivered - self.stored - lost) / moved if moved > 0 else 0.0

    def to_dict(self) -> dict[str, Any]:
        """Return it ready for JSON, SI."""
        return {
            "adapter": self.adapter,
            "own_supply": self.own_supply,
            "stored": self.stored,
            "losses": {kind.together: energy for kind, energy in self.losses.items()},
            "imbalance": self.imbalance,
        }


def read_energy(energies: Array) -> EnergyBalance:
    """Return the energy balance of a run.

    Parameters
    ----------
    energies : array
        Energies [J] as :func:`inrushlib.model.readout.tally` fills them in.
    """
    from inrushlib.model import readout as ta

    places = {
        PlaceKind.ADAPTER_BLEED: ta.E_BLEED,
        PlaceKind.LEAD: ta.E_LEAD,
        PlaceKind.LIMITER: ta.E_LIMITER,
        PlaceKind.BULK_RESISTANCE: ta.E_BULK_ESR,
        PlaceKind.SWITCH: ta.E_SWITCH,
        PlaceKind.GATE: ta.E_GATE,
        PlaceKind.CONTROLLER_FEED: ta.E_CTRL_FEED,
        PlaceKind.REGULATOR: ta.E_REGULATOR,
        PlaceKind.CONTROLLER: ta.E_LOAD,
        PlaceKind.FEED: ta.E_FEEDS,
        PlaceKind.HOP: ta.E_HOPS,
        PlaceKind.PIXELS: ta.E_PIXELS,
    }
    losses = {kind: float(energies[row]) for kind, row in places.items()}
    return EnergyBalance(float(energies[ta.E_ADAPTER]), float(energies[ta.E_OWN]), float(energies[ta.E_STORED]), losses)


def read_conductors(build: Build, packed: Array, lumps: Lumps, wires: Array) -> tuple[Conductor, ...]:
    """Return what went through lead, feeds and hops.

    Parameters
    ----------
    build : Build
        What was started.
    packed : array
        Constants of its lumps, as in :class:`inrushlib.startup.pack.Packed` [SI].
    lumps : Lumps
        The lumps that it had.
    wires : array
        Charge [C], energy [J] and I2t [A2s] of each loop, as :func:`inrushlib.model.readout.tally` fills them in.
    """
    from inrushlib.model import layout as at

    rows = [(LEAD, build.lead.resistance, 0)]
    for section, lump in zip(build.wiring.feeds, lumps.fed, strict=True):
        rows.append((feed(section), 1.0 / packed[lump, at.FEED], 1 + lump))
    for section, lump in enumerate(lumps.last[:-1]):
        rows.append((hop(section), 1.0 / packed[lump, at.HOP], 1 + len(lumps) + lump))
    found = []
    for place, resistance, row in rows:
        charge, energy, i2t = (float(x) for x in wires[row])
        found.append(Conductor(place=place, resistance=float(resistance), charge=charge, energy=energy, i2t=i2t))
    return tuple(found)


def read_figures(build: Build, end: Array, lumps: Lumps, settled_current: float, extremes: Array) -> Figures:
    """Return the figures of a run.

    Parameters
    ----------
    build : Build
        What was started.
    end : array
        State at the end [V], the lead's current [A].
    lumps : Lumps
        The lumps that it had.
    settled_current : float
        Mean lead current over the last tenth of the run [A].
    extremes : array
        Each extreme [SI] and its instant [s], as :func:`inrushlib.model.readout.tally` fills them in.
    """
    from inrushlib.model import layout as at
    from inrushlib.model import readout as ta

    def value(row: int) -> float:
        return float(extremes[row, 0])

    def instant(row: int) -> float:
        return float(extremes[row, 1])

    def seen(row: int) -> bool:
        return math.isfinite(value(row))

    lowest = int(np.argmin(end[at.CORE :]))
    air = 0.0 if build.switch is None else build.switch.ambient
    bus_seen, rail_seen, heat_seen = seen(ta.X_LOWEST_BUS), seen(ta.X_LOWEST_RAIL), seen(ta.X_JUNCTION)
    return Figures(
        peak_lead_current=value(ta.X_LEAD),
        peak_lead_current_at=instant(ta.X_LEAD),
        settled_lead_current=settled_current,
        final_lead_current=float(end[at.I_L]),
        final_bus_voltage=float(end[at.V_B]),
        final_rail_voltage=float(end[at.V_3]),
        final_section_voltages=lumps.read(end),
        final_lowest_lump_voltage=float(end[at.CORE + lowest]),
        final_lowest_lump_section=lumps.section[lowest],
        lowest_bus_voltage=value(ta.X_LOWEST_BUS) if bus_seen else None,
        lowest_bus_voltage_at=instant(ta.X_LOWEST_BUS) if bus_seen else None,
        lowest_rail_voltage=value(ta.X_LOWEST_RAIL) if rail_seen else None,
        lowest_rail_voltage_at=instant(ta.X_LOWEST_RAIL) if rail_seen else None,
        lit_before_data=value(ta.X_LIT),
        highest_bus_voltage=value(ta.X_BUS),
        highest_bus_voltage_at=instant(ta.X_BUS),
        highest_panel_voltage=value(ta.X_ROOT),
        highest_panel_voltage_at=instant(ta.X_ROOT),
        highest_reservoir_voltage=value(ta.X_RESERVOIR),
        highest_reservoir_voltage_at=instant(ta.X_RESERVOIR),
        highest_section_voltage=value(ta.X_SECTION),
        highest_section_voltage_at=instant(ta.X_SECTION),
        highest_junction_temperature=value(ta.X_JUNCTION) + air if heat_seen else None,
        highest_junction_temperature_at=instant(ta.X_JUNCTION) if heat_seen else None,
    )
