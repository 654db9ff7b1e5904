"""What the answers about adapter, reservoir and brightness say where something else than usual decides."""

from html import unescape

import pytest

from inrushlib.answers import html, terminal
from inrushlib.answers.adapter import adapter_answer
from inrushlib.answers.blocks import Verdict
from inrushlib.answers.brightness import NOT_YET, brightness_answer
from inrushlib.answers.reservoir import reservoir_answer
from inrushlib.build import new_build
from inrushlib.search import (
    Cap,
    NoAdapter,
    NoCap,
    NoNeed,
    NoReservoir,
    NotShown,
    ReservoirSize,
    WhyNoAdapter,
    WhyNoFormula,
    WhyNoReservoir,
    brightness_caps,
    firmware_constants,
    rating_ladder,
    smallest_adapter,
)
from inrushlib.search.rerun import Rerun
from inrushlib.startup import simulate

# Invented: four tiles that wake dark, behind a load switch.
TILES = {
    "title": "four tiles", "adapter.rated_current": 4, "lead.resistance": 1e-4, "pixel.power_on": [0, 0, 0],
    "wiring.sections": 4, "wiring.pixels_per_section": 64,
}  # fmt: skip
LOAD_SWITCH = {"switch.kind": "load-switch", "switch.current_limit": "1 A"}


def said(answer):
    """The answer on both media."""
    return terminal.render(answer), unescape(html.render(answer))


def brightness_of(build):
    caps = brightness_caps(build)
    return caps, brightness_answer(build, caps, firmware_constants(build, caps))


def test_a_cap_by_the_load_switch_names_its_own_current_limit():
    caps, answer = brightness_of(new_build(TILES | LOAD_SWITCH))
    for page in said(answer):
        assert page.count("The load switch's own current limit of 1 A decides") == 2  # full white, the build's picture
        assert page.count("Past its limit the switch holds the current back") == 2
        assert f"level {caps.white.rating.level} at the full ratings" in page
    _, without = brightness_of(new_build(TILES))
    for page in said(without):
        assert "The adapter of 4 A decides" in page
        assert "current limit" not in page


def test_where_even_dark_is_too_much_no_level_is_said():
    # 256 pixels of 0.6 mA and a controller of 80 mA take 0.23 A.
    build = new_build(TILES | {"adapter.rated_current": 0.2, "adapter.limit_current": 0.4})
    caps, answer = brightness_of(build)
    assert isinstance(caps.white.continuous, NoCap)
    assert not answer.good
    for page in said(answer):
        assert "full white at no level" in page.lower()
        assert "ven level 0 is too much for the adapter" in page
    flat = caps.to_dict()["white"]["continuous"]
    assert flat["level"] is None
    assert list(flat) == ["share", "level", "adapter_current", "limited_by"]


def test_a_start_that_ends_well_and_overstresses_a_part_is_not_good():
    build = new_build(TILES | {"adapter.rated_voltage": 5.8})
    caps, answer = brightness_of(build)
    assert caps.start.verdict.starts
    assert not caps.start.good
    verdicts = [block for block in answer.blocks if isinstance(block, Verdict)]
    assert verdicts[0].good is False
    assert verdicts[0].sentences[-1] == NOT_YET


def test_a_picture_that_no_start_shows_is_said():
    build = new_build(TILES | {"adapter.rated_current": 1, "pixel.power_on": [1, 1, 1]})
    caps, answer = brightness_of(build)
    assert caps.white.start is NotShown.PROGRAM_NEVER_RUNS
    assert caps.to_dict()["white"]["start"] is None
    for page in said(answer):
        assert "the program never runs, so no start shows it" in page.lower()
        assert "what follows holds only once that is mended" in page.lower()
    assert answer.blocks[0].good is False
    assert isinstance(caps.white.continuous, Cap)


@pytest.mark.parametrize("why", WhyNoAdapter)
def test_every_reason_for_no_adapter_is_a_sentence_with_its_numbers(why):
    build = new_build(TILES)
    headline = simulate(build).headline
    size = NoAdapter(
        why=why, starting=NoNeed.NEVER_BOOTS, running=NoNeed.NEVER_SHOWN, picture="white", islands=(), shown_at=60.0,
        start=Rerun(headline, headline), runs=5,
    )  # fmt: skip
    answer = adapter_answer(build, size, ())
    assert not answer.good
    assert answer.blocks[0].good is False
    for page in said(answer):
        assert why.meaning[1:] in page
        assert "60 A" in page
        assert NoNeed.NEVER_BOOTS.meaning in page
        assert NoNeed.NEVER_SHOWN.meaning in page


def test_the_rating_that_is_taken_stands_out_of_the_ladder():
    build = new_build(TILES)
    size, ladder = smallest_adapter(build), rating_ladder(build)
    answer = adapter_answer(build, size, ladder)
    assert answer.good
    text, page = said(answer)
    assert f"TAKE {size.standard_rating:g} A" in text
    chosen = page[page.index('<tr class="wb-chosen">') :].partition("</tr>")[0]
    assert f">{size.standard_rating:g} A<" in chosen
    for each in (text, page):
        assert f"From {size.runs + len(ladder)} starts" in each
        assert "licensed person" in each


@pytest.mark.parametrize("hand", WhyNoFormula)
@pytest.mark.parametrize("why", WhyNoReservoir)
def test_every_reason_for_no_reservoir_and_no_formula_is_said(why, hand):
    nothing = NoReservoir(why=why, detail="it boots from 3 mF on", runs=3)
    for page in said(reservoir_answer("t", nothing)):
        assert why.meaning[1:] in page
        assert "; it boots from 3 mF on" in page
    size = ReservoirSize(smallest=1e-3, needed=True, standard=nothing, by_hand=hand, islands=(), runs=9)
    answer = reservoir_answer("t", size)
    assert not answer.good
    assert size.to_dict()["by_hand"] is None
    for page in said(answer):
        assert hand.meaning in page
        assert "The formula leaves out" not in page
