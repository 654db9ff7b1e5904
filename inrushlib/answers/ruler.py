"""A ruler as a drawing within HTML."""

from __future__ import annotations

import math

from inrushlib.answers.blocks import Mark, Ruler
from inrushlib.quantities import format_result, with_signs
from inrushlib.text import for_html

WIDEST, NARROWEST = 900, 320  # [px of the page]
LEFT, TOP, BOTTOM = 20, 34, 60
APART = 58  # [px] of two figures below it
# The page's colours, light and dark; on paper, which has none of its own, what stands after the comma.
INK, EDGE, LINE = "var(--wb-ink, #1f2a33)", "var(--wb-edge, #5b656d)", "var(--wb-line, #c5ccd1)"
SUNK, FILL, HOLDS = "var(--wb-sunk, #f1f4f6)", "var(--wb-boots, #bfdcc6)", "var(--wb-holds, #2b7a3d)"


def draw_ruler(ruler: Ruler, room: float = WIDEST) -> str:
    """Return the ruler as an inline drawing, its own words in ``aria-label``.

    Parameters
    ----------
    ruler : Ruler
        The ruler.
    room : float
        How wide it may be [px of the style sheet].
    """
    whole = round(min(max(room, NARROWEST), WIDEST))
    rightmost = whole - LEFT
    ends = [end for stretch in ruler.stretches for end in stretch if end]
    values = [*ends, *(mark.value for mark in ruler.marks if mark.value)]
    low, high = min(values) / 2, max(values) * 2

    def at(value: float) -> float:
        share = math.log(max(value, low) / low) / math.log(high / low)
        return LEFT + (rightmost - LEFT) * min(max(share, 0.0), 1.0)

    bars = "".join(_bar(at(begin), at(high if end is None else end), end is None) for begin, end in ruler.stretches)
    told = [(at(value), value) for value in _round_values(low, high)]
    first = min(begin for begin, _ in ruler.stretches) if ruler.stretches else low
    if first < low:  # a scale by factors has no zero: its left end stands for it
        told = [(at(low), first), *(each for each in told if each[0] > LEFT + 60)]
    below = [at(mark.value) for mark in ruler.marks if not mark.above]  # their lines run down to their names
    free = [each for each in _spaced(told) if all(abs(each[0] - x) >= APART / 2 for x in below)]
    ticks = "".join(_tick(x, with_signs(format_result(value, ruler.unit))) for x, value in free)
    marks = "".join(_mark(at(mark.value), mark, rightmost) for mark in ruler.marks)
    frame = (
        f'<rect x="{LEFT}" y="{TOP}" width="{rightmost - LEFT}" height="{BOTTOM - TOP}" fill="{SUNK}" stroke="{LINE}"/>'
    )
    return (
        '<div class="wb-scroll"><svg class="wb-plot wb-window" viewBox="0 0 '
        f'{whole} 112" style="width:100%;max-width:{whole}px;min-width:{NARROWEST}px;font:12.5px sans-serif" '
        f'role="img" aria-label="{for_html(ruler.about)}"><g fill="{INK}">'
        f"{frame}{bars}{ticks}{marks}</g></svg></div>"
    )


def _bar(left: float, right: float, opened: bool) -> str:
    """A stretch; one without an upper end ends in a point instead of a side."""
    right, middle = max(right, left + 2), (TOP + BOTTOM) // 2
    side = f"H{right:.1f} V{BOTTOM}"
    if opened:
        side = f"L{right - 16:.1f} {TOP} L{right:.1f} {middle} L{right - 16:.1f} {BOTTOM}"
    return f'<path d="M{left:.1f} {TOP} {side} H{left:.1f} Z" fill="{FILL}" stroke="{HOLDS}"/>'


def _tick(x: float, text: str) -> str:
    return (
        f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{BOTTOM}" y2="{BOTTOM + 6}" stroke="{EDGE}"/>'
        f'<text x="{x:.1f}" y="{BOTTOM + 20}" text-anchor="middle">{for_html(text)}</text>'
    )


def _spaced(told: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Those whose figures do not touch the one before, from the left."""
    kept: list[tuple[float, float]] = []
    for each in told:
        if not kept or each[0] - kept[-1][0] >= APART:
            kept.append(each)
    return kept


def _mark(x: float, mark: Mark, rightmost: int) -> str:
    anchor = "start" if x < LEFT + 60 else "end" if x > rightmost - 60 else "middle"
    ends, place = ((22, BOTTOM), 16) if mark.above else ((TOP, 90), 105)
    dash = "" if mark.above else ' stroke-dasharray="5 3"'
    line = f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{ends[0]}" y2="{ends[1]}" stroke="{INK}" stroke-width="2"{dash}/>'
    name = f'<text x="{x:.1f}" y="{place}" text-anchor="{anchor}" font-weight="600">{for_html(mark.name)}</text>'
    return line + name


def _round_values(low: float, high: float) -> list[float]:
    """Round values between two: 1, 2, 5 of each decade, or only 1 over many decades."""
    digits = (1, 2, 5) if high < 300 * low else (1,)
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    return [value for e in decades for d in digits if low < (value := d * 10.0**e) < high]
