"""How accurately a start is computed, and how much of it at most: the numbers that all ways of running it share."""

from typing import Final

TOLERANCE: Final = 1e-5
"""Of a start that is shown: error of a step, in units of 1 + |y| [1]."""

SCREEN_TOLERANCE: Final = 3e-4
"""Of a start among many, of which only the end is read [1]."""

MOST_STEPS: Final = 2_000_000
MOST_SWITCHINGS: Final = 500_000

LARGEST_KEPT: Final = 1 << 30
"""Of the steps that are kept for the curves [bytes]."""

FIRST_ROWS: Final = 8192
"""Of log and kept steps; doubled where they do not fit."""
