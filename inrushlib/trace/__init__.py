"""Captured curves: reading any text export of a scope, conditioning, lining up, fitting.

``read_trace``, ``Trace``, ``Channel``, ``ReadChoices``, ``Counting``
    a capture from a file (:mod:`inrushlib.trace.read`)
``Setting``, ``SETTINGS``, ``SettingSpec``, ``choices_from``, ``first_lines``, ``CaptureRefused``, ``Wording``
    what can be told about a file, behind the command or on the page, and refusals that name it
``with_factor``, ``through_shunt``, ``turned``, ``offset_before``, ``without_offset``, ``without_skew``,
``middle_of_pairs``
    making a raw capture fit for comparison: probe and clamp, shunt, polarity, zero, delay, peak detect
``measure``, ``Measured``, ``channel_named``
    the chosen channels as measured curves of the model's quantities
``guess_shown``, ``Guess``, ``Basis``, ``idle_level``
    what channels show, guessed where that is safe
``find_shift``, ``compare``, ``Comparison``, ``ChannelComparison``
    lining a capture up with a start, and how far it is from it
``fit_build``, ``Accuracy``, ``Fit``, ``FittedKey``, ``Stage``
    the values with which the model lies best on it (:mod:`inrushlib.trace.fit`)
``learned``
    what a fit found, as rows for the log beside the build
``read_bench``, ``BenchTable``, ``fit_bench``, ``BenchFit``, ``BenchValue``
    a pixel's law from a table of bench readings
"""

from inrushlib.trace.align import find_shift
from inrushlib.trace.bench import BenchFit, BenchValue, fit_bench
from inrushlib.trace.bench_table import BenchTable, read_bench
from inrushlib.trace.compare import ChannelComparison, Comparison, compare
from inrushlib.trace.condition import (
    middle_of_pairs,
    offset_before,
    through_shunt,
    turned,
    with_factor,
    without_offset,
    without_skew,
)
from inrushlib.trace.fit.fit import Accuracy, Fit, FittedKey, Stage, fit_build
from inrushlib.trace.guess import Basis, Guess, guess_shown, idle_level
from inrushlib.trace.learned import learned
from inrushlib.trace.prepare import Measured, channel_named, measure
from inrushlib.trace.read.reader import read_trace
from inrushlib.trace.read.record import Channel, Counting, ReadChoices, Trace
from inrushlib.trace.read.settings import SETTINGS, CaptureRefused, Setting, SettingSpec, Wording
from inrushlib.trace.read.source import first_lines
from inrushlib.trace.read.told import choices_from

__all__ = [
    "SETTINGS",
    "Accuracy",
    "Basis",
    "BenchFit",
    "BenchTable",
    "BenchValue",
    "CaptureRefused",
    "Channel",
    "ChannelComparison",
    "Comparison",
    "Counting",
    "Fit",
    "FittedKey",
    "Guess",
    "Measured",
    "ReadChoices",
    "Setting",
    "SettingSpec",
    "Stage",
    "Trace",
    "Wording",
    "channel_named",
    "choices_from",
    "compare",
    "find_shift",
    "first_lines",
    "fit_bench",
    "fit_build",
    "guess_shown",
    "idle_level",
    "learned",
    "measure",
    "middle_of_pairs",
    "offset_before",
    "read_bench",
    "read_trace",
    "through_shunt",
    "turned",
    "with_factor",
    "without_offset",
    "without_skew",
]
