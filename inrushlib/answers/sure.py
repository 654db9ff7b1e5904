"""What would turn a verdict, and how the odds change with the adapter, each with its picture.

``turning_answer``  the nearest single values that turn it
``bands_answer``    how far the curves scatter
``rating_answer``   the odds of each standard rating
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inrushlib.answers.assumed import hangs_on, reservation
from inrushlib.answers.blocks import Answer, Block, Note, Picture, Strong, Value, Verdict, Words, sentence
from inrushlib.answers.by_odds import odds_table, percent
from inrushlib.answers.margins import closest, edges
from inrushlib.margins import Assumed, Edge
from inrushlib.odds import CurveBands, Decision
from inrushlib.startup import BUS_VOLTAGE, LEAD_CURRENT, RAIL_VOLTAGE, Curve, Startup

HOW = (
    "Each value is moved alone, all others as they are, within the range that is typical of it or stated in the file; "
    "a bar that ends before the range does turns the verdict there."
)

BANDS = (
    "At each instant by itself 5 % of the runs are below the band and 5 % above it; no single run need follow its edge."
)


def turning_answer(start: Startup, found: Sequence[Edge], assumed: Sequence[Assumed]) -> Answer:
    """Return how close a start was, and which single values turn it.

    Parameters
    ----------
    start : Startup
        The start.
    found : sequence of Edge
        Nearest first.
    assumed : sequence of Assumed
        What was assumed of its build.
    """
    count = len(hangs_on(assumed))
    good = start.headline.good
    reserved = f", {reservation(count).removeprefix(', ')}" if good and count else ""
    said = () if found else ("no single value within its range turns that",)
    blocks: list[Block] = [
        Verdict((start.headline.words, reserved), said, good and not count),
        closest(start),
        edges(found, start.verdict),
    ]
    if any(edge.in_tolerances is not None for edge in found):
        blocks += [_tornado(found), Note(HOW)]
    return Answer(start.build.title, start.headline.good, tuple(blocks))


def _tornado(found: Sequence[Edge]) -> Picture:
    def draw(axes: Any, scheme: Any) -> None:
        from inrushlib.plots import draw_tornado  # here, since a terminal needs no drawing library

        draw_tornado(found, axes, scheme)

    about = "Each value as a bar to where it turns the verdict, in parts of its range; the list above says it."
    return Picture(about, draw, 9.0, 0.9 + 0.34 * min(len(found), 12), "How far each value is from turning it")


def bands_answer(found: CurveBands) -> Answer:
    """Return how far bus, rail and lead scatter over the ranges of a build's values, in pictures.

    Parameters
    ----------
    found : CurveBands
        The curves.
    """
    bus = found.bands[BUS_VOLTAGE]
    end = float(bus.time[-1])
    said: list[Words] = [
        ("at ", Value(end, "s"), " nine in ten are between ", Value(float(bus.low[-1]), "V"), " and ",
         Value(float(bus.high[-1]), "V"), " on the bus"),
    ]  # fmt: skip
    if found.failed:
        said.append(f"{found.failed} of {found.runs} runs could not be finished; they are left out")
    pictures = [_band_picture(found, curve) for curve in found.bands]
    head = found.start.headline
    verdict = Verdict((head.words, ", with the values as they stand"), tuple(map(sentence, said)), head.good)
    note = Note(f"{BANDS} From {found.runs} starts of the model.")
    return Answer(found.start.build.title, head.good, (verdict, *pictures, note))


def _band_picture(found: CurveBands, curve: Curve) -> Picture:
    def draw(axes: Any, scheme: Any) -> None:
        from inrushlib.plots import draw_spread
        from inrushlib.plots.scheme import Line

        lines = {BUS_VOLTAGE: Line.BUS, RAIL_VOLTAGE: Line.RAIL, LEAD_CURRENT: Line.LEAD_CURRENT}
        nominal = (found.bands[curve].time, found.nominal[curve])
        draw_spread(found.bands[curve], axes, label=curve.label, nominal=nominal, line=lines[curve], scheme=scheme)

    about = (
        f"The {curve.words} over time: a band that nine in ten runs stay within, half of them below its middle line; "
    )
    return Picture(f"{about}over it the curve of the values as they stand.", draw, 9.0, 2.6)


def rating_answer(title: str, decision: Decision) -> Answer:
    """Return how often each standard rating boots.

    Parameters
    ----------
    title : str
        The build's.
    decision : Decision
        What was tried, and what boots often enough.
    """
    wanted = "the most" if decision.wanted is None else percent(decision.wanted)
    shown = decision.best.value if decision.chosen is None else decision.chosen.value
    often = percent((decision.chosen or decision.best).boots.value)
    if decision.chosen is None:
        why = "what is not known of the build decides more than the rating"
        said = ("at best ", Value(shown, "A"), f" boots in {often} of them: {why}")
        verdict = Verdict(("no standard rating boots in ", Strong(wanted), " of the runs"), (said,), False)
    else:
        words = ("take ", Strong(Value(shown, "A")), f": it boots in {often} of the runs")
        verdict = Verdict(words, (f"the smallest standard rating that does so in {wanted}",), True)

    def draw(axes: Any, scheme: Any) -> None:
        from inrushlib.plots import draw_odds

        draw_odds(decision, axes, label="rated current [A]", scheme=scheme)

    picture = Picture("How often each rating boots, with its interval; the table says it.", draw, 7.0, 3.2)
    return Answer(title, decision.chosen is not None, (verdict, picture, odds_table(decision, "A", "rating", shown)))
