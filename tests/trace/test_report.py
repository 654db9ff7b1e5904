"""From ends of profiles to what is said of each key, on made ends: statuses, limits, and what goes together."""

from types import SimpleNamespace

import numpy as np
import pytest

from inrushlib.trace.fit import report
from inrushlib.trace.fit.least_squares import Uncertainty
from inrushlib.trace.fit.minimum import _apart
from inrushlib.trace.fit.profile import Profile
from inrushlib.trace.fit.report import _combination, _hull, _keys, _valleys
from inrushlib.trace.fit.status import Combination, Status

OPEN = np.inf
RESISTANCES = ("adapter.output_resistance", "lead.resistance")


def point(x, cost=0.0):
    return SimpleNamespace(x=np.array(x, float), cost=cost)


def problem(start, keys=("adapter.limit_current",), reach=2.0):
    start = np.array(start, float)
    return SimpleNamespace(
        keys=keys, start=start, values=lambda x: start * np.exp(x), lower=np.full(len(start), -reach),
        upper=np.full(len(start), reach),
    )  # fmt: skip


def told(x, low, high, *, draws=None, loose=False, valleys=None):
    """What is said of one key that starts at 4 A."""
    ends = np.array([[low, high]])
    (found,) = _keys(problem([4.0]), point([x]), ends, valleys or {}, draws, loose).values()
    return found


@pytest.mark.parametrize(
    ("x", "low", "high", "status", "interval"),
    [
        (0.5, 0.2, 0.8, Status.INTERVAL, (0.2, 0.8)),
        (0.5, 0.2, OPEN, Status.AT_LEAST, (0.2, None)),
        (0.5, -OPEN, 0.8, Status.AT_MOST, (None, 0.8)),
        (0.5, -OPEN, OPEN, Status.UNDETERMINED, None),
        # Within a thousandth of a bound an open side is the bound's.
        (1.9995, 0.2, OPEN, Status.AT_BOUND, (0.2, None)),
        (-1.9995, -OPEN, 0.8, Status.AT_BOUND, (None, 0.8)),
        (1.9985, 0.2, OPEN, Status.AT_LEAST, (0.2, None)),
        (1.9995, 1.9, 1.9999, Status.INTERVAL, (1.9, 1.9999)),
    ],
)
def test_status_and_interval_by_the_ends(x, low, high, status, interval):
    found = told(x, low, high)
    assert (found.key, found.status, found.start) == ("adapter.limit_current", status, 4.0)
    assert found.value == pytest.approx(4.0 * np.exp(x))
    assert found.combination is None
    if interval is None:
        assert found.interval is None
    else:
        for end, logarithm in zip(found.interval, interval, strict=True):
            assert end is None if logarithm is None else end == pytest.approx(4.0 * np.exp(logarithm))


def test_what_goes_together_has_no_interval_of_its_own():
    combination = Combination(("adapter.limit_current",))
    found = told(0.5, 0.2, 0.8, valleys={0: combination})
    assert (found.status, found.interval, found.combination) == (Status.ONLY_TOGETHER, None, combination)


def test_a_defect_that_is_fitted_along_leaves_3_percent_at_least():
    low, high = told(0.5, 0.49, 0.9, loose=True).interval
    assert (np.log(low / 4.0), np.log(high / 4.0)) == pytest.approx((0.47, 0.9))
    low, high = told(0.5, 0.1, 0.51, loose=True).interval
    assert (np.log(low / 4.0), np.log(high / 4.0)) == pytest.approx((0.1, 0.53))
    assert told(0.5, 0.49, OPEN, loose=True).interval[0] == pytest.approx(4.0 * np.exp(0.49))


def test_a_bootstraps_interval_is_reflected_about_the_fit():
    # Draws from -0.1 to +0.3 about the fit: the truth lies from 0.3 below it to 0.1 above it, of 95 %.
    draws = (0.5 + np.linspace(-0.1, 0.3, 4001))[:, None]
    low, high = told(0.5, 0.0, 1.0, draws=draws).interval
    assert (np.log(low / 4.0), np.log(high / 4.0)) == pytest.approx((0.5 - 0.29, 0.5 + 0.09))
    assert told(0.5, 0.2, OPEN, draws=draws).interval == (pytest.approx(4.0 * np.exp(0.2)), None)


def test_points_that_lie_as_well_widen_an_interval():
    best, profiles = point([0.0, 0.0], 10.0), [Profile(-0.1, 0.2, ()), Profile(None, 0.3, ())]
    met = [point([0.5, -0.4], 13.8), point([-0.6, 0.9], 13.9)]  # 3.84 is the edge
    assert _hull(best, profiles, []).tolist() == [[-0.1, 0.2], [-OPEN, 0.3]]
    assert _hull(best, profiles, met).tolist() == [[-0.1, 0.5], [-OPEN, 0.3]]
    closed = [Profile(-0.1, 0.2, ()), Profile(-0.2, None, ())]
    assert _hull(best, closed, [point([-0.3, -0.4], 12.0)]).tolist() == [[-0.3, 0.2], [-0.4, OPEN]]


@pytest.mark.parametrize(("to_the_end", "asked"), [(False, [0, 1]), (True, [0, 1, 2])])
def test_profiles_end_where_they_meet_a_better_fit_unless_all_are_wanted(monkeypatch, to_the_end, asked):
    # Better counts from a fall of 1 on; the lowest of all that were met is returned.
    met = {0: [point([0.0], 9.1), point([0.0], 12.0)], 1: [point([0.0], 8.0), point([0.0], 7.0)], 2: [point([0.0], 9)]}
    seen = []

    def profile(problem, best, slopes, known, i):
        seen.append(i)
        return Profile(None, None, tuple(met[i]))

    monkeypatch.setattr(report, "profile", profile)
    three = SimpleNamespace(keys=("a", "b", "c"))
    found, lowest = report._profiles(three, point([0.0], 10.0), None, None, to_the_end=to_the_end)
    assert seen == asked
    assert len(found) == len(asked)
    assert lowest is met[1][1]
    met[1] = []
    assert report._profiles(three, point([0.0], 9.9), None, None, to_the_end=to_the_end)[1] is None


def test_of_two_resistances_in_a_row_their_sum_is_told():
    # Of 50 and 200 mohm a sum is known to 1 mohm and each to 20: d(sum) = R1 dx1 + R2 dx2, written as a covariance.
    start = np.array([0.05, 0.2])
    along, across = np.array([1 / 0.05, -1 / 0.2]), np.array([0.05, 0.2]) / (0.05**2 + 0.2**2)
    covariance = 0.02**2 * np.outer(along, along) + 0.001**2 * np.outer(across, across)
    errors = np.sqrt(np.diag(covariance))
    known = Uncertainty(errors=errors, correlation=covariance / np.outer(errors, errors))
    found = _combination(problem(start, RESISTANCES), point([0.0, 0.0]), known, [0, 1])
    assert (found.keys, found.summed) == (RESISTANCES, True)
    assert found.factors == pytest.approx((1.0, 1.0))
    assert found.value == pytest.approx(0.25)
    assert found.error == pytest.approx(0.001, rel=1e-3)


def test_of_keys_of_two_units_a_product_is_told():
    # R C to 2 %, each to half: x1 + x2 has a deviation of 0.02.
    along, across = np.array([1.0, -1.0]) / 2, np.array([1.0, 1.0]) / 2
    covariance = 0.5**2 * np.outer(along, along) + 0.02**2 * np.outer(across, across)
    errors = np.sqrt(np.diag(covariance))
    known = Uncertainty(errors=errors, correlation=covariance / np.outer(errors, errors))
    keys = ("bus.bulk", "lead.resistance")
    found = _combination(problem([1e-3, 0.1], keys), point([0.0, 0.0]), known, [0, 1])
    assert (found.keys, found.summed, found.value) == (keys, False, 1.0)
    assert found.factors == pytest.approx((1.0, 1.0))
    assert found.error == pytest.approx(0.02, rel=1e-3)


def valleys(widths, correlation, felt=100.0, delay=0.0):
    """What goes together, of two keys with intervals of these widths that are felt alike."""
    held = np.vstack([felt * np.eye(2), np.eye(2)])
    slopes = SimpleNamespace(held=held, delay=np.full(2, delay))
    by_shift_and_offset = -felt * np.array([[1.0, 0.0], [0.0, 1.0]])
    best = SimpleNamespace(x=np.zeros(2), settled=SimpleNamespace(slopes=by_shift_and_offset))
    known = Uncertainty(errors=np.ones(2), correlation=np.array([[1.0, correlation], [correlation, 1.0]]))
    ends = np.array([[-width / 2, width / 2] for width in widths])
    return _valleys(problem([0.05, 0.2], RESISTANCES), best, slopes, known, ends)


@pytest.mark.parametrize(
    ("widths", "correlation", "felt", "together"),
    [
        ((OPEN, OPEN), -0.99, 100.0, True),
        ((OPEN, 0.1), -0.99, 100.0, True),
        ((0.61, 0.061), 0.98, 100.0, True),
        ((0.59, 0.59), 0.99, 100.0, False),  # neither is open
        ((OPEN, 0.059), 0.99, 100.0, False),  # the other one is known
        ((OPEN, OPEN), 0.96, 100.0, False),  # they do not go together
        ((OPEN, OPEN), 0.99, 9.9, False),  # not felt: 1 / 9.9 is above a tenth
        ((OPEN, OPEN), 0.99, 10.1, True),
    ],
)
def test_keys_that_are_felt_and_open_and_correlated_go_together(widths, correlation, felt, together):
    found = valleys(widths, correlation, felt)
    assert set(found) == ({0, 1} if together else set())
    for each in found.values():
        assert each.keys == RESISTANCES


def test_a_key_that_the_shift_takes_all_of_is_told_with_the_shift():
    # Felt as 1 / 100; once the shift follows, to all but a fiftieth.
    assert set(valleys((OPEN, 0.01), 0.0, delay=0.98)) == {0}
    assert valleys((OPEN, 0.01), 0.0, delay=0.98)[0] == Combination(("adapter.output_resistance",))
    assert valleys((OPEN, 0.01), 0.0, delay=0.0) == {}


def test_of_points_near_each_other_the_lowest_is_kept():
    row = [point([0.5, 1.0], 3.0), point([0.0, 1.0], 1.0), point([0.25, 1.0], 2.0)]
    assert [each.cost for each in _apart(row, 0.25)] == [1.0, 2.0, 3.0]
    assert [each.cost for each in _apart(row, 0.26)] == [1.0, 3.0]
    assert [each.cost for each in _apart(row, 0.51)] == [1.0]


@pytest.mark.parametrize(
    ("ends", "dip", "back"),
    [
        ([(-OPEN, 0.5), (0.1, 0.9)], 0.0, [True, False]),  # open, and the start lies as well
        ([(-0.5, OPEN), (-0.1, OPEN)], 0.0, [True, True]),
        ([(-0.5, 0.5), (0.1, 0.9)], 0.0, [False, False]),  # closed: it stays where it is best
        ([(0.1, OPEN), (0.1, 0.9)], 0.0, [False, False]),  # the start does not lie within
        ([(-OPEN, 0.5), (0.1, 0.9)], 3.8, [True, False]),
        ([(-OPEN, 0.5), (0.1, 0.9)], 3.9, [False, False]),  # at its start it lies worse by more than 3.84
    ],
)
def test_keys_that_may_as_well_be_at_their_start_are_put_back(monkeypatch, ends, dip, back):
    def at(x, _):
        return point(x, 10.0 + dip * (x[0] == 0.0))

    monkeypatch.setattr(report, "descend", lambda problem, moved, others, fineness: moved)
    made = SimpleNamespace(point=at, lined_up=lambda moved: moved)
    slopes = SimpleNamespace(errors=lambda near, x: None)
    found = report._put_back(made, point([0.3, 0.4], 10.0), slopes, np.array(ends))
    assert found.x.tolist() == [0.0 if one else was for one, was in zip(back, (0.3, 0.4), strict=True)]
    none = SimpleNamespace(point=lambda x, _: None, lined_up=None)
    assert report._put_back(none, point([0.3, 0.4], 10.0), slopes, np.array(ends)).x.tolist() == [0.3, 0.4]
