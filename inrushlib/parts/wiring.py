"""The wiring of the panel: sections, data lanes, feed wires, and the copper between pixels."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, ClassVar, Final, Literal

from pydantic import ValidationInfo, field_validator

from inrushlib.copper import wire_resistance
from inrushlib.parts.connector import NOT_SAID, Connector
from inrushlib.parts.part import (
    DERIVED,
    LARGEST_GAUGE,
    KeySpec,
    Part,
    Refused,
    ValueKind,
    Values,
    choice,
    has,
    measure,
    same_length_as,
    whole,
    yes_no,
)
from inrushlib.parts.ranges import COUNTED, PRACTICE, Typical, all_exact, typical
from inrushlib.quantities import format_gauge, format_quantity, parse_quantity

IN_RESISTANCE: Final = "its range is that of the wire's resistance"
AUTO: Final = "auto"
MOST_LUMPS = 99
CERAMIC = f"ceramic, less under voltage; {PRACTICE}"
Lumps = tuple[int, ...] | Literal["auto"]
HIGHEST_SECTIONS = 64
HIGHEST_PIXELS = 4096
_INF = float("inf")
# Resistance that a wire of a given length and gauge may have: a gauge may be off by one number, and crimps, plugs and
# solder add to it (common practice, no source).
LEAST_OF_COPPER, MOST_OF_COPPER, MOST_CONTACTS = 0.75, 2.0, 0.2


def _gauge(of_what: str) -> KeySpec:
    return KeySpec(
        unit="m2", kind=ValueKind.GAUGE, low=0.0, high=LARGEST_GAUGE, low_included=False, optional=True,
        meaning=f"copper of each conductor of {of_what}; none: its rated current is not checked",
        where_found="print on the jacket, or a wire gauge on the stripped end",
    )  # fmt: skip


def _length(of_what: str, one_for_each: str, count: Callable[[Values], int]) -> KeySpec:
    return measure(
        "m", 100.0, f"length of each {of_what}, one way; supply and return are counted", "tape measure",
        kind=ValueKind.LIST, optional=True, one_for_each=one_for_each, one_for_all=True, length=count,
        default_text="none",
    )  # fmt: skip


def _hops(values: Values) -> int:
    return int(values["sections"]) - 1


def _loops(values: Values, run: str, count: int, otherwise: float) -> tuple[float, ...]:
    """Loop resistance [ohm] of each run, by the copper of a wire out and one back where length and gauge are known."""
    lengths, gauge = values[f"{run}_length"], values[f"{run}_gauge"]
    if lengths is None or gauge is None:
        return (otherwise,) * count
    return tuple(wire_resistance(2.0 * length, gauge) for length in lengths)


def _check_against_copper(value: tuple[float, ...], values: Values, run: str) -> tuple[float, ...]:
    """Refuse resistances that the copper of length and gauge cannot have."""
    if has(values, f"{run}_length", f"{run}_gauge"):
        lengths, gauge = values[f"{run}_length"], values[f"{run}_gauge"]
        for ohms, length in zip(value, lengths, strict=True):
            copper = wire_resistance(2.0 * length, gauge)
            if not LEAST_OF_COPPER * copper <= ohms <= MOST_OF_COPPER * copper + MOST_CONTACTS:
                least, most, said = (
                    format_quantity(each, "ohm", digits=3)
                    for each in (LEAST_OF_COPPER * copper, MOST_OF_COPPER * copper + MOST_CONTACTS, copper)
                )
                raise Refused(
                    f"{least} to {most}, for {format_quantity(length, 'm')} of {format_gauge(gauge)} make "
                    f"{said} out and back; else correct {run}_length or {run}_gauge, or leave one of them out",
                    ohms,
                )
    return value


def _middle_of_fed_sections(values: Values) -> tuple[int, ...]:
    return tuple(values["pixels_per_section"][section] // 2 for section in values["feeds"])


def _is_zero(value: object) -> bool:
    try:
        return parse_quantity(value, "ohm") == 0
    except ValueError:
        return False


class Wiring(Part):
    """The wiring of the panel; resistances are loops, supply and return together."""

    typical: ClassVar[dict[str, Typical]] = {
        "capacitance_per_pixel": typical(40e-9, 120e-9, scatter=(0.6, 1.2), source=CERAMIC),
        "rail_resistance": typical(0.15e-3, 1e-3),
        "hop_resistance": typical(5e-3, 100e-3, follows=("hop_length", "hop_gauge")),
        "feed_resistance": typical(5e-3, 100e-3, follows=("feed_length", "feed_gauge")),
    } | all_exact(IN_RESISTANCE, "hop_length", "feed_length", "hop_gauge", "feed_gauge") | all_exact(
        COUNTED, "sections", "pixels_per_section", "lanes", "lumps", "feeds", "feed_pixels", "section_rows",
        "sections_across",
    )  # fmt: skip

    sections: Annotated[
        int, whole(1, HIGHEST_SECTIONS, "groups of neighbouring pixels: tiles, metres of strip", "count them")
    ]
    pixels_per_section: Annotated[
        tuple[int, ...],
        whole(
            1, HIGHEST_PIXELS, "pixels in each section", "count them", kind=ValueKind.COUNT_LIST,
            one_for_each="section", one_for_all=True, length=lambda values: int(values["sections"]),
        ),
    ]  # fmt: skip
    lanes: Annotated[int, whole(1, HIGHEST_SECTIONS, "data lines, at most one for each section", "the program")] = 1
    lumps: Annotated[
        Lumps,
        whole(
            1, MOST_LUMPS, "nodes that the model cuts each section into, an odd number; more for a feed off the middle",
            "leave it on auto; more only to see that nothing changes", kind=ValueKind.COUNT_LIST, instead=AUTO,
            one_for_each="section", one_for_all=True, length=lambda values: int(values["sections"]), default_text=AUTO,
        ),
    ] = AUTO  # fmt: skip
    capacitance_per_pixel: Annotated[
        float, measure("F", 10e-3, "capacitor beside each pixel", "print or schematic, derated for voltage")
    ] = 100e-9
    rail_resistance: Annotated[
        float,
        measure(
            "ohm", 10.0, "loop for each pixel pitch inside a section; a strip has some 6 mohm",
            "drop along a lit section over its current, or the copper's width", zero=True,
        ),
    ] = 0.3e-3  # fmt: skip
    hop_length: Annotated[
        tuple[float, ...] | None,
        _length("jumper between neighbouring sections", "joint between sections", _hops),
    ] = None
    hop_gauge: Annotated[float | None, _gauge("the joints between sections")] = None
    hop_resistance: Annotated[
        tuple[float, ...],
        measure(
            "ohm", 1e6, "loop of each joint between neighbouring sections; wins over hop_length and hop_gauge",
            "drop across it over its current",
            zero=True, kind=ValueKind.LIST, one_for_each="joint between sections", one_for_all=True,
            length=_hops, derive=lambda values: _loops(values, "hop", _hops(values), 0.03),
            default_text="from hop_length and hop_gauge where both are given, else 30 mohm",
        ),
    ] = DERIVED  # fmt: skip
    feeds: Annotated[
        tuple[int, ...],
        whole(
            0, _INF, "indexes of the sections that a feed wire goes to, from 0", "count them",
            kind=ValueKind.COUNT_LIST, one_for_each="feed wire",
        ),
    ] = (0,)  # fmt: skip
    feed_length: Annotated[tuple[float, ...] | None, _length("feed wire", "feed", same_length_as("feeds"))] = None
    feed_gauge: Annotated[float | None, _gauge("the feed wires")] = None
    feed_resistance: Annotated[
        tuple[float, ...],
        measure(
            "ohm", 1e6, "loop of each feed wire, connectors included; wins over feed_length and feed_gauge",
            "drop along the feed over its current",
            kind=ValueKind.LIST, one_for_each="feed", one_for_all=True, length=same_length_as("feeds"),
            derive=lambda values: _loops(values, "feed", len(values["feeds"]), 0.02),
            default_text="from feed_length and feed_gauge where both are given, else 20 mohm",
        ),
    ] = DERIVED  # fmt: skip
    feed_connector: Connector = NOT_SAID
    feed_pixels: Annotated[
        tuple[int, ...],
        whole(
            0, _INF, "pixel of its section where each feed lands, from 0", "count them",
            kind=ValueKind.COUNT_LIST, one_for_each="feed", length=same_length_as("feeds"),
            derive=_middle_of_fed_sections, default_text="middle of the section",
        ),
    ] = DERIVED  # fmt: skip

    section_rows: Annotated[
        int, whole(1, HIGHEST_PIXELS, "rows of pixels in a section, for the pictures of the panel", "count them")
    ] = 1
    chain_by: Annotated[
        str, choice(("rows", "columns"), "which way the chain runs inside a section", "arrows on the board")
    ] = "rows"
    serpentine: Annotated[
        bool, yes_no("whether every second row or column of a section runs back", "arrows on the board")
    ] = True
    sections_across: Annotated[
        int,
        whole(
            1, HIGHEST_SECTIONS, "sections side by side, from the upper left; the rest goes below them", "count them"
        ),
    ] = 1

    @field_validator("sections_across")
    @classmethod
    def _check_across(cls, value: int, info: ValidationInfo) -> int:
        if has(info.data, "sections") and info.data["sections"] % value:
            raise Refused(f"a number that {info.data['sections']} sections can be divided by")
        return value

    @field_validator("section_rows")
    @classmethod
    def _check_rows(cls, value: int, info: ValidationInfo) -> int:
        if has(info.data, "pixels_per_section") and value > max(info.data["pixels_per_section"]):
            raise Refused(f"1 to {max(info.data['pixels_per_section'])}, whole: not more rows than pixels")
        return value

    @field_validator("lanes")
    @classmethod
    def _check_lanes(cls, value: int, info: ValidationInfo) -> int:
        if has(info.data, "sections") and value > info.data["sections"]:
            raise Refused(f"1 to {info.data['sections']}, whole: not more lanes than sections")
        return value

    @field_validator("lumps")
    @classmethod
    def _check_lumps(cls, value: Lumps, info: ValidationInfo) -> Lumps:
        if value == AUTO:
            return value
        even = [count for count in value if count % 2 == 0]
        if even:
            raise Refused("odd numbers, so that one lies in the middle of its section", *dict.fromkeys(even))
        if has(info.data, "pixels_per_section"):
            pixels = info.data["pixels_per_section"]
            above = {count: most for count, most in zip(value, pixels, strict=True) if count > most}
            if above:
                raise Refused("not more than the section has pixels", *above)
        return value

    @field_validator("rail_resistance")
    @classmethod
    def _check_rail(cls, value: float, info: ValidationInfo) -> float:
        lumps = info.data.get("lumps", AUTO)
        if value == 0 and lumps != AUTO and max(lumps) > 1:
            raise Refused("above zero while wiring.lumps is above 1")
        return value

    @field_validator("hop_resistance", mode="before")
    @classmethod
    def _check_all_hops(cls, value: Any, info: ValidationInfo) -> Any:
        # Before the value is spread over the joints: with one section there are none left to check.
        if info.data.get("rail_resistance") == 0 and not isinstance(value, list | tuple) and _is_zero(value):
            raise Refused("above zero while rail_resistance is zero")
        return value

    @field_validator("hop_resistance")
    @classmethod
    def _check_hops(cls, value: tuple[float, ...], info: ValidationInfo) -> tuple[float, ...]:
        if info.data.get("rail_resistance") == 0 and not all(value):
            raise Refused("above zero, every one, while rail_resistance is zero")
        return value

    @field_validator("hop_resistance", "feed_resistance")
    @classmethod
    def _check_copper(cls, value: tuple[float, ...], info: ValidationInfo) -> tuple[float, ...]:
        return _check_against_copper(value, info.data, "hop" if info.field_name == "hop_resistance" else "feed")

    @field_validator("feeds")
    @classmethod
    def _check_feeds(cls, value: tuple[int, ...], info: ValidationInfo) -> tuple[int, ...]:
        if not value:
            raise Refused("one feed or more")
        if len(set(value)) < len(value):
            raise Refused("each section once")
        absent = [section for section in value if section >= info.data.get("sections", _INF)]
        if absent:
            raise Refused(f"0 to {info.data['sections'] - 1}, whole: the sections that are there", *absent)
        return value

    @field_validator("feed_pixels")
    @classmethod
    def _check_feed_pixels(cls, value: tuple[int, ...], info: ValidationInfo) -> tuple[int, ...]:
        if has(info.data, "pixels_per_section", "feeds"):
            for pixel, section in zip(value, info.data["feeds"], strict=True):
                pixels = info.data["pixels_per_section"][section]
                if pixel >= pixels:
                    raise Refused(f"0 to {pixels - 1}, whole, in section {section}", pixel)
        return value
