"""A function that Python calls with every kind of argument; its machine code is kept."""

import numpy as np

from inrushlib.model.arguments import REAL, REALS, ROWS, WHOLE, Several
from inrushlib.model.compiled import entry

SCALED = REALS, REAL, Several((WHOLE, REAL)), ROWS


def scaled(values, by, pair, out):
    """All kinds of arguments: an array, numbers, a tuple of them, and what is written to."""
    row, shift = pair
    for j in range(values.shape[0]):
        out[row, j] = by * values[j] + shift


def call():
    """Call the function as a new process would."""
    values, out = np.array([1.0, 2.0, 4.0]), np.zeros((2, 3))
    entry(*SCALED)(scaled)(values, 3, (1, 0.5), out)
    return out.tolist()


ANSWER = [[0.0, 0.0, 0.0], [3.5, 6.5, 12.5]]
NAME = entry(*SCALED)(scaled).name
