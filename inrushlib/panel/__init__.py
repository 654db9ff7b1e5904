"""The steady panel at pixel resolution: voltage of every pixel, current of every conductor.

``solve_panel``
    a build and a colour to a :class:`PanelState`
``PanelState``
    what comes out (:mod:`inrushlib.panel.state`)
``Arrangement``
    where each pixel of the chain sits on the display

Below it: :mod:`inrushlib.laws` (of each part), :mod:`~inrushlib.panel.network` (the rail),
:mod:`~inrushlib.panel.supply` (adapter to root), :mod:`~inrushlib.panel.settle`,
:mod:`~inrushlib.panel.coarse` (where a long chain begins), :mod:`~inrushlib.panel.newton` and
:mod:`~inrushlib.panel.linear` (the solver).
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from inrushlib.errors import SolverError, UsageError
from inrushlib.laws.arrays import FloatArray, pixel_current
from inrushlib.panel.arrangement import Arrangement
from inrushlib.panel.coarse import FEWEST_PIXELS, Lumped
from inrushlib.panel.limiter import settle_limiter
from inrushlib.panel.network import Link, Rail, rail_of_build, section_starts
from inrushlib.panel.settle import Inertia, Settled, settle
from inrushlib.panel.state import PanelState, read_state
from inrushlib.panel.supply import SupplyFront, front_of_build, inertia_of_build

if TYPE_CHECKING:
    from inrushlib.build import Build

__all__ = ["Arrangement", "PanelState", "solve_panel"]


def _duty(colour: ArrayLike, pixels: int) -> FloatArray:
    try:
        duty = np.asarray(colour, dtype=float)
    except (TypeError, ValueError):
        raise UsageError(f"colour {colour!r}; accepted: three duties, 0 to 1, or one row of three a pixel") from None
    if duty.shape not in ((3,), (pixels, 3)):
        raise UsageError(
            f"colour of shape {duty.shape}; accepted: three duties, or one row of three for each of {pixels} pixels"
        )
    if not ((duty >= 0.0) & (duty <= 1.0)).all():
        wrong = duty[~((duty >= 0.0) & (duty <= 1.0))][0]
        raise UsageError(f"colour with a duty of {wrong:g}; accepted: 0 to 1")
    return duty[:, None] if duty.ndim == 1 else np.ascontiguousarray(duty.T)


def _settled(
    build: Build, rail: Rail, front: SupplyFront, duty: FloatArray, counts: FloatArray, inertia: Inertia | None = None
) -> Settled:
    """Steady state of a network with so many pixels at each node, by way of one with a tenth of the nodes."""

    def load(voltage: FloatArray) -> tuple[FloatArray, FloatArray]:
        current, slope = pixel_current(voltage, duty, build.pixel)
        return counts * current, counts * slope

    guess = None
    # With a limit that folds back there can be several states, and groups could end in another one.
    if rail.pixels >= FEWEST_PIXELS and not front.folds_back:
        groups = Lumped(rail, counts)
        with contextlib.suppress(SolverError):  # the long way may still lead there
            found = _settled(build, groups.rail, front, groups.mean_duty(duty), groups.counts)
            guess = groups.spread(found)
    return settle(rail, front, load, build.adapter.rated_voltage, inertia, guess)


def solve_panel(build: Build, colour: ArrayLike = (1.0, 1.0, 1.0), extra_links: Iterable[Link] = ()) -> PanelState:
    """Steady state of a panel that shows a picture, at pixel resolution.

    Newton's method on the network of adapter, lead, switch, feeds and every pixel; see inrushlib/model/NOTES.md.

    Parameters
    ----------
    build : Build
        The build [SI].
    colour : array
        Duty of red, green and blue [1], 0 to 1: three numbers, or a row for each pixel.
    extra_links : iterable of (int, int, float)
        Bridges between pixels: two pixel indexes [1] and a loop resistance [ohm], above 0.

    Returns
    -------
    PanelState
        Voltages, currents, shares and losses [SI].

    Notes
    -----
    One pixel is one node; its three channels share it. Heat does not change the copper here. With a limit
    that folds back several steady states can exist: the one reached from rated voltage is given.

    Examples
    --------
    >>> from inrushlib.build import parse_build
    >>> build = parse_build('''
    ... title = "one tile"
    ... [adapter]
    ... rated_current = "4 A"
    ... [wiring]
    ... sections = 1
    ... pixels_per_section = 64
    ... ''')
    >>> state = solve_panel(build)
    >>> round(state.adapter_current, 2), state.worst_pixel
    (2.43, 0)
    """
    rail = rail_of_build(build, extra_links)
    duty = _duty(colour, rail.pixels)

    def solved(limiter_resistance: float) -> tuple[SupplyFront, Settled]:
        front = front_of_build(build, limiter_resistance)
        return front, _settled(build, rail, front, duty, np.ones(rail.pixels), inertia_of_build(build))

    front, settled = solved(0.0) if build.limiter is None else settle_limiter(build.limiter, solved)
    hops = np.asarray(build.wiring.hop_resistance, dtype=float)
    return read_state(rail, front, build.pixel, duty, section_starts(build), hops, settled)
