"""From everything at once, what is not needed is taken away; and the parts that go with it."""

import pytest

from inrushlib.build import new_build
from inrushlib.copper import wire_resistance
from inrushlib.odds import spread
from inrushlib.remedies.designs import Space
from inrushlib.remedies.effort import Effort
from inrushlib.remedies.leads import HIGHEST_DROP, lead_for, lead_needed
from inrushlib.remedies.measures import measures_of
from inrushlib.remedies.outcome import RemedyName
from inrushlib.remedies.spare import at_its_most, kits, spared
from inrushlib.remedies.trial import Trial, stands
from inrushlib.startup import Verdict, simulate

SIX = {"title": "six tiles", "adapter.rated_current": 1, "wiring.sections": 6, "wiring.pixels_per_section": 64}
BANK = RemedyName.CAPACITOR_BANK


@pytest.fixture(scope="module")
def six():
    return new_build(SIX)


def measure(build, name):
    return next(each for each in measures_of(build) if each.name is name)


def test_kits_have_a_switch_a_feed_and_all_wires(six):
    found = [{measure.name for measure in kit} for kit in kits(measures_of(six), BANK)]
    assert len(found) == 4  # two switches, own supply or reservoir
    assert all({BANK, RemedyName.MORE_FEEDS, RemedyName.MORE_DATA_LINES} <= names for names in found)
    assert not any({RemedyName.HIGH_SIDE_SWITCH, RemedyName.LOAD_SWITCH} <= names for names in found)
    own = six.with_values({"controller.feed": "own", "switch": {}})
    assert [RemedyName.SLOWER_GATE in {m.name for m in kit} for kit in kits(measures_of(own), BANK)] == [True]


def test_an_adapter_that_switches_off_at_its_limit_fills_a_bank_through_a_limiter(six):
    """Four tiles on 2 A with hiccup: the same bank behind the same switch, with and without 6.8 ohm of NTC."""
    slowly = kits(measures_of(six), BANK, slowly=True)
    assert all(RemedyName.INRUSH_LIMITER in {measure.name for measure in kit} for kit in slowly)
    hiccup = new_build(
        {
            "title": "t", "adapter.rated_current": 2, "adapter.limit_style": "hiccup", "wiring.sections": 4,
            "wiring.pixels_per_section": 64, "wiring.lanes": 4, "controller.feed": "own", "bus.bulk": 50e-3,
            "bus.bulk_esr": 10e-3, "wiring.feeds": [0, 1, 2, 3], "firmware.gate_delay": 1.0,
            "firmware.first_frame_delay": 1.001, "firmware.refresh_interval": 5.6e-3, "firmware.content_delay": 1.1,
            "firmware.content": [0.15] * 3, "run.duration": 2.0,
            "switch": {"kind": "load-switch", "on_resistance": 50e-3, "current_limit": 10.0, "slew_rate": 1e3},
        }
    )  # fmt: skip
    through = hiccup.with_values({"limiter.cold_resistance": 6.8})
    assert spread(through, runs=128).boots.value >= 0.95
    assert spread(hiccup, runs=64).boots.value < 0.05
    assert simulate(hiccup).verdict is Verdict.ADAPTER_TRIPS


def test_at_its_most_all_that_has_a_price_is_dearest(six):
    space = Space(six, kits(measures_of(six), BANK)[0])
    for rungs in at_its_most(space, 8, 1):
        chosen = space.chosen(rungs)
        assert chosen["bus.bulk"] == pytest.approx(0.1)
        assert chosen["wiring.lanes"] == 6
        assert space.made(rungs) is not None


def test_what_is_not_needed_goes_and_the_rest_becomes_small(six):
    """Shares made for it: a bank of 30 mF and three data lines do it, behind a switch; nothing else has a say."""
    space = Space(six, kits(measures_of(six), BANK)[0])

    def share(tried, rungs):
        chosen, names = tried.chosen(rungs), {measure.name for measure in tried.measures}
        enough = chosen.get("bus.bulk", 0) >= 0.03 and chosen.get("wiring.lanes", 1) >= 3
        return 0.99 if enough and RemedyName.HIGH_SIDE_SWITCH in names else 0.1

    found, rungs, last = spared(space, at_its_most(space, 1, 1)[0], share, 0.97)
    names = {measure.name for measure in found.measures}
    assert names == {BANK, RemedyName.MORE_DATA_LINES, RemedyName.HIGH_SIDE_SWITCH}
    chosen = found.chosen(rungs)
    assert (chosen["bus.bulk"], chosen["wiring.lanes"]) == (pytest.approx(0.03), 3)
    assert chosen["switch.on_resistance"] == pytest.approx(20e-3)
    assert last == 0.99


def test_a_design_that_never_does_it_stays_as_it_is(six):
    space = Space(six, kits(measures_of(six), BANK)[0])
    most = at_its_most(space, 1, 1)[0]
    assert spared(space, most, lambda *_: 0.3, 0.97) == (space, most, 0.3)


def test_a_bank_of_capacitors_is_the_most_work_of_all(six):
    assert measure(six, BANK).effort is Effort.BANK is max(Effort)
    one = measure(six, RemedyName.BUS_CAPACITOR)
    assert one.effort is Effort.PART
    assert max(one.levers[0].values) == 20e-3  # two cans side by side are soldered like one
    assert min(measure(six, BANK).levers[0].values) == 30e-3


def test_with_its_listen_voltage_measured_one_capacitor_and_data_lines_do_it(six):
    """The builder's answer with a switch: off until the program runs, a slow gate, dark frames again and again."""
    parts = {
        "switch.on_resistance": 10e-3, "switch.gate_resistance": 4.7e3, "switch.gate_drain_capacitance": 1e-6,
        "switch.pullup_resistance": 22e3, "bus.bulk": 10e-3, "wiring.lanes": 6, "firmware.gate_delay": 0.5,
        "firmware.first_frame_delay": 0.502, "firmware.refresh_interval": 2.5e-3, "firmware.content_delay": 0.7,
        "firmware.content": [0.03] * 3, "run.duration": 1.6,
    }  # fmt: skip
    unknown = spread(six.with_values(parts), runs=128)
    measured = spread(six.with_values(parts | {"pixel.listen_voltage": 2.2}), runs=128)
    assert measured.boots.value >= 0.9
    assert unknown.boots.high < measured.boots.low
    assert unknown.influences[0].name == "pixel.listen_voltage"


def test_bursts_are_carried_by_a_capacitor_at_the_rail(six):
    assert RemedyName.RAIL_CAPACITOR not in {each.name for each in measures_of(six)}
    bursting = six.with_values({"controller.burst_current": 0.5, "adapter.rated_current": 20})
    carried = measure(bursting, RemedyName.RAIL_CAPACITOR)
    space = Space(bursting, (carried,))
    with_it = space.made((len(carried.levers[0].values) - 1, 0, 1))
    without = Space(bursting, ()).made((0, 1))
    shares = Trial(None, None).shares([without, with_it], 64)
    assert shares[1] > shares[0] + 0.1


def test_a_larger_adapter_comes_with_the_lead_that_it_needs(six):
    space = Space(six, (measure(six, RemedyName.BIGGER_ADAPTER),))
    for rung, rating in enumerate(space.levers[0].values):
        build = space.made((rung, 0, 0, 0))
        area = build.lead.gauge
        kept = 2 * wire_resistance(build.lead.length, area) * rating <= HIGHEST_DROP
        assert kept or area > 5.2e-6  # 10 AWG is the thickest that is stocked
        assert build.bus.bulk == six.bus.bulk
    needed = space.needed(build, (rung, 0, 0, 0))
    assert "lead of 10 AWG" in [each.words for each in needed]
    assert not any(each.key == "bus.bulk" for each in needed)
    damped = space.made((rung, 1, 0, 0))
    assert damped.bus.bulk == 1e-3
    assert any(each.key == "bus.bulk" for each in space.needed(damped, (rung, 1, 0, 0)))
    # The lead's energy rings into the ceramic capacitors alone; an electrolytic takes it up.
    undamped, with_it = (simulate(each).figures.highest_section_voltage for each in (build, damped))
    assert with_it < 5.5 < undamped
    given = six.with_values({"lead.resistance": 0.1})
    assert lead_for(given, 10.0) == {"lead.resistance": 0.025}
    changed = given.with_values(lead_for(given, 10.0))
    assert lead_needed(given, changed)[0].words.startswith("lead of at most 25 mohm")
    assert lead_for(given, 2.0) == {}
    assert lead_needed(given, given) == ()


def test_a_switch_that_gets_too_hot_is_no_way(six):
    hot = six.with_values(
        {"adapter.rated_current": 10, "switch": {"thermal_resistances": [500], "thermal_times": [1e-3]}}
    )
    assert not stands(hot)
    assert stands(six)
