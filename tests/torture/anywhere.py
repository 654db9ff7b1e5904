"""Random builds over the whole of the allowed ranges: a wide build of which some values are drawn from all that a
key accepts, by decades. What keys exclude one another in is refused as any build is, and counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from inrushlib.build import Build, build_keys, new_build
from inrushlib.errors import BuildError
from inrushlib.parts.part import ValueKind
from tests.startup.wide_builds import Chance, decades, random_values

LOWEST_SHARE = 1e-9  # of the upper bound, where the lower one is zero
MOST_TRIED = 200
# Below these the model is asked for more than it resolves: 500000 switchings or energies that do not add up where the
# adapter's or the regulator's whole range of load lies within the tolerance of its voltage; a pixel that draws current
# below 0 V, where its wake voltage is within the width of the law's corner.
LEAST = {
    "adapter.output_resistance": 1e-4,
    "adapter.rated_voltage": 0.1,
    "controller.dropout_resistance": 1e-4,
    "pixel.wake_voltage": 0.8,
}
# How long it takes and how large it is are the caller's.
_LEFT = {"run.duration", "firmware.refresh_interval", "firmware.bit_time", "wiring.sections", "controller.burst_period"}
_DRAWABLE = {
    key
    for key, info in build_keys().items()
    if info.table and key not in _LEFT and info.kind in (ValueKind.NUMBER, ValueKind.LIST) and math.isfinite(info.high)
}


@dataclass(frozen=True)
class Drawn:
    """A build of the whole allowed ranges.

    Attributes
    ----------
    build : Build
        The build.
    far : dict of str to object
        Which of its values were drawn from all that their keys accept [unit of the key, SI].
    refused : int
        Draws before it that were no build [1].
    """

    build: Build
    far: dict[str, Any]
    refused: int


def anywhere(number: int) -> Drawn:
    """Return build ``number``, its seed."""
    source = Chance(number)
    for refused in range(MOST_TRIED):
        values = random_values(source)
        drawn = [key for key in values if key in _DRAWABLE]
        keys = sorted({source.pick(drawn) for _ in range(source.whole(1, 4))})
        far = {key: _draw(source, key, values[key]) for key in keys}
        try:
            return Drawn(new_build(values | far), far, refused)
        except BuildError:
            continue
    raise AssertionError(f"{MOST_TRIED} draws refused")


def _draw(source: Chance, key: str, value: Any) -> Any:
    info = build_keys()[key]
    least = LEAST.get(key, info.low if info.low > 0 else info.high * LOWEST_SHARE)
    if info.low_included and info.low == 0 and source.whole(1, 6) == 1:
        return [0.0] * len(value) if isinstance(value, list) else 0.0
    if info.low < 0:
        return source.between(info.low + 1, info.high)
    if isinstance(value, list):
        return [decades(source, least, info.high) for _ in value]
    return decades(source, least, info.high)
