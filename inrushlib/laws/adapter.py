"""The adapter's laws.

``adapter_limit``    its current limit, folding back or not
``adapter_current``  what its regulator gives
"""

from __future__ import annotations

from inrushlib.laws.constants import CORNER
from inrushlib.laws.smooth import least, soft


def adapter_limit(v_o: float, top: float, foldback: bool, foldback_current: float, knee: float) -> tuple[float, float]:
    """Current limit of an adapter, and its slope.

    ``foldback_current + (top - foldback_current) clip(v_o / knee, 0, 1)`` where it folds back, else ``top``.

    Parameters
    ----------
    v_o : float
        Output voltage [V].
    top : float
        Limit at full output voltage [A].
    foldback : bool
        Whether the limit folds back [1].
    foldback_current : float
        Limit into a short [A]; no matter where it does not fold back.
    knee : float
        Output voltage from which the full limit holds [V], above 0.

    Returns
    -------
    tuple of float
        Limit [A] and slope to v_o [S].

    Examples
    --------
    >>> adapter_limit(2.0, 3.0, True, 1.0, 4.0), adapter_limit(2.0, 3.0, False, 1.0, 4.0)
    ((2.0, 0.5), (3.0, 0.0))
    """
    if foldback:
        x = v_o / knee
        if x <= 0.0:
            return foldback_current, 0.0
        if x < 1.0:
            slope = (top - foldback_current) / knee
            return foldback_current + slope * v_o, slope
    return top, 0.0


def adapter_current(
    v_ref: float, v_o: float, resistance: float, limit: float, limit_slope: float, w: float
) -> tuple[float, float, float]:
    """Current of an adapter's regulator, and its slopes.

    ``soft(least((v_ref - v_o) / resistance, limit, w), w0)``, w0 the smaller of w and 10 mA.

    Parameters
    ----------
    v_ref : float
        Set point [V].
    v_o : float
        Output voltage [V].
    resistance : float
        Load regulation slope [ohm], above 0.
    limit : float
        Current limit at v_o [A].
    limit_slope : float
        How the limit changes with v_o [S]; 0 unless it folds back.
    w : float
        Width of the bend into the limit [A], above 0: 1 % of the limit current.

    Returns
    -------
    tuple of float
        Current [A], slope to v_o and to v_ref [S].

    Notes
    -----
    Never backwards: an adapter does not sink current.

    Examples
    --------
    >>> round(adapter_current(5.1, 4.0, 0.03, 4.8, 0.0, 0.048)[0], 3)
    4.8
    """
    m, to_a, to_limit = least((v_ref - v_o) / resistance, limit, w)
    i, s = soft(m, min(w, CORNER))
    return i, s * (to_limit * limit_slope - to_a / resistance), s * to_a / resistance
