"""The steady panel against published bench measurements of strips (source beside each check).

They are trends and rough levels: batches of the same kind of pixel differ by half.
"""

from typing import Any

import numpy as np
import pytest

from inrushlib.build import Build, new_build
from inrushlib.laws.arrays import channel_shares
from inrushlib.panel import PanelState, solve_panel

PITCH = 6.2e-3  # ohm; P12's strip: a hobbyist's published bench measurement (common practice, no source)


def strip(pixels: int, **values: Any) -> Build:
    given = {
        "title": "a strip on the bench",
        "adapter.rated_voltage": 5.0,
        "adapter.rated_current": 60.0,
        "lead.resistance": 1e-3,
        "controller.feed": "own",
        "wiring.sections": 1,
        "wiring.pixels_per_section": pixels,
        "wiring.rail_resistance": PITCH,
        "wiring.feed_resistance": 1e-3,
        "wiring.feed_pixels": [0],
    }
    return new_build(given | {key.replace("__", "."): value for key, value in values.items()})


def total(state: PanelState) -> float:
    assert state.largest_imbalance < 1e-9  # Kirchhoff's current law at every node
    assert state.feed_currents.sum() == pytest.approx(state.pixel_currents.sum(), abs=1e-9)
    return float(state.pixel_currents.sum())


# Published measurement (file current_analysis.ipynb of an open clock project, commit f215d73): supply current
# [mA] against the number of lit pixels, and the slope its notebook prints [mA per pixel].
COUNTS = (1, 5, 10, 14)
MEASURED = {
    "white": ((1, 1, 1), (45, 178, 345, 477), 33.25),
    "red": ((1, 0, 0), (22.5, 67, 122.9, 167.4), 11.15),
    "green": ((0, 1, 0), (22.7, 67.3, 123.3, 168.4), 11.21),
    "blue": ((0, 0, 1), (22.7, 67.2, 123.4, 168), 11.19),
    "half white": ((0.5, 0.5, 0.5), (27.5, 94.8, 177, 243), 16.56),
    "half red": ((0.5, 0, 0), (16.2, 38.6, 66.4, 88.5), 5.56),
}


@pytest.mark.parametrize("colour", MEASURED)
def test_current_against_lit_pixels(colour: str) -> None:
    duty, milliamperes, slope = MEASURED[colour]
    assert np.polyfit(COUNTS, milliamperes, 1)[0] == pytest.approx(slope, rel=0.01)  # the data are linear
    # One number from the data, the mean of the three single colours; white and the halves then follow.
    build = strip(14, pixel__channel_current=11.18e-3)
    drawn = []
    for count in COUNTS:
        picture = np.zeros((14, 3))
        picture[:count] = duty
        drawn.append(total(solve_panel(build, picture)) * 1e3)
    assert np.polyfit(COUNTS, drawn, 1)[0] == pytest.approx(slope, rel=0.015)


def test_dark_current_does_not_follow_the_batch() -> None:
    # Two batches of the same part: 33.5 and 52.5 mA in full white, just under 1 mA when dark, both (common
    # practice, no source).
    dark = []
    for white in (33.5e-3, 52.5e-3):
        build = strip(10, pixel__channel_current=(white - 0.9e-3) / 3, pixel__quiescent_current=0.9e-3)
        assert total(solve_panel(build)) / 10 == pytest.approx(white, rel=0.005)
        dark.append(total(solve_panel(build, (0, 0, 0))) / 10)
    assert dark[0] == pytest.approx(dark[1], rel=1e-9)
    assert dark[0] < 1e-3


def test_three_colours_together_draw_less_than_their_sum() -> None:
    # A hobbyist's published bench measurement (common practice, no source): 300 pixels, 0.23 mA idle, 7.98 /
    # 8.11 / 7.98 mA for one colour, 23.06 mA for three, their parts adding up to 24.07.
    build = strip(300, pixel__quiescent_current=0.23e-3, pixel__channel_current=8.02e-3, wiring__feed_pixels=[150])
    colours = [total(solve_panel(build, colour)) for colour in np.eye(3)]
    idle = total(solve_panel(build, (0, 0, 0)))
    assert idle == pytest.approx(300 * 0.23e-3, rel=0.01)
    together = total(solve_panel(build))
    assert 0.85 < together / sum(colours) < 0.99


def test_fade_begins_where_it_was_seen() -> None:
    # The same measurement: no visible fade down to 3.40 V, fade at 3.37 V. With 8 mA and a blue forward
    # voltage of 2.85 V the channel resistance that puts the knee there is some 65 ohm; the law then holds
    # above, fades below.
    part = strip(1, pixel__channel_current=7.98e-3, pixel__channel_resistance=65.0).pixel
    blue = channel_shares(np.array([5.0, 3.6, 3.40, 3.2, 3.0, 2.6]), part)[:, 2]
    assert blue[0] > 0.999
    assert blue[1] > 0.99
    assert blue[2] > 0.95
    assert np.all(np.diff(blue) < 0)
    assert blue[4] < 0.4


# A hobbyist's published bench measurement (common practice, no source): 5 m fed every 2.5 m at 5.00 V.
# Current in white, and the sum of the single colours, by duty [A].
DROOP = {1.0: (4.68, 7.83), 0.5: (3.27, 4.16), 0.25: (1.75, 2.01)}


def test_white_falls_short_of_its_parts_the_more_the_higher_the_load() -> None:
    # The source tells neither wire nor supply: one colour's current, then resistances that give the full-load
    # ratio. What is checked is the trend; with lighter load the model recovers more than the measured strip.
    build = strip(
        300,
        adapter__output_resistance=30e-3,
        wiring__sections=3,
        wiring__pixels_per_section=100,
        wiring__hop_resistance=0.0,
        wiring__feeds=[0, 1, 2],
        wiring__feed_resistance=0.4,
        wiring__feed_pixels=[0, 50, 99],
        wiring__rail_resistance=40e-3,
        pixel__channel_current=9e-3,
        pixel__quiescent_current=0.0,
    )
    ratios = []
    for duty in DROOP:
        parts = sum(total(solve_panel(build, duty * row)) for row in np.eye(3))
        ratios.append(total(solve_panel(build, (duty, duty, duty))) / parts)
    published = [white / parts for white, parts in DROOP.values()]
    assert published == sorted(published)  # 0.598, 0.786, 0.871
    assert ratios == sorted(ratios)
    assert ratios[0] == pytest.approx(published[0], abs=0.03)
    assert ratios[2] > ratios[1] + 0.05 > ratios[0] + 0.1


def test_end_fed_strip_is_orange_at_its_far_end() -> None:
    # Some 300 pixels fed at one end, full white, 5 V 10 A supply: 5.03 V at the start, 2.51 V at the end,
    # still lit, orange (common practice, no source).
    state = solve_panel(strip(300, **{"adapter__rated_voltage": 5.05, "adapter__rated_current": 10.0}))
    total(state)
    assert state.worst_pixel == 299
    assert 2.2 < state.lowest_voltage < 2.9
    red, green, blue = state.shares[299]
    assert red > 0.3
    assert red > 4 * green > 4 * blue
    assert np.all(np.diff(state.voltages) < 0)


def test_a_constant_current_pixel_would_be_absurd_there() -> None:
    # 300 pixels of 33 mA at 6.2 mohm: r I N (N + 1) / 2 = 9.24 V, more than there is. Currents fade instead.
    current = 33e-3
    assert PITCH * current * 300 * 301 / 2 == pytest.approx(9.24, abs=5e-3)
    state = solve_panel(strip(300, pixel__channel_current=10.8e-3))
    assert np.all(state.voltages > 1.8)
    assert np.all(state.pixel_currents >= 0.0)
    assert total(state) < 300 * current
