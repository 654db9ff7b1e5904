"""What is measured on one tile on the bench: currents of a channel, its slope, the levels of its chip."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from inrushlib.build import Build
from inrushlib.errors import UsageError
from inrushlib.guide import formulas
from inrushlib.guide.card import Asked, CardName, Care, Recipe, Setup
from inrushlib.guide.uncertainty import Formula, Instrument, ammeter_for
from inrushlib.quantities import format_quantity

LIT: Final = 10
"""Pixels that are lit on the bench at most [1]: enough to read, too little to heat a wire."""
DUTY: Final = 0.25  # of the dimmed picture
APART: Final = 0.15
"""Share by which mean and peaks may differ before the picture is taken not to be dimmed by pulses [1]."""
MEAN_WEIGHT: Final = 0.8
"""Of the channel current by the mean; the rest is that by the peaks, which are read less well [1]."""
HALF, QUARTER = 0.5, 0.25
"""Shares of a channel's current at which its slope is read [1]."""
PIXEL_CARES = (Care.CURRENT_LIMIT, Care.METER_FUSE, Care.ATTENDED)


def pixels_lit(build: Build) -> int:
    """Return how many pixels of the first section are lit [1].

    Parameters
    ----------
    build : Build
        Any build.
    """
    return min(LIT, pixels_on(build))


def pixels_on(build: Build) -> int:
    """Return how many pixels the section on the bench has [1]: the first one's.

    Parameters
    ----------
    build : Build
        Any build.
    """
    return build.wiring.pixels_per_section[0]


def _volts(_: float) -> Instrument:
    return Instrument.VOLTMETER


def _shunt(_: float) -> Instrument:
    return Instrument.SHUNT


def _bench(build: Build) -> str:
    return (
        f"Section 0 alone ({pixels_on(build)} pixels) on a bench supply, 5 V at its pixels, the controller on a supply "
        "of its own, returns joined; the meter for current in the section's plus line."
    )


_DARK = Asked(name="all dark", unit="A", instrument=ammeter_for)


def _white_expect(build: Build) -> Sequence[float]:
    dark = pixels_on(build) * build.pixel.quiescent_current
    return dark, dark + 3 * pixels_lit(build) * build.pixel.channel_current


def _white_formula(build: Build) -> Formula:
    n, k = pixels_on(build), pixels_lit(build)
    return lambda r, _: (formulas.quiescent_current(r[0], n), formulas.channel_current(r[1], r[0], k))


def _white_setup(build: Build) -> Setup:
    n, k = pixels_on(build), pixels_lit(build)
    return Setup(
        connect=_bench(build),
        light=f"All dark, then the first {k} pixels full white; voltage at them 4.5 V or more.",
        read_off=f"quiescent current = dark / {n}; channel current = (white − dark) / (3 × {k})",
        cares=PIXEL_CARES,
    )


TILE_WHITE = Recipe(
    name=CardName.TILE_WHITE,
    keys=lambda _: ("pixel.quiescent_current", "pixel.channel_current"),
    asked=lambda build: (_DARK, Asked(name=f"{pixels_lit(build)} pixels white", unit="A", instrument=ammeter_for)),
    expect=_white_expect, formula=_white_formula, setup=_white_setup, method=0.01,
)  # fmt: skip


def _dimmed_expect(build: Build) -> Sequence[float]:
    dark, white = _white_expect(build)
    return dark, dark + DUTY * (white - dark), white


def _dimmed_formula(build: Build) -> Formula:
    n, k = pixels_on(build), pixels_lit(build)

    def values(readings: Sequence[float], _: Sequence[float]) -> Sequence[float]:
        by_mean, by_peak = _by_mean_and_peak(readings, k)
        return (
            formulas.quiescent_current(readings[0], n),
            MEAN_WEIGHT * by_mean + (1 - MEAN_WEIGHT) * by_peak,
        )

    return values


def _by_mean_and_peak(readings: Sequence[float], lit: int) -> tuple[float, float]:
    dark, mean, peak = readings
    return formulas.channel_current(mean, dark, lit, DUTY), formulas.channel_current(peak, dark, lit)


def _dimmed_check(build: Build, readings: Sequence[float]) -> None:
    k = pixels_lit(build)
    by_mean, by_peak = _by_mean_and_peak(readings, k)
    if abs(by_mean - by_peak) <= APART * abs(by_mean):
        return
    mean, peak = (format_quantity(each, "A", digits=3) for each in readings[1:])
    raise UsageError(
        f"{CardName.DIMMED_PICTURE}: mean {mean}, peaks {peak}; accepted: peaks of the full current while a quarter "
        f"of it is the mean: trigger right after a frame, and light {k} pixels at duty 64 of 255; pixels that dim "
        "otherwise: card tile-white"
    )


def _dimmed_setup(build: Build) -> Setup:
    n, k = pixels_on(build), pixels_lit(build)
    return Setup(
        connect=_bench(build) + " A shunt of 0.1 ohm, 1 %, in the section's return, the scope across it.",
        light=f"All dark, then the first {k} pixels at 64 of 255 in red, green and blue; mean on the meter, peaks on "
        "the scope right after a frame, while all pixels still switch in step.",
        read_off=f"quiescent current = dark / {n}; channel current = (mean − dark) / (3 × {k} × 0.25), "
        f"and (peak − dark) / (3 × {k}); the mean counts four times",
        cares=(*PIXEL_CARES, Care.SCOPE_GROUND),
    )


DIMMED_PICTURE = Recipe(
    name=CardName.DIMMED_PICTURE,
    keys=lambda _: ("pixel.quiescent_current", "pixel.channel_current"),
    asked=lambda _: (
        _DARK, Asked(name="mean", unit="A", instrument=ammeter_for), Asked(name="peaks", unit="A", instrument=_shunt),
    ),
    expect=_dimmed_expect, formula=_dimmed_formula, setup=_dimmed_setup, method=0.02, check=_dimmed_check,
)  # fmt: skip


def _sagging_expect(build: Build) -> Sequence[float]:
    p, k = build.pixel, pixels_lit(build)
    dark = pixels_on(build) * p.quiescent_current
    found: list[float] = []
    for share in (HALF, QUARTER):
        i = share * p.channel_current
        found += [p.forward_voltages[1] + p.channel_resistance * i, dark + k * i]
    return found


def _sagging_setup(build: Build) -> Setup:
    k = pixels_lit(build)
    return Setup(
        connect=_bench(build) + " A voltmeter at the lit pixels.",
        light=f"The first {k} pixels full green, the rest dark. Turn the supply down slowly until what green adds to "
        "the dark current is half of what it was at 5 V, read both; then on to a quarter, read both.",
        read_off=f"channel resistance = {k} × (V at half − V at a quarter) / (I at half − I at a quarter)",
        cares=PIXEL_CARES,
    )


SAGGING_TILE = Recipe(
    name=CardName.SAGGING_TILE,
    keys=lambda _: ("pixel.channel_resistance",),
    asked=lambda _: tuple(
        Asked(name=f"{what} at {share}", unit=unit, instrument=instrument)
        for share in ("half", "a quarter")
        for what, unit, instrument in (("voltage", "V", _volts), ("current", "A", ammeter_for))
    ),
    expect=_sagging_expect,
    formula=lambda build: lambda r, _: (formulas.channel_slope(r[0], r[1], r[2], r[3], pixels_lit(build)),),
    setup=_sagging_setup, method=0.05,
)  # fmt: skip


def _listen_setup(build: Build) -> Setup:
    return Setup(
        connect=_bench(build) + " A voltmeter at the section's first pixel.",
        light="Frames of a dim colour and of dark in turn, again and again. Turn the supply down in steps of 20 mV: "
        "read where the first pixel no longer follows. Stop the frames, go on down, and at each step up to 3 V and "
        "back: read from where it comes back in the colour of its power-on.",
        read_off="both as read",
        cares=(Care.CURRENT_LIMIT, Care.ATTENDED),
    )


LISTEN_LEVEL = Recipe(
    name=CardName.LISTEN_LEVEL,
    keys=lambda _: ("pixel.listen_voltage", "pixel.forget_voltage"),
    asked=lambda _: (
        Asked(name="last voltage at which it follows", unit="V", instrument=_volts),
        Asked(name="voltage from which it has forgotten", unit="V", instrument=_volts),
    ),
    expect=lambda build: (build.pixel.listen_voltage, build.pixel.forget_voltage),
    formula=lambda _: lambda r, _: (r[0], r[1]),
    setup=_listen_setup, method=0.01,
)  # fmt: skip

PIXEL_CARDS = (TILE_WHITE, DIMMED_PICTURE, SAGGING_TILE, LISTEN_LEVEL)
