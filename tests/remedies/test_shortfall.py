"""Why no switch does it on the adapter at hand, in numbers that can be worked out by hand."""

import json
import math
from dataclasses import replace

import pytest

from inrushlib.answers.remedies import recommendation_answer
from inrushlib.answers.terminal import render
from inrushlib.build import new_build
from inrushlib.cli.output import to_json
from inrushlib.cli.remedies import to_dict
from inrushlib.odds.interval import Estimate
from inrushlib.remedies import Recommendation, RemedyName, WhyNoSwitch, compare_remedies
from inrushlib.remedies.charge import charge_of
from inrushlib.remedies.outcome import Found
from inrushlib.remedies.shortfall import RUNS, shortfall_of
from inrushlib.startup import Rule

SELDOM, OFTEN = Estimate(0.4, 0.3, 0.5), Estimate(0.96, 0.95, 0.97)
WANTED = 0.95


@pytest.fixture(scope="module")
def tiles():
    return new_build({"title": "t", "adapter.rated_current": 0.8, "wiring.sections": 2, "wiring.pixels_per_section": 64,
                      "run.duration": 0.8})  # fmt: skip


@pytest.fixture(scope="module")
def switched(tiles):
    """A switch that boots now and then: with the pixels as they are assumed, but not with those that listen late."""
    parts = {
        "switch": {"on_resistance": 20e-3, "gate_resistance": 1e3, "gate_drain_capacitance": 10e-9},
        "controller.feed": "own", "firmware.first_frame_delay": 0.02, "firmware.refresh_interval": 6e-3,
        "bus.bulk": 4.7e-3, "wiring.lanes": 2,
    }  # fmt: skip
    (now, *_) = compare_remedies(tiles.with_values(parts))
    return replace(now, odds=SELDOM)


def with_bank(remedy):
    return replace(remedy, parts=Found(combined_with=(RemedyName.CAPACITOR_BANK,)), odds=OFTEN)


def recommended(switched, short):
    return Recommendation((switched, switched), (switched,), WANTED, short)


def _white(v, p):
    """The pixel's law as it stands in the description of the model, written out."""

    def soft(x, w):
        return w * math.log1p(math.exp(x / w))

    whole, corner = p.channel_current, 0.03 * p.channel_current
    wanted = (soft(v - forward, 60e-3) / p.channel_resistance for forward in p.forward_voltages)
    channels = sum(a - soft(a - whole, corner) for a in wanted)
    return (p.quiescent_current + channels) / (1 + math.exp(-(v - p.wake_voltage) / 80e-3))


def test_numbers_are_those_of_the_parts(tiles, switched):
    short = shortfall_of(tiles, [switched], WANTED)
    assert short.why is WhyNoSwitch.TOO_LITTLE_CHARGE
    assert short.rule is Rule.LISTEN
    assert 0 < short.by_rule <= short.failed < RUNS
    # pixel.listen_voltage is assumed between 2 and 3 V; 64 pixels a lane, 24 bits of 1.25 us, 0.3 ms of gap.
    found = short.charge
    assert found.listen_voltage == pytest.approx(3.0)
    p = tiles.pixel
    assert found.drawn == pytest.approx(128 * _white(3.0, p), rel=1e-9)
    assert found.given == tiles.adapter.limit_current
    assert found.lasts == pytest.approx(p.listen_delay + 2 * (64 * 24 * 1.25e-6 + 0.3e-3))
    charge = (found.drawn - found.given) * found.lasts
    assert found.capacitance == pytest.approx(charge / (tiles.adapter.rated_voltage - 3.0))


def test_two_capacitors_are_enough_up_to_where_their_charge_is(tiles):
    many = tiles.with_values({"wiring.pixels_per_section": 512})
    found = charge_of(many)
    level, p = found.pair_up_to, many.pixel
    assert 2.0 < level < 3.0
    charge = (1024 * _white(level, p) - many.adapter.limit_current) * found.lasts
    assert charge / (many.adapter.rated_voltage - level) == pytest.approx(20e-3, rel=0.01)
    assert charge_of(tiles).pair_up_to == pytest.approx(3.0)  # 20 mF are more than enough for all of the range
    # A given value moves by its scatter alone.
    late = many.with_values({"pixel.listen_voltage": 3.4, "wiring.pixels_per_section": 1024})
    assert charge_of(late).pair_up_to is None


def test_sections_at_once_are_what_the_adapter_carries(tiles):
    p, limit = tiles.pixel, 1.2 * 3.0
    some = tiles.with_values({"adapter.rated_current": 3, "wiring.sections": 5, "wiring.pixels_per_section": 64})
    dark = p.quiescent_current / (1 + math.exp(-(3.0 - p.wake_voltage) / 80e-3))
    lit = _white(3.0, p)
    most = max(n for n in range(6) if 64 * (n * lit + (5 - n) * dark) <= limit)
    assert charge_of(some).sections_at_once == most
    assert 0 < most < 5


def test_why_is_told_by_what_there_is(tiles, switched):
    assert shortfall_of(tiles, [], WANTED).why is WhyNoSwitch.NEVER_BOOTS
    assert shortfall_of(tiles, [], None).why is WhyNoSwitch.NEVER_BOOTS
    assert shortfall_of(tiles, [with_bank(switched), switched], WANTED).why is WhyNoSwitch.ONLY_WITH_BANK
    assert shortfall_of(tiles, [with_bank(switched)], None).why is WhyNoSwitch.ONLY_WITH_BANK
    ample = tiles.with_values({"adapter.limit_current": 9})
    listens = replace(
        switched, start=replace(switched.start, build=switched.build.with_values({"adapter.limit_current": 9}))
    )
    assert shortfall_of(ample, [listens], WANTED).why is WhyNoSwitch.TOO_SELDOM


def test_none_where_a_switch_does_it(tiles, switched):
    assert shortfall_of(tiles, [replace(switched, odds=OFTEN)], WANTED) is None
    assert shortfall_of(tiles, [with_bank(switched), replace(switched, odds=OFTEN)], WANTED) is None
    assert shortfall_of(tiles, [replace(switched, odds=None)], None) is None


def test_other_pixels_or_another_adapter_are_no_way_with_a_switch(tiles, switched):
    dark = replace(switched, name=RemedyName.DARK_PIXELS, odds=OFTEN)
    bought = replace(switched, name=RemedyName.BIGGER_ADAPTER, odds=OFTEN)
    assert shortfall_of(tiles, [dark, bought], WANTED).why is WhyNoSwitch.NEVER_BOOTS


def test_it_is_on_the_page_also_where_nothing_helps(tiles, switched):
    short = shortfall_of(tiles, [switched], WANTED)
    page = render(recommendation_answer("t", recommended(switched, short)))
    assert short.why.heading in page
    assert all(each.split()[0] in page for each in short.sentences)
    none = shortfall_of(tiles, [], WANTED)
    page = render(recommendation_answer("t", Recommendation((switched,), (), WANTED, none)))
    assert none.why.heading in page


def test_json_has_code_sentence_and_numbers_with_the_build_as_it_is(tiles, switched):
    short = shortfall_of(tiles, [switched], WANTED)
    found = recommended(switched, short)
    flat = json.loads(to_json(to_dict(switched, found, {})))["why_no_switch"]
    assert flat["code"] == "too-little-charge"
    assert flat["sentence"] == " ".join(short.sentences)
    assert (flat["rule"], flat["failed"], flat["runs"]) == ("listening", short.failed, RUNS)
    assert flat["odds"] == {"value": 0.4, "low": 0.3, "high": 0.5}
    assert flat["best"] == switched.name.value
    for key in ("listen_voltage", "drawn", "given", "lasts", "capacitance", "pair_up_to", "sections_at_once"):
        assert flat[key] == pytest.approx(getattr(short.charge, key))
    others = replace(found, remedies=(replace(switched), switched))
    assert to_dict(switched, others, {})["why_no_switch"] is None
    assert to_dict(switched, replace(found, shortfall=None), {})["why_no_switch"] is None
    never = to_dict(switched, recommended(switched, shortfall_of(tiles, [], WANTED)), {})["why_no_switch"]
    assert (never["code"], never["best"], never["odds"], never["rule"]) == ("never-boots", None, None, None)


def test_an_adapter_that_carries_the_display_needs_no_charge(tiles, switched):
    ample = switched.build.with_values({"adapter.limit_current": 9})
    listens = replace(switched, start=replace(switched.start, build=ample))
    short = shortfall_of(ample, [listens], WANTED)
    assert short.charge.capacitance == 0
    assert not any("capacitors" in each for each in short.sentences)


def test_every_reason_has_its_heading():
    assert all(each.heading and each.value for each in WhyNoSwitch)


def test_sentences_say_how_much_in_one_unit(tiles, switched):
    """A bank is told in mF throughout, without powers of ten."""
    many = tiles.with_values({"wiring.pixels_per_section": 512, "wiring.sections": 4, "adapter.rated_current": 12})
    short = replace(shortfall_of(tiles, [switched], WANTED), charge=charge_of(many), sections=4)
    said = " ".join(short.sentences)
    assert "100 mF at most" in said
    assert "e+" not in said
    # What would ask for less: pixels that listen lower, and a switch to each section.
    assert "20 mF, two electrolytics," in said
    assert "a switch to each section" in said
