"""From the adapter to the panel's root: three nodes and their laws.

``SupplyFront``
    adapter output, bus, root; with or without a switch
``front_of_build``, ``inertia_of_build``
    the one that a build describes, and its capacitors
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from inrushlib.laws.adapter import adapter_current, adapter_limit
from inrushlib.laws.arrays import FloatArray
from inrushlib.laws.constants import LIMIT_SHARE
from inrushlib.laws.controller import rail_load
from inrushlib.laws.switch import body, channel, gain, joint, load_switch
from inrushlib.panel.settle import Inertia

if TYPE_CHECKING:
    from inrushlib.build import Build

OUTPUT, BUS, ROOT = range(3)
FULLY_ON = 1e3  # [V] ramp of a load switch that has been on for long: far above any input


@dataclass(frozen=True, kw_only=True)
class SupplyFront:
    """Adapter, lead, bus, controller and joint or switch in steady state; all SI.

    Attributes
    ----------
    rated_voltage, output_resistance, limit_current, bleed_resistance : float
        Of the adapter [V, ohm, A, ohm].
    foldback_current, foldback_knee : float
        Current into a short [A] and the output voltage above which the full limit holds [V]; the current
        equals ``limit_current`` where the limit does not fold back.
    lead_resistance, limiter_resistance : float
        Of the loop, an inrush limiter in it included, and that of the limiter alone [ohm].
    controller_current : float
        Drawn from the bus [A]; 0 with a supply of its own.
    on_resistance, switch_limit : float
        Of a load switch [ohm, A]; an on-resistance of 0 where there is none.
    switched : bool
        Whether there is a P-channel switch; the four values after it hold only then.
    threshold_voltage, beta, pullup_resistance, gate_resistance : float
        Of the switch [V, A/V2, ohm, ohm].
    """

    rated_voltage: float
    output_resistance: float
    limit_current: float
    bleed_resistance: float
    foldback_current: float
    foldback_knee: float
    lead_resistance: float
    controller_current: float
    limiter_resistance: float
    on_resistance: float = 0.0
    switch_limit: float = np.inf
    switched: bool = False
    threshold_voltage: float = 0.0
    beta: float = 0.0
    pullup_resistance: float = np.inf
    gate_resistance: float = 0.0

    @property
    def size(self) -> int:
        """Number of nodes: adapter output, bus, root."""
        return 3

    @property
    def gate_share(self) -> float:
        """Gate voltage as a share of the bus voltage [1]; 0 where no resistor pulls it up."""
        return self.gate_resistance / (self.gate_resistance + self.pullup_resistance)

    @property
    def folds_back(self) -> bool:
        """Whether the adapter gives less the lower its output is."""
        return self.foldback_current != self.limit_current

    @property
    def has_switch(self) -> bool:
        """Whether a switch of either kind stands between bus and root."""
        return self.switched or self.on_resistance > 0.0

    def limit(self, output: float) -> tuple[float, float]:
        """Limit of the adapter [A] at its ``output`` [V], and its slope [S]."""
        return adapter_limit(output, self.limit_current, True, self.foldback_current, self.foldback_knee)

    def regulator(self, output: float) -> tuple[float, float]:
        """Current of the adapter's regulator [A] at ``output`` [V], and its slope [S]."""
        limit, slope = self.limit(output)
        w = LIMIT_SHARE * self.limit_current
        return adapter_current(self.rated_voltage, output, self.output_resistance, limit, slope, w)[:2]

    def controller(self, bus: float) -> tuple[float, float]:
        """Current that the controller draws [A] at a ``bus`` voltage [V], and its slope [S]."""
        return rail_load(bus, self.controller_current)

    def joint(self, bus: float, root: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """Forward and body-diode current [A] from ``bus`` to ``root`` [V], and the slopes of their difference [S]."""
        if self.on_resistance > 0.0:
            current, to_bus, to_root, _ = load_switch(bus, root, FULLY_ON, self.on_resistance, self.switch_limit)
            return (current, 0.0), (to_bus, to_root)
        if not self.switched:
            current, slope = joint(bus, root)
            return (current, 0.0), (slope, -slope)
        forward, to_bus, to_gate, to_root = channel(bus, self.gate_share * bus, root, self.threshold_voltage, self.beta)
        backward, slope = body(bus, root)
        return (forward, backward), (to_bus + self.gate_share * to_gate + slope, to_root - slope)

    def evaluate(self, voltage: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Currents that leave each node inside the front [A] at its nodes' ``voltage`` [V], and the Jacobian [S]."""
        output, bus, root = (float(each) for each in voltage)
        regulated, d_regulated = self.regulator(output)
        lead = (output - bus) / self.lead_resistance
        drawn, d_drawn = self.controller(bus)
        (forward, body), (to_bus, to_root) = self.joint(bus, root)
        gate = 1.0 / (self.gate_resistance + self.pullup_resistance)
        through = forward - body
        currents = np.array(
            [
                lead + output / self.bleed_resistance - regulated,
                -lead + drawn + gate * bus + through,
                -through,
            ]
        )
        wire = 1.0 / self.lead_resistance
        jacobian = np.array(
            [
                [wire + 1.0 / self.bleed_resistance - d_regulated, -wire, 0.0],
                [-wire, wire + d_drawn + gate + to_bus, to_root],
                [0.0, -to_bus, -to_root],
            ]
        )
        return currents, jacobian


def inertia_of_build(build: Build) -> Inertia:
    """Capacitors of adapter, bus, root and pixels of a build.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    Inertia
        Capacitances [F].
    """
    bus, root = build.bus, build.panel
    nodes = [build.adapter.output_capacitance, bus.ceramic + bus.bulk, root.ceramic + root.bulk]
    return Inertia(np.array(nodes), build.wiring.capacitance_per_pixel)


def front_of_build(build: Build, limiter_resistance: float) -> SupplyFront:
    """Adapter, lead, bus, controller and joint or switch of a build.

    Parameters
    ----------
    build : Build
        The build [SI].
    limiter_resistance : float
        Of an inrush limiter in the lead, as warm as it is [ohm], 0 or more.

    Returns
    -------
    SupplyFront
        The nodes in front of the panel's root [SI].
    """
    adapter, controller, switch = build.adapter, build.controller, build.switch
    folds = adapter.limit_style == "foldback"
    front: dict[str, Any] = {
        "rated_voltage": adapter.rated_voltage,
        "output_resistance": adapter.output_resistance,
        "limit_current": adapter.limit_current,
        "bleed_resistance": adapter.bleed_resistance,
        "foldback_current": adapter.foldback_current if folds else adapter.limit_current,
        "foldback_knee": adapter.foldback_knee if folds else adapter.rated_voltage,
        "lead_resistance": build.lead.resistance + limiter_resistance,
        "limiter_resistance": limiter_resistance,
        "controller_current": 0.0 if controller.feed == "own" else controller.run_current,
    }
    if switch is None:
        return SupplyFront(**front)
    if switch.kind == "load-switch":
        return SupplyFront(**front, on_resistance=switch.on_resistance, switch_limit=switch.current_limit)
    return SupplyFront(
        **front,
        switched=True,
        threshold_voltage=switch.threshold_voltage,
        beta=gain(switch.on_resistance, switch.on_resistance_drive, switch.threshold_voltage),
        pullup_resistance=switch.pullup_resistance,
        gate_resistance=switch.gate_resistance,
    )
