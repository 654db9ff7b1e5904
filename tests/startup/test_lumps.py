"""Sections are cut into lumps, so that the answer does not hang on how they are drawn."""

import numpy as np
import pytest

from inrushlib.build import new_build, to_toml
from inrushlib.startup import Kind, cut, hold_lumps, lump_counts, screen, simulate

from ..model import equations as eq
from .wide_builds import Chance, random_values


def strip(pixels, sections, rated, feed, **values):
    """A strip of 6.2 mohm pitch, drawn as so many sections without a joint, fed at one pixel of the whole."""
    each = pixels // sections
    section, pixel = divmod(feed, each)
    return new_build(
        {
            "title": "strip", "adapter.rated_current": rated, "wiring.sections": sections,
            "wiring.pixels_per_section": each, "wiring.rail_resistance": "6.2 mohm", "wiring.hop_resistance": 0,
            "wiring.feeds": [section], "wiring.feed_pixels": [pixel],
        } | values
    )  # fmt: skip


# ----- how they are cut, by hand -----


@pytest.mark.parametrize(
    ("pixels", "lumps", "feed", "sizes", "fed", "centre"),
    [
        (30, 1, 15, [30], 0, 0),
        (30, 3, 15, [10, 10, 10], 1, 1),
        # Pixel 15 of 30 has its centre at 15.5; of 3 pixels in 3 lumps pixel 1 at 1.5, in the second.
        (3, 3, 1, [1, 1, 1], 1, 1),
        # Fed at the first pixel: a lump of its own, none before it, ceil(3 * 29 / 30) = 3 behind it.
        (30, 3, 0, [1, 29 / 3, 29 / 3, 29 / 3], 0, 2),
        # At pixel 20: ceil(3 * 20 / 30) = 2 of 10 before it, ceil(3 * 9 / 30) = 1 of 9 behind it.
        (30, 3, 20, [10, 10, 1, 9], 2, 1),
        (30, 3, 29, [29 / 3, 29 / 3, 29 / 3, 1], 3, 1),
        # A single lump stays one, wherever the feed lands.
        (30, 1, 0, [30], 0, 0),
    ],
)
def test_where_the_cuts_lie(pixels, lumps, feed, sizes, fed, centre):
    found = cut(strip(pixels, 1, 5, feed, **{"wiring.lumps": lumps}))
    assert [float(n) for n in found.pixels] == pytest.approx(sizes, rel=1e-15)
    assert found.fed == (fed,)
    assert found.centre == (centre,)
    assert found.last == (len(sizes) - 1,)


def test_a_centre_on_a_boundary_belongs_to_the_later_lump():
    # 9 pixels in 5 lumps, fed at pixel 6: the 6 before it make ceil(5 * 6 / 9) = 4 lumps of 1.5. The centre of pixel 4
    # lies at 4.5, exactly on the bound between the third and the fourth.
    found = cut(strip(9, 1, 5, 6, **{"wiring.lumps": 5}))
    assert [float(n) for n in found.pixels] == [1.5, 1.5, 1.5, 1.5, 1, 1, 1]
    assert found.centre == (3,)
    assert found.fed == (4,)


@pytest.mark.parametrize("seed", range(60))
def test_the_same_cuts_as_the_description_read_a_second_time(seed):
    values = random_values(Chance(seed))
    random = np.random.default_rng(seed)
    values["wiring.rail_resistance"] = float(random.choice([1e-3, 6e-3, 30e-3]))
    values["wiring.lumps"] = "auto"
    build = new_build(values)
    found, expected = cut(build), eq.lumps(build)
    assert [float(n) for n in found.pixels] == pytest.approx(expected.pixels, rel=1e-14)
    assert list(found.section) == expected.section
    assert list(found.fed) == expected.fed
    assert list(found.centre) == expected.centre
    assert sum(found.pixels) == sum(build.wiring.pixels_per_section)


def test_auto_by_hand():
    # i = 0.6 mA + 3 * 12 mA = 36.6 mA; 6.2 mohm * 297^2 * 36.6 mA / 8 = 2.502 V: q^2 >= 250.2, q = 17.
    assert lump_counts(strip(297, 1, 5, 148)) == (17,)
    # Twenty sections of 60: 6.2 mohm * 3600 * 36.6 mA / 8 = 0.102 V: q^2 >= 10.2, q = 5.
    assert lump_counts(strip(1200, 20, 5, 0)) == (5,) * 20
    # 64 sections leave 300 // 64 = 4: 3 at most.
    assert lump_counts(strip(6400, 64, 5, 0)) == (3,) * 64
    assert lump_counts(strip(297, 1, 5, 148, **{"wiring.rail_resistance": 0, "wiring.hop_resistance": 0.03})) == (1,)


def test_the_picture_counts_only_where_it_is_sent():
    dark = {"pixel.power_on": [0, 0, 0], "firmware.content": [1, 1, 1]}
    # 0.6 mA alone: 6.2 mohm * 297^2 * 0.6 mA / 8 = 41 mV: q = 3.
    assert lump_counts(strip(297, 1, 5, 148, **dark)) == (3,)
    assert lump_counts(strip(297, 1, 5, 148, **dark, **{"firmware.content_delay": 0.1})) == (17,)


# ----- what it is for -----


@pytest.mark.parametrize(("pixels", "rated", "feed", "verdict"), [
    (486, 20, 9, "display-stays-lit"), (486, 20, 243, "boots"), (297, 5, 148, "boots"),
])  # fmt: skip
def test_the_same_strip_however_it_is_drawn(pixels, rated, feed, verdict):
    starts = [screen(strip(pixels, sections, rated, feed)) for sections in (1, 3, 9, 27)]
    assert {start.verdict.value for start in starts} == {verdict}
    peaks = [start.peak_lead_current for start in starts]
    assert max(peaks) < 1.01 * min(peaks)


def realistic(seed):
    """A random display, every section with an odd number of pixels, so that a lump for each pixel can be asked for."""
    random = np.random.default_rng(seed)
    sections = int(random.integers(1, 5))
    pixels = [int(n) for n in 2 * random.integers(4, 49, sections) + 1]
    feeds = sorted({int(random.integers(0, sections)) for _ in range(2)})
    values = {
        "title": "random", "adapter.rated_current": float(random.uniform(1, 12)), "wiring.sections": sections,
        "wiring.pixels_per_section": pixels, "wiring.rail_resistance": float(random.choice([0.3e-3, 2e-3, 6.2e-3])),
        "wiring.feeds": feeds, "wiring.feed_pixels": [int(random.integers(0, pixels[k])) for k in feeds],
        "pixel.channel_current": float(random.uniform(5e-3, 18e-3)), "run.duration": 0.25,
    }  # fmt: skip
    return new_build(values)


def on_lumps_where_one_would_do(build):
    """Whether every fed section is cut: one that is a single lump knows nothing of where its feed lands."""
    counts = lump_counts(build)
    off = zip(build.wiring.feeds, build.wiring.feed_pixels, strict=True)
    return all(counts[k] > 1 or pixel == build.wiring.pixels_per_section[k] // 2 for k, pixel in off)


def test_auto_against_a_node_for_every_pixel():
    compared, worst = 0, 0.0
    for seed in range(200):
        build = realistic(seed)
        if not on_lumps_where_one_would_do(build):
            continue
        every = build.with_values({"wiring.lumps": list(build.wiring.pixels_per_section)})
        few, all_of_them = screen(build), screen(every)
        worst = max(worst, abs(few.peak_lead_current / all_of_them.peak_lead_current - 1))
        compared += 1
        if compared == 50:
            break
    print(f"peak current, worst of {compared}: {100 * worst:.2f} %")
    assert compared == 50
    assert worst < 0.01


# ----- what a section does -----


def test_a_section_shows_once_all_its_lumps_do():
    # Too long a strip: the near lumps take the frame, the far end does not listen.
    start = simulate(strip(486, 1, 20, 0, **{"wiring.lumps": 9}))
    shown = {s.index for s in start.switchings if s.kind is Kind.SHOWS}
    assert start.verdict.value == "display-stays-lit"
    assert shown == set()
    assert start.figures.final_lowest_lump_voltage < start.build.pixel.listen_voltage
    assert start.figures.final_section_voltages[0] > start.figures.final_lowest_lump_voltage


def test_conductors_are_those_between_the_lumps():
    start = simulate(strip(90, 3, 5, 45, **{"wiring.hop_resistance": 0.03, "wiring.lumps": 3}))
    by_name = {conductor.name: conductor for conductor in start.conductors}
    # A jumper and half a lump of 10 pixels of rail on each side.
    assert by_name["jumper 0-1"].resistance == pytest.approx(0.03 + 10 * 6.2e-3, rel=1e-12)
    times = np.linspace(0.0, start.build.run.duration, 200_001)
    currents = {place.name: current for place, current in start.currents(times).items()}
    for conductor in start.conductors:
        charge = np.trapezoid(currents[conductor.name], times)
        assert charge == pytest.approx(conductor.charge, rel=2e-3, abs=1e-6)


# ----- while something moves -----


def test_held_lumps_stay_while_values_move():
    build = hold_lumps(strip(297, 1, 5, 148))
    dark = build.with_values({"pixel.power_on": [0, 0, 0]})
    assert lump_counts(dark) == lump_counts(build) == (17,)
    assert lump_counts(dark.with_lumps_held(None)) == (3,)


def test_they_are_let_go_where_they_do_not_fit_and_are_never_written():
    build = hold_lumps(strip(297, 1, 5, 148))
    assert build.with_values({"wiring.pixels_per_section": 31, "wiring.feed_pixels": None}).held_lumps is None
    bare = {"wiring.rail_resistance": 0, "wiring.hop_resistance": 0.03}
    assert lump_counts(build.with_values(bare)) == (1,)
    assert lump_counts(build.with_values({"wiring.lumps": 5})) == (5,)
    assert "lumps" not in to_toml(build)
