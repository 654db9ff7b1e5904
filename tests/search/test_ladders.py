"""Standard values and ratings: always up, never the nearest, and an adapter of another size is of the same kind."""

from itertools import pairwise

import pytest

from inrushlib.build import new_build
from inrushlib.search.preferred import E6, E12, ladder, next_e6
from inrushlib.search.ratings import RATINGS, next_rating, with_limit

BASE = {"title": "row", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8}


@pytest.mark.parametrize(("value", "found"), [(4.7e-4, 4.7e-4), (4.71e-4, 6.8e-4), (6.9, 10.0), (9.99e-5, 1e-4)])
def test_next_value_is_never_below(value, found):
    assert next_e6(value) == found


def test_a_ladder_holds_both_of_its_ends():
    assert ladder(E6, 1e-6, 1e-5) == (1e-6, 1.5e-6, 2.2e-6, 3.3e-6, 4.7e-6, 6.8e-6, 1e-5)
    assert ladder(E12, 1.1, 1.5) == (1.2, 1.5)
    assert ladder(E6, 1.6, 2.1) == ()


@pytest.mark.parametrize(
    ("current", "rating"), [(2.0, 2.0), (2.01, 2.5), (2.9, 3.0), (0.1, 0.5), (60.0, 60.0), (60.1, None)]
)
def test_next_rating_is_never_below(current, rating):
    assert next_rating(current) == rating


def test_ratings_rise_and_none_is_more_than_twice_the_one_before():
    assert all(1 < above / below <= 2 for below, above in pairwise(RATINGS))


def test_all_currents_of_an_adapter_grow_together():
    given = {
        "adapter.limit_current": 2.4,
        "adapter.peak_current": 3.6,
        "adapter.peak_time": 0.01,
        "adapter.foldback_current": 0.6,
    }
    adapter = with_limit(new_build({**BASE, **given, "adapter.limit_style": "foldback"}), 4.8).adapter
    found = (adapter.rated_current, adapter.limit_current, adapter.peak_current, adapter.foldback_current)
    assert found == pytest.approx((4.0, 4.8, 7.2, 1.2))


def test_a_given_limit_grows_alone():
    adapter = with_limit(new_build({**BASE, "adapter.limit_current": 2.4}), 4.8).adapter
    assert (adapter.rated_current, adapter.limit_current) == pytest.approx((4.0, 4.8))


@pytest.mark.parametrize("limit", [0.7, 1.1, 3.3, 4.9])
def test_currents_equal_to_the_limit_stay_on_their_side_of_it(limit):
    given = {"adapter.limit_current": 2.3, "adapter.peak_current": 2.3, "adapter.peak_time": 0.01}
    adapter = with_limit(new_build({**BASE, **given}), limit).adapter
    assert adapter.peak_current >= adapter.limit_current == limit
