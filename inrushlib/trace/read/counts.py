"""Whole numbers of a scope's converter to volts or amperes, by what the preamble says.

Two ways are in use. Per count: ``value = (count - reference) * multiplier + zero``. Per division of the screen:
``value = (count / counts_per_division - position) * scale * probe``, the scale being that of the scope's input.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.errors import TraceError
from inrushlib.trace.read.preamble import Facts
from inrushlib.trace.read.record import ReadChoices
from inrushlib.trace.read.units import Unit, find_unit, two_meanings

#: An 8-bit record with 125 counts for five divisions (common practice of compact exports).
EIGHT_BIT_COUNTS_PER_DIVISION = 25.0
_EIGHT_BIT = 128
_PER = re.compile(r"\s*/\s*(div|count|lsb|code)s?\.?$|\s+per\s+(div|division|count|lsb|code)$", re.IGNORECASE)
_NO_UNIT = frozenset(("", "div", "divs", "x", "counts", "count"))


@dataclass(frozen=True)
class CountScale:
    """How counts become volts or amperes: ``value = count * factor + offset``.

    Attributes
    ----------
    factor : float
        Of one count [base a count].
    offset : float
        Value at count 0 [base].
    base : str
        The unit, ``"V"`` or ``"A"``; something else or empty where the preamble does not say which.
    sentence : str
        Where it comes from.

    Notes
    -----
    Source: the two ways that the module names, common practice of scopes' text exports, no source.
    """

    factor: float
    offset: float
    base: str
    sentence: str


def has_count_scale(facts: Facts) -> bool:
    """Whether a preamble holds a vertical scale at all.

    Parameters
    ----------
    facts : Facts
        The preamble.

    Returns
    -------
    bool
        True when counts could be scaled by it.
    """
    return bool(facts.matching("scale") or facts.matching("count_value"))


def count_scale(
    counts: NDArray[np.float64], facts: Facts, at: int, channels: int, choices: ReadChoices, name: str
) -> CountScale:
    """How the counts of one channel become volts or amperes.

    Parameters
    ----------
    counts : ndarray
        The whole numbers [1].
    facts : Facts
        The preamble.
    at, channels : int
        Which channel this is, from 0, and how many there are [1].
    choices : ReadChoices
        What the caller knows.
    name : str
        The channel's name, for messages.

    Returns
    -------
    CountScale
        Factor and offset.

    Raises
    ------
    TraceError
        Where the preamble has no vertical scale, or one that can be understood in two ways.
    """
    channel = _ChannelFacts(facts, at, channels, name)
    if (step := channel.fact("count_value")) is not None:
        return _by_multiplier(step, channel)
    if (scale := channel.fact("scale")) is None:
        raise TraceError(
            f"{name} holds counts, but the preamble has no vertical scale; give scales={{{name!r}: volts per count}}"
        )
    line, key, values = (found := facts.matching("scale")[0]).line, found.key, "".join(found.values)
    if choices.counts_per_division is None and key == "scale" and "div" not in values:
        offset = channel.fact("offset")
        if offset is not None and not facts.matching("position") and not facts.matching("probe"):
            told = f"{name}: counts times {_si(scale):g} plus {_si(offset):g}, scale and offset of the preamble"
            return CountScale(_si(scale), _si(offset), scale[1].base, told)
        raise TraceError(
            f"line {line}: the scale of {name} could be for a count or for a division; "
            f"give scales={{{name!r}: value per count}} or counts_per_division="
        )
    return _by_division(scale, _counts_per_division(counts, facts, choices, name), channel)


@dataclass(frozen=True)
class _ChannelFacts:
    """The facts of one channel in a preamble."""

    facts: Facts
    at: int
    channels: int
    name: str

    def fact(self, meaning: str) -> tuple[float, Unit] | None:
        """A fact given once for all channels, or once for each."""
        return _per_channel(self.facts, meaning, self.at, self.channels, self.name)

    def line(self, meaning: str) -> int:
        """The line of a fact that is there."""
        return self.facts.matching(meaning)[0].line


def _by_multiplier(step: tuple[float, Unit], channel: _ChannelFacts) -> CountScale:
    """Value of one count, with a reference in counts and a zero in volts or amperes."""
    zero, added, reference = channel.fact("value_zero"), channel.fact("offset"), channel.fact("count_zero")
    offset = _si(zero) + _si(added) - _si(reference) * _si(step)
    sentence = f"{channel.name}: counts times {_si(step):g} plus {offset:g}, from the preamble"
    return CountScale(_si(step), offset, step[1].base or _base_of_key(channel.facts), sentence)


def _by_division(scale: tuple[float, Unit], per_division: float, channel: _ChannelFacts) -> CountScale:
    """Value of one division of the screen, with position and probe ratio."""
    name, probe, position, added = channel.name, channel.fact("probe"), channel.fact("position"), channel.fact("offset")
    if probe is None and channel.facts.matching("probe"):
        raise TraceError(
            f"line {channel.line('probe')}: a probe ratio such as 10X or 10:1 is expected; give scales= to do without"
        )
    if added is not None and added[0] != 0.0:
        raise TraceError(
            f"line {channel.line('offset')}: the sign of the vertical offset of {name} is not certain; "
            f"give scales= and offsets={{{name!r}: volts}}"
        )
    ratio = probe[0] if probe else 1.0
    shift, shift_text = 0.0, "no position"
    if position is not None:
        in_divisions = position[1].base in ("", "div")
        shift = -position[0] * _si(scale) * ratio if in_divisions else -_si(position)
        shift_text = f"position {position[0]:g} {'div' if in_divisions else 'as written'}"
    sentence = (
        f"{name}: counts, scaled with {_si(scale):g} a division, {per_division:g} counts a division, "
        f"probe {ratio:g}:1 on top of the scale, {shift_text}"
    )
    return CountScale(_si(scale) * ratio / per_division, shift, scale[1].base, sentence)


def _base_of_key(facts: Facts) -> str:
    """The unit that a key such as "volts per count" names itself."""
    key = facts.matching("count_value")[0].key
    return "V" if key.startswith("v") and not key.startswith("vert") else "A" if key.startswith("a") else ""


def _per_channel(facts: Facts, meaning: str, at: int, channels: int, name: str) -> tuple[float, Unit] | None:
    """A fact of one channel: given once for all, or once for each."""
    listed = facts.numbers(meaning)
    if not listed:
        return None
    if len(listed) not in (1, channels) and len({(v, u) for v, u, _ in listed}) > 1:
        raise TraceError(
            f"line {listed[0][2]}: {len(listed)} values of {meaning.replace('_', ' ')} for {channels} channels; "
            f"give scales={{{name!r}: value per count}}"
        )
    value, text, line = listed[at] if len(listed) == channels else listed[0]
    bare = _PER.sub("", text).strip()
    if two_meanings(bare):
        raise TraceError(f"line {line}: {text!r} could be thousandths or millions; give scales=")
    if bare.lower() in _NO_UNIT:
        return value, Unit("div" if "div" in text.lower() and not bare.lower().startswith("x") else "")
    unit = find_unit(bare)
    if unit is None:
        raise TraceError(f"line {line}: {text!r} is no unit of voltage or current; give scales=")
    return value, unit


def _counts_per_division(counts: NDArray[np.float64], facts: Facts, choices: ReadChoices, name: str) -> float:
    if choices.counts_per_division is not None:
        return choices.counts_per_division
    if (told := facts.single("counts_per_division")) is not None and told[0] > 0.0:
        return told[0]
    finite = counts[np.isfinite(counts)]
    if finite.size and max(abs(finite.min()), abs(finite.max())) <= _EIGHT_BIT:
        return EIGHT_BIT_COUNTS_PER_DIVISION
    raise TraceError(f"{name} holds counts of more than 8 bits; give counts_per_division=")


def _si(quantity: tuple[float, Unit] | None) -> float:
    """A fact in SI; 0 when there is none."""
    if quantity is None:
        return 0.0
    value, unit = quantity
    scaled = value / 10.0**-unit.exponent if unit.exponent < 0 else value * 10.0**unit.exponent
    return scaled if math.isfinite(scaled) else 0.0
