"""What to change so that a display starts.

``compare_remedies``, ``Remedy``, ``NoRemedy``
    the build as it is and all remedies on it, side by side; those that it cannot have say why
``RemedyName``, ``Change``
    which remedy, and how much has to change
``Found``, ``Needed``, ``Nothing``, ``WhyNot``
    the part values that it takes, or why there are none

Below it: :mod:`~inrushlib.remedies.plans` (one function for each remedy: the changed build, or why there is none),
:mod:`~inrushlib.remedies.risks` (what a remedy leaves thin).
"""

from inrushlib.remedies.compare import NoRemedy, Remedy, compare_remedies
from inrushlib.remedies.outcome import Change, Found, Needed, Nothing, RemedyName, WhyNot

__all__ = [
    "Change",
    "Found",
    "Needed",
    "NoRemedy",
    "Nothing",
    "Remedy",
    "RemedyName",
    "WhyNot",
    "compare_remedies",
]
