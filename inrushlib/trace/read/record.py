"""What a capture becomes: a ``Trace`` of named channels, and the choices that a reader may be given.

Everything is SI: seconds, volts, amperes. A sample that the scope could not show (over range, missing)
is NaN and counted in ``Channel.gaps``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.read.settings import Wording

FloatArray = NDArray[np.float64]


class Counting(StrEnum):
    """What whole numbers mean, where a preamble tells a scale for each division of the screen."""

    GROUND = "ground"
    """Counts from the ground level; the scale is that of the signal, neither probe nor position in them."""
    SCREEN = "screen"
    """Counts from the middle of the screen; the scale is that of the input, probe and position come on top."""
    VALUES = "values"
    """No counts: volts or amperes as written."""


@dataclass(frozen=True)
class Channel:
    """One measured curve.

    Parameters
    ----------
    values : ndarray
        Samples [V], [A] or as written when the unit is neither; NaN where there is a gap.
    unit : str
        ``"V"``, ``"A"``, another unit as the file writes it, or empty when the file gives none.
    gaps : int
        Number of samples that are over range or missing [1], >= 0.
    label : str
        The header cell as the file writes it.
    unit_assumed : bool
        True when the file gives no unit and the values were taken as they stand.
    """

    values: FloatArray
    unit: str
    gaps: int = 0
    label: str = ""
    unit_assumed: bool = False


@dataclass(frozen=True, kw_only=True)
class Trace:
    """One capture.

    Parameters
    ----------
    time : ndarray
        Time of each sample [s], never falling.
    channels : dict of str to Channel
        The curves by name, each as long as ``time``.
    header : tuple of str
        The lines before the data, as they stand in the file.
    inferred : tuple of str
        One sentence for everything that the file does not say outright.
    name : str
        File name or what the caller called it.
    checksum : str
        SHA-256 of the bytes, hexadecimal.
    segment : int
        Which of the appended segments this is [1], from 1.
    segments : int
        How many segments the file holds [1].
    paired : bool
        True when rows come in pairs of one time, lowest and highest value of that instant (peak detect).
    time_assumed : bool
        True when the file gives no unit of time and seconds were taken.
    hints : tuple of Wording
        What could be told about the file, and what for.
    """

    time: FloatArray
    channels: dict[str, Channel]
    header: tuple[str, ...] = ()
    inferred: tuple[str, ...] = ()
    name: str = ""
    checksum: str = ""
    segment: int = 1
    segments: int = 1
    paired: bool = False
    time_assumed: bool = False
    hints: tuple[Wording, ...] = ()


@dataclass(frozen=True, kw_only=True)
class ReadChoices:
    """What the caller knows about a file; anything left at its default is found in the file.

    ``Setting`` names the option of the command and the control of the page for each.

    Parameters
    ----------
    encoding : str or None
        ``"utf-8"``, ``"utf-16-le"``, ``"utf-16-be"``, ``"cp1252"`` or another codec's name.
    delimiter : str or None
        ``","``, ``";"``, ``"\\t"``, ``"|"``, or ``" "`` for any run of blanks.
    decimal : str or None
        ``"."`` or ``","``.
    thousands : str
        Mark between groups of three digits; empty for none.
    first_line : int or None
        Line number of the first row of samples [1], from 1.
    header_rows : int or None
        Rows right above the samples that hold names and units [1], 0 to 2.
    names : tuple of str or None
        Names of the columns, from the left, in place of those in the file.
    time_column : str, int or None
        Name of the time column or its number [1], from 1; 0 when there is none.
    time_unit : str or None
        Unit of the time column: ``"s"``, ``"ms"``, ``"us"``, ``"ns"``.
    units : mapping of str to str
        Unit of a channel by its name, such as ``{"bus": "mV"}``.
    ignore : tuple of str
        Columns that are left out, by name or number from 1: texts, clocks, logic.
    interval : float or None
        Time between samples [s], > 0, when there is no time column or when its times are rounded.
    start : float or None
        Time of the first sample when there is no time column [s].
    segment : int or None
        Which of several appended segments to read [1], from 1.
    counts : Counting or None
        What whole numbers are: counts of the converter, to be scaled by the preamble, or values.
    counts_per_division : float or None
        Counts of the converter in one division of the screen [1], > 0.
    scales : mapping of str to float
        Value of one count (or one unit as written) of a channel [V or A], by its name.
    offsets : mapping of str to float
        What is added to a channel after scaling [V or A], by its name.
    gap_words : tuple of str
        Further cells that stand for a sample that is over range or missing.
    """

    encoding: str | None = None
    delimiter: str | None = None
    decimal: str | None = None
    thousands: str = ""
    first_line: int | None = None
    header_rows: int | None = None
    names: tuple[str, ...] | None = None
    time_column: str | int | None = None
    time_unit: str | None = None
    units: Mapping[str, str] = field(default_factory=dict)
    ignore: tuple[str, ...] = ()
    interval: float | None = None
    start: float | None = None
    segment: int | None = None
    counts: Counting | None = None
    counts_per_division: float | None = None
    scales: Mapping[str, float] = field(default_factory=dict)
    offsets: Mapping[str, float] = field(default_factory=dict)
    gap_words: tuple[str, ...] = ()
