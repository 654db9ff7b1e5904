"""Pictures in layers, so that under a moving slider only what moves is drawn anew.

``Layers``       what such a picture is made of
``draw_layers``  all of them, once
``Repainted``    a picture on a canvas that is kept: what stands is drawn when that changes, else copied, as words are
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import TYPE_CHECKING, Any, Protocol

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from inrushlib.plots.copied import Copied
from inrushlib.plots.scheme import Scheme

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes


MOST_KEPT = 3  # standing layers, for a slider that is moved to and fro


class Layers(Protocol):
    """One answer's picture: axes, scales and ticks stand; curves, fields and figures move and lie over them."""

    @property
    def laid_out_for(self) -> Hashable:
        """What the places of all parts depend on."""

    @property
    def scaled_for(self) -> Hashable:
        """What else the standing layer depends on."""

    def lay_out(self, axes: Axes, scheme: Scheme) -> Sequence[Axes]:
        """Put axes in the place of empty ones; returns those that the layers are drawn on.

        Parameters
        ----------
        axes : Axes
            Empty; may be put away for others.
        scheme : Scheme
            Light or dark.
        """

    def scale(self, places: Sequence[Axes]) -> None:
        """Set the scales that what moves goes by.

        Parameters
        ----------
        places : sequence of Axes
            As ``lay_out`` returned them; they may have another answer's scales.
        """

    def furnish(self, places: Sequence[Axes], scheme: Scheme) -> None:
        """Draw all else that stands and goes by the scales: legends, a colour bar.

        Parameters
        ----------
        places : sequence of Axes
            As ``lay_out`` returned them; another answer's may be there.
        scheme : Scheme
            Light or dark.
        """

    def move(self, places: Sequence[Axes], scheme: Scheme) -> list[Artist]:
        """Draw what moves; returns what it is made of, the hindmost first.

        Parameters
        ----------
        places : sequence of Axes
            As ``lay_out`` returned them.
        scheme : Scheme
            Light or dark.
        """


def draw_layers(layers: Layers, axes: Axes, scheme: Scheme = Scheme.LIGHT) -> Sequence[Axes]:
    """Draw a picture once; returns its axes.

    Parameters
    ----------
    layers : Layers
        The picture.
    axes : Axes
        Empty axes, in whose place it is drawn.
    scheme : Scheme
        Light or dark.
    """
    places = layers.lay_out(axes, scheme)
    layers.scale(places)
    layers.furnish(places, scheme)
    layers.move(places, scheme)
    return places


class Repainted:
    """A picture that is drawn often, on a canvas that is kept.

    Attributes
    ----------
    layouts, full_draws : int
        How often its parts were put in their places, and its standing layer was drawn [1].
    """

    def __init__(self) -> None:
        self.layouts = self.full_draws = 0
        self._canvas: Any = None
        self._copied = Copied(None)
        self._backgrounds: dict[Hashable, object] = {}  # by what they are scaled for, the newest last
        self._laid_out_for: Hashable = None
        self._scaled_for: Hashable = None
        self._places: Sequence[Axes] = ()
        self._moving: list[Artist] = []

    def paint(self, layers: Layers, size: tuple[float, float], dpi: float, scheme: Scheme) -> Any:
        """Return a canvas with the picture; the next call paints over it.

        Parameters
        ----------
        layers : Layers
            The picture.
        size : pair of float
            Width and height [inch].
        dpi : float
            Pixels of an inch [1].
        scheme : Scheme
            Light or dark.
        """
        wanted = (type(layers), layers.laid_out_for, size, dpi, scheme)
        known, self._laid_out_for = self._laid_out_for, None  # should this fail, the next one begins anew
        if wanted != known:
            self._lay_out(layers, size, dpi, scheme)
        else:
            self._move(layers, scheme)
        for artist in self._moving:
            assert artist.axes is not None
            if isinstance(artist, Text):
                self._copied.label(artist)
            else:
                artist.axes.draw_artist(artist)
        self._laid_out_for = wanted
        return self._canvas

    def _lay_out(self, layers: Layers, size: tuple[float, float], dpi: float, scheme: Scheme) -> None:
        """Begin with a new figure."""
        figure = Figure(figsize=size, dpi=dpi, layout="constrained", facecolor=scheme.palette.sheet)
        self._canvas = FigureCanvasAgg(figure)
        self._copied = Copied(self._canvas)
        self._places = layers.lay_out(figure.add_subplot(), scheme)
        layers.scale(self._places)
        layers.furnish(self._places, scheme)
        self._moving = layers.move(self._places, scheme)
        self._backgrounds.clear()
        self._draw_standing(layers.scaled_for)
        figure.set_layout_engine("none")
        self.layouts += 1

    def _move(self, layers: Layers, scheme: Scheme) -> None:
        """Move what is there; scales that are others are drawn where they are, or copied from where they were."""
        for artist in self._moving:
            artist.remove()
        scaled_for = layers.scaled_for
        if scaled_for != self._scaled_for:
            layers.scale(self._places)
        if scaled_for not in self._backgrounds:
            layers.furnish(self._places, scheme)
        self._moving = layers.move(self._places, scheme)
        if scaled_for in self._backgrounds:
            self._scaled_for = scaled_for
            self._canvas.restore_region(self._backgrounds[scaled_for])
        else:
            self._draw_standing(scaled_for)

    def _draw_standing(self, scaled_for: Hashable) -> None:
        """Draw what stands, and keep that; what moves takes its room in the layout, but is left out of the drawing."""
        for artist in self._moving:
            artist.set_animated(True)
        self._canvas.draw()
        while len(self._backgrounds) >= MOST_KEPT:
            del self._backgrounds[next(iter(self._backgrounds))]
        self._backgrounds[scaled_for] = self._canvas.copy_from_bbox(self._canvas.figure.bbox)
        self._scaled_for = scaled_for
        self.full_draws += 1
