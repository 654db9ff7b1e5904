"""The limited-power classes, on either side of each of their limits."""

import pytest

from inrushlib.build import new_build
from inrushlib.safety.finding import Question
from inrushlib.safety.limited_power import limited_power_findings
from inrushlib.severity import Severity


def questions(volts, amps, peak=None):
    values = {
        "title": "an adapter", "adapter.rated_voltage": volts, "adapter.rated_current": amps,
        "adapter.limit_current": amps, "wiring.sections": 1, "wiring.pixels_per_section": 8,
    }  # fmt: skip
    if peak is not None:
        values |= {"adapter.peak_current": peak, "adapter.peak_time": "1 ms"}
    return {found.question: found.severity for found in limited_power_findings(new_build(values))}


@pytest.mark.parametrize(
    ("volts", "amps", "peak", "severity"),
    [
        # IEC 62368-1 annex Q, table Q.1 (from memory): up to 30 V no more than 8 A and 100 VA.
        (5.0, 8.0, None, Severity.FINE),
        (5.0, 8.1, None, Severity.CAUTION),
        (20.0, 5.0, None, Severity.FINE),
        (20.0, 5.1, None, Severity.CAUTION),
        # What it gives for a short time counts, too.
        (5.0, 7.0, 8.1, Severity.CAUTION),
        (5.0, 7.0, 8.0, Severity.FINE),
    ],
)
def test_current_and_power(volts, amps, peak, severity):
    assert questions(volts, amps, peak)[Question.SOURCE_CLASS] is severity


# IEC 60950-1 section 2.5 table 2B (from memory): 5 VA a volt up to 20 V, which is 5 A.
@pytest.mark.parametrize(("amps", "said"), [(5.0, False), (5.1, True), (8.0, True), (8.1, False)])
def test_the_older_form_is_told_where_it_alone_is_passed(amps, said):
    assert (Question.OLDER_SOURCE_CLASS in questions(5.0, amps)) == said
