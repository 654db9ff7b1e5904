"""Facts of the trade: one set of part values gives all of them at once.

Common practice, no source: what one practitioner saw on a real display of six 64-pixel tiles in a row,
joined by 30 AWG, with a Wi-Fi controller on the same 5 V and pixels that are full white at power-on.

The set was found by physics. 1.5 A for 64 white pixels are 23.4 mA each: 0.6 mA for the chip and 7.6 mA a
channel. Hops of 10 cm of 30 AWG are 68 mohm out and back. How gradually pixels fade (230 ohm) decides where the bus of
an overloaded adapter comes to rest; it has to be below 2.9 V at 1.2 A and above it at 3.6 A. The rest are the
build file's defaults, a fair lead and a capacitor at the supply terminals.
"""

import numpy as np
import pytest

from inrushlib.build import parse_build
from inrushlib.copper import awg_area, wire_resistance
from inrushlib.startup import Kind, Verdict, needed_bus_voltage, simulate

DISPLAY = parse_build(f"""
title = "six tiles in a row"
[adapter]
rated_current = "8 A"
[lead]
length = "1.2 m"
gauge = "16 AWG"
[bus]
bulk = "1000 uF"
[controller]
boot_time = "250 ms"
burst_current = "150 mA"
[firmware]
content_delay = "400 ms"
content = [0.05, 0.05, 0.05]  # few pixels lit
[pixel]
channel_current = "7.6 mA"
channel_resistance = "230 ohm"
[wiring]
sections = 6
pixels_per_section = 64
hop_resistance = {2 * wire_resistance(0.1, awg_area(30)):.4f}
""")

ALL_WHITE = {"firmware.first_frame": [1, 1, 1], "firmware.content": [1, 1, 1]}
IN_THE_MIDDLE = {"wiring.feeds": [2, 3]}


def run(values):
    return simulate(DISPLAY.with_values(values))


def pixel_current(startup):
    """What goes into the panel at the end [A]."""
    wiring, root = startup.build.wiring, startup.curves["panel_voltage"][-1]
    fed = zip(wiring.feeds, wiring.feed_resistance, strict=True)
    return sum((root - startup.figures.final_section_voltages[k]) / r for k, r in fed)


def near_first_data(startup, later):
    """All curves at an instant reckoned from the end of the first frame [s]."""
    (ended, *_) = (s.time for s in startup.switchings if s.kind is Kind.FRAME_END)
    return {name: float(curve[0]) for name, curve in startup.at(np.array([ended + later])).items()}


def before_first_data(startup):
    return near_first_data(startup, -1e-3)


def after_first_data(startup):
    return near_first_data(startup, 20e-3)


def section_voltages(curves):
    return [curves[f"section_{k}_voltage"] for k in range(6)]


@pytest.fixture(scope="module")
def at_one_end():
    return run({})


@pytest.fixture(scope="module")
def saved_by_a_switch():
    return run({"adapter.rated_current": 1, "switch": {}})


def test_one_tile_takes_one_and_a_half_amperes_all_white():
    assert pixel_current(run({**ALL_WHITE, "wiring.sections": 1})) == pytest.approx(1.5, abs=0.05)


def test_six_take_nine():
    # Each tile on its own feed, from an adapter that gives so much.
    everywhere = {"adapter.rated_current": 12, "wiring.feeds": [0, 1, 2, 3, 4, 5]}
    assert pixel_current(run({**ALL_WHITE, **everywhere})) == pytest.approx(9.0, abs=0.5)


def test_a_1_ampere_adapter_never_starts_the_controller():
    startup = run({"adapter.rated_current": 1, "run.duration": 3.0})
    assert startup.verdict is Verdict.STUCK
    assert startup.running_at is None
    assert startup.figures.final_bus_voltage < needed_bus_voltage(DISPLAY)


def test_a_3_ampere_adapter_does():
    assert run({"adapter.rated_current": 3}).verdict is Verdict.BOOTS


def test_fed_at_one_end_it_draws_more_than_5_amperes_before_the_first_data(at_one_end):
    assert before_first_data(at_one_end)["lead_current"] > 5.0


def test_then_it_falls_to_little(at_one_end):
    assert at_one_end.verdict is Verdict.BOOTS
    assert after_first_data(at_one_end)["lead_current"] < 0.5


def test_and_the_voltage_is_back_at_5_volts(at_one_end):
    curves = after_first_data(at_one_end)
    assert [curves["bus_voltage"], *section_voltages(curves)] == pytest.approx([5.05] * 7, abs=0.05)


def test_fed_in_the_middle_and_all_lit_it_reaches_the_full_8_amperes():
    # The label's current and a little more, short of where the adapter limits.
    start = run({**ALL_WHITE, **IN_THE_MIDDLE})
    assert 8.0 < start.figures.settled_lead_current < 0.9 * start.build.adapter.limit_current


def test_fed_at_one_end_the_voltage_falls_along_the_row(at_one_end):
    volts = section_voltages(before_first_data(at_one_end))
    assert volts == sorted(volts, reverse=True)
    assert volts[0] - volts[-1] > 1.0


def test_fed_in_the_middle_it_is_even():
    volts = section_voltages(before_first_data(run(IN_THE_MIDDLE)))
    assert max(volts) - min(volts) < 0.4
    assert volts == pytest.approx(volts[::-1], abs=1e-6)


def test_with_few_pixels_lit_it_takes_less_than_1_ampere(at_one_end):
    assert 0.5 < at_one_end.figures.settled_lead_current < 1.0


def test_with_a_switch_the_1_ampere_adapter_starts_it(saved_by_a_switch):
    assert saved_by_a_switch.verdict is Verdict.BOOTS


def test_the_switch_is_off_until_the_controller_runs(saved_by_a_switch):
    waiting = np.linspace(0.0, saved_by_a_switch.running_at, 200)
    assert max(saved_by_a_switch.at(waiting)["panel_voltage"]) < 0.2


def test_after_a_short_flash_of_white(saved_by_a_switch, at_one_end):
    assert 1e-3 < saved_by_a_switch.figures.lit_before_data < 50e-3
    assert at_one_end.figures.lit_before_data > 200e-3
