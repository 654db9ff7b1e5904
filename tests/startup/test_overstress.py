"""What sees more than it stands, and that no such start is announced as one that boots."""

import json

import pytest

from inrushlib.build import new_build
from inrushlib.startup import Cause, Headline, Stressed, Verdict, simulate

ROW = {
    "title": "row", "adapter.rated_current": 5, "wiring.sections": 2, "wiring.pixels_per_section": 64,
}  # fmt: skip
# A short lead has little resistance to damp it: on plugging in it rings far above the adapter's 5.1 V.
PLUGGED = {
    "title": "plugged in", "adapter.rated_current": 5, "lead.length": "0.3 m", "run.start": "plug",
    "wiring.sections": 1, "wiring.pixels_per_section": 16,
}  # fmt: skip


def start(base, **values):
    return simulate(new_build(base | {key.replace("__", "."): value for key, value in values.items()}))


def test_a_supply_above_what_the_parts_stand():
    found = start(ROW, adapter__rated_voltage=12)
    assert found.verdict is Verdict.BOOTS  # the figures keep the name
    assert [each.part for each in found.overstressed] == [Stressed.PIXELS, Stressed.CONTROLLER]
    pixels, controller = found.overstressed
    # The defaults of the build file: 5.5 V and 6 V.
    assert (pixels.limit, controller.limit, pixels.unit) == (5.5, 6.0, "V")
    assert pixels.seen == found.figures.highest_section_voltage > 11.9
    assert pixels.at == found.figures.highest_section_voltage_at
    assert pixels.cause is controller.cause is Cause.SUPPLY
    assert not found.headline.good
    assert not found.headline.boots


def test_plugging_in_rings():
    found = start(PLUGGED)
    assert found.verdict is Verdict.BOOTS
    assert {each.cause for each in found.overstressed} == {Cause.OVERSHOOT}
    # No lossless step of a series LC goes beyond twice its supply (textbook), here 2 * 5.1 V.
    assert all(each.limit < each.seen < 2 * 5.1 for each in found.overstressed)
    # What the advice names is what helps: a capacitor at the bus, and the mains switched on after the plug.
    assert start(PLUGGED, bus__bulk="470 uF").overstressed == ()
    assert start(PLUGGED, run__start="mains").overstressed == ()


def test_a_controller_with_a_supply_of_its_own():
    own = {"controller__feed": "own", "controller__own_voltage": "5 V"}
    assert [each.part for each in start(ROW, adapter__rated_voltage=12, **own).overstressed] == [Stressed.PIXELS]
    own["controller__own_voltage"] = "9 V"
    found = start(ROW, bus__bulk="470 uF", **own).overstressed
    assert [(each.part, each.cause) for each in found] == [(Stressed.CONTROLLER, Cause.SUPPLY)]


def test_pixels_that_go_dark_let_the_lead_ring():
    # All pixels at once let go of some 4 A that flows in the lead; only the controller's feed damps what follows.
    own = {"controller__feed": "own"}
    found = start(ROW, **own)
    (pixels,) = found.overstressed
    assert (pixels.part, pixels.cause) == (Stressed.PIXELS, Cause.OVERSHOOT)
    assert found.running_at < pixels.at < found.ready_at + 1e-3
    assert start(ROW, bus__bulk="470 uF", **own).overstressed == ()


def test_what_stands_it_is_not_mentioned():
    found = start(ROW, adapter__rated_voltage=12, pixel__highest_supply=15, controller__highest_supply=15)
    assert found.overstressed == ()
    assert found.headline.good
    assert found.headline.title == "boots"


def test_a_switch_that_gets_too_hot():
    found = start(ROW, switch={}, switch__thermal_resistances=[1000], switch__thermal_times=[1e-3])
    (switch,) = found.overstressed
    assert (switch.part, switch.cause, switch.unit) == (Stressed.SWITCH, Cause.HEAT, "C")
    assert switch.seen == found.figures.highest_junction_temperature > switch.limit == 150


@pytest.mark.parametrize("verdict", list(Verdict))
def test_no_overstressing_start_is_announced_as_plain(verdict):
    overstressed = start(ROW, adapter__rated_voltage=12).overstressed
    plain, bad = Headline(verdict, "why"), Headline(verdict, "why", overstressed)
    assert plain.title == verdict.value
    assert plain.good is verdict.starts
    assert bad.title != verdict.value
    assert "overstressed" in bad.title
    assert not bad.title.startswith("boots")
    assert not bad.good
    assert "12" in bad.meaning
    assert "5.5 V" in bad.meaning
    assert bad.worse_than(plain)
    assert not plain.worse_than(bad)
    assert not bad.worse_than(bad)


def test_worse_is_a_lower_grade():
    order = [Verdict.BOOTS, Verdict.BOOTS_AFTER_RESETS, Verdict.STUCK]
    heads = [Headline(verdict, "why") for verdict in order]
    assert [[a.worse_than(b) for b in heads] for a in heads] == [
        [False, False, False], [True, False, False], [True, True, False],
    ]  # fmt: skip


def test_values_that_round_alike_are_told_apart():
    (pixels,) = start(ROW, pixel__highest_supply=5.0999).overstressed
    assert pixels.seen > pixels.limit
    words = pixels.words
    assert words.count("5.1 V") < 2


def test_json():
    found = json.loads(json.dumps(start(ROW, adapter__rated_voltage=12).to_dict()))
    assert found["verdict"] == "boots"
    assert found["headline"] == "overstressed"
    assert [each["part"] for each in found["overstressed"]] == ["pixels", "controller"]
    assert set(found["overstressed"][0]) == {"part", "seen", "limit", "unit", "at", "cause"}


def test_a_supply_that_is_too_high_is_the_only_advice():
    # Pixels and controller on 12 V, and a switch that gets too hot beside them: the supply has to go first.
    found = start(ROW, adapter__rated_voltage=12, switch={}, switch__ambient=149)
    assert {each.cause for each in found.overstressed} == {Cause.SUPPLY, Cause.HEAT}
    assert found.headline.advice == (Cause.SUPPLY.advice,)
