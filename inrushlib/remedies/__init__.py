"""What to change so that a display starts.

``compare_remedies``, ``Remedy``, ``NoRemedy``
    the build as it is and all remedies on it, side by side; those that it cannot have say why
``recommend_remedies``, ``Recommendation``, ``FINALIST_RUNS``
    these and those found over all levers at once, with odds, and which to take
``Shortfall``, ``WhyNoSwitch``
    why no switch does it on the adapter at hand without a bank of capacitors
``carries_picture``
    whether a build's adapter carries its running picture without end
``reason_for``, ``in_short``, ``parts_of``
    why to take one, and what it costs in parts
``RemedyName``, ``Change``, ``Effort``
    which remedy, and how much has to change, how much work that is
``Found``, ``Needed``, ``Nothing``, ``WhyNot``
    the part values that it takes, or why there are none

Below it: :mod:`~inrushlib.remedies.plans` (one function for each remedy: the changed build, or why there is none),
:mod:`~inrushlib.remedies.measures` (what a builder can do, with levers in standard values),
:mod:`~inrushlib.remedies.joint` (the search over all of them at once),
:mod:`~inrushlib.remedies.charge` (what the lit display takes until it is dark, by a sum),
:mod:`~inrushlib.remedies.risks` (what a remedy leaves thin).
"""

from inrushlib.remedies.compare import NoRemedy, Remedy, compare_remedies
from inrushlib.remedies.effort import Effort
from inrushlib.remedies.outcome import Change, Found, Needed, Nothing, RemedyName, WhyNot
from inrushlib.remedies.picture import carries_picture
from inrushlib.remedies.reason import in_short, parts_of, reason_for
from inrushlib.remedies.recommend import FINALIST_RUNS, Recommendation, recommend_remedies
from inrushlib.remedies.shortfall import Shortfall, WhyNoSwitch

__all__ = [
    "FINALIST_RUNS",
    "Change",
    "Effort",
    "Found",
    "Needed",
    "NoRemedy",
    "Nothing",
    "Recommendation",
    "Remedy",
    "RemedyName",
    "Shortfall",
    "WhyNoSwitch",
    "WhyNot",
    "carries_picture",
    "compare_remedies",
    "in_short",
    "parts_of",
    "reason_for",
    "recommend_remedies",
]
