"""What channels of a capture show, guessed where that is safe."""

import numpy as np
import pytest

from inrushlib.build import load_build
from inrushlib.trace import Basis, guess_shown, read_trace
from tests import make_captures
from tests.plain_words import unsaid


def capture(**channels):
    """A capture of channels by their header cells; each with its level without load."""
    levels = list(channels.values())
    rows = [",".join(f"{x:g}" for x in (i / 1000, *(level * (i >= 20) for level in levels))) for i in range(60)]
    return read_trace("\n".join([",".join(["time [s]", *channels]), *rows]).encode(), name="made.csv")


def guessed(build, **channels):
    found = guess_shown(capture(**channels), build)
    return {name: (guess.curve.name, guess.basis) for name, guess in found.items()}


@pytest.fixture(scope="module")
def build():
    return load_build(make_captures.ROOT / "workbook/builds/tide_board_with_switch.toml")


@pytest.mark.parametrize(
    ("cell", "level", "curve"),
    [
        ("bus [V]", 2.4, "bus_voltage"),
        ("VBUS (V)", 2.4, "bus_voltage"),
        ("5V [V]", 2.4, "bus_voltage"),
        ("+5 V rail side [V]", 2.4, None),  # two places at once
        ("3V3 [V]", 2.4, "rail_voltage"),
        ("rail [mV]", 2400.0, "rail_voltage"),
        ("panel [V]", 2.4, "panel_voltage"),
        ("gate-pin [V]", 2.4, "gate_voltage"),
        ("lead [A]", 2.0, "lead_current"),
        ("I_in [mA]", 2000.0, "lead_current"),
        ("adapter [A]", 2.0, "lead_current"),
        ("adapter [V]", 2.4, "adapter_voltage"),
        ("lead drop [V]", 5.0, None),  # a difference, whatever it is at
        ("shunt [V]", 5.0, None),
        ("busy [V]", 2.4, None),  # no whole word
    ],
)
def test_a_place_in_a_name_decides_together_with_the_unit(build, cell, level, curve):
    found = guessed(build, **{cell: level})
    assert [name for name, _ in found.values()] == ([curve] if curve else [])
    assert all(basis is Basis.NAME for _, basis in found.values())


def test_a_channel_named_as_a_curve_shows_it_and_is_no_guess(build):
    (found,) = guess_shown(capture(**{"bus voltage [V]": 2.4}), build).values()
    assert (found.curve.name, found.basis, found.is_guessed) == ("bus_voltage", Basis.CURVE, False)


def test_two_numbered_channels_are_told_by_unit_and_level(build):
    assert guessed(build, **{"CH1 (V)": 5.05, "CH2 (A)": 2.0, "CH3 (V)": 3.28}) == {
        "CH1": ("bus_voltage", Basis.LEVEL), "CH2": ("lead_current", Basis.UNIT), "CH3": ("rail_voltage", Basis.LEVEL),
    }  # fmt: skip


def test_a_level_between_the_nominal_ones_says_nothing(build):
    assert guessed(build, **{"CH1 (V)": 2.5, "CH2 (A)": 2.0}) == {"CH2": ("lead_current", Basis.UNIT)}


def test_a_rail_alone_could_be_a_bus_that_sags(build):
    assert guessed(build, **{"CH1 (V)": 3.3}) == {}
    assert guessed(build, **{"bus (V)": 3.3, "CH2 (V)": 3.3})["CH2"] == ("rail_voltage", Basis.LEVEL)


def test_what_two_channels_claim_is_given_to_neither(build):
    assert guessed(build, **{"CH1 (V)": 5.05, "CH2 (V)": 4.95}) == {}
    assert guessed(build, **{"CH1 (A)": 2.0, "CH2 (A)": 1.0}) == {}
    assert guessed(build, **{"bus (V)": 5.0, "5V (V)": 5.0, "CH3 (V)": 5.0}) == {}


def test_a_surer_ground_goes_before_and_no_curve_is_given_twice(build):
    assert guessed(build, **{"CH1 (V)": 5.05, "bus (V)": 2.4}) == {"bus": ("bus_voltage", Basis.NAME)}


def test_where_bus_and_rail_are_at_the_same_level_it_tells_neither(build):
    five = build.with_values({"controller.rail_voltage": "5 V", "controller.brownout_rising": "2.7 V",
                              "controller.dropout_voltage": 0})  # fmt: skip
    assert guessed(five, **{"CH1 (V)": 5.05}) == {}


def test_what_was_told_is_not_guessed_and_not_given_again(build):
    trace = capture(**{"CH1 (V)": 5.05, "CH2 (V)": 3.3})
    assert list(guess_shown(trace, build, {"CH1": "panel_voltage"})) == ["CH2"]
    assert guess_shown(trace, build, {"CH1": "bus_voltage", "CH2": ""}) == {}
    assert list(guess_shown(trace, build, {"CH2": "rail_voltage"})) == ["CH1"]


def test_a_name_without_a_unit_is_enough_and_a_level_without_one_is_not(build):
    assert guessed(build, bus=5.0, CH2=3.3) == {"bus": ("bus_voltage", Basis.NAME)}


@pytest.mark.parametrize("cells", [{"CH1 (V)": 5.12, "CH2 (A)": 2.0, "3V3 (V)": 3.3}])
def test_a_guess_says_that_it_is_one_and_by_what(build, cells):
    words = [guess.words for guess in guess_shown(capture(**cells), build).values()]
    assert words == [
        "Channel CH1 is taken for the bus voltage: a guess by its level of 5.1 V without load.",
        "Channel CH2 is taken for the lead current: a guess by its unit, as the only current.",
        "Channel 3V3 is taken for the rail voltage: a guess by its name.",
    ]
    assert all(unsaid(each) == [] for each in words)


def test_a_capture_without_a_sample_is_guessed_by_name_and_unit_alone(build):
    trace = capture(**{"CH1 (V)": 5.05, "CH2 (A)": 2.0})
    trace.channels["CH1"].values[:] = np.nan
    assert {guess.basis for guess in guess_shown(trace, build).values()} == {Basis.UNIT}
