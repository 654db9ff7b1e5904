from dataclasses import replace

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from inrushlib.build import new_build
from inrushlib.plots.remedies import draw_remedies, height_for
from inrushlib.remedies import NoRemedy, compare_remedies


@pytest.fixture(scope="module")
def remedies():
    return compare_remedies(
        new_build(
            {"title": "six tiles", "adapter.rated_current": 1, "wiring.sections": 6, "wiring.pixels_per_section": 64}
        )
    )


def drawn(remedies):
    figure = Figure(figsize=(13, height_for(remedies)), dpi=80)
    axes = figure.add_axes((0, 0, 1, 1))
    assert draw_remedies(remedies, axes) is axes
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return axes, canvas.get_renderer()


def said(axes):
    return [" ".join(text.get_text().split()) for text in axes.texts]


def test_each_remedy_has_its_row(remedies):
    texts = said(drawn(remedies)[0])
    for remedy in remedies:
        if isinstance(remedy, NoRemedy):
            assert remedy.name in texts
            assert f"not for this build: {remedy.why}" in texts
        else:
            assert remedy.name + "".join(f", with {other}" for other in remedy.combined_with) in texts
            assert remedy.verdict.words in texts
            assert " ".join(remedy.could_go_wrong) in texts or "nothing that the model shows" in texts


def test_no_text_leaves_the_picture_or_covers_another(remedies):
    axes, renderer = drawn(remedies)
    boxes = [text.get_window_extent(renderer) for text in axes.texts]
    width, height = axes.figure.canvas.get_width_height()
    for box in boxes:
        assert box.x0 >= -1
        assert box.x1 <= width + 1
        assert box.y0 >= -1
        assert box.y1 <= height + 1
    for i, box in enumerate(boxes):
        for other in boxes[:i]:
            overlap = min(box.x1, other.x1) - max(box.x0, other.x0), min(box.y1, other.y1) - max(box.y0, other.y0)
            assert min(overlap) <= 1.5


def test_bars_are_as_long_as_the_values_say(remedies):
    axes, _ = drawn(remedies)
    peaks = [r.start.figures.peak_lead_current for r in remedies if not isinstance(r, NoRemedy)]
    bars = [patch for patch in axes.patches if patch.get_x() == pytest.approx(0.405) and patch.get_width() > 0]
    lengths = np.array([bar.get_width() for bar in bars[1::2]])  # every second one lies on its background
    assert lengths / lengths.max() == pytest.approx(np.array(peaks) / max(peaks))


def test_long_texts_make_rows_taller(remedies):
    first = replace(remedies[0], could_go_wrong=remedies[0].could_go_wrong * 4)
    assert height_for([first, *remedies[1:]]) > height_for(remedies) + 0.5
