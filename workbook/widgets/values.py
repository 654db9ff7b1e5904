"""A key's value as text and back, as typed into a field; and a slider's position."""

from __future__ import annotations

import math
from typing import Any

from inrushlib.build import Build, KeyInfo, build_keys
from inrushlib.parts import ValueKind, field_words, key_words, plainly
from inrushlib.quantities import format_gauge, format_quantity, parse_quantity
from widgets.groups import Slide
from widgets.signs import signs

STEP = 0.5  # of a slider that goes from 0 to 100


def label_of(key: str) -> str:
    """Return the label of a key among those of its part: ``"rated current [A]"``."""
    return name_of(key) + _in_unit(key)


def full_label_of(key: str) -> str:
    """Return the label of a key anywhere: ``"adapter's rated current [A]"``."""
    return key_words(key) + _in_unit(key)


def _in_unit(key: str) -> str:
    info = build_keys()[key]
    return f" [{signs(info.unit)}]" if info.unit and info.kind is not ValueKind.GAUGE else ""


def name_of(key: str) -> str:
    """Return the name of a key: ``"rated current"``."""
    return field_words(key)


def tooltip_of(key: str) -> str:
    """Return what a key means, what is accepted, and where a builder finds it."""
    info = build_keys()[key]
    default = f" Default: {default_of(info)}." if default_of(info) else ""
    meaning = _plainly(info.meaning, key)
    found = f"Where to find it: {_plainly(info.where_found, key)}. Accepted: {_plainly(info.within, key)}."
    return f"{meaning[:1].upper()}{meaning[1:]}. {found}{default}"


def default_of(info: KeyInfo) -> str:
    """Return what an empty field stands for, in words; empty where it has to be filled."""
    return "" if info.required else _plainly(info.default_text, f"{info.table}.{info.key}")


def _plainly(text: str, key: str) -> str:
    """What is said of a key, without the spelling of the build file."""
    return signs(plainly(text, key))


def shown(build: Build, key: str) -> str:
    """Return the key's value as a field shows it; empty where the build has none."""
    return value_text(build.get(key), build_keys()[key])


def value_text(value: Any, info: KeyInfo) -> str:
    """Return a value of a key as a field shows it; empty for none."""
    if value is None or value == ():
        return ""
    if info.kind is ValueKind.GAUGE:
        return format_gauge(value)
    if info.kind is ValueKind.PAIRS:
        return ", ".join(" to ".join(_one(entry, info) for entry in pair) for pair in value)
    if isinstance(value, tuple):
        same = len(set(value)) == 1 and info.one_for_all
        return _one(value[0], info) if same else ", ".join(_one(v, info) for v in value)
    return _one(value, info)


def shown_number(value: float, info: KeyInfo) -> str:
    """Return a number of a key as a field shows it, to three digits."""
    if info.kind is ValueKind.GAUGE:
        return format_gauge(value)
    return format_quantity(value, info.unit, digits=3) if info.unit else f"{value:.3g}"


def _one(value: Any, info: KeyInfo) -> str:
    if isinstance(value, float) and info.unit:
        return signs(format_quantity(value, info.unit))
    return f"{value:g}" if isinstance(value, float) else str(value)


def typed(key: str, text: str) -> Any:
    """Return what was typed as the build file would give it; None for nothing, which is the default.

    A number without a unit is taken in the key's own unit, a number with a prefix only gets it. What cannot be
    read is returned as it is, for the build to refuse with its own words.
    """
    info = build_keys()[key]
    text = text.strip()
    if not text:
        return None
    if info.instead and text == info.instead:
        return text
    if info.kind is ValueKind.PAIRS:
        return [[_number(part, info) for part in pair.split(" to ")] for pair in text.split(",")]
    if info.kind.is_list:
        parts = [_number(part, info) for part in text.strip("[]").split(",")]
        return parts[0] if len(parts) == 1 and info.one_for_all else parts
    return text if info.kind in (ValueKind.GAUGE, ValueKind.CHOICE, ValueKind.TEXT) else _number(text, info)


def _number(text: str, info: KeyInfo) -> Any:
    text = text.strip()
    for kind in (int, float):
        try:
            number = kind(text)
        except ValueError:
            continue
        return written(number, info)
    for candidate in (text, text + info.unit) if info.unit else ():
        try:
            parse_quantity(candidate, info.unit)
        except ValueError:
            continue
        return candidate
    return text


def written(number: float, info: KeyInfo) -> Any:
    """Return a number as a file should hold it: with its unit where it has one and loses nothing by it."""
    if not info.unit:
        return number
    text = format_quantity(number, info.unit, digits=12)
    try:
        return text if parse_quantity(text, info.unit) == number else number
    except ValueError:
        return number


def as_given(value: Any, info: KeyInfo) -> Any:
    """Return a value of a key as a file should hold it."""
    if info.kind is ValueKind.GAUGE:
        return f"{value * 1e6:.12g} mm2"
    if isinstance(value, tuple):
        return [as_given(each, info) for each in value]
    return written(value, info) if isinstance(value, float) else value


def zero_at_left(slide: Slide) -> bool:
    """Return whether the slider's left end stands for zero: for none of it, where the key accepts that."""
    info = build_keys()[slide.key]
    return slide.log and info.low == 0 and info.low_included


def position(slide: Slide, value: float) -> float:
    """Return a slider's place, 0 to 100, for a value; on a step, since the page would move it there."""
    if slide.log:
        share = math.log(max(value, slide.low) / slide.low) / math.log(slide.high / slide.low)
    else:
        share = (value - slide.low) / (slide.high - slide.low)
    place = STEP * round(100 * min(1.0, max(0.0, share)) / STEP)
    return max(place, STEP) if zero_at_left(slide) and value > 0 else place


def at_position(slide: Slide, place: float) -> float:
    """Return the value at a slider's place, to three digits."""
    if place <= 0 and zero_at_left(slide):
        return 0.0
    if slide.log:
        value = slide.low * (slide.high / slide.low) ** (place / 100)
    else:
        value = slide.low + (slide.high - slide.low) * place / 100
    return float(f"{value:.3g}")
