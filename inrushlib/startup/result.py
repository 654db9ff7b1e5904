"""The result of one start."""

from __future__ import annotations

from collections import Counter
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from inrushlib.build import Build
from inrushlib.parts.place import Place
from inrushlib.startup.currents import read_currents
from inrushlib.startup.curves import Array, Curves, KeptSteps, section_voltages
from inrushlib.startup.figures import Conductor, EnergyBalance, Figures
from inrushlib.startup.headline import Headline
from inrushlib.startup.overstress import Overstress, find_overstress
from inrushlib.startup.slack import Slack, slack_of
from inrushlib.startup.spans import Actor, Span, find_spans, wakings
from inrushlib.startup.switchings import Kind, Switching
from inrushlib.startup.verdict import Verdict

if TYPE_CHECKING:
    import pandas as pd


SHORTEST_READING = 0.1  # [s] that a meter has to be shown a current
READ_AT = 2001  # instants that make its mean


@dataclass(frozen=True, kw_only=True)
class Startup:
    """One start-up of one build.

    Attributes
    ----------
    build : Build
        What was started.
    verdict : Verdict
        How it ends.
    reason : str
        Why, in one sentence.
    brown_outs, trips : int
        How often the controller browned out and the adapter tripped [1].
    running_at : float or None
        When the program first ran [s].
    ready_at : float or None
        When all sections showed data [s]; only where it boots.
    switchings : tuple of Switching
        Everything that switched, in order.
    figures : Figures
        Peaks, lows, temperatures.
    conductors : tuple of Conductor
        Charge, energy and I2t of lead, feeds and hops.
    energy : EnergyBalance
        Where the energy went.
    steps : KeptSteps
        The run's own dense output.
    tolerance : float
        Local error allowed a step that it was run with [1].
    """

    build: Build
    verdict: Verdict
    reason: str
    brown_outs: int
    trips: int
    running_at: float | None
    ready_at: float | None
    switchings: tuple[Switching, ...]
    figures: Figures
    conductors: tuple[Conductor, ...]
    energy: EnergyBalance
    steps: KeptSteps
    tolerance: float

    @property
    def overstressed(self) -> tuple[Overstress, ...]:
        """Parts that saw more than they stand."""
        return find_overstress(self.build, self.figures)

    @property
    def headline(self) -> Headline:
        """What is to be said first: how it ends, and what it overstresses."""
        return Headline(self.verdict, self.reason, self.overstressed)

    @property
    def time(self) -> Array:
        """Instants [s] of the curves, shape (n,)."""
        return self.steps.grid()

    @property
    def curves(self) -> dict[str, Array]:
        """Curves by name over :attr:`time`, each of shape (n,), in volts or amperes."""
        return self.at(self.time)

    def at(self, times: Array) -> dict[str, Array]:
        """Return the curves at any instants.

        Parameters
        ----------
        times : (n,) array
            Instants [s], 0 to the duration; beyond it the nearest end is returned.

        Examples
        --------
        >>> from inrushlib.build import new_build
        >>> from inrushlib.startup import simulate
        >>> panel = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 64})
        >>> simulate(panel).at(np.array([0.5]))["bus_voltage"].round(3).tolist()
        [5.066]
        """
        return Curves(self.build, self.steps).at(times)

    def currents(self, times: Array) -> dict[Place, Array]:
        """Return what flows in each part at any instants: lead, feeds, hops, switch, gate, controller.

        Parameters
        ----------
        times : (n,) array
            Instants [s], 0 to the duration; beyond it the nearest end is returned.

        Returns
        -------
        dict of Place to (n,) array
            Currents [A]; see :func:`inrushlib.startup.currents.read_currents` for which way they count.

        Examples
        --------
        >>> from inrushlib.build import new_build
        >>> from inrushlib.parts.place import CONTROLLER, LEAD
        >>> from inrushlib.startup import simulate
        >>> panel = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 64})
        >>> found = simulate(panel).currents(np.array([0.5]))
        >>> found[LEAD].round(4).tolist(), found[CONTROLLER].round(4).tolist()
        ([0.1184], [0.08])
        """
        return read_currents(self.build, self.steps, np.asarray(times, dtype=float))

    def frame(self) -> pd.DataFrame:
        """Return the curves as a table: index ``time`` [s], one column a curve, SI."""
        import pandas as pd

        time = self.time
        return pd.DataFrame(self.at(time), index=pd.Index(time, name="time"))

    @cached_property
    def lit_lead_current(self) -> float | None:
        """Mean lead current while the panel is lit before its first data [A]: what an ammeter in the lead shows.

        None where it is lit for less than 0.1 s, too short for a meter (common practice, no source).
        """
        if self.figures.lit_before_data < SHORTEST_READING:
            return None
        ended = next((s.time for s in self.switchings if s.kind is Kind.FRAME_END), self.build.run.duration)
        curves = self.at(np.linspace(0.0, ended, READ_AT))
        highest = np.max([curves[curve.name] for curve in section_voltages(self.build)], axis=0)
        lit = highest > self.build.pixel.wake_voltage
        return float(np.mean(curves["lead_current"][lit])) if lit.any() else None

    @cached_property
    def spans(self) -> dict[Actor, tuple[Span, ...]]:
        """What adapter, controller, gate, data line and pixels were doing, from when to when."""
        time, curves = self.time, self.curves
        voltages = np.column_stack([curves[curve.name] for curve in section_voltages(self.build)])
        return find_spans(self.build, self.switchings, wakings(time, voltages, self.build.pixel.wake_voltage))

    @cached_property
    def slack(self) -> tuple[Slack, ...]:
        """How far each rule that has a say was from turning out otherwise, smallest share of its threshold first.

        Found when first asked for: it takes some further runs.
        """
        return slack_of(self.build, tolerance=self.tolerance)

    def to_dict(self) -> dict[str, Any]:
        """Return everything but the curves, ready for JSON: SI, None where there is none."""
        flat: dict[str, Any] = {
            "title": self.build.title,
            **self.headline.to_dict(),
            "brown_outs": self.brown_outs,
            "trips": self.trips,
            "running_at": self.running_at,
            "ready_at": self.ready_at,
        }
        flat |= asdict(self.figures)
        flat["lit_lead_current"] = self.lit_lead_current
        flat["lumps"] = list(Counter(self.steps.lumps.section).values())
        flat["final_section_voltages"] = list(self.figures.final_section_voltages)
        flat["highest_supply"] = {
            "pixel": self.build.pixel.highest_supply,
            "controller": self.build.controller.highest_supply,
        }
        flat["conductors"] = [c.to_dict() for c in self.conductors]
        flat["energy"] = self.energy.to_dict()
        flat["slack"] = [each.to_dict() for each in self.slack]
        flat["switchings"] = [{"time": s.time, "what": s.what} for s in self.switchings]
        return flat
