"""From the adapter to the panel's root: three nodes and their laws.

``SupplyFront``
    adapter output, bus, root; with or without a switch
``front_of_build``, ``inertia_of_build``
    the one that a build describes, and its capacitors
"""

from __future__ import annotations

from dataclasses import dataclass
from math import tanh
from typing import TYPE_CHECKING, Any

import numpy as np

from inrushlib.panel.laws import LIMIT_SHARE, FloatArray, adapter_current, least, soft, switch_current
from inrushlib.panel.settle import Inertia

if TYPE_CHECKING:
    from inrushlib.build import Build

OUTPUT, BUS, ROOT = range(3)
JOINT_RESISTANCE = 2e-3
"""Between bus and root where there is no switch [ohm]."""
CONTROLLER_WIDTH = 0.2
"""Voltage scale on which the controller's draw fades [V]."""


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
    limiter_resistance: float = 0.0
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
        """Gate voltage as a share of the bus voltage [-]."""
        if not self.switched:
            return 0.0
        return self.gate_resistance / (self.gate_resistance + self.pullup_resistance)

    @property
    def has_switch(self) -> bool:
        """Whether a switch of either kind stands between bus and root."""
        return self.switched or self.on_resistance > 0.0

    def limit(self, output: float) -> tuple[float, float]:
        """Limit of the adapter [A] at its output voltage [V], and its slope [S]."""
        spread = self.limit_current - self.foldback_current
        position = output / self.foldback_knee
        slope = spread / self.foldback_knee if 0.0 < position < 1.0 else 0.0
        return self.foldback_current + spread * min(max(position, 0.0), 1.0), slope

    def regulator(self, output: float) -> tuple[float, float]:
        """Current of the adapter's regulator [A] at its output voltage [V], and its slope [S]."""
        limit, slope = self.limit(output)
        knee = LIMIT_SHARE * self.limit_current
        return adapter_current(output, self.rated_voltage, self.output_resistance, limit, slope, knee)

    def controller(self, bus: float) -> tuple[float, float]:
        """Current that the controller draws [A] at the bus voltage [V], and its slope [S]."""
        level = tanh(bus / CONTROLLER_WIDTH)
        return self.controller_current * level, self.controller_current * (1 - level**2) / CONTROLLER_WIDTH

    def joint(self, bus: float, root: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """Forward and body-diode current from bus to root [A], and the slopes of their difference [S]."""
        if self.on_resistance > 0.0:
            return self._load_switch(bus, root)
        if not self.switched:
            conductance = 1.0 / JOINT_RESISTANCE
            return ((bus - root) * conductance, 0.0), (conductance, -conductance)
        gate = self.gate_share * bus
        currents, (to_bus, to_root, to_gate) = switch_current(bus, root, gate, self.threshold_voltage, self.beta)
        return currents, (to_bus + self.gate_share * to_gate, to_root)

    def _load_switch(self, bus: float, root: float) -> tuple[tuple[float, float], tuple[float, float]]:
        """Current of a load switch that is fully on, never backwards [A], and its slopes [S]."""
        knee = LIMIT_SHARE * self.switch_limit
        lower, to_lower = least(np.asarray((bus - root) / self.on_resistance), self.switch_limit, knee)
        current, to_current = soft(lower, knee)
        slope = float(to_current * to_lower) / self.on_resistance
        return (float(current), 0.0), (slope, -slope)

    def evaluate(self, voltage: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Currents that leave each node inside the front [A], and their Jacobian [S]."""
        output, bus, root = (float(each) for each in voltage)
        regulated, d_regulated = self.regulator(output)
        lead = (output - bus) / self.lead_resistance
        drawn, d_drawn = self.controller(bus)
        (forward, body), (to_bus, to_root) = self.joint(bus, root)
        gate = 1.0 / (self.gate_resistance + self.pullup_resistance) if self.switched else 0.0
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


def front_of_build(build: Build, limiter_resistance: float = 0.0) -> SupplyFront:
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
        beta=1.0 / (switch.on_resistance * (switch.on_resistance_drive - switch.threshold_voltage)),
        pullup_resistance=switch.pullup_resistance,
        gate_resistance=switch.gate_resistance,
    )
