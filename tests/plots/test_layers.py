"""Pictures of which only what moves is drawn anew, against the same pictures drawn from the beginning."""

import dataclasses

import numpy as np
import pytest
from matplotlib.figure import Figure

from inrushlib.build import new_build
from inrushlib.panel import Arrangement, solve_panel
from inrushlib.plots.chain import ChainLayers
from inrushlib.plots.compare import ComparisonLayers
from inrushlib.plots.layers import MOST_KEPT, Repainted, draw_layers
from inrushlib.plots.panel import brightness_layers, voltage_layers
from inrushlib.plots.scheme import Scheme
from inrushlib.plots.style import round_ticks
from inrushlib.startup import simulate
from inrushlib.trace import Measured, compare

BUILD = new_build(
    {"title": "four strips", "adapter.rated_current": 8, "wiring.sections": 4, "wiring.pixels_per_section": 24,
     "wiring.rail_resistance": 0.1, "wiring.feeds": [0, 2], "run.duration": 0.3}
)  # fmt: skip
SIZE, DPI = (9.0, 4.0), 100.0


def panels(make):
    """Little and much apart: the second keeps the scale of the first, the third does not."""
    leads = ("20 mohm", "24 mohm", "160 mohm")
    return [make(solve_panel(BUILD.with_values({"lead.resistance": lead}))) for lead in leads]


def tiles(state):
    return voltage_layers(state, Arrangement(4, 6, ((0, 1), (3, 2))))


def comparisons():
    start = simulate(BUILD)
    time = np.linspace(0.0, 0.25, 900)
    curves = {name: start.at(time)[name] for name in ("bus_voltage", "lead_current")}
    measured = Measured(time=time, curves=curves, noise=dict.fromkeys(curves, 1e-3), gaps=0)
    starts = [simulate(BUILD.with_values({"lead.resistance": lead})) for lead in ("25 mohm", "25.2 mohm", "400 mohm")]
    return [ComparisonLayers(measured, other, compare(measured, other, 0.0)) for other in starts]


KINDS = {
    "voltage": lambda: panels(voltage_layers),
    "brightness": lambda: panels(brightness_layers),
    "tiles": lambda: panels(tiles),
    "chain": lambda: panels(ChainLayers),
    "comparison": comparisons,
}


def painted(repainted, layers, scheme=Scheme.LIGHT, size=SIZE):
    return np.array(repainted.paint(layers, size, DPI, scheme).buffer_rgba())


@pytest.mark.parametrize("size", [SIZE, (3.6, 4.0)])
@pytest.mark.parametrize("kind", KINDS)
def test_what_was_moved_looks_as_if_it_was_drawn_from_the_beginning(kind, size):
    first, *others = KINDS[kind]()
    repainted = Repainted()
    before = painted(repainted, first, size=size)
    for layers in others:
        moved = painted(repainted, layers, size=size)
        assert (moved == painted(Repainted(), layers, size=size)).all()
        assert (moved != before).any()
    assert (painted(repainted, first, size=size) == before).all()


@pytest.mark.parametrize("kind", KINDS)
def test_what_stands_is_made_and_drawn_only_where_it_changes(kind, monkeypatch):
    near, also_near, far = KINDS[kind]()
    assert near.scaled_for == also_near.scaled_for != far.scaled_for
    repainted = Repainted()
    draws, furnished = [], []
    furnish = type(near).furnish
    monkeypatch.setattr(type(near), "furnish", lambda *told: furnished.append(0) or furnish(*told))
    for layers in (near, also_near, near, far, far, near):
        painted(repainted, layers)
        draws.append(repainted.full_draws)
    # To and fro: what stood before is kept for a while, where it lies as before.
    back = 0 if near.laid_out_for == far.laid_out_for else 1
    assert draws == [1, 1, 1, 2, 2, 2 + back]
    assert len(furnished) == draws[-1]


def test_few_standing_layers_are_kept():
    repainted = Repainted()
    leads = [f"{10 * 2**power} mohm" for power in range(6)]
    states = [solve_panel(BUILD.with_values({"lead.resistance": lead})) for lead in leads]
    assert len({ChainLayers(state).scaled_for for state in states}) > MOST_KEPT
    for state in states:
        moved = painted(repainted, ChainLayers(state))
        assert len(repainted._backgrounds) <= MOST_KEPT
    painted(repainted, ChainLayers(states[0]))
    assert (painted(repainted, ChainLayers(states[-1])) == moved).all()


def test_another_scheme_or_size_or_kind_is_laid_out_anew():
    state = solve_panel(BUILD)
    repainted = Repainted()
    for layers, scheme, size in (
        (ChainLayers(state), Scheme.LIGHT, SIZE),
        (ChainLayers(state), Scheme.DARK, SIZE),
        (ChainLayers(state), Scheme.DARK, (5.0, 4.0)),
        (voltage_layers(state), Scheme.DARK, (5.0, 4.0)),
    ):
        before = repainted.layouts
        moved = painted(repainted, layers, scheme, size)
        assert repainted.layouts == before + 1
        assert (moved == painted(Repainted(), layers, scheme, size)).all()


def test_after_one_that_failed_the_next_is_drawn_from_the_beginning():
    @dataclasses.dataclass(frozen=True)
    class Failing(ChainLayers):
        broken: bool = False

        def move(self, places, scheme):
            found = super().move(places, scheme)
            if self.broken:
                raise ZeroDivisionError
            return found

    state = solve_panel(BUILD)
    repainted = Repainted()
    whole = painted(repainted, Failing(state))
    with pytest.raises(ZeroDivisionError):
        painted(repainted, Failing(state, broken=True))
    assert (painted(repainted, Failing(state)) == whole).all()


def test_upright_axes_hold_their_data_and_have_round_ticks():
    for low, high in ((-0.13, 3.71), (0.0, 0.0), (4.1, 4.1), (-7e-7, 3e-7), (4.9, 5.03)):
        found = round_ticks(low, high, 6)
        assert found.low <= low <= high <= found.high
        assert found.low <= found.ticks[0] < found.ticks[-1] <= found.high
        assert np.ptp(np.diff(found.ticks)) == pytest.approx(0.0, abs=1e-9 * abs(found.high - found.low))
        # No more room than it takes.
        shown = high - low or 0.2 * abs(high) or 0.2
        assert found.high - found.low <= shown + 0.5 * (found.ticks[1] - found.ticks[0]) + 1e-9 * shown


def test_names_of_upright_axes_leave_room_for_their_figures():
    figure = Figure(SIZE, dpi=DPI, layout="constrained")
    places = draw_layers(comparisons()[2], figure.add_subplot())
    figure.draw_without_rendering()
    for axes in places:
        name = axes.yaxis.label.get_window_extent()
        assert name.x0 >= 0
        assert all(label.get_window_extent().x0 >= name.x1 for label in axes.get_yticklabels())
