"""Choosing from the ladder of gauges, conventions and messages; published values are in tests/published."""

import pytest

from inrushlib.copper import (
    at_temperature,
    awg_area,
    metric_resistance_per_metre,
    thickest_gauge_within,
    wire_resistance,
)
from inrushlib.errors import UsageError


def test_rating_rounds_down() -> None:
    for gauge in (28, 20, 12):
        area = awg_area(gauge)
        assert thickest_gauge_within(area) == gauge
        assert thickest_gauge_within(area * 0.999) == gauge + 2


def test_the_ladder_ends() -> None:
    with pytest.raises(UsageError, match=r"wire area: 0.032 mm2; accepted: 0.0509 mm2 \(30 AWG\) or thicker"):
        thickest_gauge_within(awg_area(32))


def test_resistance_is_linear_in_length_and_at_20_degrees_alike_in_both_conventions() -> None:
    assert wire_resistance(2.0, 1e-6) == pytest.approx(2 * wire_resistance(1.0, 1e-6))
    assert at_temperature(1.0, 20.0, "IACS") == at_temperature(1.0, 20.0, "IEC 60228") == 1.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: metric_resistance_per_metre(0.6), r"conductor size: 0.6 mm2; accepted: 0.5, 0.75, .*not interp"),
        (lambda: metric_resistance_per_metre(0.5, "class 9"), r"conductor table: 'class 9'; accepted: one of"),
        (lambda: at_temperature(1.0, 300.0), r"copper temperature: 300 C; accepted: -60 to 250 C"),
        (lambda: at_temperature(1.0, 20.0, "other"), r"convention: 'other'; accepted: IACS or IEC 60228"),  # type: ignore[arg-type]
        (lambda: wire_resistance(1.0, 0.0), r"wire: 1 m of 0 mm2; accepted: a length of 0 or more"),
    ],
)  # fmt: skip
def test_messages(call, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(UsageError, match=message):
        call()
