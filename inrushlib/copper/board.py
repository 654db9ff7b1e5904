"""Tracks of a circuit board, by the curve fit of IPC-2221.

``track_current``
    what a track carries for a temperature rise
"""

from __future__ import annotations

from typing import Final, Literal

from inrushlib.errors import UsageError

MIL = 25.4e-6
OUNCE = 1.378 * MIL
"""Thickness of one ounce of copper per square foot [m]."""

Layer = Literal["outer", "inner"]
_COEFFICIENT: Final = {"outer": 0.048, "inner": 0.024}
HIGHEST_CURRENT: Final = {"outer": 35.0, "inner": 17.5}
HIGHEST_RISE = 100.0
WIDEST = 400.0 * MIL


def _check(layer: str, rise: float, thickness: float) -> None:
    if layer not in _COEFFICIENT:
        raise UsageError(f"layer: {layer!r}; accepted: outer or inner")
    if not 0.0 < rise <= HIGHEST_RISE:
        raise UsageError(f"temperature rise: {rise:g} K; accepted: above 0, up to {HIGHEST_RISE:g} K")
    if not 0.0 < thickness <= 3.0 * OUNCE * (1.0 + 1e-9):
        raise UsageError(f"copper thickness: {thickness * 1e6:g} um; accepted: above 0, up to 105 um")


def track_current(width: float, rise: float = 10.0, layer: Layer = "outer", thickness: float = OUNCE) -> float:
    """Current that heats a board track by a given rise.

    ``I = k * rise ** 0.44 * A ** 0.725``, A in square mils, k = 0.048 outer, 0.024 inner.

    Parameters
    ----------
    width : float
        Track width [m], above 0 up to 10.16 mm (400 mil).
    rise : float
        Temperature rise [K], above 0 up to 100.
    layer : str
        "outer" or "inner".
    thickness : float
        Copper thickness [m], above 0 up to 105 um (3 oz).

    Returns
    -------
    float
        Current [A]; an error above 35 A (outer) or 17.5 A (inner), where the fit ends.

    Raises
    ------
    UsageError
        For a width, rise, layer or thickness outside the range of the formula.

    Notes
    -----
    A single track on an ordinary board, no neighbours. Source: IPC-2221 section 6.2.

    Examples
    --------
    >>> round(track_current(20 * MIL), 3)
    1.464
    """
    _check(layer, rise, thickness)
    if not 0.0 < width <= WIDEST * (1.0 + 1e-9):
        raise UsageError(f"track width: {width * 1e3:g} mm; accepted: above 0, up to 10.16 mm (400 mil)")
    area = width * thickness / MIL**2
    current = float(_COEFFICIENT[layer] * rise**0.44 * area**0.725)
    if current > HIGHEST_CURRENT[layer]:
        raise UsageError(f"track current: {current:.3g} A; accepted: up to {HIGHEST_CURRENT[layer]:g} A ({layer})")
    return current
