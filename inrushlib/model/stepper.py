"""One implicit step: a stiffly accurate Rosenbrock method of order 4 with an embedded order 3.

``step``            the step, its error and the coefficients of its dense output
``interpolate``     the dense output, order 3, at a share of the step
``next_step``       the step-size rule
``error_norm``      the largest error against the tolerance
``end_error``       what the dense output leaves unsolved at the step's end, as an error

The coefficients are those of the L-stable method RODAS of E. Hairer and G. Wanner, Solving
Ordinary Differential Equations II, 2nd ed. (1996), section IV.7; the tests check the order.
"""

from __future__ import annotations

from math import sqrt

import numpy as np

from . import layout as at
from .circuit import CTRL_T, REG_O, REG_T, SW_T, add_mass_product, derivative, mass_product, masses
from .compiled import compiled, fused, inlined
from .linear import factor, solve

STAGES = 6
GAMMA = 0.25
A = np.array(
    [
        [0.0, 0.0, 0.0, 0.0, 0.0],
        [1.544000000000000, 0.0, 0.0, 0.0, 0.0],
        [0.9466785280815826, 0.2557011698983284, 0.0, 0.0, 0.0],
        [3.314825187068521, 2.896124015972201, 0.9986419139977817, 0.0, 0.0],
        [1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 0.0],
        [1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0],
    ]
)
C = np.array(
    [
        [0.0, 0.0, 0.0, 0.0, 0.0],
        [-5.6688, 0.0, 0.0, 0.0, 0.0],
        [-2.430093356833875, -0.2063599157091915, 0.0, 0.0, 0.0],
        [-0.1073529058151375, -9.594562251023355, -20.47028614809616, 0.0, 0.0],
        [7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160, 0.0],
        [8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054],
    ]
)
ALPHA = np.array([0.0, 0.386, 0.21, 0.63, 1.0, 1.0])
GAMMA_T = np.array([0.25, -0.1043, 0.1035, -0.03620000000000023, 0.0, 0.0])
D = np.array(
    [
        [10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662],
        [-0.6762803392806898, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872],
    ]
)

MOST_END_ERROR = 3.0  # tolerances
REGULATED_SHARE = 10.0  # of the adapter's limit, to which the tolerance of its current is related
SAFETY = 0.9
MOST_GROWTH = 8.0
LEAST_GROWTH = 0.1


@inlined
def copy(source, out):
    """Fill out with source. (An assignment to a slice would make an array, in case they overlap.)"""
    for j in range(source.shape[0]):
        out[j] = source[j]


@fused
def combine(weights, start, u, out):
    """Fill out with the weighted sum of the first five stages, from ``start`` or from nothing."""
    a, b, c, d, e = weights[0], weights[1], weights[2], weights[3], weights[4]
    for j in range(out.shape[0]):
        total = (a * u[0, j] + b * u[1, j]) + (c * u[2, j] + d * u[3, j]) + e * u[4, j]
        out[j] = total if start is None else start[j] + total


@compiled
def step(t, h, y, p, s, m, q, rate_known, work, y_new, dense):
    """Advance y by h into y_new; dense gets the two rows of the interpolant and the error.

    ``work`` is a tuple of scratch arrays (see :func:`inrushlib.model.run.scratch`). With
    ``rate_known`` the right-hand side and slopes at (t, y) are already in it.
    """
    f, f_0, _, slopes, slopes_0, _, mass, w, chain, border, u = work
    n = y.shape[0]
    if not rate_known:
        derivative(t, y, p, s, m, q, f_0, slopes_0)
    factor(1.0 / (h * GAMMA), y, p, s, m, slopes_0, w, chain, border)
    masses(p, s, mass)
    u[:] = 0.0
    lead = dense[2]
    for i in range(STAGES):
        if i == 0:
            copy(f_0, f)
        else:
            combine(A[i], y, u, y_new)
            combine(C[i], None, u, lead)
            derivative(t + ALPHA[i] * h, y_new, p, s, m, q, f, slopes)
            add_mass_product(1.0 / h, lead, p, mass, f)
        g = GAMMA_T[i] * h
        f[at.V_O] += g * slopes_0[REG_T]
        f[at.V_H] += g * slopes_0[CTRL_T]
        f[at.V_B] -= g * slopes_0[SW_T]
        f[at.V_R] += g * slopes_0[SW_T]
        solve(s, w, chain, border, f)
        copy(f, u[i])
    for j in range(n):
        y_new[j] += u[5, j]
        lead[j] = u[5, j]
    combine(D[0], None, u, dense[0])
    combine(D[1], None, u, dense[1])


@compiled
def end_error(t, h, y, y_new, p, s, m, q, work, dense):
    """Fill dense[2] with the defect at the end of the step from t, solved with the slopes there.

    A step is linear in its own slopes. Where a law turns within it, such as a regulator that leaves dropout, the
    embedded error is divided by the old slope and may pass; with the slopes of the end the same defect is seen as
    it is. Leaves the right-hand side and the slopes of the end for the next step (see :func:`take_end`).
    """
    f, _, f_1, _, _, slopes_1, mass, w, chain, border, _ = work
    derivative(t + h, y_new, p, s, m, q, f_1, slopes_1)
    for j in range(y.shape[0]):
        f[j] = (y_new[j] - y[j] - dense[0, j] - dense[1, j]) / h
    mass_product(f, p, s, mass)
    for j in range(y.shape[0]):
        dense[2, j] = f_1[j] - mass[j]
    factor(1.0 / (h * GAMMA), y_new, p, s, m, slopes_1, w, chain, border)
    solve(s, w, chain, border, dense[2])


@inlined
def take_end(work):
    """Let the right-hand side and the slopes of a step's end be those of the next one's start."""
    _, f_0, f_1, _, slopes_0, slopes_1, _, _, _, _, _ = work
    copy(f_1, f_0)
    copy(slopes_1, slopes_0)


@inlined
def interpolate_one(share, y0, y1, c1, c2):
    """Dense output of one state at ``share`` (0 to 1) of the step."""
    return y0 * (1.0 - share) + share * (y1 + (1.0 - share) * (c1 + share * c2))


@inlined
def interpolate(share, y, y_new, dense):
    """Move y to the dense output at ``share`` (0 to 1) of the step."""
    for j in range(y.shape[0]):
        y[j] = interpolate_one(share, y[j], y_new[j], dense[0, j], dense[1, j])


@inlined
def error_norm(y, y_new, error, tolerance, p, d):
    """Largest error of a step in units of ``tolerance * (1 + |y|)`` [V] or [A]; inf if not finite.

    An adapter whose protection watches its current answers to microvolts at its output: there the error of that
    current counts too, by the slopes d, in units of ``tolerance * REGULATED_SHARE * limit``.
    """
    worst = 0.0
    if p.adapter_trips > 0.0 or p.adapter_peak_time < np.inf:
        worst = abs(error[at.V_O] * d[REG_O]) / (tolerance * REGULATED_SHARE * p.adapter_limit_current)
    for j in range(y.shape[0]):
        e = abs(error[j])
        allowed = tolerance * (1.0 + max(abs(y[j]), abs(y_new[j])))
        if not e <= worst * allowed:
            worst = e / allowed
            if not worst < np.inf:
                return np.inf
    return worst


@inlined
def next_step(h, error, rejected):
    """Step-size rule: the size that would just meet the tolerance, with safety and bounds."""
    if error == np.inf:
        return LEAST_GROWTH * h
    most = MOST_GROWTH
    if rejected:
        most = 1.0
    growth = SAFETY / sqrt(sqrt(max(error, 1e-12)))
    return h * min(most, max(LEAST_GROWTH, growth))
