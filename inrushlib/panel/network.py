"""The rail as a network of pixels, and what stands in front of it.

``Rail``
    pixels in a chain, feeds onto some of them, extra links between any two
``Front``
    what the newton solver asks of the circuit from the adapter to the panel's root
``rail_of_build``
    the rail that a build describes
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from inrushlib.errors import UsageError
from inrushlib.laws.arrays import FloatArray

if TYPE_CHECKING:
    from inrushlib.build import Build

IntArray = NDArray[np.intp]

SMALLEST_RAIL = 1e-6
"""Rail resistance used where a build gives zero [ohm]."""

Link = tuple[int, int, float]
"""Two pixels and the resistance between them [ohm]."""


class Front(Protocol):
    """The nodes between the mains and the panel's root, the root being the last of them."""

    @property
    def size(self) -> int:
        """Number of nodes."""

    def evaluate(self, voltage: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Currents that leave each node inside the front [A] at its nodes' ``voltage`` [V], and the Jacobian [S]."""


@dataclass(frozen=True, kw_only=True)
class Rail:
    """A chain of pixels with feeds and extra links; all resistances are loops, supply and return.

    Attributes
    ----------
    segments : array
        Resistance from pixel k to k + 1 [ohm].
    feed_pixels, feed_resistances : array
        Where each feed lands, and its resistance from the root [ohm].
    link_ends, link_resistances : array
        Extra links: pairs of pixels (K, 2), and their resistances [ohm].
    """

    segments: FloatArray
    feed_pixels: IntArray
    feed_resistances: FloatArray
    link_ends: IntArray
    link_resistances: FloatArray

    @property
    def pixels(self) -> int:
        """Number of pixels."""
        return len(self.segments) + 1


def make_rail(
    segments: FloatArray,
    feed_pixels: Sequence[int],
    feed_resistances: Sequence[float],
    links: Iterable[Link] = (),
) -> Rail:
    """Check the pieces of a rail and put them together.

    Parameters
    ----------
    segments : array
        Resistance from pixel k to k + 1 [ohm], each above 0.
    feed_pixels : sequence of int
        Pixel on which each feed lands [1], at least one.
    feed_resistances : sequence of float
        Resistance of each feed [ohm], each above 0.
    links : iterable of (int, int, float)
        Extra links: two different pixels [1] and the resistance between them [ohm], above 0.

    Returns
    -------
    Rail
        The network [SI].

    Raises
    ------
    UsageError
        For pieces that do not fit together, or resistances that are not above 0.

    Notes
    -----
    Raises UsageError with every problem found.

    Examples
    --------
    >>> make_rail(np.full(9, 6.2e-3), [0], [20e-3]).pixels
    10
    """
    count = len(segments) + 1
    pairs = _read_links(links)
    problems = [
        *_feed_problems(count, feed_pixels, feed_resistances),
        *_link_problems(count, pairs),
    ]
    shorts = np.flatnonzero(~(np.asarray(segments) > 0.0))
    if len(shorts):
        problems.append(
            f"rail from pixel {shorts[0]} to {shorts[0] + 1}: {segments[shorts[0]]:g} ohm: a loop without"
            " resistance is a short; accepted: above 0"
        )
    if problems:
        raise UsageError(problems)
    joined = np.array(pairs, dtype=float).reshape(-1, 3)
    return Rail(
        segments=np.asarray(segments, dtype=float),
        feed_pixels=np.asarray(feed_pixels, dtype=np.intp),
        feed_resistances=np.asarray(feed_resistances, dtype=float),
        link_ends=joined[:, :2].astype(np.intp),
        link_resistances=joined[:, 2],
    )


def _feed_problems(count: int, feed_pixels: Sequence[int], resistances: Sequence[float]) -> list[str]:
    problems = []
    if len(feed_pixels) == 0:
        problems.append("wiring.feeds: none; no feed reaches the panel; accepted: at least one")
    for pixel in feed_pixels:
        if not 0 <= pixel < count:
            problems.append(f"feed on pixel {pixel}: there is no such pixel; accepted: 0 to {count - 1}")
    for number, resistance in enumerate(resistances):
        if not (np.isfinite(resistance) and resistance > 0.0):
            problems.append(
                f"feed {number}: {resistance:g} ohm: a loop without resistance is a short; accepted: above 0"
            )
    return problems


def _read_links(links: Iterable[Link]) -> list[tuple[float, float, float]]:
    try:
        return [(float(a), float(b), float(resistance)) for a, b, resistance in links]
    except (TypeError, ValueError):
        raise UsageError(
            "links; accepted: two pixels and a loop resistance in ohm each, such as (0, 63, 0.01)"
        ) from None


def _link_problems(count: int, links: Sequence[tuple[float, float, float]]) -> list[str]:
    problems = []
    for a, b, resistance in links:
        wrong = []
        if not (a.is_integer() and b.is_integer()):
            wrong.append(f"no whole numbers; accepted: 0 to {count - 1}, whole")
        elif not (0 <= a < count and 0 <= b < count):
            wrong.append(f"there is no such pixel; accepted: 0 to {count - 1}")
        elif a == b:
            wrong.append("a link joins two different pixels")
        if not 0.0 < resistance < inf:
            wrong.append(f"{resistance:g} ohm: a loop without resistance is a short; accepted: above 0")
        problems += [f"link from pixel {a:g} to {b:g}: {each}" for each in wrong]
    return problems


def section_starts(build: Build) -> IntArray:
    """Index of the first pixel of each section, and after the last one the number of pixels.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    array
        Pixel indexes [1], one more than there are sections.
    """
    counts = np.asarray(build.wiring.pixels_per_section, dtype=np.intp)
    return np.concatenate(([0], np.cumsum(counts))).astype(np.intp)


def feed_landings(build: Build) -> list[int]:
    """Pixel on which each feed of a build lands.

    Parameters
    ----------
    build : Build
        The build [SI].

    Returns
    -------
    list of int
        Pixel indexes [1], one per feed.
    """
    wiring, starts = build.wiring, section_starts(build)
    return [int(starts[section]) + inside for section, inside in zip(wiring.feeds, wiring.feed_pixels, strict=True)]


def rail_of_build(build: Build, links: Iterable[Link] = ()) -> Rail:
    """The rail that a build describes, every pixel a node.

    Neighbours inside a section are ``rail_resistance`` apart (1 uohm where that is zero); the last pixel of a
    section and the first of the next ``hop_resistance + rail_resistance``.

    Parameters
    ----------
    build : Build
        The build [SI].
    links : iterable of (int, int, float)
        Extra links: two pixels [1], counted through all sections, and a resistance [ohm], above 0.

    Returns
    -------
    Rail
        The network [SI].
    """
    wiring = build.wiring
    starts = section_starts(build)
    segments = np.full(int(starts[-1]) - 1, wiring.rail_resistance or SMALLEST_RAIL)
    segments[starts[1:-1] - 1] = np.asarray(wiring.hop_resistance, dtype=float) + wiring.rail_resistance
    return make_rail(segments, feed_landings(build), list(wiring.feed_resistance), links)
