"""Small drawings for the explanations: curves over two axes, in the page's own colours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inrushlib.text import for_html

WIDTH, HEIGHT = 420, 190
LEFT, RIGHT, TOP, BOTTOM = 34, 400, 16, 160
Point = tuple[float, float]


@dataclass(frozen=True)
class Curve:
    """A curve of a sketch.

    Attributes
    ----------
    points : sequence of (float, float)
        0 to 1 along both axes.
    name : str
        Beside ``at``; empty for none.
    at : (float, float)
        Where its name stands, 0 to 1.
    dash : str
        Pattern of strokes; empty for solid.
    """

    points: Sequence[Point]
    name: str = ""
    at: Point = (0.0, 0.0)
    dash: str = ""


@dataclass(frozen=True)
class Sketch:
    """A drawing.

    Attributes
    ----------
    about : str
        What it shows, for who cannot see it.
    across, up : str
        Names of the axes.
    curves : tuple of Curve
        What is drawn.
    filled : tuple of (float, float)
        Corners of an area that is pointed out; none for none.
    """

    about: str
    across: str
    up: str
    curves: tuple[Curve, ...]
    filled: tuple[Point, ...] = ()

    def svg(self) -> str:
        """The drawing within HTML."""
        area = f'<polygon points="{_path(self.filled)}" class="wb-area"/>' if self.filled else ""
        lines = "".join(_line(curve) for curve in self.curves)
        return (
            f'<svg class="wb-sketch" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{for_html(self.about)}">'
            f'<path d="M{LEFT} {TOP} V{BOTTOM} H{RIGHT}" class="wb-axis"/>{area}{lines}'
            f'<text x="{RIGHT}" y="{BOTTOM + 18}" text-anchor="end">{for_html(self.across)}</text>'
            f'<text x="{LEFT - 4}" y="{TOP - 4}">{for_html(self.up)}</text></svg>'
        )


def _line(curve: Curve) -> str:
    dash = f' stroke-dasharray="{curve.dash}"' if curve.dash else ""
    line = f'<polyline points="{_path(curve.points)}"{dash}/>'
    x, y = _place(curve.at)
    return line + (f'<text x="{x:.0f}" y="{y:.0f}">{for_html(curve.name)}</text>' if curve.name else "")


def _path(points: Sequence[Point]) -> str:
    return " ".join(f"{x:.0f},{y:.0f}" for x, y in map(_place, points))


def _place(point: Point) -> Point:
    return LEFT + (RIGHT - LEFT) * point[0], BOTTOM - (BOTTOM - TOP) * point[1]
