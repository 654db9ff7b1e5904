"""Every law in all its forms, over grids that reach every branch: plain, compiled, on arrays, in the steady panel.

A new law belongs into ``TABLE``: a law that is missing there fails, and so does a grid that leaves a line of its
law out. That the laws are the right ones is checked against a second writing of them in ``tests/model``.
"""

import inspect
import sys
from dataclasses import dataclass
from itertools import product
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.laws import adapter, arrays, controller, limiter, pixel, smooth, switch
from inrushlib.model import circuit
from inrushlib.model import laws as compiled
from inrushlib.model import layout as at
from inrushlib.panel.limiter import warm_resistance
from inrushlib.panel.supply import front_of_build
from inrushlib.startup.pack import pack

ROUNDING = 1e-13  # of the largest value over the grid

# Far below, at and far above a bend at zero, whatever its width of 1 mV to 0.1 V.
BEND = [-9.0, -0.5, -0.1, -0.03, -1e-3, 0.0, 1e-3, 0.03, 0.1, 0.5, 9.0]
VOLTS = [-1.0, 0.0, 0.3, 1.2, 1.9, 2.0, 2.1, 2.75, 3.3, 4.2, 4.9, 4.99, 5.0, 5.1, 12.0]


@dataclass(frozen=True)
class Law:
    """A law and the values of each of its arguments; the grid is their product."""

    plain: Any
    arguments: tuple[list[Any], ...]

    @property
    def name(self) -> str:
        return self.plain.__name__

    @property
    def grid(self) -> list[tuple[Any, ...]]:
        return list(product(*self.arguments))


TABLE = [
    Law(smooth.soft, (BEND, [1e-3, 0.03, 2.0])),
    Law(smooth.least, (BEND, [-0.02, 0.0, 3.0], [1e-3, 0.03, 2.0])),
    Law(smooth.rise, (BEND, [1e-3, 0.03, 2.0])),
    # Below, at, inside, at the end of and above the foldback; none.
    Law(adapter.adapter_limit, ([-1.0, 0.0, 1e-9, 2.0, 3.99, 4.0, 6.0], [2.0, 5.0], [True, False], [0.5, 2.0], [4.0])),
    # Far below its limit, in the knee, in the limit, above its set point, at the lower corner.
    Law(
        adapter.adapter_current,
        (
            [0.0, 5.1],
            [0.0, 3.0, 4.9, 5.0, 5.039, 5.04, 5.041, 5.0997, 5.1, 5.1003, 6.0],
            [0.03],
            [2.0],
            [0.0, 0.7],
            [0.02],
        ),
    ),
    Law(limiter.limiter, ([-40.0, 0.0, 75.0, 200.0], [0.2, 5.0], [1500.0, 4500.0], [263.15, 298.15])),
    Law(switch.joint, (VOLTS, VOLTS)),
    Law(switch.gain, ([0.005, 0.04], [2.5, 4.5], [0.9, 1.4])),
    # Sub-threshold, triode, saturation, reversed.
    Law(switch.channel, (VOLTS, [0.0, 0.05, 1.1, 3.8, 4.1, 4.5, 5.0], VOLTS, [0.9], [6.9])),
    Law(switch.body, (VOLTS, VOLTS)),
    # Below its ramp, above it, in the knee of its limit and in it, backwards.
    Law(
        switch.load_switch,
        ([0.0, 4.98, 5.0], [0.0, 4.0, 4.8, 4.9, 4.97, 5.0, 5.2], [0.0, 4.98, 5.0, 9.0], [0.05], [2.0]),
    ),
    Law(switch.pin_clamp, ([0.0, 3.3, 3.87, 3.9, 3.93, 5.0], [0.0, 3.3], [0.0, 1e3])),
    Law(controller.feed_current, (VOLTS, VOLTS, [0.05], [True, False], [0.0, 0.35])),
    # Regulating, dropped out, limited, off, and the knees between them.
    Law(
        controller.regulator,
        ([0.0, 2.0, 3.0, 3.38, 3.45, 5.0], [0.0, 1.0, 3.0, 3.27, 3.28, 3.299, 3.3, 3.5], [3.3], [0.08], [0.3], [0.6]),
    ),
    Law(controller.rail_load, ([-1.0, 0.0, 0.1, 0.2, 3.9, 4.0, 4.1, 5.0], [0.0, 0.08])),
    Law(pixel.colour_channel, ([*VOLTS, 2.85, 3.7, 3.71, 3.75], [1.9, 2.75], [80.0], [0.012])),
    Law(
        pixel.pixel,
        (
            [*VOLTS, 2.85, 3.71],
            [0.0, 1.0],
            [0.0, 0.4],
            [0.0, 0.1],
            [1.9],
            [2.75],
            [2.85],
            [80.0],
            [0.012],
            [6e-4],
            [2.0],
        ),
    ),
]
LAWS = pytest.mark.parametrize("law", TABLE, ids=[law.name for law in TABLE])


def answers(form: Any, grid: list[tuple[Any, ...]]) -> np.ndarray:
    """What a form of a law answers, a row for each point of the grid: value, slopes."""
    return np.array([np.atleast_1d(form(*point)) for point in grid], dtype=float)


def agree(got: Any, expected: Any) -> None:
    """Equal but for rounding, column by column."""
    got, expected = np.asarray(got, dtype=float), np.asarray(expected, dtype=float)
    assert got.shape == expected.shape
    assert np.all(np.isfinite(got))
    assert np.all(np.abs(got - expected) <= ROUNDING * np.abs(expected).max(axis=0))


def lines_run(function: Any, grid: list[tuple[Any, ...]]) -> set[int]:
    """Lines of a function that its grid goes through."""
    seen: set[int] = set()

    def follow(frame: Any, event: str, _: Any) -> Any:
        if frame.f_code is not function.__code__:
            return None
        if event == "line":
            seen.add(frame.f_lineno)
        return follow

    before = sys.gettrace()
    sys.settrace(follow)
    try:
        for point in grid:
            function(*point)
    finally:
        sys.settrace(before)
    return seen


def laws_of(module: Any) -> set[Any]:
    return {each for _, each in inspect.getmembers(module, inspect.isfunction) if each.__module__ == module.__name__}


def test_every_law_is_in_the_table() -> None:
    modules = (smooth, adapter, limiter, switch, controller, pixel)
    assert set().union(*map(laws_of, modules)) == {law.plain for law in TABLE}


@LAWS
def test_the_grid_reaches_every_branch(law: Law) -> None:
    first = law.plain.__code__.co_firstlineno
    written = {line for *_, line in law.plain.__code__.co_lines() if line is not None and line > first}
    assert lines_run(law.plain, law.grid) == written


# Taken once, when a build is packed, and not in the compiled run.
PACKED = {"gain"}


@pytest.mark.parametrize("law", [law for law in TABLE if law.name not in PACKED], ids=lambda law: law.name)
def test_compiled(law: Law) -> None:
    form = getattr(compiled, law.name)
    assert form.plain is law.plain
    agree(answers(form, law.grid), answers(law.plain, law.grid))


# ----- on arrays -----


@pytest.mark.parametrize(("name", "columns"), [("soft", 2), ("least", 2), ("rise", 2)])
def test_smooth_on_arrays(name: str, columns: int) -> None:
    (law,) = (law for law in TABLE if law.name == name)
    expected = answers(law.plain, law.grid)[:, :columns]
    for width in law.arguments[-1]:
        chosen = np.array([point[-1] == width for point in law.grid])
        at_width = np.array(law.grid)[chosen]
        got = getattr(arrays, name)(*at_width[:, :-1].T, width)
        agree(np.column_stack(got), expected[chosen])


def part(channel_current: float = 0.012) -> Any:
    return SimpleNamespace(
        quiescent_current=6e-4, channel_current=channel_current, channel_resistance=80.0,
        forward_voltages=(1.9, 2.75, 2.85), wake_voltage=2.0,
    )  # fmt: skip


SUPPLY = np.linspace(-1.0, 12.0, 1301)  # through the waking, each channel's foot and its knee


def test_colour_channel_on_arrays() -> None:
    currents, slopes = arrays.channel_currents(SUPPLY, part())
    shares = arrays.channel_shares(SUPPLY, part())
    awake = answers(smooth.rise, [(v - 2.0, 0.08) for v in SUPPLY])[:, 0]
    for c, forward in enumerate(part().forward_voltages):
        expected = answers(pixel.colour_channel, [(v, forward, 80.0, 0.012) for v in SUPPLY])
        agree(np.column_stack([currents[c], slopes[c]]), expected)
        agree(shares[:, c], awake * expected[:, 0] / 0.012)


@pytest.mark.parametrize("duty", list(product([0.0, 1.0], [0.0, 0.4], [0.0, 0.1])))
def test_pixel_on_arrays(duty: tuple[float, float, float]) -> None:
    expected = answers(pixel.pixel, [(v, *duty, 1.9, 2.75, 2.85, 80.0, 0.012, 6e-4, 2.0) for v in SUPPLY])
    agree(np.column_stack(arrays.pixel_current(SUPPLY, np.array(duty)[:, None], part())), expected)


# ----- in the steady panel, against the start's circuit -----

BASE = {"title": "t", "adapter.rated_current": 4, "wiring.sections": 1, "wiring.pixels_per_section": 8}
FOLDBACK = {"adapter.limit_style": "foldback", "adapter.foldback_current": 1.0, "adapter.foldback_knee": 3.0}


def of_build(values: dict[str, Any]) -> tuple[Any, Any, np.ndarray, np.ndarray]:
    """The steady panel's front; the start's parts, state and modes, everything on for long."""
    build = new_build(BASE | values)
    m = np.zeros(at.MODES)
    m[[at.ON, at.GATE_LOW]], m[at.TOP] = 1.0, build.adapter.limit_current
    m[[at.KINK, at.OWN_KINK]], m[at.GATE_SINCE] = np.inf, -1e3
    return front_of_build(build, 0.0), pack(build).parts, np.zeros(at.CORE + 1), m


@pytest.mark.parametrize("values", [{}, FOLDBACK], ids=["constant current", "foldback"])
def test_adapter_of_the_steady_panel(values: dict[str, Any]) -> None:
    front, p, y, m = of_build(values)
    got, expected = [], []
    for v in np.concatenate([[-0.5, 0.0, 3.0], np.linspace(0.01, 5.5, 300)]):
        y[at.V_O] = v
        i, to_o, _ = circuit.adapter_regulator(0.0, y, p, m)
        got.append((*front.regulator(v), front.limit(v)[0]))
        expected.append((i, to_o, circuit.regulated(p.adapter_rated_voltage, v, p.adapter_limit_current, p)[3]))
    agree(got, expected)


SWITCHES = {
    "joint": {},
    "p-channel": {"switch.kind": "p-channel", "switch.gate_resistance": 1e3, "switch.pullup_resistance": 1e4},
    "load switch": {"switch.kind": "load-switch", "switch.current_limit": 2.0},
}


@pytest.mark.parametrize("values", SWITCHES.values(), ids=SWITCHES)
def test_switch_of_the_steady_panel(values: dict[str, Any]) -> None:
    front, p, y, m = of_build(values)
    d = np.zeros(circuit.SLOPES + 1)
    got, expected = [], []
    for v_b, v_r in product(VOLTS, VOLTS):
        (forward, backward), slopes = front.joint(v_b, v_r)
        y[at.V_B], y[at.V_R], y[at.V_G] = v_b, v_r, front.gate_share * v_b
        through, *_ = circuit.switch_side(0.0, y, p, m, d)
        got.append((forward - backward, *slopes))
        expected.append((through, d[circuit.SW_B] + front.gate_share * d[circuit.SW_G], d[circuit.SW_R]))
    agree(got, expected)


def test_controller_of_the_steady_panel() -> None:
    front, *_ = of_build({"controller.run_current": 0.08})
    agree([front.controller(v) for v in VOLTS], answers(compiled.rail_load, [(v, 0.08) for v in VOLTS]))


@pytest.mark.parametrize("current", [0.0, 0.5, 3.0])
def test_limiter_of_the_steady_panel(current: float) -> None:
    # As warm as its own heat keeps it: there the compiled law gives the same resistance.
    ntc = new_build(BASE | {"limiter.cold_resistance": 5.0}).limiter
    assert ntc is not None
    found = warm_resistance(ntc, current)
    rise = found * current**2 / ntc.dissipation
    assert compiled.limiter(rise, 5.0, ntc.beta, ntc.ambient + 273.15)[0] == pytest.approx(found, rel=1e-9)
