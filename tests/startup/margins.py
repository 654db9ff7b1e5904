"""How far each rule of a run was from turning out otherwise, read off its curves.

Only what a comparison of two tolerances needs: near misses and near hits of the thresholds, in volts or as a share.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.startup import Startup
from inrushlib.startup.switchings import Kind

CROSSED = 1e-6  # [V] or share: on the level itself
THIN_VOLTS, THIN_SHARE, THIN_TIME = 5e-3, 1e-3, 20e-6


@dataclass(frozen=True)
class Margin:
    """One rule's margin: in volts, as a share of its level, or as a share of its time."""

    rule: str
    value: float
    limit: float
    unit: str

    @property
    def thin(self) -> bool:
        """Whether the default tolerance does not promise to tell."""
        return self.value <= self.limit

    def __str__(self) -> str:
        return f"{self.rule}: {self.value:.3g} {self.unit}"


def nearest_turn(values: np.ndarray, level: float) -> float:
    """Least distance of a curve's turning points and ends from a level.

    A curve that turns on the very level does so because crossing it switched something: no near miss.
    """
    slope = np.sign(np.diff(values))
    turns = np.flatnonzero(slope[1:] * slope[:-1] <= 0) + 1
    distance = np.abs(values[[0, *turns, len(values) - 1]] - level)
    distance = distance[distance > CROSSED]
    return float(np.min(distance)) if len(distance) else np.inf


def margins(startup: Startup) -> list[Margin]:
    """All margins of a run, the smallest first."""
    build, time = startup.build, startup.time
    curves = startup.at(time)
    c, x = build.controller, build.pixel
    found = [
        Margin(f"rail against {level:.3f} V", nearest_turn(curves["rail_voltage"], level), THIN_VOLTS, "V")
        for level in (c.brownout_rising, c.brownout_falling)
    ]
    states = startup.steps.states_at(time)[:, -len(startup.steps.lumps) :]
    for name, level in (("listen", x.listen_voltage), ("forget", x.forget_voltage)):
        nearest = min(nearest_turn(states[:, lump], level) for lump in range(states.shape[1]))
        found.append(Margin(f"a lump against the {name} level", nearest, THIN_VOLTS, "V"))
    a = build.adapter
    if a.limit_style in ("hiccup", "latch-off") or a.peak_current is not None:
        found.append(Margin("adapter's current against its limit", _over(startup, curves, time), THIN_SHARE, "of it"))
    found += _instants(startup)
    return sorted(found, key=lambda margin: margin.value / margin.limit)


def _over(startup: Startup, curves: dict[str, np.ndarray], time: np.ndarray) -> float:
    """Least distance of a turn of the adapter's current from the two levels of its limit, as a share of it."""
    a = startup.build.adapter
    delivered = curves["lead_current"] + a.output_capacitance * np.gradient(curves["adapter_voltage"], time)
    share = delivered / a.limit_current
    return min(nearest_turn(share, 0.97), nearest_turn(share, 0.90))


def _instants(startup: Startup) -> list[Margin]:
    """Times between switchings of unlike origin, where their order decides: a timer and a threshold."""
    timers = (Kind.FRAME_START, Kind.FRAME_END, Kind.TRIP, Kind.RUN, Kind.ALLOWANCE_SPENT, Kind.MAINS_OFF, Kind.RETRY)
    levels = (Kind.LISTENS, Kind.DEAF, Kind.ABOVE, Kind.OVER, Kind.NOT_OVER, Kind.BROWN_OUT, Kind.RAIL_UP, Kind.FORGETS)
    at_timer = np.array([s.time for s in startup.switchings if s.kind in timers] + [startup.build.run.duration])
    at_level = np.array([s.time for s in startup.switchings if s.kind in levels])
    if not len(at_level):
        return []
    apart = np.abs(at_timer[:, None] - at_level[None, :])
    apart = apart[apart > 1e-12]  # what falls on one instant does so by the rules
    return [Margin("a timer against a threshold", float(apart.min()), THIN_TIME, "s")] if len(apart) else []
