"""What all descents of a fit share.

``descend``   from a start to the foot of its valley
``cost``      the sum of squares as the robust loss takes them
"""

from __future__ import annotations

import numpy as np

from inrushlib.trace.fit.least_squares import Loss, Solution, solve
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.prepare import FloatArray

MIDDLE, FINE = 600, 2000  # stretches of a capture, from the last but one descent to the last
OUTLIER = 3.0  # standard deviations from which a residual weighs less


def descend(problem: Problem, x: FloatArray, loss: Loss, fineness: float) -> Solution:
    """Return the foot of the valley that x lies in, with the weights as they are.

    Parameters
    ----------
    problem : Problem
        What is fitted.
    x : (n,) array
        Where to begin.
    loss : str
        Of the descent.
    fineness : float
        Relative change of the sum of squares at which it stops [1], above 0.
    """
    return solve(
        problem.residual, x, problem.lower, problem.upper, jacobian=problem.jacobian, loss=loss, outlier=OUTLIER,
        fineness=fineness, most_steps=30, noise_known=True,
    )  # fmt: skip


def cost(residual: FloatArray) -> float:
    """Return the sum of squares as the robust loss takes them [1], of residuals of shape (n,)."""
    return float(2.0 * OUTLIER**2 * np.sum(np.sqrt(1.0 + (residual / OUTLIER) ** 2) - 1.0))
