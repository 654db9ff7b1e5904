"""The kept steps: one row each, enough to have the state at any instant of a finished run.

``keep``     write a step
``restore``  the state at a share of a kept step
``restore_modes``
             the modes that it was taken in
``width``    how long a row is
"""

from __future__ import annotations

from . import layout as at
from .compiled import compiled, inlined
from .stepper import interpolate_one


def width(count: int) -> int:
    """Length of a row for ``count`` sections."""
    return at.KEPT_STATE + 4 * (at.CORE + count) + count


@compiled
def keep(row, t, h, end, y, y_new, dense, m, q, kept):
    """Write the step from t of size h, used up to the share ``end``, if there is a row for it."""
    if row >= kept.shape[0]:
        return
    kept[row, 0] = t
    kept[row, 1] = h
    kept[row, 2] = end
    for i in range(at.KEPT_MODES.shape[0]):
        kept[row, 3 + i] = m[at.KEPT_MODES[i]]
    n = at.CORE + q.shape[0]
    base = at.KEPT_STATE
    for j in range(n):
        kept[row, base + j] = y[j]
        kept[row, base + n + j] = y_new[j]
        kept[row, base + 2 * n + j] = dense[0, j]
        kept[row, base + 3 * n + j] = dense[1, j]
    for k in range(q.shape[0]):
        kept[row, base + 4 * n + k] = q[k, at.SHOWS]


@inlined
def restore(step, share, y):
    """Fill y with the state at ``share`` (0 to 1) of a kept step."""
    n = y.shape[0]
    base = at.KEPT_STATE
    for j in range(n):
        y[j] = interpolate_one(
            share, step[base + j], step[base + n + j], step[base + 2 * n + j], step[base + 3 * n + j]
        )


@inlined
def restore_modes(step, m):
    """Fill m with the modes of a kept step."""
    for i in range(at.KEPT_MODES.shape[0]):
        m[at.KEPT_MODES[i]] = step[3 + i]
