"""Current ratings of copper wire from handbooks: named tables, never interpolated.

``ampacity``
    rating of a gauge in a table
``ampacity_of_area``
    rating of any cross-section: that of the next thinner gauge of the table
``AMPACITY_TABLES``
    the tables, each with its source and what it holds for

The tables disagree by a factor of ten because they answer different questions: a single wire in free
air inside a chassis, a bundle, or a long run with little drop. None of them replaces local codes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from inrushlib.copper.gauge import thickest_gauge_within
from inrushlib.errors import UsageError


@dataclass(frozen=True)
class AmpacityTable:
    """One handbook column.

    Attributes
    ----------
    name, holds_for, source : str
        Its name here, what wires it holds for, and the handbook.
    amperes : dict of int to float
        Rated current [A] by AWG number.
    """

    name: str
    holds_for: str
    source: str
    amperes: dict[int, float]


_HYPERPHYSICS = (
    "Handbook of Electronic Tables and Formulas, as reproduced in the HyperPhysics American Wire Gauge table"
)
_ARRL = "ARRL Handbook, as cited in a published wire table"

BUNDLED, FREE_AIR = "bundled, enclosed", "chassis wiring"
"""Tables for wires in a bundle in a case, and for a single one in free air."""

AMPACITY_TABLES: Final[dict[str, AmpacityTable]] = {
    table.name: table
    for table in (
        AmpacityTable(
            "chassis wiring",
            "a single short wire in free air inside an enclosure; the thin end is not smooth",
            _HYPERPHYSICS,
            {10: 55, 12: 41, 14: 32, 16: 22, 18: 16, 20: 11, 22: 7, 24: 3.5, 26: 2.2, 28: 1.4, 30: 0.86},
        ),
        AmpacityTable(
            "power transmission",
            "long runs, 700 circular mils per ampere: very conservative",
            _HYPERPHYSICS,
            {
                10: 15, 12: 9.3, 14: 5.9, 16: 3.7, 18: 2.3, 20: 1.5,
                22: 0.92, 24: 0.577, 26: 0.361, 28: 0.226, 30: 0.142,
            },
        ),
        AmpacityTable(
            "hook-up, bundled",
            "wires bundled together",
            _ARRL,
            {14: 17, 16: 13, 18: 10, 20: 7.5, 22: 5},
        ),
        AmpacityTable(
            BUNDLED,
            "wires bundled together in a closed case, thin and thick ones too",
            f"{_ARRL}, 14 to 22 AWG bundled; others: chassis column x 17/32, the least of bundled to single there",
            {
                10: 29.2, 12: 21.7, 14: 17, 16: 13, 18: 10, 20: 7.5, 22: 5,
                24: 1.85, 26: 1.16, 28: 0.74, 30: 0.45,
            },
        ),
        AmpacityTable(
            "hook-up, single",
            "a single wire in free air",
            _ARRL,
            {14: 32, 16: 22, 18: 16, 20: 11, 22: 7},
        ),
        AmpacityTable(
            "PTFE, single",
            "a single PTFE-insulated wire",
            "a wire maker's rating, as cited in a published wire table",
            {18: 9.2, 20: 6.5, 22: 4.5, 24: 3.3, 30: 1.3},
        ),
    )
}  # fmt: skip
"""Every table by name."""


def ampacity_table(name: str) -> AmpacityTable:
    """Handbook table of a name.

    Parameters
    ----------
    name : str
        A key of :data:`AMPACITY_TABLES`.

    Raises
    ------
    UsageError
        Where there is no such table.

    Examples
    --------
    >>> ampacity_table("chassis wiring").amperes[22]
    7
    """
    if name not in AMPACITY_TABLES:
        raise UsageError(f"ampacity table: {name!r}; accepted: one of {', '.join(AMPACITY_TABLES)}")
    return AMPACITY_TABLES[name]


def ampacity(gauge: int, table: str = "chassis wiring") -> float:
    """Rated current of a gauge in a handbook table.

    Parameters
    ----------
    gauge : int
        Gauge number [1], one of the table's.
    table : str
        Name of the table, a key of ``AMPACITY_TABLES``.

    Returns
    -------
    float
        Rated current [A].

    Raises
    ------
    UsageError
        For a table that is not there, or a gauge that it does not have.

    Notes
    -----
    A gauge between two rows is an error, because the columns are not smooth. Source: that of the table.

    Examples
    --------
    >>> ampacity(22), ampacity(22, "power transmission")
    (7.0, 0.92)
    """
    rows = ampacity_table(table)
    if gauge not in rows.amperes:
        accepted = ", ".join(str(each) for each in sorted(rows.amperes))
        raise UsageError(f"gauge: {gauge:g} AWG; accepted: {accepted} AWG (the table {table!r}, not interpolated)")
    return float(rows.amperes[gauge])


def ampacity_of_area(area: float, table: str = "chassis wiring") -> float:
    """Rated current of any cross-section: that of the next thinner gauge in the table.

    Parameters
    ----------
    area : float
        Copper cross-section [m2], from the table's thinnest gauge up.
    table : str
        Name of the table, a key of ``AMPACITY_TABLES``.

    Returns
    -------
    float
        Rated current [A]; that of the thickest gauge for anything thicker than the table.

    Notes
    -----
    Rounds down to a row instead of interpolating. Source: that of the table.

    Examples
    --------
    >>> ampacity_of_area(0.5e-6)
    7.0
    """
    rows = ampacity_table(table)
    return float(rows.amperes[thickest_gauge_within(area, tuple(rows.amperes))])
