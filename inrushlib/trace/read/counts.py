"""Whole numbers of a scope's converter to volts or amperes, by what the preamble says.

Per count: ``value = (count - reference) * multiplier + zero``. Per division of the screen there are two ways in use.
From the ground level: ``value = count / counts_per_division * scale`` with the scale of the signal. From the middle of
the screen: ``value = (count / counts_per_division - position) * scale * probe`` with the scale of the input. Where they
differ, one is taken only when the file confirms it by what it says of its samples (highest, lowest, mean, reach).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from inrushlib.trace.read.preamble import Facts
from inrushlib.trace.read.record import Counting, ReadChoices
from inrushlib.trace.read.settings import Advice, Setting, refused
from inrushlib.trace.read.units import Unit, find_unit, two_meanings

FloatArray = NDArray[np.float64]
#: An 8-bit record with 125 counts for five divisions (common practice of compact exports).
EIGHT_BIT_COUNTS_PER_DIVISION = 25.0
_EIGHT_BIT = 128
#: What a preamble may say of the samples, and how it is seen.
_SHOWN: dict[str, Callable[[FloatArray], float]] = {
    "highest": lambda values: float(np.nanmax(values)),
    "lowest": lambda values: float(np.nanmin(values)),
    "mean": lambda values: float(np.nanmean(values)),
    "reach": lambda values: float(np.nanmax(values) - np.nanmin(values)),
}
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
    Source: the ways that the module names, common practice of scopes' text exports, no source.
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
    counts: FloatArray, facts: Facts, at: int, channels: int, choices: ReadChoices, name: str
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
    CaptureRefused
        Where the preamble has no vertical scale, or one that can be understood in two ways.
    """
    channel = _ChannelFacts(facts, at, channels, name)
    if (step := channel.fact("count_value")) is not None:
        return _by_multiplier(step, channel)
    if (scale := channel.fact("scale")) is None:
        advice = Advice(Setting.SCALES, channel=name)
        raise refused(f"{name} holds counts, but the preamble has no vertical scale; give ", advice)
    line, key, values = (found := facts.matching("scale")[0]).line, found.key, "".join(found.values)
    if choices.counts_per_division is None and key == "scale" and "div" not in values:
        offset = channel.fact("offset")
        if offset is not None and not facts.matching("position") and not facts.matching("probe"):
            told = f"{name}: counts times {_si(scale):g} plus {_si(offset):g}, scale and offset of the preamble"
            return CountScale(_si(scale), _si(offset), scale[1].base, told)
        raise refused(
            f"line {line}: the scale of {name} could be for a count or for a division; give ",
            Advice(Setting.SCALES, channel=name),
            " or ",
            Advice(Setting.COUNTS_PER_DIVISION),
        )
    return _by_division(counts, scale, _counts_per_division(counts, facts, choices, name), channel, choices.counts)


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


def _by_division(
    counts: FloatArray,
    scale: tuple[float, Unit],
    per_division: float,
    channel: _ChannelFacts,
    chosen: Counting | None,
) -> CountScale:
    """Value of one division of the screen: from the ground level, or from the middle with position and probe ratio."""
    ground = CountScale(
        _si(scale) / per_division,
        0.0,
        scale[1].base,
        f"{channel.name}: counts from the ground level, scaled with {_si(scale):g} a division, "
        f"{per_division:g} counts a division, neither probe nor position in them",
    )
    if chosen is Counting.GROUND:
        return ground
    screen = _from_the_middle(scale, per_division, channel)
    alike = math.isclose(screen.factor, ground.factor, rel_tol=1e-12) and screen.offset == ground.offset
    if chosen is Counting.SCREEN or alike:
        return screen
    ways = {Counting.GROUND: ground, Counting.SCREEN: screen}
    fitting = [way for way in ways.values() if _confirmed(counts, way, channel)]
    if len(fitting) == 1 and any(channel.fact(meaning) for meaning in _SHOWN):
        return replace(fitting[0], sentence=f"{fitting[0].sentence}; so it fits what the preamble says of the samples")
    low, high = float(np.nanmin(counts)), float(np.nanmax(counts))
    reach = {c: f"{low * w.factor + w.offset:.3g} to {high * w.factor + w.offset:.3g}" for c, w in ways.items()}
    raise refused(
        f"line {channel.line('scale')}: the counts of {channel.name} could be from the ground level, "
        f"{reach[Counting.GROUND]} {scale[1].base}, or from the middle of the screen with probe and position, "
        f"{reach[Counting.SCREEN]} {scale[1].base}; choose ",
        Advice(Setting.COUNTS, Counting.GROUND.value),
        " or ",
        Advice(Setting.COUNTS, Counting.SCREEN.value),
    )


def _from_the_middle(scale: tuple[float, Unit], per_division: float, channel: _ChannelFacts) -> CountScale:
    """Counts from the middle of the screen, the scale that of the input."""
    name, probe, position, added = channel.name, channel.fact("probe"), channel.fact("position"), channel.fact("offset")
    if probe is None and channel.facts.matching("probe"):
        raise refused(
            f"line {channel.line('probe')}: a probe ratio such as 10X or 10:1 is expected; give ",
            Advice(Setting.SCALES, channel=name),
            " to do without",
        )
    if added is not None and added[0] != 0.0:
        raise refused(
            f"line {channel.line('offset')}: the sign of the vertical offset of {name} is not certain; give ",
            Advice(Setting.SCALES, channel=name),
            " and ",
            Advice(Setting.OFFSETS, channel=name),
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


def _confirmed(counts: FloatArray, way: CountScale, channel: _ChannelFacts) -> bool:
    """Whether the samples, scaled in a way, are what the preamble says of them, to a count and a half and 1 %."""
    values = counts * way.factor + way.offset
    for meaning, seen in _SHOWN.items():
        if (said := channel.fact(meaning)) is not None:
            found = seen(values)
            if abs(found - _si(said)) > 1.5 * abs(way.factor) + 0.01 * abs(found):
                return False
    return True


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
        raise refused(
            f"line {listed[0][2]}: {len(listed)} values of {meaning.replace('_', ' ')} for {channels} channels; give ",
            Advice(Setting.SCALES, channel=name),
        )
    per_count = Advice(Setting.SCALES, channel=name)
    value, text, line = listed[at] if len(listed) == channels else listed[0]
    bare = _PER.sub("", text).strip()
    if two_meanings(bare):
        raise refused(f"line {line}: {text!r} could be thousandths or millions; give ", per_count)
    if bare.lower() in _NO_UNIT:
        return value, Unit("div" if "div" in text.lower() and not bare.lower().startswith("x") else "")
    unit = find_unit(bare)
    if unit is None:
        raise refused(f"line {line}: {text!r} is no unit of voltage or current; give ", per_count)
    return value, unit


def _counts_per_division(counts: FloatArray, facts: Facts, choices: ReadChoices, name: str) -> float:
    if choices.counts_per_division is not None:
        return choices.counts_per_division
    if (told := facts.single("counts_per_division")) is not None and told[0] > 0.0:
        return told[0]
    finite = counts[np.isfinite(counts)]
    if finite.size and max(abs(finite.min()), abs(finite.max())) <= _EIGHT_BIT:
        return EIGHT_BIT_COUNTS_PER_DIVISION
    raise refused(f"{name} holds counts of more than 8 bits; give ", Advice(Setting.COUNTS_PER_DIVISION))


def _si(quantity: tuple[float, Unit] | None) -> float:
    """A fact in SI; 0 when there is none."""
    if quantity is None:
        return 0.0
    value, unit = quantity
    scaled = value / 10.0**-unit.exponent if unit.exponent < 0 else value * 10.0**unit.exponent
    return scaled if math.isfinite(scaled) else 0.0
