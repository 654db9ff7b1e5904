"""Lining a capture up with the model.

``line_up``      the time to add to the capture's time, and how sure that is
``find_shift``   the time alone, by least squares over all shifts at once
``coupling``     whether a channel is turned round, or AC-coupled
``misfit``       how far apart they are at one shift
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from inrushlib.startup import Curves, Startup
from inrushlib.trace.averages import Integrals, Stretches, stretches
from inrushlib.trace.edges import EdgeLag, edges_apart
from inrushlib.trace.prepare import FloatArray, Measured

GRID = 4000  # stretches of the capture that the shift is looked for with, unless told otherwise
FINEST = 10_000  # stretches that it is refined with
MOST_SHIFTS, ROUGH_SHIFTS = 80_000, 5000
ROUGH_GRID = 600  # stretches that a shift is roughly looked for with
BELOW, ABOVE = -0.2, 0.2  # of the range: 1st percentile of a channel turned round, 99.5th of one altogether below zero
APART, AS_GOOD = 0.02, 0.1  # of the capture between two shifts; of the usual misfit that one of them is above the best
UNLIKE = 0.5  # of the capture's variance, left at the best shift, from which it does not look like the model
MOST_ZERO = 0.02  # of a channel's range, that its zero may be off


class Coupling(StrEnum):
    """How a channel was connected, as far as its samples show; all curves of the model are above zero."""

    UPRIGHT = "upright"
    TURNED = "turned-round"
    AC = "ac-coupled"


def coupling(values: FloatArray) -> Coupling:
    """Return whether samples lie below zero altogether, or on both sides of it.

    Parameters
    ----------
    values : (n,) array
        Of one channel [V or A].

    Examples
    --------
    >>> coupling(np.array([0.0, -5.0, -5.0, -4.9] * 20)).value
    'turned-round'
    """
    reach = float(np.nanmax(np.abs(values)))
    if not np.nanmin(values) < BELOW * reach or not np.nanquantile(values, 0.01) < BELOW * reach:
        return Coupling.UPRIGHT
    return Coupling.TURNED if np.nanquantile(values, 0.995) < ABOVE * reach else Coupling.AC


@dataclass(frozen=True)
class Alignment:
    """Where a capture lies on a run.

    Attributes
    ----------
    shift, error : float
        Time to add to the capture's time, and its standard error, differences as they are counted as noise [s].
    rival : float or None
        Another shift that lies almost as well [s].
    unlike : bool
        Whether capture and run do not look alike at any shift.
    couplings : dict of str to Coupling
        Of the channels that are not upright.
    apart : tuple of EdgeLag
        Edges that are early or late against the model's while others lie on them.
    """

    shift: float
    error: float
    rival: float | None
    unlike: bool
    couplings: dict[str, Coupling]
    apart: tuple[EdgeLag, ...] = ()

    @property
    def doubts(self) -> tuple[str, ...]:
        """What makes the shift unsure, one sentence each."""
        said = [
            f"{name} is turned round"
            if kind is Coupling.TURNED
            else f"{name} looks AC-coupled: its level tells nothing"
            for name, kind in self.couplings.items()
        ]
        if self.unlike:
            said.append("capture and model do not look alike at any shift, so the lining up is a guess")
        elif self.rival is not None:
            said.append(f"a shift of {self.rival:.4g} s lies almost as well as the one taken")
        said += [edge.sentence for edge in self.apart]
        return tuple(said)


def line_up(measured: Measured, start: Startup | Curves) -> Alignment:
    """Return where a capture lies on a run, and how sure that is; a channel turned round is lined up turned back.

    Parameters
    ----------
    measured : Measured
        The capture.
    start : Startup or Curves
        The model's run.
    """
    kinds = {name: _connected(measured, name, start) for name in measured.curves}
    turned = {n: -v if kinds[n] is Coupling.TURNED else v for n, v in measured.curves.items()}
    free = frozenset(name for name, kind in kinds.items() if kind is Coupling.AC)
    upright, run = replace(measured, curves=turned), Integrals(start, tuple(measured.curves))
    shift = _best_shift(upright, run, GRID, free)
    shifts, costs, step = _tried(upright, run, ROUGH_GRID, ROUGH_SHIFTS, free)
    usual, best = float(np.median(costs)), float(costs.min())
    flat = sum(float(np.nanvar(v)) / _range(v[np.isfinite(v)]) ** 2 for v in turned.values())
    far = np.abs(shifts - shift) > max(APART * float(np.ptp(measured.time)), 3 * step)
    rival = int(np.argmin(np.where(far, costs, np.inf)))
    as_good = bool(far.any()) and costs[rival] - best < AS_GOOD * (usual - best)
    averages = stretches(upright, GRID)
    away, slopes = averages.means - run.means(averages.edges, shift), run.slopes(averages.edges, shift)
    told = sum(float(np.nansum(m**2) / max(np.nanmean(a**2), 1e-18)) for a, m in zip(away.T, slopes.T, strict=True))
    return Alignment(
        shift, told**-0.5 if told > 0 else np.inf, float(shifts[rival]) if as_good else None, best > UNLIKE * flat,
        {name: kind for name, kind in kinds.items() if kind is not Coupling.UPRIGHT},
        edges_apart(upright, start.at(measured.time + shift), shift),
    )  # fmt: skip


def _connected(measured: Measured, name: str, start: Startup | Curves) -> Coupling:
    """How a channel was connected; a high one without its level looks turned round, so there the model decides."""
    values = measured.curves[name]
    kind = coupling(values)
    if kind is not Coupling.TURNED:
        return kind
    run, free = Integrals(start, (name,)), frozenset((name,))
    turned, coupled = replace(measured, curves={name: -values}), replace(measured, curves={name: values})
    as_turned = _tried(turned, run, ROUGH_GRID, ROUGH_SHIFTS, frozenset())[1].min()
    return kind if as_turned < _tried(coupled, run, ROUGH_GRID, ROUGH_SHIFTS, free)[1].min() else Coupling.AC


def find_shift(measured: Measured, start: Startup | Curves, grid: int = GRID) -> float:
    """Return the shift [s] to add to the capture's time so that it lies on the model.

    All shifts for which capture and run overlap by half of the shorter one are tried on a grid, by the
    sum of squares over the channels in units of each one's range; the best is then refined on averages
    over stretches, which change smoothly with the shift.

    Parameters
    ----------
    measured : Measured
        The capture.
    start : Startup or Curves
        The model's run.
    grid : int
        Stretches that the capture is cut into [1], at least 8.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.startup.simulate import run_curves
    >>> panel = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 64})
    >>> run, time = run_curves(panel), np.linspace(0.0, 0.5, 5001)
    >>> current = {"lead_current": run.at(time)["lead_current"]}
    >>> late = Measured(time - 0.02, current, noise={"lead_current": 1e-3}, gaps=0)
    >>> round(find_shift(late, run), 4)
    0.02
    """
    return _best_shift(measured, Integrals(start, tuple(measured.curves)), grid, _without_level(measured))


def _without_level(measured: Measured) -> frozenset[str]:
    """The channels whose level tells nothing of the curve's, since AC coupling has taken it away."""
    return frozenset(name for name, values in measured.curves.items() if coupling(values) is Coupling.AC)


def _best_shift(measured: Measured, run: Integrals, grid: int, free: frozenset[str]) -> float:
    from scipy.optimize import minimize_scalar  # long to import, and only captures need it

    shifts, costs, step = _tried(measured, run, grid, MOST_SHIFTS, free)
    best = float(shifts[np.argmin(costs)])
    averages = stretches(measured, FINEST if grid == GRID else grid)
    reach = 2 * step + 2 * float(averages.edges[1] - averages.edges[0])
    fine = minimize_scalar(
        lambda shift: misfit(averages, run, float(shift), free),
        bounds=(best - reach, best + reach),
        method="bounded",
        options={"xatol": step * 1e-3},
    )
    return float(fine.x)


def rough_shift(measured: Measured, run: Integrals, grid: int) -> float:
    """Return the best shift on a grid, for a descent to begin at.

    Parameters
    ----------
    measured : Measured
        The capture.
    run : Integrals
        The model's run.
    grid : int
        Parts that the capture is cut into [1].
    """
    shifts, costs, _ = _tried(measured, run, grid, ROUGH_SHIFTS, _without_level(measured))
    return float(shifts[np.argmin(costs)])


def _tried(
    measured: Measured, run: Integrals, grid: int, most: int, free: frozenset[str]
) -> tuple[FloatArray, FloatArray, float]:
    """Shifts for which capture and run overlap by half of the shorter one, what each costs, and their distance."""
    first, last = float(measured.time[0]), float(measured.time[-1])
    span, length = last - first, run.duration
    half = 0.5 * min(length, span)
    lowest, highest = half - last, length - half - first
    step = max(span / grid, (highest - lowest) / most)
    count = max(2, int(np.ceil((highest - lowest) / step)) + 1)
    shifts: FloatArray = lowest + step * np.arange(count, dtype=np.float64)
    return shifts, _costs(measured, run, shifts, step, free), step


def _costs(measured: Measured, run: Integrals, shifts: FloatArray, step: float, free: frozenset[str]) -> FloatArray:
    """Sum of squares for each shift, by correlation of averages over equal stretches; levels settled where ``free``."""
    first = float(measured.time[0])
    length = max(1, int((measured.time[-1] - first) / step))
    row = np.clip(((measured.time - first) / step).astype(int), 0, length - 1)
    edges = first + step * np.arange(length + len(shifts), dtype=np.float64)
    model = run.means(edges, float(shifts[0]))
    total = np.zeros(len(shifts))
    for curve, (name, values) in zip(model.T, measured.curves.items(), strict=True):
        good = np.isfinite(values)
        number = np.bincount(row[good], minlength=length)
        there = number > 0
        means = np.bincount(row[good], weights=values[good], minlength=length) / np.maximum(number, 1)
        scale = _range(means[there])
        square = correlate(curve**2, there.astype(float))
        product = correlate(curve, means)
        costs = square - 2 * product + float(means @ means)
        if name in free:
            costs -= (correlate(curve, there.astype(float)) - means.sum()) ** 2 / there.sum()
        total += costs / (scale**2 * there.sum())
    return total


def correlate(long: FloatArray, short: FloatArray) -> FloatArray:
    """Sum of the products of ``short`` with as much of ``long``, at every place where it fits in.

    By Fourier transforms; scipy.signal has the same, and takes most of a second to import.

    Examples
    --------
    >>> correlate(np.array([1.0, 2.0, 3.0, 4.0]), np.array([1.0, 10.0])).round(9).tolist()
    [21.0, 32.0, 43.0]
    """
    from scipy.fft import irfft, next_fast_len, rfft  # long to import, and only captures need it

    length = next_fast_len(len(long), real=True)
    product: FloatArray = irfft(rfft(long, length) * np.conj(rfft(short, length)), length)
    return product[: len(long) - len(short) + 1]


def _range(values: FloatArray) -> float:
    return max(float(np.ptp(values)), 1e-9)


def misfit(averages: Stretches, run: Integrals, shift: float, free: frozenset[str] = frozenset()) -> float:
    """Return the mean square of the differences, each channel in units of its range [1].

    A difference that is the same all along is taken for a wrong zero, as far as such are usual or the level is free.

    Parameters
    ----------
    averages : Stretches
        Of the capture, over stretches of its time.
    run : Integrals
        Integrals of the modelled curves, in the same order.
    shift : float
        Time to add to the capture's [s].
    free : frozenset of str
        Quantities whose level is free.
    """
    away = averages.means - run.means(averages.edges, shift)
    total = 0.0
    for name, column, good, means in zip(averages.quantities, away.T, averages.good.T, averages.means.T, strict=True):
        scale = _range(means[good])
        most = np.inf if name in free else MOST_ZERO * scale
        zero = np.clip(np.mean(column[good]), -most, most)
        total += float(np.mean((column[good] - zero) ** 2)) / scale**2
    return total
