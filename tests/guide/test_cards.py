"""Cards: formulas undo what the build lets expect, intervals hold the truth, and only what matters is asked."""

import numpy as np
import pytest

from inrushlib.build import load_build, new_build
from inrushlib.errors import UsageError
from inrushlib.guide import CardName, Care, deal, recipe, work_out
from inrushlib.guide.adapter_cards import load_resistors
from inrushlib.guide.deck import LITTLE, card, cards_of
from inrushlib.guide.uncertainty import Instrument, Known, propagate
from inrushlib.measurements import MeasurementLog
from inrushlib.odds import Influence, key_ranges
from inrushlib.odds.interval import Estimate
from tests.guide.bench import applicable, readings_of, true_display

SMALL = {
    "title": "t", "adapter.rated_current": 2, "wiring.sections": 2, "wiring.pixels_per_section": 32,
    "controller.burst_current": 0.15, "controller.boot_peak_current": 0.3, "run.duration": 0.3,
}  # fmt: skip
TRIPS = SMALL | {"adapter.limit_style": "hiccup"}


def build_of(values=SMALL, **more):
    return new_build(values | more)


def test_errors_of_a_quotient_add_by_their_squares():
    """JCGM 100:2008 (GUM), 5.1.6, equation (12): of Y = X1 / X2 the relative variances add."""
    known = (Known("a", 3.0, 3.0 * 0.003 * np.sqrt(3)), Known("b", 2.0, 2.0 * 0.004 * np.sqrt(3)))
    found = propagate(lambda _, k: (k[0] / k[1],), (), (), known, 0.0)
    assert found.values == (1.5,)
    assert found.uncertainties[0] / 1.5 == pytest.approx(0.005, rel=1e-4)


def test_gain_of_one_meter_drops_out_of_a_ratio_and_stays_in_a_sum():
    """JCGM 100:2008 (GUM), 5.2.2: errors that go together add before they are squared."""
    on = (Instrument.VOLTMETER, Instrument.VOLTMETER)
    ratio = propagate(lambda r, _: (r[0] / r[1],), (4.0, 2.0), on, (), 0.0)
    whole = propagate(lambda r, _: (r[0] + r[1],), (4.0, 2.0), on, (), 0.0)
    floor, gain = Instrument.VOLTMETER.floor / np.sqrt(3), Instrument.VOLTMETER.gain / np.sqrt(3)
    assert ratio.uncertainties[0] == pytest.approx(np.hypot(floor / 2, 4 * floor / 4), rel=1e-4)
    assert whole.uncertainties[0] == pytest.approx(np.sqrt(2 * floor**2 + (6 * gain) ** 2), rel=1e-4)


@pytest.mark.parametrize("name", CardName)
@pytest.mark.parametrize("values", [SMALL, TRIPS], ids=["limits", "trips"])
def test_formula_undoes_what_is_expected(name, values):
    """Readings without error give back the values of whatever display they are of."""
    source, build = np.random.default_rng(7), build_of(values)
    for _ in range(5):
        display = true_display(build, source).with_values(
            {"controller.dropout_resistance": build.controller.dropout_resistance}
        )
        how = recipe(name)
        found = work_out(build, name, how.expect(display))
        for key, value in zip(how.keys(build), found.values, strict=True):
            entries = np.atleast_1d(display.get(key))
            if len(set(entries)) == 1:
                assert value == pytest.approx(float(entries[0]), rel=1e-6), key


@pytest.mark.parametrize("name", CardName)
def test_intervals_hold_the_truth(name):
    """Of 300 made readings the interval at 95 % holds at least nine in ten, and is no wider than need be."""
    source, build = np.random.default_rng(11), build_of()
    keys = recipe(name).keys(build)
    held, widths, offs = np.zeros(len(keys)), [], []
    ranges = {each.key: each for each in key_ranges(build)}
    displays = [true_display(build, source) for _ in range(10)]
    for turn in range(300):
        display = displays[turn % len(displays)]
        try:
            found = work_out(build, name, readings_of(display, build, name, source), ranges)
        except ValueError:
            continue
        truth = np.array([float(np.atleast_1d(display.get(key))[0]) for key in keys])
        ends = np.array([found.interval(place) for place in range(len(keys))])
        held += (ends[:, 0] <= truth) & (truth <= ends[:, 1])
        widths.append(ends[:, 1] - ends[:, 0])
        offs.append(np.abs(np.array(found.values) - truth))
    assert np.all(held >= 270)
    assert np.all(np.mean(widths, axis=0) < 8 * np.mean(offs, axis=0))


def test_loads_are_standard_values_within_what_a_meter_reads_and_tell_their_heat():
    """P = V^2 / R (Ohm's and Joule's laws): 5 V across 0.68 ohm is 36.8 W; the E6 series of IEC 60063."""
    light, heavy = load_resistors(build_of(SMALL | {"adapter.rated_current": 15}))
    assert heavy.resistance == 0.68
    assert heavy.power == pytest.approx(36.76, abs=0.01)
    assert light.resistance == 4.7  # 3.33 ohm rounded up
    setup = card(build_of(), CardName.ADAPTER_LOADS).setup
    assert {Care.HOT_LOAD, Care.MAINS, Care.ATTENDED, Care.FUSE} <= set(setup.cares)


def test_no_set_up_hangs_on_what_another_card_changes():
    build = build_of()
    changed = build.with_values({"pixel.channel_current": 0.018, "adapter.limit_current": 2.9, "lead.resistance": 0.3})
    for name in applicable(build):
        before, after = card(build, name).setup, card(changed, name).setup
        # The power at the limit is told for information; what to connect and to do is not to move.
        assert (before.connect, before.light, before.read_off) == (after.connect, after.light, after.read_off)


def test_cards_are_only_for_what_the_build_has():
    one = build_of(SMALL | {"wiring.sections": 1, "controller.burst_current": 0, "controller.boot_peak_current": 0})
    assert CardName.HOP_DROP not in applicable(one)
    assert "controller.burst_current" not in recipe(CardName.RADIO_SHUNT).keys(one)
    assert len(recipe(CardName.BOOT_SHUNT).asked(one)) == 2
    uneven = build_of(SMALL | {"wiring.feeds": [0, 1], "wiring.feed_resistance": [0.01, 0.02]})
    assert CardName.FEED_DROP not in applicable(uneven)
    assert recipe(CardName.ADAPTER_LIMIT).keys(build_of(TRIPS)) == ("adapter.limit_current", "adapter.trip_delay")


def test_cards_come_by_what_they_would_settle_and_never_twice():
    build = build_of()
    shares = {"pixel.listen_voltage": 0.2, "pixel.forget_voltage": 0.15, "controller.dropout_voltage": 0.3}
    of = [Influence(name=key, keys=(key,), settles=Estimate(share, share, share)) for key, share in shares.items()]
    ranges = key_ranges(build)
    found = cards_of(build, of, ranges, frozenset())
    assert [each.name for each in found[:2]] == [CardName.LISTEN_LEVEL, CardName.REGULATOR_DROPOUT]
    assert 0.3 < found[0].settles <= 0.35
    left = cards_of(build, of, ranges, frozenset({"pixel.listen_voltage", "pixel.forget_voltage"}))
    assert CardName.LISTEN_LEVEL not in [each.name for each in left]
    part = cards_of(build, of, ranges, frozenset({"pixel.listen_voltage"}))
    assert next(each.settles for each in part if each.name is CardName.LISTEN_LEVEL) < 0.15


def test_a_long_section_is_dealt_though_its_dark_current_drowns_a_few_lit_pixels():
    """Found by hand: readings that go together were refused once moved by what the instruments may be off."""
    build = build_of(SMALL | {"wiring.sections": 1, "wiring.pixels_per_section": 3000})
    found = {each.name: each for each in cards_of(build, (), key_ranges(build), frozenset())}
    unsure = found[CardName.DIMMED_PICTURE].uncertainties[1]
    small = card(build_of(), CardName.DIMMED_PICTURE).uncertainties[1]
    assert unsure > 5 * small
    dark, mean, peaks = recipe(CardName.DIMMED_PICTURE).expect(build)
    assert work_out(build, CardName.DIMMED_PICTURE, (dark, mean, peaks)).uncertainties[1] == unsure
    with pytest.raises(UsageError, match=r"mean 1\.9 A, peaks 3 A; accepted: peaks of the full current"):
        work_out(build, CardName.DIMMED_PICTURE, (dark, 1.9, 3.0))


def test_an_inexact_reading_settles_less():
    build = build_of({**SMALL, "tolerance.adapter.limit_current": {"relative": 0.02}})
    of = [Influence(name="adapter.limit_current", keys=("adapter.limit_current",), settles=Estimate(0.5, 0.5, 0.5))]
    found = next(each for each in cards_of(build, of, key_ranges(build), frozenset())
                 if each.name is CardName.ADAPTER_LIMIT)  # fmt: skip
    assert found.settles == 0.0  # the method's steps of 3 % tell less than is known already


def test_guide_asks_first_what_settles_most():
    build = load_build("workbook/builds/tide_board_boots.toml")
    dealt = deal(build, MeasurementLog(), runs=128)
    assert dealt.cards[0].name is CardName.REGULATOR_DROPOUT
    assert all(each.settles >= LITTLE for each in dealt.cards)
    assert dealt.cards[0].readings[0].low < dealt.cards[0].readings[0].value < dealt.cards[0].readings[0].high
