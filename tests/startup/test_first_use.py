"""Whether the model was compiled on this machine."""

import pytest

from inrushlib.model import store
from inrushlib.startup import is_compiled
from inrushlib.startup.first_use import Compiles


@pytest.mark.parametrize("missing", [None, *Compiles])
def test_a_model_of_which_anything_has_still_to_be_compiled_is_not_compiled(missing, monkeypatch):
    monkeypatch.setattr(store, "needs_compiling", lambda entry: entry == missing)
    assert is_compiled() is (missing is None)
