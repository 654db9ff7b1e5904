"""The pixel's law from a bench table: channel current, channel resistance and quiescent current, with errors.

``fit_bench``     the values
``BenchFit``      them, and the part
``BenchValue``    one of them
"""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from inrushlib.errors import TraceError
from inrushlib.laws.arrays import pixel_current
from inrushlib.parts.pixel import Pixel
from inrushlib.trace.bench_table import BenchTable
from inrushlib.trace.fit.least_squares import Solution, solve
from inrushlib.trace.prepare import FloatArray

KEYS = ("channel_current", "channel_resistance", "quiescent_current")
# Of a reading, and last digits, that a meter is off (common practice, no source).
METER_SHARE, METER_DIGITS = 0.005, 3.0
FORWARD_SPREAD = 0.2  # [V] of a forward voltage between parts of one kind, standard deviation (from memory)
# Logarithm of a value between kinds of part, standard deviation: holds what the table does not determine.
PART_SPREAD = 1.0
STEP = 1e-5  # of logarithms and of spreads, for slopes
UNDETERMINED = 0.5  # relative error from which a value counts as undetermined
REACH = 30.0  # a value may move by this factor from its start
QUIESCENT_START = 0.6e-3  # [A] where the part has none


@dataclass(frozen=True)
class BenchValue:
    """One value; its error is None where the table does not determine it, and then the note says so.

    Attributes
    ----------
    value, start : float
        Fitted, and where it started [A or ohm]; the start where it is undetermined.
    error : float or None
        Standard error [A or ohm].
    note : str
        Why there is no error.
    """

    value: float
    error: float | None
    start: float
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class BenchFit:
    """The law of a pixel, fitted to a bench table.

    Attributes
    ----------
    values : dict of str to BenchValue
        channel_current, channel_resistance, quiescent_current.
    forward_voltages : tuple of float
        Fitted along [V]; as the part has them where the table does not determine them.
    pixel : Pixel
        The part with the values that are determined.
    residual : (n,) array
        Measured minus fitted current of each row [A].
    rms : float
        Root mean square of them [A].
    """

    values: dict[str, BenchValue]
    forward_voltages: tuple[float, ...]
    pixel: Pixel
    residual: FloatArray
    rms: float

    @property
    def build_values(self) -> dict[str, float | tuple[float, ...]]:
        """What the table determines, by dotted key of a build [unit of the key, SI]."""
        found = {f"pixel.{key}": value.value for key, value in self.values.items() if value.error is not None}
        return {**found, "pixel.forward_voltages": self.forward_voltages}


def fit_bench(table: BenchTable, pixel: Pixel | None = None, *, other_current: float = 0.0) -> BenchFit:
    """Return the values with which the pixel's law lies best on a bench table.

    ``I = other_current + pixels * i(v, dark) + count * (i(v, colour) - i(v, dark))``, i being the law of one
    pixel. The supply is taken to be the same at all of them, so that the strip is short or fed along its
    length. Forward voltages move along, held near the part's own; the wake voltage stays. At one voltage alone
    a channel that regulates cannot be told from one that fades: the start values decide.

    Parameters
    ----------
    table : BenchTable
        The readings.
    pixel : Pixel or None
        Start values; None for the defaults.
    other_current : float
        What else hangs on the supply [A], at least 0.

    Raises
    ------
    TraceError
        Where the table is too short, or no row shows a colour.

    Notes
    -----
    Source: the sum of the currents at the supply's node (Kirchhoff's current law), each pixel's by the law of
    :mod:`inrushlib.laws.pixel`.

    Examples
    --------
    >>> from inrushlib.trace.bench_table import read_bench
    >>> rows = b"voltage [V],current [mA],count,colour\\n5,8.4,0,dark\\n5,128.4,10,red\\n5,248.4,20,red\\n"
    >>> found = fit_bench(read_bench(rows, pixels=20)).values
    >>> round(found["channel_current"].value * 1e3, 2), round(found["quiescent_current"].value * 1e3, 2)
    (12.0, 0.42)
    """
    if not (np.isfinite(other_current) and other_current >= 0):
        raise TraceError(f"other_current: {other_current:g} A; accepted: 0 or above", table.name)
    if len(table.current) < 2:
        raise TraceError(f"{len(table.current)} row of readings; accepted: 2 or more", table.name)
    if not np.any(table.duty.sum(axis=1) * table.count > 0):
        raise TraceError("no row shows a lit pixel; accepted: at least one", table.name)
    part = pixel or Pixel()
    start = np.array([part.channel_current, part.channel_resistance, part.quiescent_current or QUIESCENT_START])
    sigma = np.hypot(METER_SHARE * table.current, max(METER_DIGITS * table.step, 1e-9))
    found = _solve(table, part, start, sigma, other_current)
    # The meter may be better or worse than is usual; few rows more than parameters do not show which.
    free = len(sigma) - int(np.sum(_determined(found)))
    rows = found.residual[: len(sigma)]
    if free > 2:
        sigma = sigma * max(float(np.sqrt(rows @ rows / free)), 0.1)
        found = _solve(table, part, start, sigma, other_current)
    return _report(table, part, start, found, other_current)


def _modelled(table: BenchTable, part: Pixel, values: FloatArray, moved: FloatArray) -> FloatArray:
    """Current of each row [A] without what else hangs on the supply."""
    channel, resistance, quiescent = values
    law = SimpleNamespace(
        channel_current=channel, channel_resistance=resistance, quiescent_current=quiescent,
        forward_voltages=np.asarray(part.forward_voltages) + moved, wake_voltage=part.wake_voltage,
    )  # fmt: skip
    lit, _ = pixel_current(table.voltage, table.duty.T, law)
    dark, _ = pixel_current(table.voltage, np.zeros((3, len(table.voltage))), law)
    current: FloatArray = table.pixels * dark + table.count * (lit - dark)
    return current


def _solve(table: BenchTable, part: Pixel, start: FloatArray, sigma: FloatArray, other: float) -> Solution:
    measured = table.current - other

    def residual(x: FloatArray) -> FloatArray:
        away = measured - _modelled(table, part, start * np.exp(x[:3]), FORWARD_SPREAD * x[3:])
        return np.concatenate([away / sigma, x[:3] / PART_SPREAD, x[3:]])

    def jacobian(x: FloatArray) -> FloatArray:
        # A library's step goes by the value, and values are logarithms here: close to 0 it would measure rounding.
        ends = ((residual(x + step) - residual(x - step)) / (2.0 * STEP) for step in STEP * np.eye(len(x)))
        return np.column_stack(list(ends))

    most = np.array([*np.full(3, np.log(REACH)), *np.full(3, 5.0)])
    return solve(
        residual, np.zeros(6), -most, most, jacobian=jacobian, loss="soft_l1", outlier=3.0, fineness=1e-12,
        noise_known=True,
    )  # fmt: skip


def _determined(found: Solution) -> np.ndarray:
    determined: np.ndarray = found.errors[:3] < UNDETERMINED
    return determined


def _report(table: BenchTable, part: Pixel, start: FloatArray, found: Solution, other: float) -> BenchFit:
    fitted = start * np.exp(found.values[:3])
    determined = _determined(found)
    values = {}
    for key, value, error, begun, is_determined in zip(KEYS, fitted, found.errors[:3], start, determined, strict=True):
        if is_determined:
            values[key] = BenchValue(float(value), float(error * value), float(begun))
        else:
            values[key] = BenchValue(float(begun), None, float(begun), NOTES[key])
    moved = FORWARD_SPREAD * found.values[3:]
    forward = tuple(float(v) for v in np.asarray(part.forward_voltages) + moved)
    changed = {key: v.value for key, v in values.items() if v.error is not None} | {"forward_voltages": forward}
    away = table.current - other - _modelled(table, part, fitted, moved)
    return BenchFit(
        values=values,
        forward_voltages=forward,
        pixel=Pixel(**(part.model_dump() | changed)),
        residual=away,
        rms=float(np.sqrt(np.mean(away**2))),
    )


NOTES = {
    "channel_current": "undetermined: no row lies where the supply is high enough for the channels to regulate",
    "channel_resistance": "undetermined: no row lies where the supply is low enough for a colour to fade",
    "quiescent_current": "undetermined: the rows do not show what dark pixels draw",
}
