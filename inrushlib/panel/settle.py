"""The steady state of a network: Newton's method, with pseudo-transient continuation where it cycles.

``settle``
    voltages of every node
``Inertia``
    the capacitors that decide how it runs down
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inrushlib.errors import SolverError
from inrushlib.laws.arrays import FloatArray
from inrushlib.panel.network import Front, Rail
from inrushlib.panel.newton import SMALLEST_STEP, Drag, Load, Problem, Voltages, iterate

MOST_STEPS = 300
"""Newton steps from rated voltage."""
MOST_STRETCHES = 600
"""Time steps of a run-down."""
MOST_FROM_GUESS = 12
"""Newton steps from a guess."""
MOST_INNER = 12
"""Newton steps within one of them, before it is shortened."""
FIRST_STRETCH, SHORTEST_STRETCH, LONGEST_STRETCH = 10e-6, 1e-13, 1e3
"""Time steps [s]."""


@dataclass(frozen=True)
class Inertia:
    """The capacitors that decide how a network runs down.

    Attributes
    ----------
    front, pixel : array, float
        Capacitance at each node of the front and at every pixel [F].
    """

    front: FloatArray
    pixel: float


@dataclass(frozen=True)
class Settled:
    """Voltages that settle a network: of the front's nodes and of the pixels [V], and how they were found.

    Attributes
    ----------
    front, pixels : array
        Voltages [V].
    iterations : int
        Newton steps taken [1].
    method : str
        "newton", or "run-down" where Newton's method alone went in circles.
    """

    front: FloatArray
    pixels: FloatArray
    iterations: int
    method: str = "newton"


def settle(
    rail: Rail,
    front: Front,
    load: Load,
    start: float,
    inertia: Inertia | None = None,
    guess: Voltages | None = None,
) -> Settled:
    """Voltages of a panel in steady state.

    Newton's method from all nodes at ``start``, each node's step clipped to 0.1 V, until the largest is below
    1e-9 V. An adapter deep in its limit has a corner so sharp that this can go in circles; where it has not
    settled after 300 steps or is seen to, the capacitors run down from the same start through growing implicit time
    steps, and Newton's method finishes to the same 1e-9 V.

    A guess only shortens the way: from one that does not lead there in a few steps, all begins at ``start``.

    Parameters
    ----------
    rail : Rail
        Pixels, feeds and links [SI].
    front : Front
        What feeds the root [SI].
    load : callable
        Voltage of each pixel [V] to its current [A] and slope [S], slopes 0 or more.
    start : float
        Voltage that every node starts from [V].
    inertia : Inertia or None
        Capacitors of the run-down [F]; None for Newton's method alone.
    guess : Voltages or None
        Where to look first [V]; only where there is one steady state, or the one near the guess is meant.

    Returns
    -------
    Settled
        Voltages [V], the number of steps [1] and the method.

    Raises
    ------
    SolverError
        Where no steady state is found.

    Notes
    -----
    Raises SolverError where neither settles. Of several steady states (foldback) the one reached is given.
    """
    problem = Problem(rail, front, load)
    if guess is not None:
        found, taken, largest = iterate(problem, guess, MOST_FROM_GUESS)
        if largest < SMALLEST_STEP:
            return Settled(found.front, found.pixels, taken)
    begin = Voltages(np.full(front.size, start), np.full(rail.pixels, start))
    found, taken, largest = iterate(problem, begin, MOST_STEPS)
    if largest < SMALLEST_STEP:
        return Settled(found.front, found.pixels, taken)
    if inertia is not None:
        ran_down = _run_down(problem, begin, inertia)
        if ran_down is not None:
            voltages, more = ran_down
            return Settled(voltages.front, voltages.pixels, taken + more, "run-down")
    last = f"the last would move a node by {largest:.3g} V" if largest < np.inf else "the last has no solution"
    raise SolverError(
        f"steady panel: not settled in {taken} of at most {MOST_STEPS} steps, {last}; accepted: below "
        f"{SMALLEST_STEP:g} V"
    )


def _run_down(problem: Problem, at: Voltages, inertia: Inertia) -> tuple[Voltages, int] | None:
    """Implicit Euler steps that grow while they succeed; None where they shrink to nothing or never end."""
    stretch, taken = FIRST_STRETCH, 0
    for _ in range(MOST_STRETCHES):
        drag = Drag(inertia.front / stretch, inertia.pixel / stretch, at)
        later, steps, largest = iterate(problem, at, MOST_INNER, drag)
        taken += steps
        if largest >= SMALLEST_STEP:
            stretch /= 4.0
            if stretch < SHORTEST_STRETCH:
                return None
            continue
        moved, at = later.distance(at), later
        if moved < 1e-4 and stretch > 1e-3:
            final, steps, largest = iterate(problem, at, MOST_INNER)
            # Only a state next to where it came to rest: a far one would be another steady state.
            if largest < SMALLEST_STEP and final.distance(at) < 1e-2:
                return final, taken + steps
        stretch = min(stretch * 2.0, LONGEST_STRETCH)
    return None
