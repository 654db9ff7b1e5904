"""Many variants of one build as the compiled model takes them, without a ``Build`` for each.

``pack_columns``  from columns of values, one entry a run
``PackedColumns`` what the compiled loop over runs takes
``COLUMN_TABLES``, ``takes_column``
                  which keys may be columns
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inrushlib.build import Build
from inrushlib.laws.switch import gain
from inrushlib.model import layout as at
from inrushlib.parts.part import ABSOLUTE_ZERO
from inrushlib.parts.tables import TABLES
from inrushlib.startup.lumps import cut
from inrushlib.startup.pack import frame_time, pack

Array = NDArray[np.float64]
Columns = Mapping[str, Array]

_COLOURS = ("pixel.power_on", "firmware.first_frame", "firmware.content")
_LUMP_KEYS = (
    "wiring.capacitance_per_pixel", "wiring.rail_resistance", "wiring.hop_resistance", "wiring.feed_resistance",
)  # fmt: skip
_GAIN_KEYS = ("switch.on_resistance", "switch.on_resistance_drive", "switch.threshold_voltage")
_LENGTHS = ("wiring.hop_length", "wiring.hop_gauge", "wiring.feed_length", "wiring.feed_gauge")
_FRAME_KEYS = ("firmware.bit_time", "firmware.reset_gap")


@dataclass(frozen=True)
class PackedColumns:
    """Many variants of one build.

    Attributes
    ----------
    parts : (n,) array of PARTS
        The parts of each [SI].
    lumps : (n or 1, M, LUMP_CONSTANTS) array
        The lumps of each, or of all [SI].
    interruptions : (k, 2) array
        Mains off and on again [s], the same for all.
    """

    parts: NDArray[np.void]
    lumps: Array
    interruptions: Array


def takes_column(key: str) -> bool:
    """Say whether a dotted key may be a column: counts cut the panel anew, and the resistances of several joints
    follow from their lengths and gauge, so each of these needs a build of its own.

    Parameters
    ----------
    key : str
        Dotted key of a part, such as ``adapter.limit_current``.

    Examples
    --------
    >>> takes_column("adapter.limit_current"), takes_column("wiring.pixels_per_section")
    (True, False)
    """
    table, _, name = key.partition(".")
    return not TABLES[table].about[name].kind.is_whole and key not in _LENGTHS


def pack_columns(build: Build, columns: Columns) -> PackedColumns:
    """Pack variants of a build.

    Parameters
    ----------
    build : Build
        What all have in common; its lumps are those of all.
    columns : mapping of str to (n,) or (n, k) array
        Dotted key to values [SI], one a run, for a list k of them. What follows from them by default is not
        worked out here: it is to be among them. Keys that the model does not take are passed over.

    Returns
    -------
    PackedColumns
        As :func:`inrushlib.startup.pack.pack` packs each.
    """
    packed = pack(build)
    runs = len(next(iter(columns.values()))) if columns else 1
    parts = np.repeat(np.array([packed.parts], at.PARTS), runs)
    names = at.PARTS.names or ()
    for key, column in columns.items():
        field = key.replace(".", "_")
        if field in names:
            parts[field] = column
        elif key in _COLOURS:
            parts["colours"][:, _COLOURS.index(key)] = column
    _work_out(build, columns, parts)
    lumps = packed.lumps[None]
    if any(key in columns for key in _LUMP_KEYS):
        lumps = _pack_lumps(build, columns, packed.lumps, runs)
    return PackedColumns(parts, lumps, packed.interruptions)


def _work_out(build: Build, columns: Columns, parts: NDArray[np.void]) -> None:
    if build.adapter.peak_current is None:
        parts["adapter_peak_current"] = parts["adapter_limit_current"]
    if build.limiter is not None and "limiter.ambient" in columns:
        parts["limiter_ambient_kelvin"] = columns["limiter.ambient"] - ABSOLUTE_ZERO
    switch = build.switch
    if switch is not None and switch.kind == "load-switch":  # no gate: see pack
        parts["switch_gate_source_capacitance"] = parts["switch_gate_drain_capacitance"] = 0.0
    elif switch is not None and any(key in columns for key in _GAIN_KEYS):
        resistance, drive, threshold = (columns.get(key, build.get(key)) for key in _GAIN_KEYS)
        parts["switch_gain"] = gain(resistance, drive, threshold)
    if any(key in columns for key in _FRAME_KEYS):
        firmware = build.firmware
        bits = (frame_time(build) - firmware.reset_gap) / firmware.bit_time
        bit_time, gap = (columns.get(key, build.get(key)) for key in _FRAME_KEYS)
        parts["firmware_frame_time"] = bits * bit_time + gap


def _pack_lumps(build: Build, columns: Columns, packed: Array, runs: int) -> Array:
    capacitance, pitch, hop, feed = (_rows(build, columns, key, runs) for key in _LUMP_KEYS)
    cuts = cut(build)
    s = np.repeat(packed[None], runs, axis=0)
    count = packed[:, at.COUNT]
    s[:, :, at.CAPACITANCE] = count * capacitance
    s[:, list(cuts.fed), at.FEED] = 1.0 / feed
    links = np.repeat(pitch * (count[:-1] + count[1:]) / 2, runs if len(pitch) == 1 else 1, axis=0)
    links[:, list(cuts.last[:-1])] += hop
    s[:, :-1, at.HOP] = 1.0 / links
    return s


def _rows(build: Build, columns: Columns, key: str, runs: int) -> Array:
    """Return a key's values as (runs, k): k entries of a list, or one."""
    if key in columns:
        return columns[key].reshape(runs, -1)
    return np.asarray(build.get(key), dtype=float).reshape(1, -1)
