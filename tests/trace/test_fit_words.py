"""What a fit says of keys and captures: sentences with their numbers, and what goes into JSON."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.errors import TraceError, UsageError
from inrushlib.trace.fit.alarm import Cause, Finding, corrected, either_clipped, of_disturbance
from inrushlib.trace.fit.fit import Fit, fit_build
from inrushlib.trace.fit.observation import Disturbance
from inrushlib.trace.fit.stages import Stage
from inrushlib.trace.fit.status import Combination, FittedKey, Status
from inrushlib.trace.prepare import Measured

BUILD = new_build(
    {"title": "one tile", "adapter.rated_current": 4, "wiring.sections": 1, "wiring.pixels_per_section": 8}
)
LIMIT = FittedKey(key="adapter.limit_current", value=5.0, start=4.0, interval=(4.51, 5.49), status=Status.INTERVAL)


def test_a_fitted_key_for_json():
    assert LIMIT.to_dict() == {
        "value": 5.0, "error": pytest.approx(0.25), "interval": (4.51, 5.49), "status": "interval", "note": "",
        "start": 4.0,
    }  # fmt: skip
    least = replace(LIMIT, interval=(4.5, None), status=Status.AT_LEAST, value=4.0)
    note = "this capture only tells that adapter.limit_current is 4.5 A or more; it stays at its start"
    assert least.to_dict() == {
        "value": 4.0, "error": None, "interval": (4.5, None), "status": "at-least", "note": note, "start": 4.0,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "note"),
    [
        (
            {"status": Status.AT_LEAST, "interval": (4.5, None)},
            "this capture only tells that adapter.limit_current is 4.5 A or more",
        ),
        (
            {"status": Status.AT_MOST, "interval": (None, 6.5)},
            "this capture only tells that adapter.limit_current is 6.5 A or less",
        ),
        (
            {"status": Status.AT_MOST, "interval": (None, 6.5), "start": 5.0},
            "this capture only tells that adapter.limit_current is 6.5 A or less; it stays at its start",
        ),
        ({"status": Status.UNDETERMINED, "interval": None}, "this capture does not tell it"),
        (
            {"status": Status.UNDETERMINED, "interval": None, "start": 5.0},
            "this capture does not tell it; it stays at its start",
        ),
        ({"status": Status.AT_BOUND, "start": 5.0}, "at its bound"),
        (
            {"status": Status.WITHHELD, "interval": None, "start": 5.0},
            "no interval, since the model does not lie on this capture",
        ),
        ({"start": 5.0}, ""),
    ],
)
def test_the_note_of_a_key(changes, note):
    assert replace(LIMIT, **changes).note == note


@pytest.mark.parametrize("status", list(Status))
def test_only_an_interval_that_is_closed_has_an_error(status):
    assert (replace(LIMIT, status=status).error is not None) == (status is Status.INTERVAL)
    for interval in (None, (4.0, None), (None, 6.0)):
        assert replace(LIMIT, status=status, interval=interval).error is None
    assert replace(LIMIT, status=status).told_together == (status is Status.ONLY_TOGETHER)
    assert LIMIT.stays is False
    assert replace(LIMIT, start=5.0).stays is True


def test_what_is_told_of_keys_together():
    two = ("adapter.output_resistance", "lead.resistance")
    total = Combination(two, (1.0, 0.5), 0.25, 0.004, True)
    assert total.sentence == (
        "this capture cannot tell adapter.output_resistance and lead.resistance apart: only"
        " adapter.output_resistance + 0.5 * lead.resistance = 250.0 mohm +- 4.0 mohm is determined"
    )
    three = ("adapter.limit_current", *two)
    product = Combination(three, (1.0, -0.5, 1.0), 1.0, 0.0123)
    assert product.sentence == (
        "this capture cannot tell adapter.limit_current, adapter.output_resistance and lead.resistance apart: only"
        " adapter.limit_current * adapter.output_resistance^-0.5 * lead.resistance is determined, to 1.2 %"
    )
    alone = Combination(("controller.boot_time",))
    assert alone.sentence == (
        "this capture cannot tell controller.boot_time and the time shift apart: what it is counted from is not shown"
    )
    together = replace(LIMIT, combination=total, status=Status.ONLY_TOGETHER)
    assert together.note == total.sentence


@pytest.mark.parametrize(
    ("finding", "channel", "sentence"),
    [
        (Finding(Cause.TURNED, "lead_current"), "lead_current", "lead current is turned round"),
        (Finding(Cause.CLIPPED, "bus_voltage", "top"), "bus_voltage", "bus voltage is clipped at its top"),
        (Finding(Cause.TIME_BASE), None, "the time base would have to be off by more than its accuracy allows"),
        (of_disturbance(Disturbance("bus_voltage", 100.0)), "bus_voltage", "bus voltage has a hum of 100 Hz on it"),
        (of_disturbance(Disturbance("bus_voltage", 0.0)), "bus_voltage", "bus voltage drifts"),
        (
            either_clipped(("bus_voltage", "lead_current")),
            None,
            "either bus voltage or lead current may be clipped at its top, and the values hang on which",
        ),
    ],
)
def test_a_finding_for_json(finding, channel, sentence):
    assert finding.to_dict() == {"cause": finding.cause.value, "channel": channel, "sentence": sentence}


def test_what_is_said_of_a_fit_as_a_whole():
    least = replace(LIMIT, status=Status.AT_LEAST, interval=(4.5, None))
    open_ = replace(LIMIT, status=Status.UNDETERMINED, interval=None)
    fit = Fit(
        keys={"a": LIMIT, "b": least, "c": least, "d": open_},
        build=BUILD, shift=0.0, remedied=(Finding(Cause.TURNED, "lead_current"),), left_out=("rail_voltage",),
    )  # fmt: skip
    assert fit.tied == (
        "this capture only tells that adapter.limit_current is 4.5 A or more",
        "lead current is turned round; the fit allows for it",
        "rail_voltage: all samples are alike, so the fit leaves it out",
    )
    # A fit that says nothing else: nothing counted, no alarm, no channel.
    assert (fit.alarm, fit.gains, fit.zeros, fit.memory, fit.excess) == ((), {}, {}, {}, {})
    assert (fit.runs, fit.bootstrap, fit.correlation.shape, fit.name, fit.checksum) == (0, 0, (0, 0), "", "")


def made(**curves):
    times = np.linspace(0.0, 0.1, 400)
    return Measured(times, curves, dict.fromkeys(curves, 0.01), 0, "made")


def test_what_cannot_be_fitted_is_said_with_its_value():
    measured = made(bus_voltage=np.linspace(0.0, 5.0, 400))
    with pytest.raises(UsageError) as caught:
        fit_build(BUILD, measured, ["adapter.limit", "adapter.limit_style", "panel.bulk", "panel.bulk"])
    assert caught.value.problems == [
        "fit adapter.limit: no such key; accepted: keys of the build file, such as adapter.limit_current",
        "fit adapter.limit_style: not a single number in this build; accepted: a key with one number",
        "fit panel.bulk: its start value is 0; accepted: a start above zero",
        "fit panel.bulk: its start value is 0; accepted: a start above zero",
        "fit: a key is named twice; accepted: each key once",
    ]
    for repeats in (-1, 100_001):
        with pytest.raises(UsageError, match=f"bootstrap: {repeats}; accepted: 0 to 100000 repeats"):
            fit_build(BUILD, measured, ["adapter.limit_current"], bootstrap=repeats)


def test_channels_whose_samples_are_all_alike_are_all_named():
    flat = np.full(400, 2.0)
    with pytest.raises(TraceError) as caught:
        fit_build(BUILD, made(bus_voltage=flat, rail_voltage=flat), ["adapter.limit_current"])
    assert caught.value.problems == [
        f"{quantity}: all samples are alike, which tells nothing about any key"
        for quantity in ("bus_voltage", "rail_voltage")
    ]


def test_channels_are_turned_back_and_what_is_ac_coupled_is_left_out_while_others_are_left():
    rise = 5.0 * (1.0 - np.exp(-np.linspace(0.0, 8.0, 400)))
    coupled = np.sin(np.linspace(0.0, 60.0, 400))
    both, found = corrected(made(bus_voltage=rise, lead_current=-rise, rail_voltage=coupled))
    assert [(each.cause, each.quantity) for each in found] == [
        (Cause.TURNED, "lead_current"), (Cause.AC_COUPLED, "rail_voltage"),
    ]  # fmt: skip
    assert list(both.curves) == ["bus_voltage", "lead_current"]
    assert both.curves["lead_current"] == pytest.approx(rise)
    alone, found = corrected(made(rail_voltage=coupled))
    assert (list(alone.curves), [each.cause for each in found]) == (["rail_voltage"], [Cause.AC_COUPLED])


def test_stages_are_told_in_their_order():
    shares = [stage.share for stage in Stage]
    assert shares[0] == 0.0
    assert all(low < high < 1.0 for low, high in pairwise(shares))
    assert [stage.words.split(" ")[0] for stage in Stage] == ["looking", "fitting", "looking", "looking", "repeating"]
