"""The facts of the trade once more (``test_facts.py``), from part classes alone: no value that was chosen for them.

Common practice, no source: six 64-pixel tiles in a row, joined by 10 cm of 30 AWG, on one 5 V adapter.
"""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.startup import Verdict, needed_bus_voltage, simulate

DISPLAY = new_build({
    "title": "six tiles in a row",
    "adapter.class": "desktop 8 A",
    "lead.class": "screw terminals, 18 AWG",
    "bus.class": "electrolytic, low impedance",
    "bus.bulk": "1000 uF",
    "controller.class": "Wi-Fi, low-dropout regulator",
    "pixel.class": "8 mA, wakes white",
    "wiring.class": "tile 8 x 8, copper planes",
    "wiring.sections": 6,
    "wiring.hop_length": "0.1 m",
    "wiring.hop_gauge": "30 AWG",
    "firmware.content_delay": "400 ms",
    "firmware.content": [0.05, 0.05, 0.05],  # few pixels lit
})  # fmt: skip
ALL_WHITE = {"firmware.first_frame": [1, 1, 1], "firmware.content": [1, 1, 1]}
# Off until the program runs, dark frames often until the picture.
SWITCH = {"switch.class": "P-channel, medium", "firmware.refresh_interval": "15 ms"}


def run(values):
    return simulate(DISPLAY.with_values(values))


def test_a_1_ampere_plug_in_sticks():
    start = run({"adapter.class": "plug-in 1 A", "run.duration": 3.0})
    assert start.verdict is Verdict.STUCK
    assert start.running_at is None
    assert start.figures.final_bus_voltage < needed_bus_voltage(DISPLAY)


def test_a_3_ampere_plug_in_boots_as_the_default_3_amperes_do():
    by_class = run({"adapter.class": "plug-in 3 A"})
    by_label = run({"adapter": {"rated_current": "3 A"}})
    assert by_class.verdict is by_label.verdict is Verdict.BOOTS
    assert by_class.running_at == pytest.approx(by_label.running_at, rel=1e-6)


def test_8_amperes_fed_at_the_end_peak_above_5_before_the_first_data():
    start = run({})
    assert start.verdict is Verdict.BOOTS
    assert start.at(np.array([0.9 * start.running_at]))["lead_current"][0] > 5.0


def test_8_amperes_fed_in_the_middle_and_all_lit_are_drawn_in_full():
    start = run({**ALL_WHITE, "wiring.feeds": [2, 3]})
    assert 8.0 < start.figures.settled_lead_current < start.build.adapter.limit_current


def test_one_tile_takes_one_and_a_half_amperes_all_white():
    start = run({**ALL_WHITE, "wiring.sections": 1})
    (feed,) = start.build.wiring.feed_resistance
    into = (start.curves["panel_voltage"][-1] - start.figures.final_section_voltages[0]) / feed
    assert into == pytest.approx(1.5, abs=0.05)


def test_with_a_switch_and_dark_frames_the_1_ampere_plug_in_boots():
    start = run({"adapter.class": "plug-in 1 A", **SWITCH})
    assert start.verdict is Verdict.BOOTS
    assert start.figures.settled_lead_current < 1.0


def test_an_ammeter_shows_the_current_while_it_is_lit_and_no_short_flash():
    lit, stuck, flash = run({}), run({"adapter.class": "plug-in 1 A"}), run({"adapter.class": "plug-in 1 A", **SWITCH})
    # Steady from soft start to first data: the curve half way there is what the meter reads.
    half = lit.at(np.array([0.5 * lit.running_at]))["lead_current"][0]
    assert lit.lit_lead_current == pytest.approx(half, rel=0.02)
    assert lit.lit_lead_current < lit.figures.peak_lead_current
    assert stuck.lit_lead_current == pytest.approx(stuck.build.adapter.limit_current, rel=0.03)
    assert flash.figures.lit_before_data < 0.1
    assert flash.lit_lead_current is None
