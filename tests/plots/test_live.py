"""The picture for the screen against the same picture drawn by matplotlib alone."""

import io
import itertools

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from PIL import Image

from inrushlib.build import new_build
from inrushlib.plots.live import LivePicture, encode
from inrushlib.plots.scheme import DASHES, Scheme
from inrushlib.plots.startup import VOLTAGES, Overlay, View, draw_startup
from inrushlib.plots.style import spread_apart
from inrushlib.startup import simulate

SIZE = (840, 554)


@pytest.fixture(scope="module")
def starts():
    build = new_build(
        {
            "title": "t",
            "adapter.rated_current": 3,
            "wiring.sections": 2,
            "wiring.pixels_per_section": 32,
            "run.duration": 0.4,
        }
    )
    return [simulate(build), simulate(build.with_values({"switch": {}, "adapter.rated_current": 1.5}))]


def pixels(png):
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


def printed(start, view=None, scheme=Scheme.LIGHT):
    figure = Figure(figsize=(SIZE[0] / 100, SIZE[1] / 100), dpi=100)
    canvas = FigureCanvasAgg(draw_startup(start, figure, view, scheme))
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3].astype(int)


@pytest.mark.parametrize("scheme", Scheme)
def test_repainted_picture_is_the_one_drawn_anew(starts, scheme):
    live = LivePicture()
    live.paint(scheme)
    live.resize(840, 1.0)
    view = View(span=(0.1, 0.3), cursor=0.2, voltages=VOLTAGES)
    for start in (starts[0], starts[1], starts[0]):
        live.png(start, view)
    for start in starts:
        difference = np.abs(pixels(live.png(start, view)) - printed(start, view, scheme))
        assert difference.mean() < 0.6
        assert np.mean(difference.max(axis=2) > 60) < 2e-3


@pytest.mark.parametrize("ratio", [1.0, 2.0])
def test_fills_that_are_copied_are_those_that_are_drawn(starts, ratio):
    """Away from words and edges, whose places are rounded: as matplotlib fills and hatches them itself."""
    live = LivePicture()
    live.resize(840, ratio)
    for start in (starts[1], starts[0]):
        live.png(start)
    copied = np.asarray(live.canvas.buffer_rgba())[..., :3].astype(int)
    figure = Figure(figsize=(SIZE[0] / 100, SIZE[1] / 100), dpi=100 * ratio)
    canvas = FigureCanvasAgg(draw_startup(starts[0], figure))
    canvas.draw()
    left, low, right, high = np.rint(live.picture.strip.axes.bbox.extents).astype(int)
    rows = slice(copied.shape[0] - high, copied.shape[0] - low)
    drawn = np.asarray(canvas.buffer_rgba())[rows, left:right, :3].astype(int)
    differ = np.abs(copied[rows, left:right] - drawn).max(axis=2) > 8
    assert len(np.unique(drawn.reshape(-1, 3), axis=0)) > 20  # fills, hatches, words
    assert differ.mean() < 0.02


def test_other_start_other_picture(starts):
    live = LivePicture()
    first, second = (live.png(start) for start in starts)
    assert first != second
    assert live.png(starts[0]) == first


def test_axes_are_drawn_anew_only_when_their_limits_change(starts):
    live = LivePicture()
    live.png(starts[0])
    live.png(starts[0], View(cursor=0.1))
    assert live.full_draws == 1
    live.png(starts[0], View(span=(0.0, 0.1)))
    assert live.full_draws == 2


def test_overlay_is_drawn_on_its_axes(starts):
    live = LivePicture()
    time = np.linspace(0, 0.4, 5000)
    live.png(starts[0], View(overlays=(Overlay(time, 3 + 0 * time, False), Overlay(time, 1 + 0 * time, True))))
    volts, amps = live.picture.measured
    assert np.nanmax(volts.get_ydata()) == 3.0
    assert np.nanmax(amps.get_ydata()) == 1.0


def test_names_at_the_ends_stand_apart_and_stay_in_place_at_any_resolution(starts):
    figure = Figure(figsize=(9, 5), dpi=100)
    draw_startup(starts[0], figure)
    canvas = FigureCanvasAgg(figure)
    places = []
    for dpi in (100, 200):
        figure.set_dpi(dpi)
        canvas.draw()
        boxes = [text.get_window_extent() for text in figure.axes[0].texts if text.get_visible()]
        lowest = sorted(boxes, key=lambda box: box.y0)
        assert all(below.y1 <= above.y0 + 0.02 * dpi for below, above in itertools.pairwise(lowest))
        assert all(box.x1 <= figure.bbox.x1 for box in boxes)
        places.append([round(box.x0 / dpi, 2) for box in boxes])
    assert places[0] == pytest.approx(places[1], abs=0.02)


def test_spread_apart_keeps_order_and_ends():
    found = spread_apart([3.0, 3.1, 2.9, 90.0], 10.0, 0.0, 95.0)
    assert found == pytest.approx([10.0, 20.0, 0.0, 90.0])
    assert spread_apart([94.0, 94.5], 10.0, 0.0, 95.0) == pytest.approx([85.0, 95.0])
    assert spread_apart([], 10.0, 0.0, 95.0) == []


@pytest.mark.parametrize("scheme", Scheme)
def test_encoding_keeps_the_pictures_colours(scheme):
    own = scheme.palette.colours
    wanted = np.array([[[round(255 * part) for part in to_rgb(colour)] for colour in own]], np.uint8)
    opaque = np.dstack([wanted, np.full(wanted.shape[:2], 255, np.uint8)])
    assert np.abs(pixels(encode(opaque, scheme)) - wanted).max() <= 8


def luminance(colour):
    """Relative luminance, WCAG 2.2, definition of relative luminance."""
    parts = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in to_rgb(colour)]
    return sum(np.array(parts) * (0.2126, 0.7152, 0.0722))


@pytest.mark.parametrize("scheme", Scheme)
def test_curves_and_words_stand_out_from_the_page(scheme):
    """WCAG 2.2: 4.5 to 1 for text (1.4.3), 3 to 1 for what is needed to understand a graphic (1.4.11)."""
    palette = scheme.palette
    page = luminance(palette.sheet)

    def contrast(colour):
        high, low = sorted((luminance(colour), page), reverse=True)
        return (high + 0.05) / (low + 0.05)

    named = [palette.ink, palette.ink_2, palette.ink_3, palette.act, palette.short]
    named += [palette.curves[line] for line in VOLTAGES]
    assert min(map(contrast, named)) >= 4.5
    assert min(contrast(colour) for colour in palette.curves.values()) >= 3.0


@pytest.mark.parametrize("scheme", Scheme)
def test_no_two_curves_or_states_differ_by_colour_alone(scheme):
    shown = [(str(DASHES[name][0]), DASHES[name][1]) for name in VOLTAGES]
    assert len(set(shown)) == len(shown)
    states = scheme.palette.states
    for row in (("reset", "boot", "run"), ("on", "limiting", "tripped", "no mains"), ("power-on colour",
                "partly written", "showing data"), ("idle", "first frame", "content")):  # fmt: skip
        greys = [(round(luminance(states[s][0]), 1), states[s][1]) for s in row]
        assert len(set(greys)) == len(greys)
