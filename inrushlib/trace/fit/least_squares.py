"""Nonlinear least squares with an honest report; no knowledge of builds or captures.

``solve``        parameters from a residual function
``Solution``     values, errors, correlations, what cannot be told apart
``uncertainty``  errors from a Jacobian
``memory``       how many samples in a row a residual remembers
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from inrushlib.trace.prepare import FloatArray

Loss = Literal["linear", "soft_l1", "huber", "cauchy", "arctan"]
Residual = Callable[[FloatArray], FloatArray]

NOTHING = 1e-12  # singular value, as a share of the largest, that counts as none
DIFFERENCE = 6e-6  # relative step of two-sided differences: about the cube root of the smallest relative step


@dataclass(frozen=True, kw_only=True)
class Uncertainty:
    """What a Jacobian says about k parameters.

    Attributes
    ----------
    errors : (k,) array
        Standard errors [of a parameter]; infinite where the residuals do not feel one, or only a combination of some.
    correlation : (k, k) array
        Of the parameters, where they are told [1].
    """

    errors: FloatArray
    correlation: FloatArray


@dataclass(frozen=True)
class Solution:
    """A finished fit of k parameters to n residuals.

    Attributes
    ----------
    values : (k,) array
        Best parameters [as at the start].
    uncertainty : Uncertainty
        Errors and what cannot be told apart.
    residual : (n,) array
        At the solution, as the residual function gives it [its unit].
    converged : bool
        Whether a stopping rule was met before the limit on steps.
    """

    values: FloatArray
    uncertainty: Uncertainty
    residual: FloatArray
    converged: bool

    @property
    def errors(self) -> FloatArray:
        """Standard errors, shape (k,)."""
        return self.uncertainty.errors


def memory(residual: FloatArray) -> float:
    """Return how many residuals in a row count as one: 1 + 2 sum of the autocorrelations while positive.

    Parameters
    ----------
    residual : (n,) array
        One channel in order of time [any unit].

    Examples
    --------
    >>> white = np.random.default_rng(0).normal(size=20000)
    >>> bool(abs(memory(white) - 1) < 0.1)
    True
    """
    x = residual - residual.mean()
    n = len(x)
    power = np.abs(np.fft.rfft(x, 2 * n)) ** 2
    auto = np.fft.irfft(power)[: n // 2]
    if len(auto) < 2 or auto[0] <= 0:
        return 1.0
    rho = auto[1:] / auto[0]
    # Past the first one within the scatter of white residuals the sum would only add noise.
    ends = np.flatnonzero(rho < 2.0 / np.sqrt(n))
    return max(1.0, 1.0 + 2.0 * float(rho[: ends[0] if len(ends) else len(rho)].sum()))


def solve(
    residual: Residual,
    start: FloatArray,
    lower: FloatArray,
    upper: FloatArray,
    *,
    jacobian: Residual | None = None,
    loss: Loss = "linear",
    outlier: float = 1.0,
    fineness: float = 1e-15,
    most_steps: int | None = None,
    noise_known: bool = False,
) -> Solution:
    """Return the parameters that make the sum of the squared residuals least.

    Parameters
    ----------
    residual : callable
        From (k,) parameters to (n,) residuals.
    start, lower, upper : (k,) array
        Start values and bounds [of a parameter].
    jacobian : callable or None
        From (k,) parameters to the (n, k) derivatives of the residuals; None for two-sided differences.
    loss : str
        ``"linear"`` or a robust one of scipy.optimize.least_squares, such as ``"soft_l1"``.
    outlier : float
        Residual from which a robust loss grows like its magnitude only [1], above 0.
    fineness : float
        Relative change of the sum at which the descent stops [1], above 0.
    most_steps : int or None
        Limit on steps [1].
    noise_known : bool
        Whether the residuals are in units of their standard deviation; otherwise their own scatter is taken.
    """
    from scipy.optimize import least_squares  # long to import, and only a fit needs it

    fit = least_squares(
        residual,
        np.clip(start, lower, upper),
        bounds=(lower, upper),
        loss=loss,
        f_scale=outlier,
        jac=jacobian or "3-point",
        diff_step=None if jacobian else [DIFFERENCE] * len(start),
        x_scale="jac",
        ftol=fineness,
        xtol=min(1e-4, max(np.sqrt(fineness) * 1e-3, 1e-12)),
        gtol=1e-15,
        max_nfev=most_steps,
    )
    r = np.asarray(fit.fun)
    scatter = 1.0 if noise_known else float(r @ r) / max(len(r) - len(fit.x), 1)
    return Solution(fit.x, uncertainty(np.asarray(fit.jac), scatter), r, fit.status > 0)


def uncertainty(jacobian: FloatArray, scatter: float = 1.0) -> Uncertainty:
    """Return the errors of parameters from the residuals' derivatives.

    With columns scaled to one length, J = U S V', the covariance is V S^-2 V' times the scatter.

    Parameters
    ----------
    jacobian : (n, k) array
        Derivatives of the residuals at the solution [residual by parameter].
    scatter : float
        Variance of a residual [1], at least 0.
    """
    length = np.sqrt(np.sum(jacobian**2, axis=0))
    unit = np.where(length > 0, length, 1.0)
    # The triangle of a QR decomposition has the same singular values, and is small.
    _, singular, right = np.linalg.svd(np.linalg.qr(jacobian / unit, mode="r"))
    told = singular > NOTHING * singular[0]
    inverse = np.where(told, 1.0 / np.where(told, singular, 1.0), 0.0)
    covariance = (right.T * inverse**2) @ right * scatter
    deviation = np.sqrt(np.diag(covariance))
    safe = np.where(deviation > 0, deviation, 1.0)
    errors = np.where(np.any(np.abs(right[~told]) > 1e-6, axis=0), np.inf, deviation / unit)
    return Uncertainty(errors=errors, correlation=covariance / np.outer(safe, safe))
