"""The pixel's law from bench tables: published ones, and made ones whose law is known."""

from contextlib import suppress

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inrushlib.errors import InrushError, TraceError
from inrushlib.laws.arrays import pixel_current
from inrushlib.parts.pixel import Pixel
from inrushlib.trace.bench import fit_bench
from inrushlib.trace.bench_table import read_bench

# Published measurement (file current_analysis.ipynb of an open clock project, commit f215d73): supply current
# [mA] against the number of lit pixels. The supply is taken as 5 V; the strip's length is not stated, so that
# only the current of all dark pixels together can be checked.
COUNTS = (1, 5, 10, 14)
PUBLISHED = {
    "white": ("white", (45, 178, 345, 477)),
    "red": ("red", (22.5, 67, 122.9, 167.4)),
    "green": ("green", (22.7, 67.3, 123.3, 168.4)),
    "blue": ("blue", (22.7, 67.2, 123.4, 168)),
    "half white": ("0.5 0.5 0.5", (27.5, 94.8, 177, 243)),
    "half red": ("0.5 0 0", (16.2, 38.6, 66.4, 88.5)),
}
# What that notebook prints [mA per pixel], and how many channels at full that is.
SLOPES = {
    "white": (33.25, 3),
    "red": (11.15, 1),
    "green": (11.21, 1),
    "blue": (11.19, 1),
    "half white": (16.56, 1.5),
    "half red": (5.56, 0.5),
}
HEAD = "voltage [V],current [mA],count,colour"


def table_of(*names, pixels=14):
    rows = [
        f"5,{current},{count},{PUBLISHED[name][0]}"
        for name in names
        for count, current in zip(COUNTS, PUBLISHED[name][1], strict=True)
    ]
    return read_bench("\n".join([HEAD, *rows]).encode(), pixels=pixels)


@pytest.mark.parametrize("name", PUBLISHED)
def test_slope_of_a_published_table(name):
    found = fit_bench(table_of(name))
    slope, channels = SLOPES[name]
    # Weights differ from the notebook's plain least squares: a row counts by its meter's error.
    assert channels * found.values["channel_current"].value == pytest.approx(slope * 1e-3, rel=0.01)


def test_what_dark_pixels_draw_in_a_published_table():
    # The same notebook's line through the white readings meets zero pixels at 11.86 mA.
    found = fit_bench(table_of("white"))
    assert 14 * found.values["quiescent_current"].value == pytest.approx(11.86e-3, rel=0.05)


def test_all_published_rows_together():
    found = fit_bench(table_of(*PUBLISHED))
    channel = found.values["channel_current"]
    # The source calls colours additive and brightness linear within 1 %: one number describes all six.
    assert channel.value == pytest.approx(11.15e-3, rel=0.01)
    assert channel.error < 0.01 * channel.value
    assert found.rms < 2e-3
    assert found.values["channel_resistance"].error is None
    assert "low enough for a colour to fade" in found.values["channel_resistance"].note
    assert found.pixel.channel_resistance == Pixel().channel_resistance
    assert found.pixel.channel_current == channel.value


def test_a_long_strip_in_the_dark_and_lit_one_by_one():
    # A hobbyist's published bench measurement (common practice, no source): 300 pixels, 70 mA dark, which is
    # 0.23 mA a pixel; red 7.98, green 8.11, blue 7.98 mA a pixel. Few are lit here, as copper is left out.
    rows = ["5,70,0,dark"]
    for colour, each in (("red", 7.98), ("green", 8.11), ("blue", 7.98)):
        rows += [f"5,{70 + count * each:.1f},{count},{colour}" for count in (5, 10, 20)]
    found = fit_bench(read_bench("\n".join([HEAD, *rows]).encode(), pixels=300)).values
    assert round(found["quiescent_current"].value * 1e3, 2) == 0.23
    assert found["channel_current"].value == pytest.approx(8.02e-3, rel=0.01)
    low, high = (found["channel_current"].value + s * 3 * found["channel_current"].error for s in (-1, 1))
    assert low < 8.11e-3
    assert high > 7.98e-3


def made(true, seed, noise=0.003):
    """A table over voltages, colours and counts; the meter shows 0.1 mA."""
    rng = np.random.default_rng(seed)
    lines = [HEAD + ",pixels"]
    for name, duty in (("dark", (0, 0, 0)), ("red", (1, 0, 0)), ("blue", (0, 0, 1)), ("white", (1, 1, 1))):
        for volts in (2.6, 2.9, 3.2, 3.6, 4.2, 5.0):
            lit, dark = (
                float(pixel_current(np.array([volts]), np.array(d, dtype=float)[:, None], true)[0][0])
                for d in (duty, (0, 0, 0))
            )
            current = (32 * dark + 8 * (lit - dark)) * (1 + noise * rng.normal())
            lines.append(f"{volts},{1e3 * current:.1f},8,{name},32")
    return read_bench("\n".join(lines).encode())


def test_known_laws_are_found_inside_their_errors():
    rng = np.random.default_rng(11)
    away = []
    for seed in range(20):
        true = Pixel(
            channel_current=rng.uniform(9e-3, 20e-3),
            channel_resistance=rng.uniform(40, 120),
            quiescent_current=rng.uniform(0.2e-3, 1e-3),
            forward_voltages=tuple(np.array(Pixel().forward_voltages) + rng.normal(0, 0.15, 3)),
        )
        found = fit_bench(made(true, seed)).values
        away += [(found[key].value - getattr(true, key)) / found[key].error for key in found]
    # Of 60 values fewer than 51 inside 1.96 errors would happen once in some 1,000 times.
    assert np.sum(np.abs(away) < 1.96) >= 51
    assert np.std(away) > 0.5  # errors are not so wide that nothing could fail


def test_forward_voltages_move_where_the_table_shows_the_fade():
    true = Pixel(forward_voltages=(2.1, 2.75, 3.05))
    found = fit_bench(made(true, 1))
    assert found.forward_voltages[0] == pytest.approx(2.1, abs=0.05)
    assert found.forward_voltages[2] == pytest.approx(3.05, abs=0.05)
    assert found.pixel.forward_voltages == found.forward_voltages
    assert found.values["channel_resistance"].value == pytest.approx(80.0, rel=0.1)


def test_what_else_hangs_on_the_supply_is_left_out():
    rows = ["5,98.4,0,dark", "5,218.4,10,red", "5,338.4,20,red"]
    found = fit_bench(read_bench("\n".join([HEAD, *rows]).encode(), pixels=20), other_current=0.09).values
    assert found["quiescent_current"].value == pytest.approx(0.42e-3, rel=0.01)
    with pytest.raises(TraceError, match="other_current: -1 A; accepted: 0 or above"):
        fit_bench(table_of("red"), other_current=-1.0)


def test_other_ways_to_write_the_table():
    plain = read_bench(f"{HEAD},pixels\n5,22.5,1,red,14\n4.5,67,5,0.5 0 0,14\n".encode())
    head = "colour;count;pixels;Supply current (A);note;Supply voltage (V)"
    other = f"{head}\r\nRed;1;14;0,0225;x;5,0\r\n0,5/0/0;5;14;0,067;;4,5\r\n"
    for data in (other.encode(), other.encode("utf-8-sig"), other.encode("utf-16")):
        table = read_bench(data)
        for key in ("voltage", "current", "count", "pixels", "duty"):
            np.testing.assert_allclose(getattr(table, key), getattr(plain, key), rtol=1e-12)


@pytest.mark.parametrize(
    ("text", "pixels", "message"),
    [
        ("", 14, "a header row and at least one row of readings are expected"),
        (HEAD, 14, "a header row and at least one row of readings are expected"),
        ("voltage [V],current [mA],count\n5,1,1", 14, "line 1: no column colour"),
        ("voltage,current [mA],count,colour\n5,1,1,red", 14, "line 1: 'voltage'; accepted: voltage with its unit"),
        ("voltage [A],current [mA],count,colour\n5,1,1,red", 14, "accepted: voltage with its unit"),
        (f"{HEAD},count\n5,1,1,red,1", 14, "line 1: two columns of count"),
        (f"{HEAD}\n5,1,1,red", None, "how many pixels hang on the supply is not said"),
        (f"{HEAD}\n5,1,1,red", 0, "pixels 0; accepted: a whole number from 1"),
        (f"{HEAD},pixels\n5,1,1,red,14", 14, "pixels 14; accepted: a whole number from 1, where the table has no"),
        (f"{HEAD}\n5,1,1", 14, "line 2: 4 cells are expected, not 3"),
        (f"{HEAD}\n5,one,1,red", 14, "line 2: current: 'one'; accepted: a number"),
        (f"{HEAD}\n5,---,1,red", 14, "line 2: current: '---'; accepted: a number"),
        (f"{HEAD}\n-5,1,1,red", 14, "line 2: voltage -5 V; accepted: 0 or above"),
        (f"{HEAD}\n5,1,1.5,red", 14, "line 2: count 1.5; accepted: whole numbers from 0"),
        (f"{HEAD}\n5,1,15,red", 14, "line 2: 15 lit of 14 pixels; accepted: at most all of them"),
        (f"{HEAD}\n5,1,1,pink", 14, "line 2: colour 'pink'; accepted: dark, off, red, green, blue, white, or three"),
        (f"{HEAD}\n5,1,1,0.5 0.5 2", 14, "line 2: colour '0.5 0.5 2'"),
    ],
)
def test_a_bad_table_is_refused_with_its_line(text, pixels, message):
    with pytest.raises(TraceError) as caught:
        read_bench(text.encode(), pixels=pixels)
    assert message in str(caught.value)


def test_all_bad_lines_come_together_and_a_missing_file_is_said():
    with pytest.raises(TraceError) as caught:
        read_bench(f"{HEAD}\n5,x,1,red\n5,1,1,pink\n5,1,99,red\n".encode(), pixels=14)
    assert len(caught.value.problems) == 3
    with pytest.raises(TraceError, match="cannot be read"):
        read_bench("no such table.csv", pixels=14)


def test_a_table_that_shows_too_little_is_refused():
    with pytest.raises(TraceError, match="1 row of readings; accepted: 2 or more"):
        fit_bench(read_bench(f"{HEAD}\n5,1,1,red".encode(), pixels=14))
    with pytest.raises(TraceError, match="no row shows a lit pixel"):
        fit_bench(read_bench(f"{HEAD}\n5,1,0,red\n5,1,5,dark".encode(), pixels=14))


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet="05.,;-e\n\t rdwhitegnaok[]VmA\"'", max_size=80))
def test_no_other_error_than_ours(text):
    for data in (text, f"{HEAD}\n{text}"):
        with suppress(InrushError):
            fit_bench(read_bench(data.encode(), pixels=14))
