"""The picture for the screen against the same picture drawn by matplotlib alone."""

import io

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from PIL import Image

from inrushlib.build import new_build
from inrushlib.plots.live import LivePicture, encode
from inrushlib.plots.startup import VOLTAGES, Overlay, View, draw_startup
from inrushlib.plots.style import CURVES, STATES, colours
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


def printed(start, view=None):
    figure = Figure(figsize=(SIZE[0] / 100, SIZE[1] / 100), dpi=100, facecolor="white")
    canvas = FigureCanvasAgg(draw_startup(start, figure, view))
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3].astype(int)


def test_repainted_picture_is_the_one_drawn_anew(starts):
    live = LivePicture()
    view = View(span=(0.1, 0.3), cursor=0.2, voltages=VOLTAGES)
    for start in (starts[0], starts[1], starts[0]):
        live.png(start, view)
    for start in starts:
        difference = np.abs(pixels(live.png(start, view)) - printed(start, view))
        assert difference.mean() < 0.6
        assert np.mean(difference.max(axis=2) > 60) < 2e-3


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


def test_encoding_keeps_the_pictures_colours():
    wanted = np.array([[[round(255 * part) for part in to_rgb(colour)] for colour in colours()]], np.uint8)
    opaque = np.dstack([wanted, np.full(wanted.shape[:2], 255, np.uint8)])
    assert np.abs(pixels(encode(opaque)) - wanted).max() <= 8


def test_no_two_curves_or_states_differ_by_colour_alone():
    drawn = {name: (str(style["linestyle"]), style["linewidth"]) for name, style in CURVES.items()}
    shown = [drawn[name] for name in VOLTAGES]
    assert len(set(shown)) == len(shown)
    for row in (("reset", "boot", "run"), ("on", "limiting", "tripped"), ("power-on colour", "partly written",
                "showing data"), ("idle", "first frame", "content")):  # fmt: skip
        greys = [(round(sum(np.array(to_rgb(STATES[s][0])) * (0.3, 0.59, 0.11)), 1), STATES[s][1]) for s in row]
        assert len(set(greys)) == len(greys)
