"""What can get hot, blow or burn, and what it stands: findings on a build and its steady display.

``safety_findings``, ``Finding``, ``Severity``, ``Question``, ``grouped``
    all findings on a display in steady state, worst first; ``Hardware`` says what the build file does not
``switch_stress``, ``SwitchStress``, ``Heating``, ``OffState``
    what the switch has to stand
``watched_start``
    a start that is watched until some time after its boot, for the pulses that fuses see
``fuse_for``, ``FuseChoice``, ``FuseOutcome``, ``FUSE_FAMILIES``, ``required_melting_i2t``
    a fuse for one conductor, and the pulses that it lives through
``CONTINUOUS_SHARE``, ``DEFERS``, ``HOTTEST``
    what the findings hold parts to, and what no finding replaces

Below it: :mod:`~inrushlib.safety.finding` (a finding and the sentence made from it), the findings by what they look at
(:mod:`~inrushlib.safety.conductors`, :mod:`~inrushlib.safety.fuse_findings`, :mod:`~inrushlib.safety.supply`,
:mod:`~inrushlib.safety.data_line`, :mod:`~inrushlib.safety.limited_power`, :mod:`~inrushlib.safety.switch_findings`),
:mod:`~inrushlib.safety.fault_current`, :mod:`~inrushlib.safety.hardware`, :mod:`~inrushlib.safety.pulse`.
"""

from inrushlib.safety.display import safety_findings
from inrushlib.safety.finding import CONTINUOUS_SHARE, DEFERS, HOTTEST, Finding, Question, grouped
from inrushlib.safety.fuse import FUSE_FAMILIES, FuseChoice, FuseOutcome, fuse_for
from inrushlib.safety.fuse_pulse import required_melting_i2t
from inrushlib.safety.hardware import Hardware
from inrushlib.safety.pulse import watched_start
from inrushlib.safety.stress import Heating, OffState, SwitchStress
from inrushlib.safety.switch_stress import switch_stress
from inrushlib.severity import Severity

__all__ = [
    "CONTINUOUS_SHARE",
    "DEFERS",
    "FUSE_FAMILIES",
    "HOTTEST",
    "Finding",
    "FuseChoice",
    "FuseOutcome",
    "Hardware",
    "Heating",
    "OffState",
    "Question",
    "Severity",
    "SwitchStress",
    "fuse_for",
    "grouped",
    "required_melting_i2t",
    "safety_findings",
    "switch_stress",
    "watched_start",
]
