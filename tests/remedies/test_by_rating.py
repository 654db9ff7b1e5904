"""Which adapter is bought: it carries the picture too, and boots often at more points than it was chosen by."""

import pytest

from inrushlib.build import new_build
from inrushlib.remedies.by_rating import adapter_for
from inrushlib.remedies.designs import Space
from inrushlib.remedies.measures import RATING, measures_of
from inrushlib.remedies.outcome import RemedyName
from inrushlib.remedies.picture import carries_picture
from inrushlib.remedies.trial import Trial


@pytest.fixture(scope="module")
def space():
    """Its own supply keeps the controller running whatever the bus does: the start alone asks for next to nothing."""
    build = new_build(
        {
            "title": "t", "adapter.rated_current": 0.5, "wiring.sections": 1, "wiring.pixels_per_section": 128,
            "controller.feed": "own", "run.duration": 0.6, "pixel.listen_voltage": 2.1,
        }
    )  # fmt: skip
    (larger,) = (each for each in measures_of(build) if each.name is RemedyName.BIGGER_ADAPTER)
    return Space(build, (larger,))


def rating(candidate):
    return candidate.build.adapter.rated_current


def test_an_adapter_that_starts_it_but_does_not_carry_its_picture_is_passed_over(space):
    (found,) = adapter_for(space, Trial(None, None), None)
    # 128 pixels at 30 % of 36 mA, and 0.6 mA each: 1.46 A; of that 80 % may be taken without end.
    assert carries_picture(found.build)
    assert rating(found) == 2.0
    smaller = space.chosen(found.rungs)[RATING]
    ladder = space.levers[0].values
    below = space.made((ladder.index(smaller) - 1, *found.rungs[1:]))
    assert not carries_picture(below)


def test_one_that_was_lucky_at_a_few_points_is_passed_over(space, monkeypatch):
    shares = iter((0.5, 0.99))
    monkeypatch.setattr(Trial, "share", lambda self, build, points, least: next(shares))
    first, *_ = adapter_for(space, Trial(None, None), None)
    (found,) = adapter_for(space, Trial(None, None), 0.97)
    assert found.share == 0.99
    assert found.rungs != first.rungs


def test_where_none_is_often_enough_it_is_the_best_of_them(space, monkeypatch):
    shares = iter((0.5, 0.7, *[0.6] * 20))
    monkeypatch.setattr(Trial, "share", lambda self, build, points, least: next(shares))
    (found,) = adapter_for(space, Trial(None, None), 0.97)
    assert found.share == 0.7
