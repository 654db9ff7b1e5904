"""The strip: over time, what each part is doing, by fill, hatch and words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from matplotlib.collections import PolyCollection

from inrushlib.plots.scheme import Palette
from inrushlib.startup import Actor, Span, State

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.text import Text

HEIGHT = 0.84
CHARACTER = 0.066  # [inch], width of one character of a label
NARROWEST = 0.0012  # of the axes' width; what is narrower is drawn this wide
UNKNOWN_HATCH = "||"

Place = tuple[float, float, float]  # start, end [ms], row


class Strip:
    """Rows of states under the curves; ``show`` moves them to another start.

    Parameters
    ----------
    axes : Axes
        Shares its time axis [ms] with the curves.
    palette : Palette
        Its colours.
    """

    def __init__(self, axes: Axes, palette: Palette) -> None:
        self.axes, self.palette, self.states = axes, palette, palette.states
        self.fills: dict[State, PolyCollection] = {}
        self.edges = PolyCollection(
            [], facecolor="none", edgecolor=palette.edge, linewidth=0.6, zorder=1.5, animated=True
        )
        axes.add_collection(self.edges, autolim=False)
        self.words: list[Text] = []
        self.rows: tuple[Actor, ...] = ()
        axes.set_facecolor(palette.sheet)
        axes.yaxis.tick_right()
        axes.tick_params(axis="y", labelcolor=palette.ink_2, labelsize=8, length=0, pad=6)
        axes.tick_params(axis="x", colors=palette.edge, labelcolor=palette.ink_2, labelsize=8, length=3)
        axes.spines[["top", "right", "left"]].set_visible(False)
        axes.spines["bottom"].set_color(palette.edge)

    def set_rows(self, rows: tuple[Actor, ...]) -> bool:
        """Make a row for each of these parts; returns whether that changed anything.

        Parameters
        ----------
        rows : tuple of Actor
            From top to bottom.
        """
        if rows == self.rows:
            return False
        self.rows = rows
        self.axes.set_ylim(len(rows) - 0.5, -0.5)
        self.axes.set_yticks(range(len(rows)), rows)
        return True

    @property
    def artists(self) -> list[Artist]:
        """Everything that ``show`` moves, in drawing order."""
        fills: list[Artist] = [fill for fill in self.fills.values() if fill.get_visible()]
        return [*fills, self.edges, *(text for text in self.words if text.get_visible())]

    def show(self, spans: Mapping[Actor, Sequence[Span]], low: float, high: float) -> None:
        """Show the ``spans`` between two instants, ``low`` and ``high`` [ms]."""
        places: dict[State, list[Place]] = {}
        labels: list[tuple[float, int, State]] = []
        longest = self.axes.get_window_extent().width / self.axes.figure.dpi / CHARACTER
        for row, actor in enumerate(self.rows):
            for start, end, state in merged(spans[actor], low, high):
                places.setdefault(state, []).append((start, end, row))
                if (end - start) / (high - low) * longest > len(state) + 1.5:
                    labels.append((0.5 * (start + end), row, state))
        for state, fill in self.fills.items():
            fill.set_visible(state in places)
        for state, found in places.items():
            self._fill(state).set_verts([_corners(place) for place in found])
        self.edges.set_verts([_corners(place) for found in places.values() for place in found])
        self._write(labels)

    def _look(self, state: State) -> tuple[str, str]:
        return self.states.get(state, (self.palette.wait, UNKNOWN_HATCH))

    def _fill(self, state: State) -> PolyCollection:
        if state not in self.fills:
            face, hatch = self._look(state)
            fill = PolyCollection(
                [], facecolor=face, edgecolor=self.palette.edge, hatch=hatch, linewidth=0.0, animated=True
            )
            fill.set_hatch_linewidth(0.5)
            self.axes.add_collection(fill, autolim=False)
            self.fills[state] = fill
        return self.fills[state]

    def _write(self, labels: Sequence[tuple[float, int, State]]) -> None:
        """Put the words of the states into them; texts are kept for the next time."""
        while len(self.words) < len(labels):
            self.words.append(
                self.axes.text(0, 0, "", ha="center", va="center", fontsize=7.9, animated=True, clip_on=True)
            )
        for text, label in zip(self.words, labels, strict=False):
            x, row, state = label
            face, hatch = self._look(state)
            text.set_position((x, row))
            if text.get_text() == state:  # looks as it did
                continue
            behind: Any = {"facecolor": face, "edgecolor": "none", "pad": 0.6} if hatch else None
            text.set(text=state, bbox=behind)
            text.set_color(self.palette.sheet if state == State.TRIPPED else self.palette.ink)
        for index, text in enumerate(self.words):
            text.set_visible(index < len(labels))


def _corners(place: Place) -> list[tuple[float, float]]:
    start, end, row = place
    low, high = row - HEIGHT / 2, row + HEIGHT / 2
    return [(start, low), (start, high), (end, high), (end, low)]


def merged(spans: Sequence[Span], low: float, high: float) -> list[tuple[float, float, State]]:
    """Return the spans between two instants [ms]; frames too close to be told apart become one.

    Parameters
    ----------
    spans : sequence of Span
        Of one row.
    low, high : float
        Instants [ms], the first below the second.

    Examples
    --------
    >>> found = merged([Span(0.0, 0.1, State.BOOT), Span(0.1, 0.5, State.RUN)], 50.0, 200.0)
    >>> [(low, high, str(state)) for low, high, state in found]
    [(50.0, 100.0, 'boot'), (100.0, 200.0, 'run')]
    """
    found: list[tuple[float, float, State]] = []
    thin = NARROWEST * (high - low)
    for span in spans:
        start, end = max(span.start * 1e3, low), min(span.end * 1e3, high)
        if end <= start:
            continue
        before = found[-1] if found else None
        gap_is_thin = span.state is State.IDLE and end - start < 6 * thin and end < high
        if before is not None and (before[2] == span.state or gap_is_thin):
            found[-1] = (before[0], end, before[2])
        else:
            found.append((start, max(end, min(start + thin, high)), span.state))
    return found
