"""How the panel's sections are cut into lumps, the nodes of the start-up model.

A long section drawn as one node answers differently from the same strip drawn as many. So each section
is cut into an odd number of lumps, enough that the drop along one of them stays small.

``Lumps``        the lumps of a build: pixels, section, where feeds land and where sections are read
``cut``          the lumps of a build
``lump_counts``  how many each section is cut into
``hold_lumps``   keeps those numbers while other values move
``lanes_of``     each section's data line
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.model import layout as at
from inrushlib.parts.wiring import AUTO, MOST_LUMPS

LARGEST_DROP = 10e-3  # [V] along the farther half of a lump at the panel's largest current
MOST_IN_ALL = 300


@dataclass(frozen=True)
class Lumps:
    """The lumps of a panel in the order of the data, one entry each.

    Attributes
    ----------
    pixels : tuple of Fraction
        Pixels in each; they need not be whole.
    section : tuple of int
        Index of the section that each belongs to [1].
    fed : tuple of int
        Index of the lump that each feed of ``wiring.feeds`` lands on [1].
    centre : tuple of int
        Index of the lump at which each section's voltage is read [1].
    """

    pixels: tuple[Fraction, ...]
    section: tuple[int, ...]
    fed: tuple[int, ...]
    centre: tuple[int, ...]

    def __len__(self) -> int:
        return len(self.pixels)

    @cached_property
    def last(self) -> tuple[int, ...]:
        """The last lump of each section; the jumper to the next section starts there."""
        found: dict[int, int] = {}
        for lump, section in enumerate(self.section):
            found[section] = lump
        return tuple(found.values())

    @property
    def each(self) -> str:
        """How many a section has: ``"3"``, or ``"9 to 10"``."""
        sizes = sorted(Counter(self.section).values())
        return f"{sizes[0]}" if sizes[0] == sizes[-1] else f"{sizes[0]} to {sizes[-1]}"

    @property
    def words(self) -> str:
        """How many there are and how they are spread over the sections."""
        sections = len(self.last)
        return (
            f"{len(self)} of the section"
            if sections == 1
            else f"{len(self)}, {self.each} in each of {sections} sections"
        )

    def read(self, state: NDArray[np.float64]) -> tuple[float, ...]:
        """Return each section's voltage [V].

        Parameters
        ----------
        state : array
            State of the model, shape (states,) [V], the lead's current [A].

        Examples
        --------
        >>> two = Lumps((Fraction(8), Fraction(8)), section=(0, 1), fed=(0,), centre=(0, 1))
        >>> two.read(np.array([0.0] * at.CORE + [4.9, 4.8]))
        (4.9, 4.8)
        """
        return tuple(float(state[at.CORE + lump]) for lump in self.centre)


def lanes_of(sections: int, lanes: int) -> list[int]:
    """Return each section's data line: consecutive runs, the first ones one longer.

    Parameters
    ----------
    sections, lanes : int
        How many there are [1], lanes not above sections.

    Examples
    --------
    >>> lanes_of(5, 2)
    [0, 0, 0, 1, 1]
    """
    size, extra = divmod(sections, lanes)
    return [lane for lane in range(lanes) for _ in range(size + (lane < extra))]


def lump_counts(build: Build) -> tuple[int, ...]:
    """Return into how many lumps each section is cut, the extra ones beside a feed left out.

    As ``wiring.lumps`` says; on "auto" as :attr:`Build.held_lumps` says where that is set, else the smallest odd
    number q with ``rail_resistance n^2 i / (8 q^2)`` at most 10 mV, n the pixels of the section and i the largest
    current of a pixel among its colours; never above what the caps allow.

    Parameters
    ----------
    build : Build
        Any build.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> strip = new_build({"title": "t", "adapter.rated_current": 10, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 297, "wiring.rail_resistance": "6.2 mohm"})
    >>> lump_counts(strip)
    (17,)
    """
    wiring = build.wiring
    if wiring.lumps != AUTO:
        return wiring.lumps
    if build.held_lumps is not None:
        return build.held_lumps
    colours = [build.pixel.power_on, build.firmware.first_frame]
    if build.firmware.content_delay is not None:
        colours.append(build.firmware.content)
    current = build.pixel.quiescent_current + build.pixel.channel_current * max(sum(duties) for duties in colours)
    return tuple(_count(n, wiring.rail_resistance, current, wiring.sections) for n in wiring.pixels_per_section)


def hold_lumps(build: Build) -> Build:
    """Return the build with its lumps kept as they are now, so that nothing jumps while a value moves.

    Parameters
    ----------
    build : Build
        Any build; where ``wiring.lumps`` says a number, or they are held already, it is returned as it is.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> strip = new_build({"title": "t", "adapter.rated_current": 10, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 297, "wiring.rail_resistance": "6.2 mohm"})
    >>> dim = {"pixel.power_on": [0, 0, 0]}
    >>> lump_counts(strip.with_values(dim)), lump_counts(hold_lumps(strip).with_values(dim))
    ((3,), (17,))
    """
    if build.wiring.lumps != AUTO or build.held_lumps is not None:
        return build
    return build.with_lumps_held(lump_counts(build))


def _count(pixels: int, pitch: float, current: float, sections: int) -> int:
    most = min(MOST_LUMPS, MOST_IN_ALL // sections, pixels)
    most = max(1, most - (most % 2 == 0))
    count = 1
    while count < most and pitch * pixels**2 * current / (8 * count**2) > LARGEST_DROP:
        count += 2
    return count


def cut(build: Build) -> Lumps:
    """Return the lumps of a build.

    Parameters
    ----------
    build : Build
        Any build.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> strip = new_build({"title": "t", "adapter.rated_current": 10, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 30, "wiring.lumps": 3, "wiring.feed_pixels": [0]})
    >>> [str(pixels) for pixels in cut(strip).pixels], cut(strip).fed, cut(strip).centre
    (['1', '29/3', '29/3', '29/3'], (0,), (2,))
    """
    wiring = build.wiring
    return _cut(lump_counts(build), wiring.pixels_per_section, wiring.feeds, wiring.feed_pixels)


@lru_cache(maxsize=64)
def _cut(
    counts: tuple[int, ...], pixels_per_section: tuple[int, ...], feeds: tuple[int, ...], feed_pixels: tuple[int, ...]
) -> Lumps:
    """Kept for the searches, which cut the same sections again and again: whole numbers of pixels take their time."""
    landing = dict(zip(feeds, feed_pixels, strict=True))
    pixels: list[Fraction] = []
    section: list[int] = []
    fed: dict[int, int] = {}
    centre: list[int] = []
    for k, (count, n) in enumerate(zip(counts, pixels_per_section, strict=True)):
        sizes = _sizes(n, count, landing.get(k))
        if k in landing:
            fed[k] = len(pixels) + _holding(sizes, landing[k])
        centre.append(len(pixels) + _holding(sizes, n // 2))
        pixels += sizes
        section += [k] * len(sizes)
    return Lumps(tuple(pixels), tuple(section), tuple(fed[k] for k in feeds), tuple(centre))


def _sizes(n: int, count: int, feed: int | None) -> list[Fraction]:
    """Pixels of each lump of a section; a feed off the middle gets a lump of its own pixel."""
    if count == 1 or feed is None or feed == n // 2:
        return [Fraction(n, count)] * count
    before, behind = feed, n - 1 - feed
    return [*_equal(before, -(-count * before // n)), Fraction(1), *_equal(behind, -(-count * behind // n))]


def _equal(pixels: int, count: int) -> list[Fraction]:
    return [Fraction(pixels, count)] * count if count else []


def _holding(sizes: Sequence[Fraction], pixel: int) -> int:
    """The lump that holds a pixel's centre; on a boundary the later one."""
    centre, end = Fraction(2 * pixel + 1, 2), Fraction(0)
    for lump, size in enumerate(sizes):
        end += size
        if centre < end:
            return lump
    raise AssertionError("a pixel lies in its section")
