"""An inrush limiter in steady state: as warm as the current keeps it.

``settle_limiter``      resistance and panel that go together
``warm_resistance``     its resistance at a steady current
"""

from __future__ import annotations

from collections.abc import Callable
from math import exp, log
from typing import TYPE_CHECKING

from inrushlib.errors import SolverError
from inrushlib.laws.limiter import limiter as limiter_law
from inrushlib.panel.settle import Settled
from inrushlib.panel.supply import BUS, OUTPUT, SupplyFront
from inrushlib.parts.part import ABSOLUTE_ZERO

if TYPE_CHECKING:
    from inrushlib.parts import Limiter

MOST_ROUNDS = 200
LONGEST_STEP = 10.0  # times half the difference, that a secant is trusted with
CLOSE = 1e-10


def warm_resistance(limiter: Limiter, current: float) -> float:
    """Resistance of an NTC limiter that a steady current keeps warm.

    ``dissipation (T - ambient) = R(T) i^2`` with ``R = cold_resistance exp(beta (1/T - 1/298.15 K))``: the left
    side rises with T and the right side falls, so there is one answer.

    Parameters
    ----------
    limiter : Limiter
        The part [SI].
    current : float
        Through it [A].

    Returns
    -------
    float
        Its resistance [ohm].

    Notes
    -----
    The beta equation of a thermistor and its dissipation constant, as data sheets give them (common practice, no
    source); see inrushlib/model/NOTES.md.

    Examples
    --------
    >>> from inrushlib.parts import Limiter
    >>> limiter = Limiter(cold_resistance=5.0, beta=3000.0)
    >>> round(warm_resistance(limiter, 0.0), 3)
    5.0
    """
    from scipy.optimize import brentq  # most panels have no limiter, and this is long to import

    ambient = limiter.ambient - ABSOLUTE_ZERO

    def resistance(rise: float) -> float:
        return limiter_law(rise, limiter.cold_resistance, limiter.beta, ambient)[0]

    def heat(rise: float) -> float:
        return limiter.dissipation * rise - resistance(rise) * current**2

    high = resistance(0.0) * current**2 / limiter.dissipation
    return resistance(float(brentq(heat, 0.0, high)) if high > 0.0 else 0.0)


def settle_limiter(
    limiter: Limiter, solved: Callable[[float], tuple[SupplyFront, Settled]]
) -> tuple[SupplyFront, Settled]:
    """Panel with a limiter as warm as the panel's own current keeps it.

    Parameters
    ----------
    limiter : Limiter
        The part [SI].
    solved : callable
        From the limiter's resistance [ohm] to the front and its settled voltages [V].

    Returns
    -------
    tuple
        Front and settled voltages, the resistance agreeing to one part in 1e10.

    Raises
    ------
    SolverError
        Where resistance and panel do not settle together.
    """
    place = log(limiter.cold_resistance)
    before: tuple[float, float] | None = None
    for _ in range(MOST_ROUNDS):
        front, settled = solved(exp(place))
        current = float(settled.front[OUTPUT] - settled.front[BUS]) / front.lead_resistance
        off = log(warm_resistance(limiter, current)) - place
        if abs(off) <= CLOSE:
            return front, settled
        # Half way on a scale of factors: a colder limiter takes less current, which would make it colder still.
        step = 0.5 * off
        if before is not None and before[1] != off:
            secant = off * (place - before[0]) / (before[1] - off)
            if 0.0 < secant / step < LONGEST_STEP:
                step = secant
        before = place, off
        place += step
    raise SolverError(f"limiter: its temperature did not settle in {MOST_ROUNDS} rounds; check limiter.dissipation")
