"""Newton's method on the sparse network of a panel.

``iterate``
    steps towards the voltages at which every node's currents add up to nothing
``Problem``, ``Voltages``
    what is solved, and where it stands
``rail_currents``, ``imbalance``
    currents at given voltages, and what is left over at each node
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.linalg import LinAlgError

from inrushlib.laws.arrays import FloatArray
from inrushlib.panel.linear import ChainSteps, LinkedSteps, Steps
from inrushlib.panel.network import Front, Rail

LARGEST_STEP = 0.1
"""Each node's step is clipped to this [V]: the safeguard against leaving the physical branch."""
SMALLEST_STEP = 1e-9
"""Settled when the largest step is below this [V]."""

Load = Callable[[FloatArray], tuple[FloatArray, FloatArray]]
"""Voltage of each pixel [V] to its current [A] and slope [S]."""


@dataclass(frozen=True)
class Voltages:
    """Voltages of the nodes.

    Attributes
    ----------
    front, pixels : array
        Of the front's nodes and of the pixels [V].
    """

    front: FloatArray
    pixels: FloatArray

    def distance(self, other: Voltages) -> float:
        """Largest difference from ``other`` at any node [V]."""
        return max(float(np.abs(self.front - other.front).max()), float(np.abs(self.pixels - other.pixels).max()))


@dataclass(frozen=True)
class Drag:
    """Capacitors over a time step, as conductances that hold each node near where it was.

    Attributes
    ----------
    front, pixel : array, float
        Conductance at each node of the front and at every pixel [S].
    anchor : Voltages
        Where the nodes were.
    """

    front: FloatArray
    pixel: float
    anchor: Voltages


@dataclass(frozen=True)
class Problem:
    """A network, what feeds it and what loads it.

    Attributes
    ----------
    rail, front : Rail, Front
        The network of pixels, and the nodes that feed it.
    load : callable
        Voltage of each pixel [V] to its current [A] and slope [S].
    steps : Steps
        The linear solve that fits the network.
    """

    rail: Rail
    front: Front
    load: Load
    steps: Steps = field(init=False)

    def __post_init__(self) -> None:
        steps = LinkedSteps(self.rail) if len(self.rail.link_resistances) else ChainSteps(self.rail)
        object.__setattr__(self, "steps", steps)

    def newton_step(self, at: Voltages, drag: Drag | None) -> Voltages:
        """The unclipped Newton step [V] from the voltages ``at`` under a ``drag``, if there is one."""
        drawn, slope = self.load(at.pixels)
        surplus, fed = imbalance(self.rail, at.front[-1], at.pixels, drawn)
        currents, jacobian = self.front.evaluate(at.front)
        currents[-1] += fed
        if drag is not None:
            surplus += drag.pixel * (at.pixels - drag.anchor.pixels)
            slope = slope + drag.pixel
            currents += drag.front * (at.front - drag.anchor.front)
            jacobian = jacobian + np.diag(drag.front)
        return Voltages(*self.steps.step(surplus, slope, currents, jacobian))


def rail_currents(rail: Rail, root: float, pixels: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Currents of segments, feeds and links at given voltages.

    Parameters
    ----------
    rail : Rail
        The network [SI].
    root : float
        Voltage of the panel's root [V].
    pixels : array
        Voltage of each pixel [V].

    Returns
    -------
    tuple of array
        From pixel k to k + 1, from the root into each feed, from first to second end of each link [A].
    """
    a, b = rail.link_ends[:, 0], rail.link_ends[:, 1]
    return (
        (pixels[:-1] - pixels[1:]) / rail.segments,
        (root - pixels[rail.feed_pixels]) / rail.feed_resistances,
        (pixels[a] - pixels[b]) / rail.link_resistances,
    )


def imbalance(rail: Rail, root: float, pixels: FloatArray, drawn: FloatArray) -> tuple[FloatArray, float]:
    """Current that leaves each pixel's node beyond what arrives, and the sum of the feeds.

    Each conductor's current is worked out once and booked at both ends, so that rounding cancels in the sum.

    Parameters
    ----------
    rail : Rail
        The network [SI].
    root : float
        Voltage of the panel's root [V].
    pixels : array
        Voltage of each pixel [V].
    drawn : array
        Current that each pixel takes [A].

    Returns
    -------
    tuple
        Surplus at each pixel [A], and the current from the root into all feeds [A].
    """
    segment, feed, link = rail_currents(rail, root, pixels)
    surplus = drawn.copy()
    surplus[:-1] += segment
    surplus[1:] -= segment
    np.subtract.at(surplus, rail.feed_pixels, feed)
    if len(link):
        np.add.at(surplus, rail.link_ends[:, 0], link)
        np.subtract.at(surplus, rail.link_ends[:, 1], link)
    return surplus, float(feed.sum())


def iterate(problem: Problem, at: Voltages, most: int, drag: Drag | None = None) -> tuple[Voltages, int, float]:
    """Newton steps, each node's clipped to 0.1 V, until the largest is below 1e-9 V or there were too many.

    Clipped steps can go in circles for ever. Where they come back to a state that they left (Brent's search for a
    cycle: the state is kept after 1, 2, 4, 8 ... steps), the rest of the steps is not taken.

    Parameters
    ----------
    problem : Problem
        What is solved [SI].
    at : Voltages
        Where to start [V].
    most : int
        Most steps [1].
    drag : Drag or None
        Capacitors over a time step [S].

    Returns
    -------
    tuple
        Voltages [V], steps taken [1], and the largest step wanted last [V]: settled only where that is below
        1e-9 V; it is infinite where a step has no solution.
    """
    largest = np.inf
    kept, keep_next = at, 1
    for iteration in range(1, most + 1):
        try:
            step = problem.newton_step(at, drag)
        except (LinAlgError, RuntimeError, ValueError):
            return at, iteration, np.inf
        largest = max(float(np.abs(step.front).max()), float(np.abs(step.pixels).max()))
        if not np.isfinite(largest):
            return at, iteration, np.inf
        at = Voltages(
            at.front + np.clip(step.front, -LARGEST_STEP, LARGEST_STEP),
            at.pixels + np.clip(step.pixels, -LARGEST_STEP, LARGEST_STEP),
        )
        if largest < SMALLEST_STEP or at.distance(kept) < SMALLEST_STEP:
            return at, iteration, largest
        if iteration == keep_next:
            kept, keep_next = at, 2 * keep_next
    return at, most, largest
