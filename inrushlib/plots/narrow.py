"""Words that fit a narrow picture, such as one on a phone.

``is_narrow``   whether a picture is one
``wrapped``     words in lines that fit
``columns``     how many entries of a legend fit side by side
``width_of``    room along an axis
``far_enough``  which of many figures fit below it
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NARROW = 4.8  # [inch]
CHARACTER = 0.58  # mean width of a character over the size of its type [1]; measured on the library's own font
BESIDE = 0.65  # [inch], of an axis and its figures
HANDLE = 5.0  # width of a legend's handle and of the gaps around it, over the size of its type [1]
POINTS = 72.0  # an inch


def is_narrow(axes: Axes) -> bool:
    """Return whether the picture of some axes is narrow.

    Parameters
    ----------
    axes : Axes
        In a figure.
    """
    return _width(axes) < NARROW


def wrapped(axes: Axes, words: str, size: float) -> str:
    """Return words in lines that fit below some axes; lines that are there stay.

    Parameters
    ----------
    axes : Axes
        In a figure.
    words : str
        What is said [text].
    size : float
        Of the type [pt].
    """
    room = int(POINTS * (_width(axes) - BESIDE) / (CHARACTER * size))
    return "\n".join(line for part in words.splitlines() for line in textwrap.wrap(part, max(room, 8)))


def columns(axes: Axes, labels: Sequence[str], size: float, most: int) -> int:
    """Return how many entries of a legend fit side by side [1].

    Parameters
    ----------
    axes : Axes
        In a figure.
    labels : sequence of str
        Of the entries [text].
    size : float
        Of the type [pt].
    most : int
        Never more than this [1].
    """
    widest = size * (HANDLE + CHARACTER * max(map(len, labels), default=0))
    room = POINTS * (_width(axes) - BESIDE)
    return max(1, min(most, int(room / widest), len(labels)))


def width_of(axes: Axes) -> float:
    """Return the room along the axis of a picture [inch].

    Parameters
    ----------
    axes : Axes
        In a figure.
    """
    return _width(axes) - BESIDE


def far_enough(places: Sequence[float], at_least: float) -> list[bool]:
    """Say of each of some places whether a figure fits there, beside those before it.

    Parameters
    ----------
    places : sequence of float
        In rising order [any unit].
    at_least : float
        How far apart two figures have to be [unit of places].

    Examples
    --------
    >>> far_enough([0.0, 1.0, 3.0, 3.5], 2.0)
    [True, False, True, False]
    """
    said, last = [], float("-inf")
    for place in places:
        said.append(place - last >= at_least)
        last = place if said[-1] else last
    return said


def _width(axes: Axes) -> float:
    """Of its picture [inch]."""
    figure = axes.get_figure(root=True)
    assert figure is not None
    return float(figure.get_figwidth())
