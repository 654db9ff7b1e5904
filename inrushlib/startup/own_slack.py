"""Many starts and, of each, the slacks that its own run tells: for searches that look how near an edge is.

``screen_slacks``   answers and shares of slack; a third more than the answers alone take
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from inrushlib.startup.effort import FIRST_ROWS, MOST_STEPS, MOST_SWITCHINGS, SCREEN_TOLERANCE
from inrushlib.startup.first_use import Compiles, compiling
from inrushlib.startup.many import Answers, read_answers, share_out
from inrushlib.startup.pack import Packed


def screen_slacks(
    packed: Sequence[Packed],
    *,
    tolerance: float = SCREEN_TOLERANCE,
    until_lost: bool = False,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[Answers, NDArray[np.float64]]:
    """Return the answers for many builds, and the shares of slack that their own runs tell.

    Parameters
    ----------
    packed : sequence of Packed
        As :func:`inrushlib.startup.pack.pack` gives them.
    tolerance, until_lost, cancelled
        As of :func:`~inrushlib.startup.screen_packed` [1]; where it is not until lost, each ends where its verdict can
        no longer change.

    Returns
    -------
    Answers
        Of each.
    (n, rules) array
        Slack over the rule's own threshold [1]: of a rule that took effect 0, not a number where it has no say.

    Raises
    ------
    inrushlib.errors.Cancelled
        Where the caller asked to stop.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.startup import Rule, pack
    >>> tiles = new_build({"title": "six tiles", "adapter.rated_current": 2, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> answers, shares = screen_slacks([pack(tiles)])
    >>> told = [f"{rule.key} {share:.2f}" for rule, share in zip(Rule, shares[0], strict=True) if share == share]
    >>> answers.verdict(0).value, told
    ('stuck', ['reset-release -0.11'])
    """
    from inrushlib.model import batch
    from inrushlib.model import slack as sl
    from inrushlib.model.decided import UNTIL_DECIDED, UNTIL_LOST
    from inrushlib.model.slack_readout import SHARE

    answers = np.empty((len(packed), batch.ANSWERS))
    tables = np.empty((len(packed), sl.RULES, sl.COLUMNS))

    def run(rows: list[int]) -> None:
        some, found = np.empty((len(rows), batch.ANSWERS)), np.empty((len(rows), *tables.shape[1:]))
        sl.own_slack_batch(
            np.array([packed[i].parts for i in rows]),
            np.array([packed[i].lumps for i in rows]),
            packed[rows[0]].interruptions,
            tolerance,
            MOST_STEPS,
            MOST_SWITCHINGS,
            FIRST_ROWS,
            UNTIL_LOST if until_lost else UNTIL_DECIDED,
            some,
            found,
        )
        answers[rows], tables[rows] = some, found

    with compiling(Compiles.SLACK):
        share_out(packed, run, cancelled=cancelled)
    return read_answers(answers), tables[:, :, SHARE]
