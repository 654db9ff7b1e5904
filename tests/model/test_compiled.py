"""What the compiler's options do to the code, seen in the code: numba's manual does not promise all of it."""

import sys
from math import inf

import numpy as np
import pytest
from numba import njit

from inrushlib.build import new_build
from inrushlib.model import branches, judge, machine_code, readout, slack, store
from inrushlib.model import layout as at
from inrushlib.model import run as model_run
from inrushlib.model.decided import UNTIL_END
from inrushlib.model.function import OPTIONS
from inrushlib.startup.pack import pack

# Numba's names for counting a reference up and down.
COUNTING = ("NRT_incref", "NRT_decref")


def total(x):
    """A function that passes an array on, by a slice."""
    return x[1:].sum() + x[0]


def code(dispatcher):
    """Its machine code as text, all signatures."""
    return "".join(dispatcher.inspect_asm().values())


def pieces():
    packed = pack(
        new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 2, "wiring.pixels_per_section": 8})
    )
    return packed.parts, packed.lumps, packed.interruptions


def test_arrays_are_counted_by_numba_and_not_by_ours():
    # Compiled here, past the cache: what comes from there shows no code.
    counted = njit(**{**OPTIONS, "_nrt": True})(total)
    uncounted = njit(**OPTIONS)(total)
    x = np.arange(4.0)
    assert counted(x) == uncounted(x) == 6.0
    assert any(name in code(counted) for name in COUNTING)
    assert not any(name in code(uncounted) for name in COUNTING)


@pytest.mark.parametrize("entry", [model_run.runs, readout._tally, slack._read, branches._branches])
def test_the_model_calls_nothing_of_numba_and_nothing_of_python(entry):
    entry.run  # noqa: B018, which compiles it where it is not kept
    code = machine_code.read(store.ENTRY, entry.name)
    assert set(code.outside) <= {"exp", "expm1", "fabs", "log", "log1p", "pow", "sqrt"}


def test_what_is_passed_in_is_neither_kept_nor_given_away():
    p, s, interruptions = pieces()
    n, count = at.CORE + len(s), len(s)
    y, m, q = np.zeros(n), np.full(at.MODES, inf), np.zeros((count, at.LUMP_MODES))
    log, kept, out = np.zeros((64, 3)), np.zeros((0, 1)), np.zeros(model_run.OUTS)
    arrays = (s, interruptions, y, m, q, log, kept, out)
    before = [sys.getrefcount(x) for x in arrays]
    for _ in range(50):
        model_run.run(p, s, interruptions, 1e-3, 1e6, 1e5, UNTIL_END, y, m, q, log, kept, out)
        judge.judge(m, q)
    assert [sys.getrefcount(x) for x in arrays] == before
