"""Verdicts of many variants of a build, from columns of values to numbers.

``run_columns``  verdicts of packed variants, in the thread that asks
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from inrushlib.model import layout
from inrushlib.startup.effort import MOST_STEPS, MOST_SWITCHINGS, SCREEN_TOLERANCE
from inrushlib.startup.pack_columns import PackedColumns

Array = NDArray[np.float64]
Codes = NDArray[np.int64]


def run_columns(
    packed: PackedColumns, *, tolerance: float = SCREEN_TOLERANCE, until_lost: bool = False
) -> tuple[Codes, Array]:
    """Run variants of a build; each ends where its verdict can no longer change. Holds no global lock meanwhile.

    Parameters
    ----------
    packed : PackedColumns
        The variants.
    tolerance : float
        As in :func:`inrushlib.startup.screen` [1].
    until_lost : bool
        Whether each ends at its first brown-out or trip. Which of them boot is the same then, and found sooner; the
        other verdicts are those at that moment.

    Returns
    -------
    verdicts : (n,) array
        Place of each verdict in :class:`~inrushlib.startup.Verdict`, below zero for a run that could not be finished.
    rails : (n,) array
        Voltage of the controller's rail where each run ended [V].
    """
    from inrushlib.model import batch
    from inrushlib.model.decided import UNTIL_DECIDED, UNTIL_LOST

    answers = np.empty((len(packed.parts), batch.ANSWERS))
    until = UNTIL_LOST if until_lost else UNTIL_DECIDED
    batch.run_batch(
        packed.parts, packed.lumps, packed.interruptions, tolerance, MOST_STEPS, MOST_SWITCHINGS, until, answers
    )
    statuses = answers[:, batch.STATUS].astype(np.int64)
    verdicts = np.where(statuses == layout.DONE, answers[:, batch.VERDICT].astype(np.int64), -statuses)
    return verdicts, answers[:, batch.FINAL_RAIL].copy()
