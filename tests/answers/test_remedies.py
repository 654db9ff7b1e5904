"""What the page of the remedies says, in the order in which a builder needs it."""

import re
from dataclasses import replace

import pytest

from inrushlib.answers.remedies import recommendation_answer
from inrushlib.answers.terminal import render
from inrushlib.build import new_build
from inrushlib.odds.interval import Estimate
from inrushlib.remedies import Found, Needed, Recommendation, RemedyName, compare_remedies

OFTEN, SELDOM = Estimate(0.99, 0.98, 1.0), Estimate(0.5, 0.4, 0.6)


@pytest.fixture(scope="module")
def remedy():
    build = new_build({"title": "t", "adapter.rated_current": 3, "wiring.sections": 1, "wiring.pixels_per_section": 32,
                       "run.duration": 0.5})  # fmt: skip
    (now, *_) = compare_remedies(build)
    needed = (
        Needed("firmware.gate_delay", 0.2, "s", "display switched on late"),
        Needed("switch.on_resistance", 0.01, "ohm", "P-channel switch of 10 mohm"),
    )
    found = Found(
        needed=needed, combined_with=(RemedyName.MORE_FEEDS, RemedyName.OWN_SUPPLY, RemedyName.REPEATED_FRAME)
    )
    return replace(now, name=RemedyName.HIGH_SIDE_SWITCH, parts=found, odds=OFTEN)


def page(*remedies, wanted=0.95):
    shown = render(recommendation_answer("t", Recommendation((remedies[0], *remedies), remedies, wanted)))
    return re.sub(r"\s+", " ", shown)


def test_company_is_listed_with_commas(remedy):
    assert (
        "high-side switch, with a feed to each section, own supply for the controller and dark frame repeated"
        in page(remedy)
    )


def test_parts_stand_before_the_program(remedy):
    takes = page(remedy).split("what it takes")[1]
    assert takes.index("P-channel switch") < takes.index("display switched on late")


def test_it_says_how_many_boot_often_enough(remedy):
    seldom = replace(remedy, odds=SELDOM)
    assert "2 of 2 remedies help, 1 of them in at least 95 % of the runs." in page(remedy, seldom)
    assert "1 of 1 remedies help, none of them in at least 95 % of the runs." in page(seldom)
    assert "1 of 1 remedies help." in page(replace(remedy, odds=None), wanted=None)
