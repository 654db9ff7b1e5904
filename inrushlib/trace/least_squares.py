"""Nonlinear least squares with an honest report; no knowledge of builds or captures.

``solve``        parameters from a residual function
``Solution``     values, errors, correlations, what cannot be told apart
``memory``       how many samples in a row a residual remembers
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import least_squares

from inrushlib.trace.prepare import FloatArray

Loss = Literal["linear", "soft_l1", "huber", "cauchy", "arctan"]
Residual = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True)
class Solution:
    """A finished fit of k parameters to n residuals.

    Attributes
    ----------
    values : (k,) array
        Best parameters.
    errors : (k,) array
        Standard errors, from the residuals' own scatter and memory; infinite where undetermined.
    correlation : (k, k) array
        Of the parameters.
    singular_values : (k,) array
        Of the Jacobian with columns in units of the parameters, largest first.
    weakest : (k,) array
        Direction of the parameters that the residuals feel least, of length 1.
    memory : float
        Residuals in a row that count as one: 1 where they are independent.
    residual : (n,) array
        At the solution, as the residual function gives it.
    runs : int
        Calls of the residual function.
    converged : bool
        Whether a stopping rule was met before the limit on calls.
    """

    values: FloatArray
    errors: FloatArray
    correlation: FloatArray
    singular_values: FloatArray
    weakest: FloatArray
    memory: float
    residual: FloatArray
    runs: int
    converged: bool


def memory(residuals: Sequence[FloatArray]) -> float:
    """Return how many residuals in a row count as one: 1 + 2 sum of the autocorrelations while positive.

    Parameters
    ----------
    residuals : sequence of array
        Each one channel in order of time.

    Examples
    --------
    >>> white = np.random.default_rng(0).normal(size=20000)
    >>> bool(abs(memory([white]) - 1) < 0.1)
    True
    """
    found = []
    for r in residuals:
        x = r - r.mean()
        n = len(x)
        power = np.abs(np.fft.rfft(x, 2 * n)) ** 2
        auto = np.fft.irfft(power)[: n // 2]
        if auto[0] <= 0:
            continue
        rho = auto[1:] / auto[0]
        # Past the first one within the scatter of white residuals the sum would only add noise.
        ends = np.flatnonzero(rho < 2.0 / np.sqrt(n))
        found.append(1.0 + 2.0 * float(rho[: ends[0] if len(ends) else len(rho)].sum()))
    return max(1.0, float(np.mean(found))) if found else 1.0


def solve(
    residual: Residual,
    start: FloatArray,
    lower: FloatArray,
    upper: FloatArray,
    *,
    split: Callable[[FloatArray], Sequence[FloatArray]] | None = None,
    loss: Loss = "linear",
    step: float | None = None,
    most_runs: int | None = None,
) -> Solution:
    """Return the parameters that make the residuals least.

    Parameters
    ----------
    residual : callable
        From (k,) parameters to (n,) residuals in units of their standard deviation.
    start, lower, upper : (k,) array
        Start values and bounds.
    split : callable or None
        Cuts a residual vector into channels in order of time, for their memory; None: independent.
    loss : str
        ``"linear"`` or a robust one of scipy.optimize.least_squares, such as ``"soft_l1"``.
    step : float or None
        Step of two-sided differences, the same for all parameters; None for differences at their best step.
    most_runs : int or None
        Limit on steps.
    """
    calls = 0

    def counted(x: FloatArray) -> FloatArray:
        nonlocal calls
        calls += 1
        return residual(x)

    def differences(x: FloatArray) -> FloatArray:
        return _differences(counted, x, step or 0.0, lower, upper)

    fit = least_squares(
        counted,
        np.clip(start, lower, upper),
        bounds=(lower, upper),
        loss=loss,
        jac="3-point" if step is None else differences,
        x_scale="jac",
        xtol=1e-10 if step is None else 1e-6,
        ftol=1e-15 if step is None else 1e-7,
        gtol=1e-15 if step is None else 1e-9,
        max_nfev=most_runs,
    )
    r = residual(fit.x)
    remembers = 1.0 if split is None else memory(split(r))
    errors, correlation, singular, weakest = _uncertainty(np.asarray(fit.jac), r, remembers)
    return Solution(fit.x, errors, correlation, singular, weakest, remembers, r, calls, fit.status > 0)


def _differences(residual: Residual, x: FloatArray, step: float, lower: FloatArray, upper: FloatArray) -> FloatArray:
    """Jacobian by two-sided differences, within the bounds."""
    columns = []
    for i in range(len(x)):
        up, down = x.copy(), x.copy()
        up[i] = min(x[i] + step, upper[i])
        down[i] = max(x[i] - step, lower[i])
        columns.append((residual(up) - residual(down)) / (up[i] - down[i]))
    return np.column_stack(columns)


def _uncertainty(
    jacobian: FloatArray, residual: FloatArray, remembers: float
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Errors, correlation, singular values and weakest direction from the Jacobian."""
    n, k = jacobian.shape
    scatter = float(residual @ residual) / max(n - k, 1)
    _, singular, right = np.linalg.svd(jacobian, full_matrices=False)
    with np.errstate(divide="ignore"):
        inverse = np.where(singular > 1e-12 * singular[0], 1.0 / singular, np.inf)
    if not np.all(np.isfinite(inverse)):
        return np.full(k, np.inf), np.eye(k), singular, right[-1]
    covariance = (right.T * inverse**2) @ right * scatter * remembers
    errors = np.sqrt(np.diag(covariance))
    with np.errstate(invalid="ignore", divide="ignore"):
        correlation = np.nan_to_num(covariance / np.outer(errors, errors))
    return errors, correlation, singular, right[-1]
