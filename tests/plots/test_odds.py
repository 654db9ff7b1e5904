"""Pictures of how sure an answer is: what is drawn is what was found, and it reads in grey."""

from itertools import pairwise

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from inrushlib.margins import Edge
from inrushlib.odds import Choice, Decision, Estimate, bands_of
from inrushlib.plots import Scheme, draw_odds, draw_spread, draw_tornado
from inrushlib.startup import Verdict

CHOICES = tuple(
    Choice(rating, Estimate(share, max(0.0, share - 0.05), min(1.0, share + 0.03)), 64)
    for rating, share in ((1.0, 0.0), (2.0, 0.4), (3.0, 0.97))
)


def edge(key, far, value=0.5, verdict=Verdict.STUCK):
    return Edge(
        key=key, own=1.0, value=value, relative=value - 1, in_tolerances=far, verdict=verdict
    )  # fmt: skip


@pytest.fixture
def axes():
    return Figure(figsize=(6, 4)).add_subplot()


def test_odds_with_their_intervals(axes):
    draw_odds(Decision(wanted=0.95, chosen=CHOICES[2], choices=CHOICES, runs=192), axes, label="rating [A]", nominal=2)
    curve = axes.lines[0]
    assert curve.get_xdata().tolist() == [1, 2, 3]
    assert curve.get_ydata() == pytest.approx([0, 40, 97])
    ends = [segment[:, 1].tolist() for segment in axes.collections[0].get_segments()]
    assert ends == [pytest.approx([0, 3]), pytest.approx([35, 43]), pytest.approx([92, 100])]
    assert {text.get_text() for text in axes.texts} == {"95 %", "as it stands"}
    assert axes.lines[-1].get_xdata() == [3.0]  # the chosen one, filled


def test_all_words_of_a_dark_picture_are_light(axes):
    decision = Decision(wanted=0.95, chosen=CHOICES[2], choices=CHOICES, runs=192)
    draw_odds(decision, axes, label="rating [A]", nominal=2, scheme=Scheme.DARK)
    words = [*axes.texts, axes.xaxis.label, axes.yaxis.label, *axes.get_xticklabels(), *axes.get_yticklabels()]
    assert min(min(to_rgb(each.get_color())) for each in words) > 0.5


def test_none_is_chosen(axes):
    draw_odds(Decision(wanted=None, chosen=None, choices=CHOICES, runs=192), axes, label="delay [s]")
    assert not axes.texts
    assert len(axes.lines) == 2


def test_figures_of_ratings_side_by_side_do_not_touch():
    ratings = (0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 30, 40, 60)
    choices = tuple(Choice(value, Estimate(0.5, 0.4, 0.6), 64) for value in ratings)
    for width in (3.4, 9.0):
        figure = Figure((width, 4), layout="constrained")
        axes = draw_odds(
            Decision(wanted=None, chosen=None, choices=choices, runs=64),
            figure.add_subplot(),
            label="rated current [A]",
        )
        FigureCanvasAgg(figure).draw()
        boxes = [each.get_window_extent() for each in axes.get_xticklabels() if each.get_text()]
        assert len(boxes) >= 5
        assert all(one.x1 < other.x0 for one, other in pairwise(boxes)), width


def test_tornado_nearest_first_and_keys_without_a_range_left_out(axes):
    edges = [
        edge("bus.bulk", 0.8),
        edge("wiring.lanes", None),
        edge("lead.resistance", 0.1, 1.2, Verdict.DISPLAY_STAYS_LIT),
    ]
    draw_tornado(edges, axes)
    names = [label.get_text() for label in axes.get_yticklabels()]
    assert names == ["lead loop resistance", "bulk capacitor at the bus"]
    near, beyond, far, rest = axes.patches
    assert (near.get_x(), near.get_width()) == (0, pytest.approx(0.1))  # above: to the right
    assert (beyond.get_x(), beyond.get_width()) == pytest.approx((0.1, 0.9))
    assert (far.get_width(), rest.get_width()) == pytest.approx((-0.8, -0.2))
    assert {beyond.get_hatch(), rest.get_hatch()} == {"||", "\\\\"}  # told apart without colour
    assert [text.get_text() for text in axes.get_legend().texts] == ["display stays lit", "stuck"]


def test_no_edges(axes):
    draw_tornado([], axes)
    assert axes.get_legend() is None


def test_bands_hold_nine_in_ten(axes):
    time = np.linspace(0, 0.1, 50)
    found = bands_of(time, np.arange(1001.0)[:, None] + time)
    assert found.low == pytest.approx(50 + time)
    assert found.middle == pytest.approx(500 + time)
    assert found.high == pytest.approx(950 + time)
    draw_spread(found, axes, label="bus voltage [V]", nominal=(time, 500 + time))
    assert [text.get_text() for text in axes.get_legend().texts] == [
        "5 % to 95 % of the runs", "half of the runs below", "as it stands",
    ]  # fmt: skip
    assert axes.lines[0].get_linestyle() != axes.lines[1].get_linestyle()
    assert axes.lines[0].get_xdata()[-1] == pytest.approx(100)  # ms
