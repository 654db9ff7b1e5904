"""The verdict over two keys of a build."""

from __future__ import annotations

from typing import Any

import numpy as np

from inrushlib.answers.blocks import (
    Answer,
    Block,
    Caution,
    Chart,
    Key,
    Note,
    Picture,
    Scale,
    Strong,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.by_odds import percent
from inrushlib.quantities import format_quantity
from inrushlib.search import Axis, VerdictMap
from inrushlib.startup import Verdict as Outcome

LETTERS = "BRTKLSO"  # one a verdict, and the last for what starts but overstresses a part
OVER = len(Outcome)
MOST_ROWS = 30  # of letters; a finer map shows every second row
TICKS_APART = 13  # characters between values below the letters
ROWS_APART = 5
WIDTH = 9.5  # [inch] of the picture
HEIGHTS = (3.9, 6.2)  # [inch], least and most
LOWEST = 3.0  # [inch], in a low window


def _tall(width: float) -> float:
    """Height of the picture where it is drawn so wide [inch]: no higher than wide, as far as its words allow."""
    return min(max(0.72 * width, HEIGHTS[0]), HEIGHTS[1])


def map_answer(found: VerdictMap) -> Answer:
    """Return on how much of the map it boots, and the map.

    Parameters
    ----------
    found : VerdictMap
        The map.
    """
    share = float(found.good.mean())

    def draw(axes: Any, scheme: Any) -> None:
        from inrushlib.plots import draw_map  # here, since a terminal needs no drawing library

        draw_map(found, axes, scheme)

    about = f"Verdicts over {found.x.key} and {found.y.key}, with the edge of what boots."
    good = bool(found.good.any())
    blocks: list[Block] = [*_overstress(found)]
    blocks.append(
        Verdict(
            ("it boots at the first try on ", Strong(percent(share)), " of this map"),
            (("Over ", Key(found.x.key), " and ", Key(found.y.key), "."), *_own(found)),
            good,
        )
    )
    blocks += [Caution(sentence(note)) for note in found.notes]
    blocks += [_chart(found), Picture(about, draw, WIDTH, _tall(WIDTH), tall=_tall, lowest=LOWEST)]
    # Below, so that the map is in the first screen with what is overstressed.
    blocks += [Caution(sentence(each)) for each in dict.fromkeys(each.cause.advice for each in found.overstress)]
    blocks.append(
        Note(
            f"From {found.runs} starts of the model. The edge is followed to {found.fineness:.3g} of the distance "
            "between points. A spot of another verdict that lies wholly between four agreeing points of every fourth "
            "line is missed."
        )
    )
    return Answer(found.build.title, good or not found.overstressed.any(), tuple(blocks))


def _own(found: VerdictMap) -> tuple[Words, ...]:
    if found.own is None:
        return ()
    x, y = (_value(axis, value) for axis, value in zip((found.x, found.y), found.own, strict=True))
    return (("This build: ", Key(found.x.key), f" {x}, ", Key(found.y.key), f" {y}."),)


def _overstress(found: VerdictMap) -> tuple[Verdict, ...]:
    """What has to be said first where it starts but overstresses a part."""
    if not found.overstress:
        return ()
    share = found.overstressed.sum() / max(int((found.overstressed | found.boots).sum()), 1)
    worst = ", and ".join(each.words for each in found.overstress)
    headline = ("overstressed on ", Strong(percent(share)), " of where it starts")
    return (Verdict(headline, (sentence(f"at worst {worst}"),), False),)


def _chart(found: VerdictMap) -> Chart:
    # A letter is about twice as high as it is wide.
    count = len(found.verdicts)
    shown = np.linspace(0, count - 1, count if count <= MOST_ROWS else (count + 1) // 2).round().astype(int)
    marked = np.where(found.overstressed, OVER, found.verdicts)
    names = [*(verdict.words for verdict in Outcome), "starts, but overstressed"]
    return Chart(
        rows=tuple("".join(LETTERS[number] for number in marked[row]) for row in shown[::-1]),
        x=_scale(found.x, found.x_values, TICKS_APART),
        y=_scale(found.y, found.y_values[shown], ROWS_APART),
        legend=tuple((LETTERS[number], names[number]) for number in np.unique(marked)),
    )


def _scale(axis: Axis, values: np.ndarray, apart: int) -> Scale:
    last = len(values) - 1
    count = max(last // apart, 1)
    places = sorted({round(last * i / count) for i in range(count + 1)})
    spacing = "by equal factors" if axis.log else "by equal differences"
    return Scale(axis.key, tuple((place, _value(axis, float(values[place]))) for place in places), spacing)


def _value(axis: Axis, value: float) -> str:
    return format_quantity(value, axis.unit, digits=3)
