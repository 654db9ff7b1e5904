"""The stages of a fit, in their order, and how much of the work lies before each."""

from __future__ import annotations

from enum import Enum


class Stage(Enum):
    """A stage of a fit: what it does, and the share of the work that is done when it begins.

    The shares are those of a usual fit; stages that a fit does not need are passed over.
    """

    START = ("looking for start values", 0.0)
    WIDE = ("fitting on wide averages", 0.25)
    AGAIN = ("looking for the cause, since the model does not lie on the capture", 0.6)
    INTERVALS = ("looking how far each key may move", 0.7)
    REPEATS = ("repeating the fit on resampled residuals", 0.96)

    @property
    def words(self) -> str:
        """What is being done."""
        return self.value[0]

    @property
    def share(self) -> float:
        """Share of the work that is done when the stage begins [1]."""
        return self.value[1]
