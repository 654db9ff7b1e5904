"""Machine code that is kept and called without its compiler: it answers as before."""

import numpy as np
import pytest

from inrushlib.model import compiler, machine_code, store
from inrushlib.model.arguments import POINTER, REALS
from inrushlib.model.cache_folder import open_entry
from inrushlib.model.compiled import entry

from .kept_code import ANSWER, SCALED, call, scaled


def refuses(values):
    """A function that comes to no end of its own."""
    if values[0] > 0.0:
        raise ValueError


class Otherwise:
    """An argument that a version of numba would lay out in another way."""

    words = (POINTER,)


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """A folder for code of its own."""
    monkeypatch.setenv("INRUSH_CACHE_DIR", str(tmp_path))
    monkeypatch.setattr(store, "ENTRY", open_entry("0" * 16))
    return tmp_path


@pytest.fixture
def compilations(monkeypatch):
    """Names of what is compiled."""
    names, compile_it = [], compiler.machine_code

    def counted(function, takes):
        names.append(function.name)
        return compile_it(function, takes)

    monkeypatch.setattr(compiler, "machine_code", counted)
    return names


def test_kept_code_is_called(kept, compilations):
    assert [call(), call()] == [ANSWER, ANSWER]
    assert compilations == ["kept_code.scaled"]


def test_without_a_place_to_keep_it(monkeypatch):
    monkeypatch.setattr(store, "ENTRY", None)
    assert call() == ANSWER


def test_another_processor_compiles_for_itself(kept, compilations, monkeypatch):
    call()
    monkeypatch.setenv("NUMBA_CPU_NAME", "generic")
    compiled_for = machine_code.machine
    compiled_for.cache_clear()
    try:
        assert call() == ANSWER
    finally:
        compiled_for.cache_clear()
    assert len(compilations) == 2


@pytest.mark.parametrize(
    "values", [np.arange(6.0)[::2], np.arange(3), np.ones((3, 1))], ids=["gaps", "whole numbers", "two dimensions"]
)
def test_an_array_of_another_kind_is_refused(kept, values):
    with pytest.raises(TypeError, match="expected"):
        entry(*SCALED)(scaled)(values, 3.0, (1, 0.5), np.zeros((2, 3)))


def test_code_that_ends_otherwise_is_an_error(kept):
    call_it = entry(REALS)(refuses)
    call_it(np.zeros(1))
    with pytest.raises(RuntimeError, match="status"):
        call_it(np.ones(1))


def test_where_numba_calls_its_code_in_another_way_numba_calls_it(kept, monkeypatch):
    monkeypatch.setattr(type(REALS), "words", Otherwise.words)
    assert call() == ANSWER
    assert not list(kept.rglob("*.code"))
