"""Pictures on a page: in its scheme, as wide as its room, no words smaller than 11 pixels."""

import base64
import io
import math
import re
import time

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text
from PIL import Image

from inrushlib.answers.blocks import Answer, Mark, Note, Picture, Ruler
from inrushlib.answers.html import render
from inrushlib.answers.map import map_answer
from inrushlib.answers.panel import picture_blocks
from inrushlib.answers.ruler import draw_ruler
from inrushlib.answers.screen import DPI, MORE, Kept, Screen
from inrushlib.answers.sure import turning_answer
from inrushlib.build import new_build
from inrushlib.margins import nearest_edges
from inrushlib.panel import Arrangement, solve_panel
from inrushlib.plots import Scheme, draw_startup
from inrushlib.plots.narrow import NARROW
from inrushlib.search import Axis, verdict_map
from inrushlib.startup import simulate
from tests.plain_words import unsaid

SMALLEST = 10.9  # [px of the page]
SIX = new_build(
    {"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64,
     "wiring.sections_across": 3}
)  # fmt: skip

ROW = new_build(
    {"title": "four in a row", "adapter.rated_current": 15, "wiring.sections": 4, "wiring.pixels_per_section": 256,
     "wiring.sections_across": 4, "wiring.section_rows": 8}
)  # fmt: skip


def pictures_of(answer):
    return [block for block in answer.blocks if isinstance(block, Picture)]


@pytest.fixture(scope="module")
def pictures():
    """A picture of each kind that needs no long search."""
    panel = picture_blocks(solve_panel(SIX, (1.0, 1.0, 1.0)), Arrangement.of_build(SIX))
    found = verdict_map(SIX, Axis("adapter.rated_current", 1, 6, 5), Axis("lead.length", 0.2, 3, 5))
    turning = turning_answer(simulate(SIX), nearest_edges(SIX), ())
    row = picture_blocks(solve_panel(ROW, (1.0, 1.0, 1.0)), Arrangement.of_build(ROW))
    return [*panel, *row[:1], *pictures_of(map_answer(found)), *pictures_of(turning)]


def image(html):
    return Image.open(io.BytesIO(base64.b64decode(re.search(r"base64,([^\"]+)", html)[1]))).convert("RGB")


@pytest.mark.parametrize("dark", [False, True])
def test_a_picture_has_the_colours_of_its_page(pictures, dark):
    palette = (Scheme.DARK if dark else Scheme.LIGHT).palette
    sheet = 255 * np.array(to_rgb(palette.sheet))
    for block in pictures:
        shown = np.asarray(image(render(Answer("", True, (block,)), Screen(dark=dark)))).astype(float)
        assert np.abs(shown[0, 0] - sheet).max() <= 4, block.about
        # And ink on it: the colour farthest from the page's lies at the other end of grey.
        grey = shown @ (0.299, 0.587, 0.114)
        assert (grey.max() if dark else 255 - grey.min()) > 190, block.about


def test_a_narrow_page_gets_a_picture_drawn_narrower_not_smaller(pictures):
    for block in pictures:
        room = 100 * block.least + 37
        shown = image(render(Answer("", True, (block,)), Screen(width=room, ratio=2)))
        assert shown.width == pytest.approx(2 * room, abs=2)
        shown = image(render(Answer("", True, (block,)), Screen(width=300, ratio=1)))
        assert shown.width == 100 * block.least  # below that it scrolls


def test_in_a_low_window_a_picture_is_drawn_lower_where_it_may(pictures):
    for block in pictures:
        height = 100 * block.height_at(6.0)
        for room in (200.0, 350.0, 900.0):
            shown = image(render(Answer("", True, (block,)), Screen(width=600, ratio=1, height=room)))
            expected = min(height, max(room, 100 * block.lowest)) if block.lowest else height
            assert shown.height == pytest.approx(expected, abs=1), block.about
    assert any(block.lowest for block in pictures)


@pytest.mark.parametrize("width", [3.3, 5.0, 14.0])
def test_no_words_of_a_picture_are_cut_off(pictures, width):
    for block in pictures:
        low = 3.0 if width > NARROW else math.inf  # what a low window leaves
        height = block.height_at(width, low) + (MORE if width < NARROW else 0.0)
        figure = Figure((width, height), dpi=DPI, layout="constrained")
        block.draw(figure.add_subplot(), Scheme.LIGHT)
        FigureCanvasAgg(figure).draw()
        for axes in figure.axes:
            legend = axes.get_legend()
            said = [
                axes.xaxis.label,
                axes.yaxis.label,
                axes.title,
                *axes.texts,
                *(legend.get_texts() if legend else ()),
            ]
            for text in (each for each in said if each.get_text().strip()):
                box = text.get_window_extent()
                assert box.x0 >= -2, (width, text.get_text())  # [px]
                assert box.x1 <= figure.bbox.width + 2, (width, text.get_text())
                assert box.y0 >= -2, (width, text.get_text())
                assert box.y1 <= figure.bbox.height + 2, (width, text.get_text())


def test_a_ruler_is_as_wide_as_its_room_and_its_figures_do_not_touch():
    marks = (Mark("recommended", 6.5e-3, above=True), Mark("this build", 12e-3, above=False))
    ruler = Ruler(about="window", unit="s", stretches=((0.0, None),), marks=marks)
    for room, whole in ((340, 340), (2000, 900)):
        html = draw_ruler(ruler, room)
        assert f'viewBox="0 0 {whole} 112"' in html
        places = [float(x) for x in re.findall(r'<text x="([\d.]+)" y="80"', html)]
        assert len(places) >= 2
        assert min(np.diff(places)) >= 55  # a figure such as "500 us" at 12.5 px is some 45 px wide
        assert max(places) <= whole


def test_no_words_in_a_picture_are_below_eleven_pixels(pictures):
    for block in pictures:
        figure = Figure((block.width, block.height), dpi=DPI)
        block.draw(figure.add_subplot(), Scheme.LIGHT)
        assert_readable(figure)
    figure = Figure((9.0, 5.0), dpi=DPI)
    draw_startup(simulate(SIX), figure)
    assert_readable(figure)


def assert_readable(figure):
    """No words are too small, none is spelled as in a file."""
    for text in figure.findobj(Text):
        if text.get_text().strip() and text.get_visible():
            assert unsaid(text.get_text()) == []
            assert text.get_fontsize() * DPI / 72 >= SMALLEST, text.get_text()


def test_words_come_first_and_pictures_follow(pictures):
    first, second = pictures[:2]
    kept = Kept()
    screen = Screen(kept=kept)
    kept.begin()
    before = render(Answer("", True, (Note("before"), first)), screen)
    kept.renew()
    kept.begin(0)
    words = render(Answer("", True, (Note("after"), second)), screen)
    assert not kept.whole
    assert "after" in words
    assert image(words).tobytes() == image(before).tobytes()
    kept.begin(1)
    after = render(Answer("", True, (Note("after"), second)), screen)
    assert image(after).tobytes() != image(before).tobytes()
    assert image(after).tobytes() == image(render(Answer("", True, (second,)))).tobytes()
    assert kept.whole


def test_pictures_follow_one_by_one_and_each_is_drawn_once():
    drawn = []

    def shown(answer, count):
        return [
            kept.show(lambda _, place=place: drawn.append(f"{answer}{place}") or drawn[-1]) for place in range(count)
        ]

    kept = Kept()
    kept.begin()
    assert shown("a", 3) == ["a0", "a1", "a2"]
    kept.renew()
    for wanted, found in (
        (0, ["a0", "a1", "a2"]),
        (1, ["b0", "a1", "a2"]),
        (2, ["b0", "b1", "a2"]),
        (3, ["b0", "b1", "b2"]),
    ):
        kept.begin(wanted)
        assert shown("b", 3) == found
        assert kept.fresh == wanted
        assert kept.whole is (wanted == 3)
    assert drawn == ["a0", "a1", "a2", "b0", "b1", "b2"]
    # Fewer pictures, then more: one that the answer before did not have is drawn at once.
    kept.renew()
    kept.begin(0)
    assert shown("c", 1) == ["b0"]
    kept.renew()
    kept.begin(0)
    assert shown("d", 2) == ["b0", "d1"]
    kept.begin()
    assert shown("d", 2)[0] == "d0"
    assert kept.whole


PLAIN = Picture("a <line>", lambda axes, _: axes.plot([0, 1], [0, 1]), 4.0, 2.0, "Its caption")


@pytest.mark.parametrize(
    ("room", "ratio", "size"),
    [
        (2000, 1.0, (560, 200)),  # 1.4 times its own width at most
        (559, 1.0, (559, 200)),
        (480, 1.0, (480, 200)),
        (479, 1.0, (479, 260)),  # below 4.8 inch 0.6 inch more, for words take more lines
        (400, 1.5, (600, 390)),
        (400, 2.0, (800, 520)),
        (400, 3.0, (800, 520)),  # no finer than two pixels for one
        (400, 0.5, (400, 260)),
        (100, 1.0, (330, 260)),  # 3.3 inch at least
    ],
)
def test_a_picture_is_as_wide_as_its_room_and_as_fine_as_its_screen(room, ratio, size):
    said = render(Answer("", True, (PLAIN,)), Screen(width=room, ratio=ratio))
    assert image(said).size == pytest.approx(size, abs=1)
    width = min(max(room, 330), 560)
    assert f"max-width: {width}px; min-width: {min(width, 330)}px" in said
    assert '<div class="wb-heading">Its caption</div>' in said
    assert 'alt="a &lt;line&gt;"' in said


def test_a_page_that_has_not_told_its_screen_yet_gets_no_pictures():
    assert render(Answer("", True, (PLAIN,)), Screen(known=False)) == ""
    usual = Screen()
    assert (usual.width, usual.ratio, usual.dark, usual.height, usual.kept, usual.paper) == (
        1000.0, 1.5, False, math.inf, None, False,
    )  # fmt: skip
    sheet = np.asarray(image(render(Answer("", True, (PLAIN,)), Screen(paper=True))))
    assert sheet[0, 0].min() >= 253


def test_a_picture_takes_as_much_time_as_its_drawing():
    kept = Kept()
    kept.begin()
    assert kept.took == 0.0
    assert (kept.fresh, kept.whole) == (0, True)

    def slow(_):
        begun = time.thread_time()
        while time.thread_time() - begun < 2e-3:
            pass
        return "slow"

    kept.show(slow)
    once = kept.took
    assert once >= 2e-3
    kept.show(slow)
    assert kept.took >= once + 2e-3
    kept.renew()
    kept.begin(0)
    kept.show(slow)
    assert kept.took >= 4e-3  # what was not drawn anew took what it took
