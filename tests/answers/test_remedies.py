"""What the page of the remedies says, in the order in which a builder needs it."""

import re
from dataclasses import fields, replace
from html import unescape

import pytest

from inrushlib.answers import html
from inrushlib.answers.remedies import ENOUGH, TOO_MUCH, recommendation_answer
from inrushlib.answers.terminal import render
from inrushlib.build import new_build
from inrushlib.odds.interval import Estimate
from inrushlib.remedies import Effort, Found, Needed, NoRemedy, Recommendation, Remedy, RemedyName, compare_remedies

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


def judged(remedy, effort, **changes):
    """A remedy with another effort than that which follows from what it takes."""
    kind = type("Judged", (Remedy,), {"effort": effort})
    return kind(**{each.name: getattr(remedy, each.name) for each in fields(remedy)} | changes)


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


@pytest.mark.parametrize(
    ("odds", "decided", "said"),
    [
        (Estimate(1.0, 0.99, 1.0), "", None),
        (Estimate(0.97, 0.95, 0.98), "", "In 3 % of the runs within the ranges it does not boot at the first try."),
        (
            Estimate(0.98, 0.95, 0.99),
            "pixel.listen_voltage",
            "In 2 % of the runs within the ranges it does not boot at the first try; pixel.listen_voltage decides most",
        ),
        (None, "pixel.listen_voltage", None),
    ],
)
def test_what_is_left_in_doubt_is_said_in_per_cent(remedy, odds, decided, said):
    words = page(replace(remedy, odds=odds, decided_by=decided))
    assert ("does not boot at the first try" in words) == (said is not None)
    if said:
        assert said in words


def test_a_value_worth_measuring_first_is_one_that_may_spare_effort(remedy):
    doubt = {"odds": SELDOM, "decided_by": "pixel.listen_voltage", "parts": replace(remedy.parts, combined_with=())}
    best, less = judged(remedy, Effort.REWIRING), judged(remedy, Effort.PART, **doubt)
    said = (
        "Before that, measure pixel.listen_voltage: it decides most of whether less does it (a part to solder in:"
        " high-side switch; boots in 50 % within the ranges)."
    )

    def found(first, *others):
        shown = render(recommendation_answer("t", Recommendation((first, first), (first, *others), 0.95)))
        return re.sub(r"\s+", " ", shown)

    assert said in found(best, less)
    assert "Before that" not in found(best, judged(less, Effort.REWIRING))
    for change in ({"odds": None}, {"decided_by": ""}):
        assert "Before that" not in found(best, judged(less, Effort.PART, **change))
    # Buying needs no doubt to be spared: what is as much work as that is not offered.
    bank = judged(best, Effort.BANK)
    assert "Before that" in found(bank, judged(less, Effort.REWIRING))
    assert "Before that" not in found(bank, judged(less, Effort.BUYING))


def rows(*remedies, wanted=0.95):
    answer = recommendation_answer("t", Recommendation((remedies[0], *remedies), remedies, wanted))
    return next(block for block in answer.blocks if getattr(block, "caption", "") == "What helps, best first")


def test_what_helps_is_numbered_with_its_odds_and_parts(remedy):
    some = Estimate(0.456, 0.4, 0.512)
    table = rows(remedy, *(judged(remedy, Effort.PART, pieces=count, odds=some) for count in (1, 0, 2)))
    assert [row[0] for row in table.rows] == ["1", "2", "3", "4"]
    assert [row[2] for row in table.rows][:2] == ["99 % (98 to 100 %)", "46 % (40 to 51 %)"]
    assert [row[3] for row in table.rows][1:] == [
        "a part to solder in, 1 part", "a part to solder in", "a part to solder in, 2 parts",
    ]  # fmt: skip
    assert len(table.heads) == len(table.rows[0]) == 10
    assert table.numbers == (5, 6, 7, 8)
    figures = remedy.start.figures
    assert [cell.value for cell in table.rows[0][5:9]] == [
        figures.peak_lead_current, figures.lit_before_data, figures.lowest_rail_voltage, remedy.hottest_junction,
    ]  # fmt: skip
    bare = rows(replace(remedy, odds=None), wanted=None)
    assert len(bare.heads) == len(bare.rows[0]) == 9
    assert "boots within the ranges" not in bare.heads
    assert bare.numbers == (4, 5, 6, 7)
    assert bare.rows[0][2] == bare.rows[0][2].strip()
    assert [cell.value for cell in bare.rows[0][4:8]] == [cell.value for cell in table.rows[0][5:9]]


def test_a_build_that_boots_as_it_is_is_told_so_with_its_odds(remedy):
    shown = page(replace(remedy, odds=Estimate(0.9, 0.85, 0.95)))
    assert "It boots at the first try as it is, in 90 % of the runs within the ranges" in shown
    assert "It boots at the first try as it is" in page(replace(remedy, odds=None), wanted=None)
    assert "BOOTS MOST OFTEN, AND NOT OFTEN ENOUGH TO RELY ON" in page(replace(remedy, odds=SELDOM))


def test_what_boots_without_carrying_its_picture_is_told_from_what_does_not_boot(remedy):
    """Nothing that boots is left out of the ranking for any other reason."""
    best, dim = remedy, replace(remedy, name=RemedyName.OWN_SUPPLY, odds=SELDOM)
    (now, *listed) = compare_remedies(remedy.build)
    none = next(each for each in listed if isinstance(each, NoRemedy))
    answer = recommendation_answer("t", Recommendation((now, best, dim, none), (best,), 0.95))
    table = next(block for block in answer.blocks if getattr(block, "caption", "") == ENOUGH)
    (boots, verdict, why), (_, missing, reason) = table.rows
    assert boots.startswith("own supply")
    assert verdict == "boots in 50 % of the runs"
    assert why.items[1] == TOO_MUCH
    assert missing == "not for this build"
    assert none.why[1:] in reason
    bare = recommendation_answer("t", Recommendation((now, best, replace(dim, odds=None)), (best,), None))
    assert next(block for block in bare.blocks if getattr(block, "caption", "") == ENOUGH).rows[0][1] == "boots"


def test_what_decides_is_said_as_a_key_on_a_terminal_in_words_on_a_page_and_a_group_by_its_name(remedy):
    for decides, typed, shown in (
        ("pixel.listen_voltage", "; pixel.listen_voltage decides", "; minimum pixel supply for data decides"),
        ("the supply", '; group "the supply" decides', '; group "the supply" decides'),
    ):
        judged_so = replace(remedy, odds=Estimate(0.97, 0.95, 0.98), decided_by=decides)
        answer = recommendation_answer("t", Recommendation((remedy, judged_so), (judged_so,), 0.95))
        assert typed in re.sub(r"\s+", " ", render(answer))
        assert shown in unescape(html.render(answer))
