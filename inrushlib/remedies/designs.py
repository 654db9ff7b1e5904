"""Builds with measures taken, by a place on the ladder of each lever.

``Space``        all designs of some measures on a build
``first_rungs``  designs spread evenly over a space
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from inrushlib.build import Build
from inrushlib.errors import InrushError
from inrushlib.quantities import format_quantity
from inrushlib.remedies.leads import lead_for, lead_needed
from inrushlib.remedies.measures import (
    BESIDE,
    BULKS,
    FIRMWARE,
    FIRST_FRAME,
    GATE_DELAY,
    LANES,
    LARGEST_PIECE,
    RAIL,
    RATING,
    REPEAT,
    Lever,
    Measure,
    gate_lever,
)
from inrushlib.remedies.outcome import Needed
from inrushlib.remedies.plans import LARGEST_DIVIDER, own_supply_needed
from inrushlib.search.preferred import next_e6
from inrushlib.search.ratings import limit_ratio, with_limit
from inrushlib.startup.pack import frame_time

Rungs = tuple[int, ...]

PIECE_ESR: Final = 50e-3
"""Series resistance that one piece of a low-ESR type keeps below [ohm]; common practice, no source."""
PIECE: Final = 0.2
"""What one more electrolytic counts against a whole ladder [1]."""
FREE: Final = 0.01
"""What a ladder without a price counts against one with [1]."""
AFTER_DARK: Final = 0.1
"""From the first frame to the picture, where the first frame was the picture [s]."""


@dataclass(frozen=True)
class Space:
    """All designs of some measures on a build.

    Attributes
    ----------
    build : Build
        The build as it is.
    measures : tuple of Measure
        What is done to it; none for the program alone.
    picture : tuple of float or None
        Duties of the running picture to take in place of the build's own [1].
    """

    build: Build
    measures: tuple[Measure, ...]
    picture: tuple[float, ...] | None = None

    @property
    def levers(self) -> tuple[Lever, ...]:
        """Of the measures, then of the program."""
        own = tuple(lever for measure in self.measures for lever in measure.levers)
        return (*own, *gate_lever(self.build, self.measures), *FIRMWARE)

    def chosen(self, rungs: Rungs) -> dict[str, float]:
        """Return the value of each lever, by its key.

        Parameters
        ----------
        rungs : tuple of int
            Place on the ladder of each lever [1].
        """
        return {lever.key: lever.values[rung] for lever, rung in zip(self.levers, rungs, strict=True)}

    def price(self, rungs: Rungs) -> float:
        """Return how dear a design is among those of its space [1]: the share of each priced ladder, summed.

        What costs nothing counts a little: where it does not matter, the first value is taken.

        Parameters
        ----------
        rungs : tuple of int
            As of :meth:`chosen` [1].
        """
        pairs = zip(self.levers, rungs, strict=True)
        ladders = sum(rung / len(lever.values) * (1.0 if lever.priced else FREE) for lever, rung in pairs)
        bulks = (lever.values[rung] for lever, rung in zip(self.levers, rungs, strict=True) if lever.key in BULKS)
        return ladders + PIECE * sum(max(0, pieces_of(value) - 1) for value in bulks)

    def made(self, rungs: Rungs) -> Build | None:
        """Return a design's build, or None where such a build cannot be.

        Parameters
        ----------
        rungs : tuple of int
            As of :meth:`chosen` [1].
        """
        try:
            return self._made(self.chosen(rungs))
        except InrushError:
            return None

    def _made(self, chosen: dict[str, float]) -> Build:
        build = self.build
        if RATING in chosen:
            build = with_limit(build, chosen[RATING] * limit_ratio(build))
            build = build.with_values(lead_for(build, chosen[RATING]))
        values: dict[str, Any] = {}
        for measure in self.measures:
            values |= measure.fixed
        program = (GATE_DELAY, FIRST_FRAME, REPEAT, RATING)
        values |= {key: value for key, value in chosen.items() if key not in program}
        if LANES in values:
            values[LANES] = int(values[LANES])
        # What stays as it is stays as sure as it is: given anew it would be no longer assumed.
        values = {key: value for key, value in values.items() if key not in BESIDE or value != build.get(key)}
        for place in ("bus", "panel"):
            if f"{place}.bulk" in values:
                values[f"{place}.bulk_esr"] = PIECE_ESR / pieces_of(values[f"{place}.bulk"])
        gate = values.get("switch.gate_resistance")
        if gate is not None:  # a small pull-up would keep the gate from coming low
            values["switch.pullup_resistance"] = max(
                values["switch.pullup_resistance"], next_e6(gate / LARGEST_DIVIDER)
            )
        build = build.with_values(values)
        return build.with_values(self._program(build, chosen))

    def _program(self, build: Build, chosen: dict[str, float]) -> dict[str, Any]:
        """Return what the program is set to; two digits will do."""
        own = self.build.firmware
        gate = chosen.get(GATE_DELAY, 0.0)
        first = gate + chosen[FIRST_FRAME]
        repeat = _up(chosen[REPEAT] * frame_time(build))
        values: dict[str, Any] = {FIRST_FRAME: first, REPEAT: repeat, "firmware.first_frame": [0.0, 0.0, 0.0]}
        if GATE_DELAY in chosen:
            values[GATE_DELAY] = gate
        picture = self.picture
        comes = own.content_delay
        if comes is None and any(own.first_frame):
            picture, comes = picture or own.first_frame, first + AFTER_DARK
        if picture is not None:
            values["firmware.content"] = list(picture)
        later = 0.0
        if comes is not None:
            # The picture waits for as many dark frames as it did before, a section may have missed one.
            later = max(0.0, first + AFTER_DARK - comes)
            values["firmware.content_delay"] = max(comes, first + AFTER_DARK)
        values["run.duration"] = self.build.run.duration + first + later
        return values

    def needed(self, build: Build, rungs: Rungs) -> tuple[Needed, ...]:
        """Return what a design takes, in words.

        Parameters
        ----------
        build : Build
            Its build.
        rungs : tuple of int
            As of :meth:`chosen` [1].
        """
        chosen = self.chosen(rungs)
        own = {key for key in BESIDE & chosen.keys() if chosen[key] == self.build.get(key)}
        found = [_needed(lever, build) for lever in self.levers if lever.key not in own]
        found += lead_needed(self.build, build)
        for measure in self.measures:
            found += [_fixed(key, build) for key in measure.fixed if key in (*_FIXED_WORDS, _FEED)]
        if self.picture is not None:
            found.append(_dimmed(build))
        return tuple(found)


def pieces_of(capacitance: float) -> int:
    """Return how many stocked electrolytics in parallel make up a capacitance [1].

    Parameters
    ----------
    capacitance : float
        In all [F].

    Examples
    --------
    >>> pieces_of(4.7e-3), pieces_of(50e-3)
    (1, 5)
    """
    return math.ceil(capacitance / LARGEST_PIECE * (1 - 1e-9))


def first_rungs(levers: tuple[Lever, ...], count: int, seed: int) -> list[Rungs]:
    """Return designs spread evenly over a space: a scrambled Sobol net on its ladders, doubles left out.

    Parameters
    ----------
    levers : tuple of Lever
        Of the space.
    count : int
        Designs at most [1], a power of two.
    seed : int
        Of the scramble [1].
    """
    from scipy.stats import qmc  # long to import, and only searches need it

    net = qmc.Sobol(len(levers), scramble=True, rng=np.random.default_rng(seed)).random(count)
    sizes = np.array([len(lever.values) for lever in levers])
    rungs = np.minimum((net * sizes).astype(int), sizes - 1)
    return list(dict.fromkeys(tuple(row) for row in rungs.tolist()))


def neighbours(levers: tuple[Lever, ...], rungs: Rungs) -> list[Rungs]:
    """Return the designs one rung away on one ladder.

    Parameters
    ----------
    levers : tuple of Lever
        Of the space.
    rungs : tuple of int
        The design [1].
    """
    found = []
    for place, lever in enumerate(levers):
        for moved in (rungs[place] - 1, rungs[place] + 1):
            if 0 <= moved < len(lever.values):
                found.append((*rungs[:place], moved, *rungs[place + 1 :]))
    return found


def _up(value: float) -> float:
    """Return a time to two digits, rounded up."""
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return float(f"{math.ceil(value / step * (1 - 1e-9)) * step:.2g}")


def _said(value: float, unit: str) -> str:
    return format_quantity(value, unit, digits=3)


def _after_begin(delay: float) -> str:
    return f"{_said(delay, 's')} after the program begins" if delay > 0.0 else "as soon as the program begins"


def _needed(lever: Lever, build: Build) -> Needed:
    value = build.get(lever.key)
    if lever.key == LANES:
        return Needed(lever.key, value, "", f"{value} data lines")
    unit = "s" if lever.key == REPEAT else lever.unit
    words = f"{lever.what} of {_said(value, unit)}"
    if lever.key == FIRST_FRAME:
        words = f"first dark frame {_after_begin(value)}"
    elif lever.key == GATE_DELAY:
        words = f"display switched on {_after_begin(value)}"
    elif lever.key == REPEAT:
        words = f"dark frame again every {_said(value, 's')} until the picture"
    elif lever.key in ("bus.bulk", "panel.bulk"):
        esr = _said(PIECE_ESR, "ohm")
        count = pieces_of(value)
        made_of = "" if count == 1 else f", {count} pieces of {_said(value / count, 'F')}"
        words += f"{made_of}, low-ESR (each below {esr}), 10 V"
    elif lever.key in ("controller.reservoir", RAIL):
        words += ", 10 V"
    elif lever.key == "switch.gate_drain_capacitance":
        words += ", its own included"
    return Needed(lever.key, value, unit, words)


_FEED = "controller.feed"
_FIXED_WORDS = {
    "wiring.feeds": "a feed wire to each section",
    "pixel.power_on": "pixels of a type that wakes dark",
}


def _fixed(key: str, build: Build) -> Needed:
    if key == "wiring.feeds":
        return Needed(key, tuple(build.wiring.feeds), "", _FIXED_WORDS[key])
    if key == "pixel.power_on":
        return Needed(key, tuple(build.pixel.power_on), "", _FIXED_WORDS[key])
    return own_supply_needed(build)


def _dimmed(build: Build) -> Needed:
    content = tuple(build.firmware.content)
    duties = ", ".join(f"{duty:.2g}" for duty in content)
    white = 100 * sum(content) / len(content)
    words = f"running picture dimmed to {white:.2g} % of full white on average over all pixels (duties {duties})"
    return Needed("firmware.content", content, "1", words)
