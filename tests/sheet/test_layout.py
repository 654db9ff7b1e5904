"""Sheets of ten shapes of display: nothing below 8 pt, nothing over anything else, two pages at most."""

import re
import zlib
from itertools import combinations, pairwise

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from inrushlib.build import new_build
from inrushlib.panel import solve_panel
from inrushlib.plots import CIRCUIT_SIZE, draw_circuit, draw_tiles, tiles_size
from inrushlib.safety import safety_findings
from inrushlib.search import smallest_adapter, wire_list
from inrushlib.sheet import Paper, SheetFacts, sheet_answer
from inrushlib.sheet.paper import MARGIN, paper_of
from inrushlib.startup import simulate
from tests.sheet.shapes import BASE, SHAPES, shape

LEAST = 8.0  # [pt]
SIZES = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}  # [mm], ISO 216 and ANSI/ASME Y14.1


def quick_facts(build):
    """What stands on a sheet, without odds and assumptions, which take many runs."""
    wires = wire_list(
        build, [0.5 + 0.1 * k for k in range(len(build.wiring.feeds))], [0.1] * (build.wiring.sections - 1)
    )
    return SheetFacts(
        start=simulate(build), assumed=(), odds=None, size=smallest_adapter(build), wires=wires, lengths_taken=None,
        window=None, stress=None, findings=safety_findings(build, solve_panel(build, (1, 1, 1))), running_current=1.0,
    )  # fmt: skip


def drawn(draw, size):
    """Figure and axes of a drawing, as on paper."""
    figure = Figure(figsize=size)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    draw(axes)
    figure.canvas.draw()
    return figure, axes


def check_texts(figure, axes):
    renderer = figure.canvas.get_renderer()
    texts = [text for text in axes.texts if text.get_text()]
    assert texts
    assert min(text.get_fontsize() for text in texts) >= LEAST
    boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in texts]
    for words, box in boxes:
        assert figure.bbox.x0 <= box.x0, words
        assert box.x1 <= figure.bbox.x1, words
        assert figure.bbox.y0 <= box.y0, words
        assert box.y1 <= figure.bbox.y1, words
    for (one, box), (other, another) in combinations(boxes, 2):
        assert not box.overlaps(another), f"{one!r} over {other!r}"
    for line in axes.lines:  # no line of a symbol or a wire runs through a text
        points = axes.transData.transform(line.get_xydata())
        for (x0, y0), (x1, y1) in pairwise(points):
            for words, box in boxes:
                assert not crosses((x0, y0), (x1, y1), box), f"a line through {words!r}"


def crosses(start, end, box, steps=200):
    """Whether a stretch of line passes through the inside of a box."""
    return any(
        box.x0 < start[0] + (end[0] - start[0]) * k / steps < box.x1
        and box.y0 < start[1] + (end[1] - start[1]) * k / steps < box.y1
        for k in range(steps + 1)
    )


@pytest.mark.parametrize("name", SHAPES)
def test_texts_of_the_circuit_are_apart_and_large_enough(name):
    check_texts(*drawn(lambda axes: draw_circuit(shape(name), axes), CIRCUIT_SIZE))


@pytest.mark.parametrize("name", SHAPES)
def test_texts_of_the_front_are_apart_and_large_enough(name):
    build = shape(name)
    labels = {section: "20 AWG, 500 mm, fuse 7.5 A" for section in build.wiring.feeds}
    check_texts(*drawn(lambda axes: draw_tiles(build, axes, labels), tiles_size(build)))


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", SHAPES)
def test_a_sheet_has_two_pages_and_nothing_on_top_of_another(name, paper):
    _, placed = paper_of(sheet_answer(quick_facts(shape(name))), paper)
    wide, high = SIZES[paper]
    assert max(each.page for each in placed) <= 2
    assert min(each.size for each in placed) >= LEAST
    for each in placed:
        assert each.x >= MARGIN - 0.01, each
        assert each.x + each.width <= wide - MARGIN + 0.3, each
        assert each.y + each.height <= high - MARGIN + 0.01, each
    for one, other in combinations([each for each in placed if each.width], 2):
        apart = (
            one.page != other.page
            or one.x + one.width <= other.x + 0.01
            or other.x + other.width <= one.x + 0.01
            or one.y + one.height <= other.y + 0.01
            or other.y + other.height <= one.y + 0.01
        )
        assert apart, (one, other)


def test_the_drawing_has_the_parts_that_the_build_has_and_no_others():
    def words(values):
        _, axes = drawn(lambda axes: draw_circuit(new_build({**BASE, **values}), axes), CIRCUIT_SIZE)
        return " ".join(text.get_text() for text in axes.texts)

    plain = {"wiring.sections": 1, "wiring.pixels_per_section": 8}
    assert not re.search(r"switch|R1|Q1|NTC|diode|bulk|own", words(plain))
    full = words({**plain, **SHAPES["square of tiles"], "limiter.cold_resistance": "2.5 ohm"})
    for part in ("switch", "R1", "R2", "C1", "Q1", "NTC 2.5 Ω", "diode", "bulk", "1000 µF", "256 pixels"):
        assert part in full
    assert "own supply" in words({**plain, "controller.feed": "own"})
    assert "Q1" not in words({**plain, "switch.gate_driver": "pin"})


def test_fonts_are_within_the_file():
    data, _ = paper_of(sheet_answer(quick_facts(shape("square of tiles"))))
    assert data.startswith(b"%PDF-")
    fonts = re.findall(rb"/BaseFont /([A-Za-z0-9+-]+)", data)
    assert fonts
    assert all(b"+DejaVuSans" in font for font in fonts), (
        fonts
    )  # six letters and a plus: a subset within (ISO 32000-1, 9.6.4)
    assert data.count(b"/FontFile2") == len(set(fonts))
    assert b"/Subtype /Type1" not in data
    assert b"/JavaScript" not in data
    assert b"/URI" not in data


def test_drawings_are_outlines_and_not_pixels():
    data, _ = paper_of(sheet_answer(quick_facts(shape("square of tiles"))))
    assert b"/Subtype /Image" not in data
    page = zlib.decompress(re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.S)[0])
    assert page.count(b" l\n") + page.count(b" l ") > 200
