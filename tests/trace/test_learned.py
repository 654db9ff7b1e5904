"""What a capture taught, as rows of the log: which keys have one, what it says, how errors go together."""

from datetime import date

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.measurements import How, add_to_log, read_log
from inrushlib.odds import key_ranges
from inrushlib.parts import Origin
from inrushlib.trace import Fit, FittedKey, learned
from inrushlib.trace.fit.status import Combination, Status

DAY = date(2026, 3, 1)
LIMIT, LEAD, BOOT = "adapter.limit_current", "lead.resistance", "controller.boot_time"


def fitted(key, value, interval, status=Status.INTERVAL, start=1.0, combination=None):
    return FittedKey(key=key, value=value, start=start, interval=interval, status=status, combination=combination)


def fit_of(*keys, correlation=None):
    table = np.eye(len(keys)) if correlation is None else np.array(correlation)
    return Fit(keys={each.key: each for each in keys}, build=None, shift=0.0, name="evening.csv", correlation=table)


def test_a_row_says_value_interval_capture_and_what_was_modelled():
    (row,), together = learned(fit_of(fitted(LIMIT, 3.5, (3.4, 3.6), start=4.0)), DAY)
    assert (row.key, row.value, row.low, row.high, row.level) == (LIMIT, 3.5, 3.4, 3.6, 0.95)
    assert (row.how, row.source, row.day, row.modelled) == (How.CAPTURE, "evening.csv", DAY, 4.0)
    assert together == []


@pytest.mark.parametrize(
    ("status", "interval", "ends"),
    [
        (Status.INTERVAL, (0.9, 1.2), (0.9, 1.2)),
        (Status.AT_LEAST, (0.9, None), (0.9, None)),
        (Status.AT_MOST, (None, 1.2), (None, 1.2)),
        (Status.AT_BOUND, (0.9, None), (0.9, None)),
        (Status.AT_BOUND, (None, None), None),
        (Status.UNDETERMINED, None, None),
        (Status.ONLY_TOGETHER, None, None),
        (Status.WITHHELD, None, None),
    ],
)
def test_only_what_a_capture_determines_or_bounds_has_a_row(status, interval, ends):
    tied = Combination((LIMIT, LEAD)) if status is Status.ONLY_TOGETHER else None
    rows, _ = learned(fit_of(fitted(LIMIT, 1.0, interval, status, combination=tied)), DAY)
    assert [(row.low, row.high) for row in rows] == ([] if ends is None else [ends])


def test_a_value_that_stays_outside_its_bound_is_kept_at_it():
    # A start that the capture only bounds stays where it was, which the row must not say was measured.
    rows, _ = learned(fit_of(fitted(LIMIT, 1.0, (1.5, None), Status.AT_LEAST)), DAY)
    assert rows[0].value == 1.5


def test_how_the_errors_of_determined_keys_go_together_is_kept():
    keys = (
        fitted(LIMIT, 3.5, (3.4, 3.6)),
        fitted(BOOT, 0.2, None, Status.UNDETERMINED),
        fitted(LEAD, 0.1, (0.09, 0.12)),
    )
    table = [[1.0, 0.1, -0.6], [0.1, 1.0, 0.2], [-0.6, 0.2, 1.0]]
    rows, (together,) = learned(fit_of(*keys, correlation=table), DAY)
    assert [row.key for row in rows] == [LIMIT, LEAD]
    assert (together.source, together.keys) == ("evening.csv", (LIMIT, LEAD))
    assert together.correlation == ((1.0, -0.6), (-0.6, 1.0))


def test_what_was_learned_narrows_the_ranges_of_the_build(tmp_path):
    build = new_build({"title": "t", "adapter.rated_current": 1, "wiring.sections": 1, "wiring.pixels_per_section": 64})
    start = build.get(LIMIT)
    path = tmp_path / "t.measured.toml"
    add_to_log(path, *learned(fit_of(fitted(LIMIT, 1.01 * start, (0.99 * start, 1.03 * start), start=start)), DAY))
    measured = build.with_measured(read_log(path))
    assert measured.origin(LIMIT) is Origin.MEASURED
    before, after = (next(r for r in key_ranges(each) if r.key == LIMIT) for each in (build, measured))
    assert after.high - after.low < 0.5 * (before.high - before.low)
