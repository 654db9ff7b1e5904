import dataclasses

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from inrushlib.build import new_build
from inrushlib.plots.map import draw_gate_map, draw_map
from inrushlib.plots.scheme import Scheme
from inrushlib.search.axis import Axis
from inrushlib.search.gate_map import gate_map
from inrushlib.search.map import verdict_map
from inrushlib.startup import Verdict

BUILD = new_build(
    {"title": "six tiles", "adapter.rated_current": 3, "bus.bulk": 470e-6, "wiring.sections": 6,
     "wiring.pixels_per_section": 64}
)  # fmt: skip
RATING = Axis("adapter.rated_current", 1, 6, 21)
BULK = Axis("bus.bulk", 1e-5, 1e-2, 17, log=True)


def drawn(draw, found, size=(7, 5)):
    figure = Figure(figsize=size, dpi=100, layout="constrained", facecolor="white")
    axes = figure.subplots()
    assert draw(found, axes) is axes
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return axes, np.asarray(canvas.buffer_rgba())[..., :3].astype(int)


def pixel(axes, image, x, y, size=9):
    """Commonest colour around a place in data."""
    column, row = axes.transData.transform((x, y))
    part = image[image.shape[0] - int(row) - size : image.shape[0] - int(row) + size, int(column) - size :][
        :, : 2 * size
    ]
    colours, counts = np.unique(part.reshape(-1, 3), axis=0, return_counts=True)
    return tuple(colours[counts.argmax()])


def fill(verdict, scheme=Scheme.LIGHT):
    return tuple(round(255 * c) for c in to_rgb(scheme.palette.verdict(verdict)[0]))


@pytest.fixture(scope="module")
def found():
    return verdict_map(BUILD, RATING, BULK)


def test_each_place_has_its_verdicts_fill(found):
    axes, image = drawn(draw_map, found)
    for row, column in ((2, 2), (2, 18), (14, 3), (14, 17), (8, 16)):
        x, y = found.x_values[column], 1e6 * found.y_values[row]
        assert pixel(axes, image, x, y) == fill(found.verdict(row, column))


def test_legend_says_in_words_what_is_there(found):
    axes, _ = drawn(draw_map, found)
    said = [text.get_text() for text in axes.get_legend().get_texts()]
    present = [list(Verdict)[n].words for n in np.unique(found.verdicts)]
    assert said == [*present, "edge of what boots", "this build"]


def test_axes_have_names_and_units(found):
    axes, _ = drawn(draw_map, found)
    assert axes.get_xlabel().startswith("Adapter's rated current [A]")
    assert axes.get_ylabel().startswith("Bulk capacitor at the bus [µF]")
    assert axes.get_yscale() == "log"
    assert axes.get_ylim() == pytest.approx((10, 1e4))
    assert "1000" in [label.get_text() for label in axes.get_yticklabels()]


def test_lines_and_marker_stand_where_the_map_says(found):
    axes, _ = drawn(draw_map, found)
    line, own = axes.get_lines()[0], axes.get_lines()[-1]
    assert line.get_xydata() == pytest.approx(found.boundaries[0] * (1, 1e6))
    assert own.get_xydata().tolist() == [[3.0, pytest.approx(470.0)]]


def test_no_marker_outside_the_range():
    axes, _ = drawn(draw_map, verdict_map(BUILD.with_values({"bus.bulk": 0}), RATING, BULK))
    assert "this build" not in [text.get_text() for text in axes.get_legend().get_texts()]


@pytest.mark.parametrize("scheme", Scheme)
def test_fills_read_in_grey(scheme):
    # No two verdicts share a hatch and lie within 20 of 255 in lightness.
    looks = [(np.dot(fill(v, scheme), (0.299, 0.587, 0.114)), scheme.palette.verdict(v)[1]) for v in Verdict]
    for i, (light, hatch) in enumerate(looks):
        for other, other_hatch in looks[:i]:
            assert abs(light - other) > 20 or hatch != other_hatch


def test_whole_numbers_get_whole_ticks():
    axes, _ = drawn(draw_map, verdict_map(BUILD, Axis("wiring.lanes", 1, 6), RATING))
    assert all(float(tick) == int(tick) for tick in axes.get_xticks())
    assert axes.get_xlabel().startswith("Number of data lines\n")


def test_gate_map_prints_each_window():
    build = new_build(
        {"title": "four tiles", "adapter.rated_current": 0.8, "controller.feed_diode": True,
         "controller.reservoir": 220e-6, "pixel.power_on": [0.5] * 3, "wiring.sections": 4, "wiring.lanes": 4,
         "wiring.pixels_per_section": 64, "firmware.first_frame_delay": 0.6e-3, "run.duration": 0.4,
         "switch": {"gate_resistance": 1e3, "gate_drain_capacitance": 22e-9}}
    )  # fmt: skip
    found = gate_map(build, Axis("switch.gate_resistance", 100, 2e4, 3, log=True),
                     Axis("switch.gate_drain_capacitance", 1e-9, 1e-6, 3, log=True))  # fmt: skip
    axes, _ = drawn(draw_gate_map, found, (8, 5))
    cells = [text.get_text() for text in axes.texts]
    windows = np.isfinite(found.earliest)
    assert 0 < windows.sum() == len(cells)
    ends = found.latest[0, 0]
    late = f"{1e3 * ends:.3g}" if np.isfinite(ends) else "no end"
    assert f"{1e3 * found.earliest[0, 0]:.3g}\n{late}" in cells
    said = [text.get_text() for text in axes.get_legend().get_texts()]
    assert ("no delay boots" in said) == (not windows.all())
    assert "edge of what boots at 600 µs" in said
    assert "this build" in said


def test_gate_map_of_a_phone_has_words_that_fit_their_cells():
    build = new_build(
        {"title": "four tiles", "adapter.rated_current": 3, "wiring.sections": 2, "wiring.pixels_per_section": 64,
         "run.duration": 0.1, "controller.boot_time": 5e-3,
         "switch": {"gate_resistance": 1e3, "gate_drain_capacitance": 1e-8}}
    )  # fmt: skip
    axis = (Axis("switch.gate_resistance", 500, 5e3, 3, log=True),
            Axis("switch.gate_drain_capacitance", 1e-9, 1e-7, 3, log=True))  # fmt: skip
    found = gate_map(build, *axis)
    wide = dataclasses.replace(
        found, resistance=np.geomspace(500, 5e3, 8), capacitance=np.geomspace(1e-9, 1e-7, 8),
        earliest=np.full((8, 8), 2.39e-3), latest=np.full((8, 8), 91.4e-3),
    )  # fmt: skip
    wide.latest[:, -1] = np.inf
    axes, _ = drawn(draw_gate_map, wide, (3.3, 6.6))
    boxes = [text.get_window_extent() for text in axes.texts]
    assert len(boxes) == 64
    assert not any(one.overlaps(other) for i, one in enumerate(boxes) for other in boxes[:i])
    assert "∞:\u00a0no\u00a0end" in axes.get_title(loc="left")
    said = [text.get_window_extent() for text in axes.get_legend().get_texts()]
    assert axes._left_title.get_window_extent().y0 >= max(box.y1 for box in said)
