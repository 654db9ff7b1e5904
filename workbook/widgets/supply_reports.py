"""Smallest adapter, reservoir and brightness cap: asked, shown, taken over."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from inrushlib.answers.adapter import adapter_answer
from inrushlib.answers.brightness import brightness_answer
from inrushlib.answers.html import render
from inrushlib.answers.reservoir import reservoir_answer
from inrushlib.answers.screen import Screen
from inrushlib.build import Build, build_keys
from inrushlib.search import (
    AdapterSize,
    BrightnessCaps,
    FirmwareConstant,
    NoAdapter,
    NoReservoir,
    ReservoirSize,
    Rung,
    brightness_caps,
    delay_window,
    firmware_constants,
    rating_ladder,
    smallest_adapter,
    smallest_reservoir,
    with_limit,
)
from widgets.question import Asked, Told
from widgets.values import written

ADAPTER_KEYS = tuple(f"adapter.{name}_current" for name in ("rated", "limit", "peak", "foldback"))


class Ladder(NamedTuple):
    """The smallest adapter, and how each standard rating starts the build."""

    build: Build
    size: AdapterSize | NoAdapter
    rungs: tuple[Rung, ...]


class Caps(NamedTuple):
    """Brightness caps and what goes into the firmware."""

    build: Build
    caps: BrightnessCaps
    constants: tuple[FirmwareConstant, ...]


def ask_adapter(build: Build, told: Told, _: Asked) -> Ladder:
    """Return the smallest adapter and the whole ladder beside it."""
    size = smallest_adapter(build)
    told(0.5)
    return Ladder(build, size, rating_ladder(build))


def ask_reservoir(build: Build, _: Told, __: Asked) -> ReservoirSize | NoReservoir:
    """Return the smallest reservoir behind a diode."""
    return smallest_reservoir(build)


def ask_brightness(build: Build, told: Told, _: Asked) -> Caps:
    """Return the caps, and the constants with the recommended delay where there is a switch."""
    caps = brightness_caps(build)
    told(0.5)
    window = delay_window(build) if build.switch is not None else None
    return Caps(build, caps, firmware_constants(build, caps, window))


def adapter_values(found: Ladder) -> Mapping[str, Any]:
    """Return the standard rating as values for the build, its ratios kept."""
    size, build = found.size, found.build
    if isinstance(size, NoAdapter) or size.standard_rating == build.adapter.rated_current:
        return {}
    larger = with_limit(build, size.standard_rating * build.adapter.limit_current / build.adapter.rated_current)
    keys = [key for key in ADAPTER_KEYS if key in build.given or key == ADAPTER_KEYS[0]]
    return {key: written(larger.get(key), build_keys()[key]) for key in keys}


def reservoir_values(found: ReservoirSize | NoReservoir) -> Mapping[str, Any]:
    """Return the next standard value as values for the build."""
    if isinstance(found, NoReservoir) or isinstance(found.standard, NoReservoir) or not found.standard.good:
        return {}
    reservoir = written(found.standard.value, build_keys()["controller.reservoir"])
    return {"controller.feed_diode": True, "controller.reservoir": reservoir}


def adapter_html(found: Ladder, screen: Screen | None = None) -> str:
    """Return the smallest adapter, what decides it, and the ladder of standard ratings."""
    return render(adapter_answer(found.build, found.size, found.rungs), screen)


def reservoir_html(found: ReservoirSize | NoReservoir, screen: Screen | None = None) -> str:
    """Return the smallest reservoir by the model and by hand."""
    return render(reservoir_answer("", found), screen)


def brightness_html(found: Caps, screen: Screen | None = None) -> str:
    """Return the caps, the constants for the firmware, and the tables of levels."""
    return render(brightness_answer(found.build, found.caps, found.constants), screen)
