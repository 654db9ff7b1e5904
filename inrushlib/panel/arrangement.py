"""Where each pixel of the chain sits on the display.

``Arrangement``
    sections as grids of pixels, and how the sections lie beside each other
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inrushlib.errors import UsageError
from inrushlib.panel.network import IntArray

if TYPE_CHECKING:
    from inrushlib.build import Build


@dataclass(frozen=True)
class Arrangement:
    """Sections as equal grids of pixels, and how they lie beside each other.

    Attributes
    ----------
    rows, columns : int
        Of one section [1], 1 or more; a section with fewer pixels leaves its last places empty.
    order : tuple of tuple of int
        Sections as seen from the front [1]: rows from the top, each from the left; every section once.
    by_columns : bool
        Whether the chain runs down the columns of a section; else along its rows.
    serpentine : bool
        Whether every second line of a section runs back.

    Examples
    --------
    >>> two = Arrangement(rows=2, columns=3, order=((0, 1),))
    >>> two.places((6, 6))[:7].tolist()
    [[0, 0], [0, 1], [0, 2], [1, 2], [1, 1], [1, 0], [0, 3]]
    """

    rows: int
    columns: int
    order: tuple[tuple[int, ...], ...]
    by_columns: bool = False
    serpentine: bool = True

    def __post_init__(self) -> None:
        """Check what does not depend on a panel."""
        if self.rows < 1 or self.columns < 1:
            raise UsageError(f"arrangement: {self.rows} x {self.columns} pixels in a section; accepted: 1 or more each")
        every = sorted(section for line in self.order for section in line)
        if every != list(range(len(every))) or len({len(line) for line in self.order}) != 1:
            shown = " / ".join(" ".join(str(section) for section in line) for line in self.order)
            raise UsageError(
                f'arrangement: order of sections "{shown}"; accepted: every section from 0 once, in equal rows'
            )

    @classmethod
    def of_rows(cls, pixels_per_section: Sequence[int]) -> Arrangement:
        """One row of pixels for each section, the first on top.

        Parameters
        ----------
        pixels_per_section : sequence of int
            Pixels in each section [1], 1 or more each.

        Examples
        --------
        >>> Arrangement.of_rows((4, 3)).shape
        (2, 4)
        """
        return cls(1, max(pixels_per_section), tuple((section,) for section in range(len(pixels_per_section))))

    @classmethod
    def of_build(cls, build: Build) -> Arrangement:
        """The arrangement that a build's wiring describes.

        Parameters
        ----------
        build : Build
            The build [SI].
        """
        wiring = build.wiring
        across = wiring.sections_across
        order = tuple(tuple(range(first, first + across)) for first in range(0, wiring.sections, across))
        columns = -(-max(wiring.pixels_per_section) // wiring.section_rows)
        return cls(wiring.section_rows, columns, order, wiring.chain_by == "columns", wiring.serpentine)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns of the whole display [1]."""
        return self.rows * len(self.order), self.columns * len(self.order[0])

    def corner(self, section: int) -> tuple[int, int]:
        """Row and column [1] of the upper left pixel of ``section`` [1]."""
        line = next(number for number, line in enumerate(self.order) if section in line)
        return line * self.rows, self.order[line].index(section) * self.columns

    def places(self, pixels_per_section: Sequence[int]) -> IntArray:
        """Row and column of each pixel [1], a row per pixel, counted from the upper left.

        Parameters
        ----------
        pixels_per_section : sequence of int
            Pixels in each section [1], 1 or more each.

        Raises
        ------
        UsageError
            Where it does not hold the sections of the panel, or their pixels.
        """
        if len(self.order) * len(self.order[0]) != len(pixels_per_section):
            raise UsageError(
                f"arrangement: it orders {len(self.order) * len(self.order[0])} sections; accepted: "
                f"{len(pixels_per_section)}, the sections of this panel"
            )
        if max(pixels_per_section) > self.rows * self.columns:
            raise UsageError(
                f"arrangement: {self.rows} x {self.columns} places in a section; accepted: "
                f"{max(pixels_per_section)} or more, the pixels of the largest section"
            )
        return np.vstack([self._inside(count) + self.corner(k) for k, count in enumerate(pixels_per_section)])

    def _inside(self, count: int) -> IntArray:
        """Row and column within a section of its first ``count`` pixels."""
        length = self.rows if self.by_columns else self.columns
        line, along = np.divmod(np.arange(count), length)
        if self.serpentine:
            along = np.where(line % 2 == 1, length - 1 - along, along)
        return np.column_stack((along, line) if self.by_columns else (line, along)).astype(np.intp)
