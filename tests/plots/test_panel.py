import itertools

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_hex
from matplotlib.figure import Figure

from inrushlib.answers.panel import picture_blocks
from inrushlib.answers.screen import MORE
from inrushlib.build import new_build, save_build
from inrushlib.cli import main
from inrushlib.errors import UsageError
from inrushlib.panel import solve_panel
from inrushlib.panel.arrangement import Arrangement
from inrushlib.plots import draw_brightness, draw_chain_current, draw_voltage
from inrushlib.plots.panel import value_words
from inrushlib.plots.scheme import Scheme

BUILD = new_build(
    {"title": "four tiles", "adapter.rated_current": 15, "wiring.sections": 4, "wiring.pixels_per_section": 24,
     "wiring.rail_resistance": 0.1, "wiring.feeds": [0, 2]}
)  # fmt: skip
STATE = solve_panel(BUILD)
TILES = Arrangement(4, 6, ((0, 1), (3, 2)), by_columns=True)


def drawn(draw, *arguments):
    figure = Figure(figsize=(8, 5), dpi=100, layout="constrained", facecolor="white")
    axes = figure.add_subplot()
    assert draw(STATE, axes, *arguments) is axes
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return axes, np.asarray(canvas.buffer_rgba())[..., :3].astype(float)


def grey(image):
    """Luminance by the weights of ITU-R BT.601."""
    return image @ (0.299, 0.587, 0.114)


def test_chain_by_rows_and_columns_straight_and_serpentine():
    # Written out by hand for two rows of three.
    by_hand = {
        (False, False): [[0, 0], [0, 1], [0, 2], [1, 0], [1, 1], [1, 2]],
        (False, True): [[0, 0], [0, 1], [0, 2], [1, 2], [1, 1], [1, 0]],
        (True, False): [[0, 0], [1, 0], [0, 1], [1, 1], [0, 2], [1, 2]],
        (True, True): [[0, 0], [1, 0], [1, 1], [0, 1], [0, 2], [1, 2]],
    }
    for (by_columns, serpentine), places in by_hand.items():
        seen = Arrangement(2, 3, ((0,),), by_columns=by_columns, serpentine=serpentine)
        assert seen.places((6,)).tolist() == places


def test_every_pixel_has_a_place_of_its_own():
    places = TILES.places((24, 24, 24, 23))
    assert len({tuple(place) for place in places.tolist()}) == 95
    assert places.max(axis=0).tolist() == [7, 11]
    assert places[48].tolist() == [4, 6]  # section 2 is the lower right one
    assert places[72].tolist() == [4, 0]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Arrangement(0, 3, ((0,),)), "0 x 3"),
        (lambda: Arrangement(1, 3, ((0, 2),)), '"0 2"'),
        (lambda: Arrangement(1, 3, ((0, 1), (2,))), "0 1 / 2"),
        (lambda: Arrangement(1, 3, ((0,),)).places((3, 3)), "orders 1 sections"),
        (lambda: Arrangement(1, 3, ((0,), (1,))).places((3,)), "orders 2 sections"),
        (lambda: Arrangement(1, 3, ((0,),)).places((4,)), "accepted: 4 or more"),
    ],
)
def test_an_arrangement_that_is_none_is_refused(make, words):
    with pytest.raises(UsageError, match="arrangement") as caught:
        make()
    assert words in str(caught.value)


@pytest.mark.parametrize("draw", [draw_voltage, draw_brightness])
def test_each_pixel_is_drawn_at_its_place_and_brighter_means_more_in_grey(draw):
    axes, image = drawn(draw, TILES)
    values = STATE.voltages if draw is draw_voltage else STATE.brightness
    light = []
    for row, column in TILES.places((24,) * 4):
        # A corner of the pixel: marks and their lines sit in the middle.
        x, y = axes.transData.transform((column - 0.25, row + 0.3))
        light.append(grey(image[image.shape[0] - int(y), int(x)]))
    clear = [i for i in range(96) if not near_a_label(axes, TILES.places((24,) * 4)[i])]
    assert len(clear) > 60
    order = np.argsort(values[clear])
    steps = np.diff(np.array(light)[clear][order])
    assert (steps > -1.0).all()
    assert light[clear[order[-1]]] - light[clear[order[0]]] > 120


def near_a_label(axes, place):
    x, y = axes.transData.transform((place[1], place[0]))
    boxes = [text.get_window_extent().padded(45) for text in axes.texts]
    return any(box.contains(x, y) for box in boxes)


def test_worst_and_best_pixel_carry_their_values():
    axes, _ = drawn(draw_voltage, TILES)
    words = [text.get_text() for text in axes.texts]
    # One digit more than the bands, which are 0.2 V wide.
    assert f"worst {STATE.lowest_voltage:.2f} V" in words
    assert f"best {STATE.highest_voltage:.2f} V" in words
    worst = next(text for text in axes.texts if text.get_text().startswith("worst"))
    assert tuple(reversed(worst.xy)) == tuple(TILES.places((24,) * 4)[STATE.worst_pixel])


def test_feeds_are_marked_where_they_land():
    axes, _ = drawn(draw_brightness, TILES)
    feed = next(line for line in axes.lines if line.get_label() == "feed")
    places = TILES.places((24,) * 4)[[12, 60]]
    assert np.column_stack((feed.get_ydata(), feed.get_xdata())).tolist() == places.tolist()


def names_of(axes):
    """Beside or below the sections."""
    return [text.get_text() for text in axes.texts if text.xycoords is not axes.transData and text.xycoords != "data"]


def colour_bar(axes):
    return next(other for other in axes.figure.axes if other is not axes)


def test_a_line_runs_between_bands_and_nowhere_else():
    axes, _ = drawn(draw_voltage)
    levels = colour_bar(axes).get_xticks()
    bands = np.searchsorted(levels, STATE.voltages.reshape(4, 24), "right")
    between = (np.diff(bands, axis=0) != 0).sum() + (np.diff(bands, axis=1) != 0).sum()
    assert between > 5
    assert len(axes.collections[0].get_segments()) == between
    assert levels[0] <= STATE.lowest_voltage
    assert levels[-1] >= STATE.highest_voltage


def test_colour_bar_has_the_unit():
    for draw, unit in ((draw_voltage, "[V]"), (draw_brightness, "[%]")):
        axes, _ = drawn(draw)
        assert unit in colour_bar(axes).get_xlabel()


def test_a_panel_without_spread_and_a_single_pixel_are_drawn():
    one = new_build({"title": "one", "adapter.rated_current": 1, "wiring.sections": 1, "wiring.pixels_per_section": 1})
    state = solve_panel(one)
    for draw in (draw_voltage, draw_brightness, draw_chain_current):
        figure = Figure(figsize=(7, 3), layout="constrained")
        draw(state, figure.add_subplot())
        FigureCanvasAgg(figure).draw()


def test_current_along_the_chain_steps_by_each_feed():
    axes, _ = drawn(draw_chain_current)
    line = max(axes.lines, key=lambda line: len(line.get_xdata()))
    currents = line.get_ydata()
    assert len(currents) == 95
    # Kirchhoff at a fed pixel: what comes on it goes on along the chain or into the pixel.
    for pixel, feed in zip((12, 60), STATE.feed_currents, strict=True):
        assert currents[pixel] - currents[pixel - 1] == pytest.approx(feed - STATE.pixel_currents[pixel], rel=1e-6)
    labels = [text.get_text() for text in axes.texts]
    assert labels == [f"{current:.3g} A" for current in STATE.feed_currents]


def panel_of(**values):
    given = {"title": "t", "adapter.rated_current": 20, "wiring.sections": 2, "wiring.pixels_per_section": 16}
    state = solve_panel(new_build(given | {key.replace("__", "."): value for key, value in values.items()}))
    return state, Figure(figsize=(8, 5), layout="constrained").add_subplot()


def test_what_hardly_differs_is_one_band():
    state, axes = panel_of(wiring__sections=1, wiring__rail_resistance=1e-5)
    assert state.highest_voltage - state.lowest_voltage < 1e-3
    draw_voltage(state, axes)
    levels = colour_bar(axes).get_xticks()
    assert levels[-1] - levels[0] >= 0.01
    bands = np.searchsorted(levels, [state.lowest_voltage, state.highest_voltage], "right")
    assert bands[0] == bands[1]


def test_places_without_a_pixel_are_hatched_and_said():
    mixed, axes = panel_of(wiring__pixels_per_section=[16, 5])
    draw_voltage(mixed, axes)
    hatched = [patch for patch in axes.patches if patch.get_hatch()]
    assert len(hatched) == 1
    assert hatched[0].get_zorder() < axes.images[0].get_zorder()
    assert "no pixel" in [text.get_text() for text in axes.get_legend().get_texts()]
    full, axes = panel_of()
    draw_voltage(full, axes)
    assert "no pixel" not in [text.get_text() for text in axes.get_legend().get_texts()]


def test_no_frame_in_the_pages_colour_hides_one_in_ink():
    axes, _ = drawn(draw_voltage, TILES)
    frames = [found for found in axes.collections if isinstance(found, PolyCollection)]
    palette = Scheme.LIGHT.palette
    assert [to_hex(found.get_edgecolor()[0]) for found in frames] == [palette.sheet, palette.ink]
    assert [len(found.get_paths()) for found in frames] == [4, 4]


def test_each_section_says_its_lowest_value():
    axes, _ = drawn(draw_voltage, TILES)
    names = [text.get_text() for text in axes.texts if ":" in text.get_text()]
    lowest = [STATE.voltages[24 * k : 24 * k + 24].min() for k in range(4)]
    assert names == [f"{k}: {volts:.2f} V" for k, volts in enumerate(lowest)]
    axes, _ = drawn(draw_brightness)
    light = [100 * STATE.brightness[24 * k : 24 * k + 24].min() for k in range(4)]
    assert names_of(axes) == [f"section {k}: {v:.0f} %" for k, v in enumerate(light)]


@pytest.mark.parametrize(("across", "most"), [(1, 22), (60, 12)])
def test_names_of_many_sections_are_thinned(across, most):
    state, axes = panel_of(wiring__sections=60, wiring__pixels_per_section=2)
    order = tuple(tuple(range(k, k + across)) for k in range(0, 60, across))
    draw_voltage(state, axes, Arrangement(1, 2, order))
    labels = names_of(axes)
    assert most / 2 < len(labels) <= most
    assert labels[1].split(":")[0].split("\n")[0] == str(-(-60 // most))


@pytest.mark.parametrize(("width", "more"), [(3.4, MORE), (8.71, 0.0)], ids=["phone", "desk"])
@pytest.mark.parametrize("counts", [(128,) * 12, (60, 40, 60, 24, 60, 60, 30)], ids=["long sign", "uneven strips"])
def test_strips_below_each_other_are_as_high_as_the_names_beside_them(counts, width, more):
    state, _ = panel_of(wiring__sections=len(counts), wiring__pixels_per_section=list(counts))
    block = picture_blocks(state, Arrangement.of_rows(counts))[0]
    figure = Figure(figsize=(width, block.height_at(width) + more), dpi=100, layout="constrained")
    axes = figure.add_subplot()
    block.draw(axes, Scheme.LIGHT)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    beside = [text for text in axes.texts if text.get_text() in names_of(axes)]
    boxes = sorted((text.get_window_extent() for text in beside), key=lambda box: box.y0)
    assert len(boxes) > 5
    assert all(below.y1 <= above.y0 for below, above in itertools.pairwise(boxes))


def test_where_best_and_worst_are_one_pixel_one_label_says_so():
    state, axes = panel_of(wiring__sections=1, wiring__pixels_per_section=1)
    draw_voltage(state, axes)
    marked = [text.get_text() for text in axes.texts if text.get_text() not in names_of(axes)]
    assert [words.rsplit(" ", 2)[0] for words in marked] == ["every pixel"]


def test_small_values_in_words():
    assert value_words(7.8e-8, np.array([0.0, 20.0]), "%") == "under 0.1 %"
    assert value_words(98.76, np.array([98.0, 99.0]), "%") == "98.8 %"
    assert value_words(4.98213, np.array([4.975, 4.98, 4.985]), "V") == "4.9821 V"


def test_the_command_draws_the_chain_too(monkeypatch, tmp_path):
    seen = []

    def keep(path, width, height, draw):
        figure = Figure(figsize=(width, height))
        draw(figure)
        seen.append(figure)

    monkeypatch.setattr("inrushlib.cli.panel.save_picture", keep)
    path = tmp_path / "b.toml"
    save_build(BUILD, path)
    assert main(["panel", str(path), "--colour", "1,0.5,0", "--plot", str(tmp_path / "p.png")]) == 0
    labels = [axes.get_ylabel() for axes in seen[0].axes]
    assert "current to the next pixel [A]" in labels
    assert seen[0].get_suptitle() == "four tiles; every pixel at 1, 0.5, 0"
