"""Two ways of telling one display: what the model makes of both has to agree.

A ``Twin`` is a build told otherwise: mirrored from end to end, each section cut in three, all of it some time later,
its quantities in other units, its feeds in another order. Each is exact: the equations are the same ones, numbered,
shifted or written otherwise. Which builds allow it, ``RELATIONS`` says by the way they are made.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from inrushlib.build import build_keys, new_build
from inrushlib.laws.constants import LIMIT_SHARE
from inrushlib.parts.part import ValueKind
from inrushlib.startup import cut
from tests.startup.wide_builds import Chance, Source, random_values

Values = dict[str, Any]
_FRAME_DELAYS = ("firmware.first_frame_delay", "firmware.content_delay")
PREFIXES = {"": 0, "m": -3, "u": -6, "n": -9, "k": 3}


@dataclass(frozen=True)
class Twin:
    """A build and the same one told otherwise.

    Attributes
    ----------
    one, other : dict of str to object
        Values by dotted key.
    later : float
        By how much all of the other happens later [s].
    """

    one: Values
    other: Values
    later: float = 0.0


def mirrored(values: Values, source: Source) -> Twin:
    """The chain from its other end: each section has a data line of its own, so that none comes first.

    Odd numbers of pixels, since the middle of an even one is not its own mirror image. Inside a section the data runs
    on from its first lump, from whichever end the section is drawn: a frame reaches the first lumps of one that listens
    up to there, and none of one that listens at its far end alone. So nothing is sent where there are several lumps.
    """
    pixels = [count | 1 for count in values["wiring.pixels_per_section"]]
    one = values | {"wiring.pixels_per_section": pixels, "wiring.lanes": len(pixels)}
    if len(cut(new_build(one))) > len(pixels):
        one |= {key: 2 * one["run.duration"] for key in _FRAME_DELAYS if key in one}
    last = len(pixels) - 1
    hops = one["wiring.hop_resistance"]
    other = one | {
        "wiring.pixels_per_section": pixels[::-1], "wiring.feeds": [last - feed for feed in one["wiring.feeds"]],
        "wiring.hop_resistance": hops[::-1] if isinstance(hops, list) else hops,
    }  # fmt: skip
    landing = one.get("wiring.feed_pixels")
    if landing is not None:
        other["wiring.feed_pixels"] = [
            pixels[feed] - 1 - pixel for feed, pixel in zip(one["wiring.feeds"], landing, strict=True)
        ]
    return Twin(one, other)


def feeds_in_another_order(values: Values, source: Source) -> Twin:
    """The same feeds, named from the last to the first."""
    lists = {key: values[key] for key in ("wiring.feeds", "wiring.feed_resistance", "wiring.feed_pixels")
             if isinstance(values.get(key), list)}  # fmt: skip
    return Twin(values, values | {key: entries[::-1] for key, entries in lists.items()})


def cut_in_three(values: Values, source: Source) -> Twin:
    """Each section of three lumps as three sections of one lump each, with nothing between them but the rail."""
    thirds = [source.whole(1, 40) for _ in values["wiring.pixels_per_section"][:12]]
    count = len(thirds)
    feeds = sorted({min(feed, count - 1) for feed in values["wiring.feeds"]})
    hops = [source.between(0.001, 0.1) for _ in thirds[1:]]
    chain = {"wiring.lanes": 1, "wiring.rail_resistance": source.pick([0.1e-3, 6e-3]), "wiring.feed_resistance": 0.02}
    one = values | chain | {
        "wiring.sections": count, "wiring.pixels_per_section": [3 * third for third in thirds], "wiring.lumps": 3,
        "wiring.feeds": feeds, "wiring.hop_resistance": hops or 0.03,
    }  # fmt: skip
    one.pop("wiring.feed_pixels", None)
    between = [hop for before in [*hops, 0.0] for hop in (0.0, 0.0, before)][:-1]
    other = one | {
        "wiring.sections": 3 * count, "wiring.pixels_per_section": [third for third in thirds for _ in range(3)],
        "wiring.lumps": 1, "wiring.feeds": [3 * feed + 1 for feed in feeds], "wiring.hop_resistance": between,
    }  # fmt: skip
    return Twin(one, other)


def later(values: Values, source: Source) -> Twin:
    """The mains stays away for a while at first, and all else comes that much later.

    Where what is empty rests: through a regulator that drops nothing the rounding of its law lets milliamperes out of
    an empty reservoir (33 mV in 0.1 s of build 60084), which is no other display but another beginning.
    """
    wait = source.between(0.01, 0.5)
    one = values | {"run.start": "mains", "controller.feed": "bus", "run.duration": min(values["run.duration"], 1.0)}
    one["controller.dropout_voltage"] = max(values["controller.dropout_voltage"], _at_rest(values))
    one["run.interruptions"] = [pair for pair in one["run.interruptions"] if pair[0] > 0]
    other = one | {
        "run.duration": one["run.duration"] + wait,
        "run.interruptions": [[0.0, wait], *([off + wait, on + wait] for off, on in one["run.interruptions"])],
    }
    return Twin(one, other, wait)


def _at_rest(values: Values) -> float:
    """Dropout [V] from which on less than 1e-9 of a regulator's limit flows where both its sides are empty."""
    return (
        -math.log(1e-9) * LIMIT_SHARE * values["controller.regulator_limit"] * values["controller.dropout_resistance"]
    )


def in_other_units(values: Values, source: Source) -> Twin:
    """Every quantity with another prefix, as text."""

    def told(key: str, value: Any) -> Any:
        info = build_keys()[key]
        if info.kind not in (ValueKind.NUMBER, ValueKind.LIST) or info.unit in ("", "C", "K", "W/K", "J/K"):
            return value
        if isinstance(value, list):
            return [told_one(entry, info.unit) for entry in value]
        return told_one(value, info.unit)

    def told_one(value: float, unit: str) -> str:
        prefix = source.pick(list(PREFIXES))
        # Shifted as a decimal number, so that it is the very same value.
        return f"{Decimal(repr(value)).scaleb(-PREFIXES[prefix]):f} {prefix}{unit}"

    return Twin(values, {key: told(key, value) if "." in key else value for key, value in values.items()})


__all__ = ["RELATIONS", "Chance", "Twin", "random_values"]

RELATIONS: dict[str, Callable[[Values, Source], Twin]] = {
    "mirrored from end to end": mirrored,
    "feeds in another order": feeds_in_another_order,
    "each section cut in three": cut_in_three,
    "all of it later": later,
    "in other units": in_other_units,
}
