"""How long a start has to be watched to tell whether it boots, while designs are only compared.

``watched``  packed variants of a build that end once the picture has been on for a while

Dark frames repeated every few milliseconds make a run dear long after it has been decided. What is recommended in the
end is judged over its whole duration.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from inrushlib.startup.pack_columns import PackedColumns

SETTLES: Final = 0.3
"""From the picture on [s]: enough for a bus to recover, and longer than adapters that switch off at their limit wait;
common practice, no source."""
BURSTS: Final = 2
"""Bursts of the radio that are waited for [1]."""


def watched(packed: PackedColumns) -> PackedColumns:
    """Return packed variants of a build that end where a start that boots has settled, if that is before their end.

    What fills slowly through a limiter, and what sees its mains go, keeps its duration.

    Parameters
    ----------
    packed : PackedColumns
        The variants.
    """
    p = packed.parts
    if len(packed.interruptions) or np.any(p["limiter_fitted"] > 0):
        return packed
    limit = np.where(
        p["adapter_folds"] > 0,
        np.minimum(p["adapter_foldback_current"], p["adapter_limit_current"]),
        p["adapter_limit_current"],
    )
    fills = (p["bus_bulk"] + p["panel_bulk"] + p["controller_reservoir"]) * p["adapter_rated_voltage"] / limit
    runs = p["adapter_soft_start"] + fills + p["controller_reset_hold"] + p["controller_boot_time"]
    content = p["firmware_content_delay"]
    picture = np.where(np.isfinite(content), content, p["firmware_first_frame_delay"])
    bursts = np.where(p["controller_burst_current"] > 0, BURSTS * p["controller_burst_period"], 0.0)
    parts = p.copy()
    parts["run_duration"] = np.minimum(
        p["run_duration"], runs + picture + p["firmware_frame_time"] + np.maximum(bursts, SETTLES)
    )
    return replace(packed, parts=parts)
