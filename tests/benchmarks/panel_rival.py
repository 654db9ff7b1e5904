"""The steady panel as a text book has it: Newton's method, each step by scipy's sparse solver, afresh."""

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import spsolve

from inrushlib.laws.arrays import pixel_current
from inrushlib.panel.network import rail_of_build
from inrushlib.panel.newton import LARGEST_STEP, SMALLEST_STEP, imbalance
from inrushlib.panel.supply import front_of_build


def solve_afresh(build, links=()):
    """Voltages of all pixels in white [V], from the same equations, start, clip and end as ours."""
    rail, front = rail_of_build(build, links), front_of_build(build, 0.0)
    core, duty = front.size, np.ones((3, 1))
    chain = np.arange(rail.pixels) + core
    a = np.concatenate([chain[:-1], rail.link_ends[:, 0] + core, np.full(len(rail.feed_pixels), core - 1)])
    b = np.concatenate([chain[1:], rail.link_ends[:, 1] + core, rail.feed_pixels + core])
    g = 1 / np.concatenate([rail.segments, rail.link_resistances, rail.feed_resistances])
    place = np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a])
    size = rail.pixels + core
    wires = sparse.csc_array((np.concatenate([g, g, -g, -g]), place), shape=(size, size))
    at = np.full(size, build.adapter.rated_voltage)
    for _ in range(300):
        drawn, slope = pixel_current(at[core:], duty, build.pixel)
        surplus, fed = imbalance(rail, at[core - 1], at[core:], drawn)
        currents, jacobian = front.evaluate(at[:core])
        currents[-1] += fed
        rest = sparse.block_diag([sparse.coo_array(jacobian), sparse.diags_array(slope)], format="csc")
        step = spsolve((wires + rest).tocsc(), -np.concatenate([currents, surplus]))
        at += np.clip(step, -LARGEST_STEP, LARGEST_STEP)
        if np.abs(step).max() < SMALLEST_STEP:
            return at[core:]
    raise AssertionError("the rival does not settle")
