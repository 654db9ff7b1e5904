"""The whole steady panel: against a dense reference, conservation, symmetry."""

from typing import Any

import numpy as np
import pytest
import scipy.sparse.linalg
from scipy.optimize import root

from inrushlib.build import Build
from inrushlib.errors import SolverError
from inrushlib.laws.arrays import pixel_current
from inrushlib.panel import PanelState, solve_panel
from inrushlib.panel.linear import LinkedSteps
from inrushlib.panel.network import make_rail, rail_of_build
from inrushlib.panel.newton import Problem, Voltages, iterate
from inrushlib.panel.settle import Inertia, Settled, settle
from inrushlib.panel.state import read_state
from inrushlib.panel.supply import front_of_build, inertia_of_build

from .made import GRID, build

# --- an independent formulation: node voltages, dense, straight from the equations -------------------------


def soft(x: float, w: float) -> float:
    return w * float(np.logaddexp(0.0, x / w))


def least(a: float, b: float, w: float) -> float:
    return a - soft(a - b, w)


def pixel(v: float, duty: Any, p: Any) -> float:
    total = p.quiescent_current
    for share, forward in zip(duty, p.forward_voltages, strict=True):
        u = soft(v - forward, 0.06) / p.channel_resistance
        total += share * least(u, p.channel_current, 0.03 * p.channel_current)
    return float(total / (1.0 + np.exp(-(v - p.wake_voltage) / 0.08)))


def equations(x: np.ndarray, b: Build, duties: np.ndarray, links: Any) -> np.ndarray:
    v_o, v_b, v_r, *v = x
    a, w, counts = b.adapter, b.wiring, b.wiring.pixels_per_section
    limit = a.limit_current
    if a.limit_style == "foldback":
        limit = a.foldback_current + (limit - a.foldback_current) * min(max(v_o / a.foldback_knee, 0.0), 1.0)
    width = 0.01 * a.limit_current
    regulated = soft(least((a.rated_voltage - v_o) / a.output_resistance, limit, width), min(width, 0.01))
    lead = (v_o - v_b) / b.lead.resistance
    control = 0.0 if b.controller.feed == "own" else b.controller.run_current * np.tanh(v_b / 0.2)
    if b.switch is None:
        joint, gate = (v_b - v_r) / 2e-3, 0.0
    else:
        s = b.switch
        gate = v_b / (s.gate_resistance + s.pullup_resistance)
        v_g = gate * s.gate_resistance
        beta = 1 / (s.on_resistance * (s.on_resistance_drive - s.threshold_voltage))
        forward = soft(v_b - v_g - s.threshold_voltage, 0.08)
        reverse = soft(v_r - v_g - s.threshold_voltage, 0.08)
        joint = beta / 2 * (forward**2 - reverse**2) - soft(v_r - v_b - 0.7, 0.03) / 0.05
    residual = np.zeros(len(x))
    residual[0] = regulated - v_o / a.bleed_resistance - lead
    residual[1] = lead - control - joint - gate
    residual[2] = joint
    starts = np.cumsum((0, *counts))
    edges = [(k, k + 1, w.rail_resistance) for k in range(sum(counts) - 1)]
    for hop, first in zip(w.hop_resistance, starts[1:-1], strict=True):
        edges[first - 1] = (first - 1, first, hop + w.rail_resistance)
    for one, other, resistance in [*edges, *links]:
        current = (v[one] - v[other]) / resistance
        residual[3 + one] -= current
        residual[3 + other] += current
    for section, place, resistance in zip(w.feeds, w.feed_pixels, w.feed_resistance, strict=True):
        node = 3 + starts[section] + place
        current = (v_r - x[node]) / resistance
        residual[2] -= current
        residual[node] += current
    for k, volt in enumerate(v):
        residual[3 + k] -= pixel(volt, duties[k], b.pixel)
    return residual


CASES: dict[str, tuple[Build, Any, Any]] = {
    "two feeds": (build(), (1, 1, 1), ()),
    "one colour a pixel": (build(), np.random.default_rng(3).uniform(0, 1, (23, 3)), ()),
    "switch": (build(switch={"on_resistance": 0.03}), (1, 0.5, 0.2), ()),
    "own supply, dim": (build(controller__feed="own"), (0.1, 0, 0), ()),
    "overloaded": (build(adapter__rated_current=0.35), (1, 1, 1), ()),
    "folding back": (
        build(
            adapter__limit_style="foldback", adapter__rated_current=0.8, adapter__output_resistance=0.03,
            lead__resistance=0.6,
        ),
        (1, 1, 1), (),
    ),
    "feeds chosen": (build(wiring__feed_pixels=[0, 2]), (1, 1, 1), ()),
    "grid": (build(), (1, 1, 1), GRID),
    "grid, overloaded, switch": (build(adapter__rated_current=0.4, switch={}), (1, 1, 1), GRID),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_dense_reference(case: str) -> None:
    b, colour, links = CASES[case]
    state = solve_panel(b, colour, links)
    check_conservation(state)
    found = np.array([state.adapter_voltage, state.bus_voltage, state.root_voltage, *state.voltages])
    duties = np.broadcast_to(np.asarray(colour, dtype=float), (23, 3))
    nudged = found + np.random.default_rng(1).uniform(-2e-3, 2e-3, len(found))
    reference = root(equations, nudged, args=(b, duties, links), tol=1e-14)
    assert np.abs(equations(reference.x, b, duties, links)).max() < 1e-10
    assert found == pytest.approx(reference.x, abs=1e-9)


def check_conservation(state: PanelState) -> None:
    assert state.largest_imbalance < 1e-8
    assert state.feed_currents.sum() == pytest.approx(state.pixel_currents.sum(), abs=1e-8)
    delivered = state.adapter_current * state.adapter_voltage
    assert sum(state.losses.values()) == pytest.approx(delivered, rel=1e-8)
    assert all(power >= -1e-12 for power in state.losses.values())
    assert np.all(state.pixel_currents >= 0.0)


def test_symmetric_panel_is_symmetric_and_names_the_first_of_equals() -> None:
    b = build(wiring__sections=2, wiring__pixels_per_section=21, wiring__hop_resistance=0.03, wiring__feeds=[0, 1])
    state = solve_panel(b)
    check_conservation(state)
    assert state.voltages == pytest.approx(state.voltages[::-1], abs=1e-12)
    lowest = np.flatnonzero(np.abs(state.voltages - state.voltages.min()) < 1e-9)
    assert state.worst_pixel == lowest[0]


def test_shares_do_not_depend_on_the_duty_at_the_same_voltage() -> None:
    bright, dark = solve_panel(build()), solve_panel(build(), (0, 0, 0))
    assert np.all(dark.shares >= bright.shares - 1e-12)
    assert dark.brightness == pytest.approx(np.ones(23), abs=1e-3)


def test_no_rail_resistance_is_a_microohm() -> None:
    b = build(wiring__rail_resistance=0.0)
    state = solve_panel(b)
    check_conservation(state)
    assert state.voltages[:5] == pytest.approx(np.full(5, state.voltages[0]), abs=1e-5)


def test_newton_in_circles_is_finished_by_the_run_down() -> None:
    # The dense reference above settles the same build to the same voltages.
    state = solve_panel(CASES["folding back"][0])
    assert state.method == "run-down"
    assert solve_panel(build()).method == "newton"


@pytest.mark.parametrize("case", ["folding back", "two feeds", "grid"])
def test_every_newton_step_is_counted(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    made, step = [], Problem.newton_step
    monkeypatch.setattr(Problem, "newton_step", lambda *given: made.append(1) or step(*given))
    b, colour, links = CASES[case]
    assert solve_panel(b, colour, links).iterations == len(made) > 1


def test_what_does_not_settle_is_an_error() -> None:
    class NoBalance:
        size = 1

        def evaluate(self, voltage: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            return np.array([-1.0]), np.array([[0.0]])  # a source that no load in the test can take

    rail = make_rail(np.full(3, 0.1), [0], [0.1])
    capacitors = Inertia(np.array([1e-3]), 1e-6)
    with pytest.raises(SolverError, match="not settled in 1 of at most 300 steps, the last has no solution"):
        settle(rail, NoBalance(), lambda v: (0.0 * v, 0.0 * v), 5.0, capacitors)


def test_no_node_moves_further_than_its_steps_allow() -> None:
    b = build(adapter__rated_current=0.35)  # it settles volts below
    rail, front = rail_of_build(b), front_of_build(b, 0.0)
    problem = Problem(rail, front, lambda v: pixel_current(v, np.ones((3, 1)), b.pixel))
    start = Voltages(np.full(3, 5.1), np.full(23, 5.1))
    at, taken, largest = iterate(problem, start, 3)
    assert taken == 3
    assert largest > 0.1
    assert at.distance(start) == pytest.approx(0.3)
    moved = Voltages(start.front - [0.0, 0.5, 0.0], start.pixels)
    assert (moved.distance(start), start.distance(moved)) == (0.5, 0.5)


def test_steps_that_go_in_circles_are_given_up_soon_however_late_they_begin_to() -> None:
    class Stiff:
        size = 1

        def evaluate(self, voltage: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            return np.zeros(1), np.array([[1e9]])

    def steep(volts: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        # Newton's method overshoots the zero of an arc tangent for ever: here from 50 mV above 3 V to 50 mV below.
        x = 50.0 * (volts - 3.0)
        return np.arctan(x), 50.0 / (1.0 + x**2)

    problem = Problem(make_rail(np.empty(0), [0], [1e9]), Stiff(), steep)
    at, taken, largest = iterate(problem, Voltages(np.array([5.05]), np.array([5.05])), 300)
    assert largest > 0.1
    assert at.pixels[0] == pytest.approx(3.0, abs=0.051)
    assert 20 < taken < 40  # twenty steps of 0.1 V to where they begin
    told = (
        rf"not settled in {taken} of at most 300 steps, the last would move a node by {largest:.3g} V; .* below 1e-09 V"
    )
    with pytest.raises(SolverError, match=told):
        settle(problem.rail, problem.front, steep, 5.05)


def test_one_pixel() -> None:
    state = solve_panel(build(wiring__sections=1, wiring__pixels_per_section=1, wiring__hop_resistance=0.03,
                              wiring__feeds=[0]))  # fmt: skip
    check_conservation(state)
    assert state.largest_hop_current == 0.0


def test_a_link_may_join_the_first_pixel_and_the_last() -> None:
    state = solve_panel(build(), extra_links=[(22, 0, 0.05)])
    assert state.link_currents[0] == pytest.approx((state.voltages[22] - state.voltages[0]) / 0.05, rel=1e-9)


def test_a_bridged_panel_is_more_even() -> None:
    plain, bridged = solve_panel(build()), solve_panel(build(), extra_links=GRID)
    assert bridged.lowest_voltage > plain.lowest_voltage
    assert bridged.link_currents.shape == (3,)


LONG = [(k, 79 - k, 0.02) for k in range(0, 40, 3)] + [(1000 + k, 1079 - k, 0.02) for k in range(40)]


@pytest.mark.parametrize("links", [(), LONG], ids=["chain", "grid"])
@pytest.mark.parametrize("colours", ["white", "any"])
def test_a_long_panel_by_way_of_its_groups_is_where_the_long_way_leads(
    monkeypatch: pytest.MonkeyPatch, links: Any, colours: str
) -> None:
    values = {"pixels_per_section": 601, "hop_resistance": 1e-3, "rail_resistance": 1e-3}
    b = build(adapter__rated_current=60.0, lead__resistance=2e-3, wiring__feed_resistance=3e-3,
              **{f"wiring__{key}": value for key, value in values.items()})  # fmt: skip
    colour = (1, 1, 1) if colours == "white" else np.random.default_rng(5).uniform(0, 1, (2404, 3))
    short = solve_panel(b, colour, links)
    check_conservation(short)
    monkeypatch.setattr("inrushlib.panel.FEWEST_PIXELS", 10_000)
    long = solve_panel(b, colour, links)
    assert short.iterations <= 6 < 12 <= long.iterations
    assert short.voltages == pytest.approx(long.voltages, abs=1e-9)
    assert short.worst_pixel == long.worst_pixel


def test_a_limit_that_folds_back_is_reached_pixel_by_pixel(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("inrushlib.panel.FEWEST_PIXELS", 10)
    monkeypatch.setattr("inrushlib.panel.Lumped", None)  # it is not asked
    assert solve_panel(CASES["folding back"][0]).method == "run-down"


def test_old_factors_serve_only_while_they_converge(monkeypatch: pytest.MonkeyPatch) -> None:
    rail = make_rail(np.full(99, 1e-2), [0], [1e-2], [(k, 99 - k, 1e-2) for k in range(0, 40, 4)])
    given = np.linspace(1.0, 2.0, 100), np.zeros(1), np.array([[1.0]])
    steps, made = LinkedSteps(rail), []
    original = scipy.sparse.linalg.splu
    monkeypatch.setattr(scipy.sparse.linalg, "splu", lambda *a, **k: made.append(1) or original(*a, **k))
    for slope, factorisations in (
        (np.full(100, 1e-3), 1),
        (np.linspace(0, 3e-2, 100), 1),
        (np.geomspace(1e-3, 1e9, 100), 2),
    ):
        found = steps.step(given[0], slope, *given[1:])
        fresh = LinkedSteps(rail).step(given[0], slope, *given[1:])
        made.pop()  # the fresh one's
        assert found[1] == pytest.approx(fresh[1], rel=1e-8)
        assert len(made) == factorisations


def test_the_largest_imbalance_tells_how_far_off_the_voltages_are() -> None:
    """Of voltages that are no solution: the current left over at the worst node, by the dense equations."""
    b = build()
    at = solve_panel(b)
    rail, front = rail_of_build(b), front_of_build(b, 0.0)
    duty, starts = np.ones((3, 1)), np.array([0, 5, 13, 16, 23])
    for node in (0, 1, 2, 3, 10, 25):
        volts = np.array([at.adapter_voltage, at.bus_voltage, at.root_voltage, *at.voltages])
        volts[node] -= 5e-3
        off = read_state(rail, front, b.pixel, duty, starts, np.array(b.wiring.hop_resistance),
                         Settled(volts[:3], volts[3:], 0))  # fmt: skip
        left = np.abs(equations(volts, b, np.ones((23, 3)), ())).max()
        assert off.largest_imbalance == pytest.approx(left, rel=1e-6)
        assert left > 1e-3


def test_the_run_down_starts_from_the_builds_own_capacitors() -> None:
    found = inertia_of_build(
        build(adapter__output_capacitance=1e-3, bus__ceramic=1e-5, bus__bulk=4e-4, panel__ceramic=2e-5,
              panel__bulk=3e-4, wiring__capacitance_per_pixel=2e-7)
    )  # fmt: skip
    assert found.front == pytest.approx([1e-3, 4.1e-4, 3.2e-4])
    assert found.pixel == 2e-7
