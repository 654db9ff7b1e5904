"""From columns as written to channels in SI: units, counts, the caller's scales, gaps."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.read.cells import OVER_RANGE
from inrushlib.trace.read.counts import count_scale, has_count_scale
from inrushlib.trace.read.header import Column, Header
from inrushlib.trace.read.record import Channel, Counting, ReadChoices
from inrushlib.trace.read.settings import Advice, Setting, refused
from inrushlib.trace.read.units import find_unit, to_si, two_meanings

FloatArray = NDArray[np.float64]
Given = TypeVar("Given")
_BY_NAME = (
    ("V", re.compile("volt", re.IGNORECASE)),
    ("A", re.compile("current|amp(ere)?s?\b", re.IGNORECASE)),
)


def blank_over_range(values: FloatArray) -> None:
    """Make every sample that stands for over range a gap, in place.

    Parameters
    ----------
    values : ndarray
        Samples as written [any unit]; infinite or from 9.9e37 on is over range.

    Examples
    --------
    >>> values = np.array([1.0, -9.9e37, np.inf])
    >>> blank_over_range(values)
    >>> values
    array([ 1., nan, nan])
    """
    if values.size and not (values.max() < OVER_RANGE and values.min() > -OVER_RANGE):
        values[np.abs(values) >= OVER_RANGE] = np.nan


def channel_names(columns: list[Column], header: Header) -> tuple[list[str], list[str]]:
    """A name for every channel, and sentences on those that the file does not name.

    Parameters
    ----------
    columns : list of Column
        The columns that hold channels.
    header : Header
        What stands before the samples.

    Returns
    -------
    tuple of list of str and list of str
        Names, all different, and sentences.
    """
    told = header.facts.texts("label") or header.facts.texts("source")
    doubled = len({column.name for column in columns}) < len(columns)
    names: list[str] = []
    sentences = []
    for at, column in enumerate(columns):
        name = column.name
        if len(told) == len(columns) and (doubled or not name):
            name = told[at]
            sentences.append(f"{name}: named so by the preamble")
        elif not name:
            name = f"column {column.cell + 1}"
            sentences.append(f"{name}: named so, since column {column.cell + 1} has no name")
        if name in names:
            sentences.append(f"{name}: more than one column has this name; the number of the column is added")
            name = f"{name} (column {column.cell + 1})"
        while name in names:
            name += "'"
        names.append(name)
    return names, sentences


def make_channel(
    values: FloatArray,
    column: Column,
    name: str,
    place: tuple[int, int],
    header: Header,
    whole: bool,
    choices: ReadChoices,
) -> tuple[Channel, list[str]]:
    """One channel in SI from a column as written; the array is scaled in place.

    Parameters
    ----------
    values : ndarray
        Samples as written [unit of the column].
    column : Column
        Name and unit as written.
    name : str
        The channel's name.
    place : tuple of int and int
        Which channel this is, from 0, and how many there are [1].
    header : Header
        What stands before the samples.
    whole : bool
        True when the samples are written as whole numbers.
    choices : ReadChoices
        What the caller knows.

    Returns
    -------
    tuple of Channel and list of str
        The channel and sentences.

    Raises
    ------
    CaptureRefused
        Where a unit has two meanings, counts have no scale, or a scaled sample is too large for a number.
    """
    text = _chosen(choices.units, name, column) or column.unit
    unit = find_unit(text)
    as_counts = choices.counts in (Counting.GROUND, Counting.SCREEN)
    if choices.counts is None:
        as_counts = unit is not None and unit.base == "counts"
        as_counts = as_counts or (not text and whole and has_count_scale(header.facts))
    told, sentences = _told_unit(header, place), []
    with np.errstate(over="ignore", invalid="ignore"):
        if (scale := _chosen(choices.scales, name, column)) is not None:
            values *= scale
            base = unit.base if unit is not None and unit.base in "VA" else told or _unit_by_name(name)
        elif as_counts:
            converted = count_scale(values, header.facts, *place, choices, name)
            values *= converted.factor
            values += converted.offset
            base = converted.base if converted.base in ("V", "A") else told or _unit_by_name(name)
            sentences.append(converted.sentence)
        else:
            base, sentences = _scale_by_unit(values, text, told, name, column, header.names_line)
        if (offset := _chosen(choices.offsets, name, column)) is not None:
            values += offset
    scaled = scale is not None or as_counts or offset is not None
    if scaled and np.isinf(values).any():
        per_count = Advice(Setting.SCALES, channel=name)
        raise refused(f"line {header.names_line}: {name} is too large for a number once it is scaled; give ", per_count)
    assumed = not scaled and not text and not told
    return Channel(values, base, int(np.count_nonzero(np.isnan(values))), column.label, assumed), sentences


def _scale_by_unit(
    values: FloatArray, text: str, told: str, name: str, column: Column, line: int
) -> tuple[str, list[str]]:
    """Scale samples by their unit, in place; the SI unit and sentences come back."""
    unit = find_unit(text)
    if unit is not None and unit.base in "VAs":
        to_si(values, unit.exponent)
        return unit.base, []
    if likely := two_meanings(text):
        said = f"line {line}: {name}: {text!r} could be thousandths or millions; give "
        raise refused(said, Advice(Setting.UNITS, likely, name))
    if text:
        return text, [f"{name}: {text!r} is no unit of voltage or current; the values are as written"]
    if told:
        unit = find_unit(told)
        if unit is None or unit.base not in "VA":
            return told, [f"{name}: in {told}, from the preamble; the values are as written"]
        to_si(values, unit.exponent)
        return unit.base, [f"{name}: in {told}, from the preamble"]
    base = _unit_by_name(name)
    meant = {"V": "volts, by its name", "A": "amperes, by its name"}.get(base, "the SI unit")
    return base, [f"{name}: taken as {meant}, since column {column.cell + 1} has no unit"]


def _told_unit(header: Header, place: tuple[int, int]) -> str:
    """The unit of a channel that the preamble gives, for all channels or for each."""
    told = header.facts.texts("value_unit")
    at, channels = place
    if len(told) == channels:
        return told[at]
    return told[0] if len(set(told)) == 1 else ""


def _unit_by_name(name: str) -> str:
    return next((base for base, pattern in _BY_NAME if pattern.search(name)), "")


def _chosen(given: Mapping[str, Given], name: str, column: Column) -> Given | None:
    """What the caller gives for a channel, by its name or by the cell above it."""
    return given.get(name, given.get(column.label))
