"""How arrays and numbers are laid out for the machine."""

import numpy as np
import pytest

from inrushlib.model import layout as at
from inrushlib.model.arguments import PLACES, REALS, RECORDS, ROWS


def words_of(array):
    """What the machine is given of an array, by what numpy says of itself."""
    return (0, 0, array.size, array.itemsize, array.ctypes.data, *array.shape, *array.strides)


def read_only(array):
    array.flags.writeable = False
    return array


@pytest.mark.parametrize(
    ("kind", "array"),
    [
        (REALS, np.arange(3.0)),
        (REALS, np.empty(0)),
        (REALS, read_only(np.arange(3.0))),
        (REALS, np.arange(8.0)[2:5]),
        (ROWS, np.zeros((2, 3))),
        (ROWS, np.zeros((0, 3))),
        (PLACES, np.arange(4)),
        (RECORDS, np.zeros(2, at.PARTS)),
        (RECORDS, np.zeros(2, np.dtype(at.PARTS.descr))),
        (RECORDS, np.zeros(2, at.PARTS)[1:]),
    ],
    ids=lambda value: "",
)
def test_an_array_is_told_by_where_it_begins_and_its_shape(kind, array):
    assert kind.spread(array) == words_of(array)


@pytest.mark.parametrize(
    ("kind", "array"),
    [(REALS, np.arange(3)), (REALS, np.zeros((2, 3))), (REALS, np.arange(6.0)[::2]), (RECORDS, np.zeros(2))],
    ids=lambda value: "",
)
def test_what_the_machine_would_misread_is_refused(kind, array):
    with pytest.raises(TypeError, match="without gaps"):
        kind.spread(array)
