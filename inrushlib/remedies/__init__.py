"""What to change so that a display starts.

``compare_remedies``, ``Remedy``
    the build as it is and all remedies on it, side by side
``Change``, ``Needed``
    how much has to change, and the part values that it takes

Below it: :mod:`~inrushlib.remedies.plans` (one function for each remedy: the changed build, or why there is none),
:mod:`~inrushlib.remedies.risks` (what a remedy leaves thin).
"""

from inrushlib.remedies.compare import Remedy, compare_remedies
from inrushlib.remedies.plans import Change, Needed

__all__ = ["Change", "Needed", "Remedy", "compare_remedies"]
