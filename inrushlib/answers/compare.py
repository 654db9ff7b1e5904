"""A capture laid over the model: how far apart they are."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Block,
    Facts,
    Listing,
    Picture,
    Strong,
    Table,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.fit import fit_blocks
from inrushlib.answers.start import overstress
from inrushlib.quantities import format_uncertain
from inrushlib.startup import Startup, curve_named
from inrushlib.trace import Channel, ChannelComparison, Comparison, Fit, Measured, Trace, idle_level

WIDTH, HEIGHT, LOWEST = 10.0, 3.6, 1.7  # [in], height of one channel with its residual, and the least
ALONE = 4.2  # [in], of the model without a capture
RAW, RAW_LOWEST = 1.8, 1.0  # [in], of a channel that nobody said of what it shows
MOST_DRAWN = 6  # of such channels


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A capture laid over a start of the model.

    Attributes
    ----------
    measured : Measured
        The capture's curves.
    start : Startup
        The model's run.
    comparison : Comparison
        How far apart they are.
    channels : mapping of str to str
        The capture's name of each curve's channel; a curve that is not here goes by its own.
    inferred : tuple of str
        What the file did not say outright, a sentence each.
    """

    measured: Measured
    start: Startup
    comparison: Comparison
    channels: Mapping[str, str] = field(default_factory=dict)
    inferred: tuple[str, ...] = ()


def compare_answer(laid: Laid, fit: Fit | None = None) -> Answer:
    """Return how far a capture is from the model; the report of a fit first, where there is one.

    Parameters
    ----------
    laid : Laid
        The capture over the start; over that of the fitted build where there is a fit.
    fit : Fit or None
        What was fitted to it.
    """
    start = laid.start
    blocks: list[Block] = [*overstress(start.headline), *(fit_blocks(fit) if fit is not None else ())]
    tables = tuple(_channel(laid, name, found) for name, found in laid.comparison.channels.items())
    blocks += [_verdict(laid), _picture(laid), Beside(tables), _facts(laid)]
    if laid.inferred:
        blocks.append(Listing(laid.inferred, "Found in the file"))
    name = laid.measured.name or "capture"
    return Answer(f"{name} over {start.build.title}", not start.overstressed, tuple(blocks))


def model_alone(start: Startup) -> Answer:
    """Return what stands where no capture is laid over the model yet.

    Parameters
    ----------
    start : Startup
        The model's run.
    """

    def draw(axes: Any, scheme: Any) -> None:
        from inrushlib.plots import draw_startup

        figure = axes.figure
        axes.remove()
        draw_startup(start, figure, scheme=scheme)

    said = Verdict("no capture is laid over the model", ("Choose, name or upload one; here is the model alone.",), None)
    picture = Picture(
        "Voltages, lead current and what each part is doing, by the model.", draw, WIDTH, ALONE, lowest=2 * LOWEST
    )
    return Answer(start.build.title, not start.overstressed, (*overstress(start.headline), said, picture))


def channels_alone(trace: Trace, start: Startup) -> Answer:
    """Return what stands where nobody said yet what any channel of a capture shows: the channels as recorded.

    Parameters
    ----------
    trace : Trace
        The capture.
    start : Startup
        The model's run.
    """
    names = list(trace.channels)
    drawn = names[:MOST_DRAWN]

    def draw(axes: Any, scheme: Any) -> None:
        from inrushlib.plots import draw_channels

        draw_channels(trace, drawn, axes, scheme)

    how = "Here they are as recorded; choose beside a channel's name what it shows."
    said = Verdict("no channel is laid over the model yet", (how,), None)
    rows = tuple((name, *_facts_of(trace.channels[name])) for name in names)
    table = Table(("channel", "unit", "lowest", "without load", "highest"), rows, "What was recorded", (2, 3, 4))
    more = f"; {len(names) - len(drawn)} more are in the table" if len(names) > len(drawn) else ""
    picture = Picture(
        f"The channels as they were recorded, over the capture's own time{more}.", draw, WIDTH, RAW * len(drawn),
        lowest=RAW_LOWEST * len(drawn),
    )  # fmt: skip
    return Answer(trace.name or "capture", not start.overstressed, (said, picture, table))


def _facts_of(channel: Channel) -> tuple[Words, Words, Words, Words]:
    """Unit, lowest, idle and highest value of a channel."""
    known = channel.values[np.isfinite(channel.values)]
    found = (float(known.min()), idle_level(channel), float(known.max())) if len(known) else (None, None, None)
    if channel.unit in ("V", "A"):
        low, idle, high = (Value(value, channel.unit) for value in found)
        return channel.unit, low, idle, high
    texts = ["–" if value is None else f"{value:.3g}" for value in found]
    return channel.unit or "not said", texts[0], texts[1], texts[2]


def _verdict(laid: Laid) -> Verdict:
    channels = [(curve_named(name), found) for name, found in laid.comparison.channels.items()]
    head: list[Words] = ["model and capture differ by "]
    for number, (curve, found) in enumerate(channels):
        head += [", " if number else "", Strong(Value(found.rms, curve.unit)), f" rms in {curve.words}"]
    shift = laid.comparison.shift
    lined = laid.comparison.alignment
    doubts = tuple(sentence(doubt) for doubt in (lined.doubts if lined else ()))
    most = tuple(
        (
            f"{curve.words}: at most ", Value(abs(found.largest_difference), curve.unit), ", at ",
            Value(found.largest_difference_at + shift, "s"), ".",
        )
        for curve, found in channels
    )  # fmt: skip
    return Verdict(tuple(head), (*doubts, *map(sentence, most)))


def _facts(laid: Laid) -> Facts:
    lined = laid.comparison.alignment
    shift: Words = Value(laid.comparison.shift, "s")
    if lined is not None and math.isfinite(lined.error):
        shift = " +- ".join(format_uncertain(laid.comparison.shift, lined.error, "s"))
    rows: tuple[tuple[str, Words], ...] = (
        ("shift, added to the capture's time", shift),
        ("samples", str(len(laid.measured.time))),
        ("gaps", str(laid.comparison.gaps)),
    )
    return Facts(rows, "The capture; all times are those of the run")


def _channel(laid: Laid, name: str, found: ChannelComparison) -> Table:
    curve, shift = curve_named(name), laid.comparison.shift
    ours, theirs = found.measured, found.modelled
    rows: list[tuple[Words, ...]] = [
        ("peak", Value(found.peak_measured, curve.unit), Value(found.peak_modelled, curve.unit)),
        ("plateau", Value(ours.plateau, curve.unit), Value(theirs.plateau, curve.unit)),
        ("largest lasting change at", _later(ours.release_at, shift), _later(theirs.release_at, shift)),
    ]
    if curve.is_current:
        rows.append(("charge", Value(ours.charge, "C"), Value(theirs.charge, "C")))
        rows.append(("I2t", Value(ours.i2t, "A2s"), Value(theirs.i2t, "A2s")))
    channel = laid.channels.get(name, name)
    caption = curve.words if channel == name else f"{curve.words}, from channel {channel}"
    return Table(("", "measured", "modelled"), tuple(rows), caption, (1, 2))


def _later(instant: float | None, shift: float) -> Value:
    return Value(None if instant is None else instant + shift, "s")


def _picture(laid: Laid) -> Picture:
    """Each channel over the model, what is left of it below."""
    curves = [curve_named(name) for name in laid.comparison.channels]

    def layers() -> Any:
        from inrushlib.plots.compare import ComparisonLayers  # here, since a terminal needs no drawing library

        return ComparisonLayers(laid.measured, laid.start, laid.comparison)

    def draw(axes: Any, scheme: Any) -> None:
        from inrushlib.plots.layers import draw_layers

        draw_layers(layers(), axes, scheme)

    about = f"{', '.join(curve.words for curve in curves)}: measured and modelled, their difference below."
    return Picture(about, draw, WIDTH, HEIGHT * len(curves), lowest=LOWEST * len(curves), layers=layers)
