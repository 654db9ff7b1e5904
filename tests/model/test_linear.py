"""Right-hand side, mass matrix and linear solve against dense numpy on the equations written a second time.

Every combination of parts is drawn at random, values over wide ranges. What packs a build for the
compiled run is part of what is compared, since the second writing reads the build itself.
"""

import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inrushlib.build import Build, new_build
from inrushlib.model import circuit, laws, linear
from inrushlib.model import layout as at
from inrushlib.startup.pack import pack

from . import equations as eq

hunt = settings(max_examples=150, deadline=None)
COLOURS = ([1.0, 0.6, 1.0], [0.0, 0.0, 0.0], [0.3, 0.0, 0.8])


def decades(low, high):
    return st.floats(math.log10(low), math.log10(high)).map(lambda x: 10.0**x)


@dataclass
class Case:
    """One build in one mode at one state, in both writings."""

    build: Build
    mode: eq.Mode
    t: float
    y: np.ndarray
    p: np.ndarray
    s: np.ndarray
    m: np.ndarray
    q: np.ndarray

    def derivative(self):
        f = np.empty(len(self.y))
        d = np.empty(circuit.SLOPES + len(self.s))
        circuit.derivative(self.t, self.y, self.p, self.s, self.m, self.q, f, d)
        return f, d


@st.composite
def builds(draw):
    """Values of a build: every part on or off, every value over decades."""
    sections = draw(st.integers(1, 7))
    feeds = draw(st.lists(st.integers(0, sections - 1), min_size=1, unique=True))
    values = {
        "title": "drawn",
        "adapter.rated_current": draw(decades(0.1, 20)),
        "adapter.limit_style": draw(st.sampled_from(["constant-current", "foldback", "hiccup"])),
        "adapter.output_resistance": draw(decades(3e-3, 0.3)),
        "adapter.output_capacitance": draw(decades(1e-5, 1e-2)),
        "adapter.bleed_resistance": draw(decades(50, 1e4)),
        "lead.resistance": draw(decades(5e-3, 1)),
        "lead.inductance": draw(decades(1e-8, 1e-5)),
        "bus.ceramic": draw(decades(1e-7, 1e-4)),
        "bus.bulk": draw(st.one_of(st.just(0.0), decades(1e-5, 1e-2))),
        "bus.bulk_esr": draw(decades(5e-3, 0.5)),
        "panel.ceramic": draw(decades(1e-7, 1e-4)),
        "panel.bulk": draw(st.one_of(st.just(0.0), decades(1e-5, 1e-2))),
        "panel.bulk_esr": draw(decades(5e-3, 0.5)),
        "controller.feed": draw(st.sampled_from(["bus", "own"])),
        "controller.feed_diode": draw(st.booleans()),
        "controller.feed_resistance": draw(decades(0.01, 2)),
        "controller.reservoir": draw(decades(1e-6, 1e-2)),
        "controller.dropout_resistance": draw(decades(0.05, 3)),
        "controller.regulator_limit": draw(decades(0.1, 2)),
        "controller.rail_capacitance": draw(decades(1e-6, 1e-3)),
        "pixel.power_on": COLOURS[0],
        "firmware.first_frame": COLOURS[1],
        "firmware.content": COLOURS[2],
        "pixel.channel_resistance": draw(decades(10, 300)),
        "wiring.sections": sections,
        "wiring.pixels_per_section": draw(st.lists(st.integers(1, 300), min_size=sections, max_size=sections)),
        "wiring.hop_resistance": [draw(decades(1e-3, 0.3)) for _ in range(sections - 1)],
        "wiring.feeds": feeds,
        "wiring.feed_resistance": [draw(decades(1e-3, 0.3)) for _ in feeds],
        "wiring.rail_resistance": draw(st.one_of(st.just(0.0), decades(1e-5, 1e-2))),
        "wiring.capacitance_per_pixel": draw(decades(1e-8, 1e-6)),
    }
    if draw(st.booleans()):
        values |= {
            "switch.threshold_voltage": draw(st.floats(0.4, 3.0)),
            "switch.on_resistance": draw(decades(3e-3, 0.3)),
            "switch.gate_source_capacitance": draw(decades(1e-10, 1e-7)),
            "switch.gate_drain_capacitance": draw(st.one_of(st.just(0.0), decades(1e-11, 1e-7))),
            "switch.pullup_resistance": draw(decades(1e3, 1e6)),
            "switch.gate_resistance": draw(decades(10, 1e5)),
            "switch.gate_driver": draw(st.sampled_from(["transistor", "pin"])),
            "switch.kind": draw(st.sampled_from(["p-channel", "p-channel", "load-switch"])),
            "switch.slew_rate": draw(decades(10, 1e4)),
            "switch.current_limit": draw(decades(0.2, 10)),
        }
    if draw(st.booleans()):
        values |= {
            "limiter.cold_resistance": draw(st.floats(0.2, 10)),
            "limiter.beta": draw(st.floats(1500, 4500)),
            "limiter.dissipation": draw(st.floats(5e-3, 0.1)),
            "limiter.heat_capacity": draw(st.floats(0.05, 2.0)),
            "limiter.ambient": draw(st.floats(-10, 50)),
        }
    if sections == 1:
        del values["wiring.hop_resistance"]
    return values


@st.composite
def cases(draw):
    build = new_build(draw(builds()))
    packed = pack(build)
    p, s = packed.parts, packed.lumps
    count = len(s)
    y = np.array(draw(st.lists(st.floats(-1.0, 7.0), min_size=eq.CORE + count, max_size=eq.CORE + count)))
    # At a corner of the foldback limit either side's slope is right.
    assume(min(abs(y[0]), abs(y[0] - build.adapter.foldback_knee)) > 1e-9)
    y[1] = draw(st.floats(-5.0, 20.0))
    t = draw(st.floats(0.0, 0.03))
    t_on = draw(st.floats(-0.02, t)) if t > 0 else -0.02
    shows = draw(st.lists(st.integers(0, 2), min_size=count, max_size=count))
    mode = eq.Mode(
        on=draw(st.booleans()), t_on=t_on, top=build.adapter.limit_current * draw(st.floats(1.0, 3.0)),
        gate_low=draw(st.booleans()), load=draw(st.floats(0.0, 0.5)), duties=[tuple(COLOURS[i]) for i in shows],
    )  # fmt: skip
    if build.limiter is not None:
        y[9] = draw(st.floats(0.0, 150.0))
    mode.low_since = draw(st.floats(0.0, t))
    ramp_end, own_end = t_on + build.adapter.soft_start, 1e-3
    # At the end of a ramp either side's slope is right.
    assume(min(abs(t - ramp_end), abs(t - own_end)) > 1e-12)
    m = np.full(at.MODES, np.inf)
    m[[at.ON, at.T_ON, at.TOP, at.GATE_LOW, at.LOAD]] = mode.on, t_on, mode.top, mode.gate_low, mode.load
    m[at.KINK] = ramp_end if t < ramp_end else np.inf
    m[at.OWN_KINK] = own_end if t < own_end else np.inf
    m[at.GATE_SINCE] = mode.low_since
    q = np.zeros((count, at.LUMP_MODES))
    q[:, at.SHOWS] = shows
    return Case(build, mode, t, y, p, s, m, q)


@hunt
@given(case=cases(), rate=decades(1.0, 1e10), vector=st.integers(0, 2**31))
def test_against_the_second_writing(case, rate, vector):
    """One drawn case serves all four: drawing one takes longer than looking at it."""
    f, d = case.derivative()
    assert_right_hand_side(case, f)
    assert_time_slopes(case, d)
    assert_mass_product(case, vector)
    assert_solve(case, d, rate, vector)


def assert_right_hand_side(case, f):
    expected = eq.right_hand_side(case.build, case.mode, case.t, case.y)
    # Rounding is that of the largest current at a node: volts across the joint's 2 mohm and the like.
    assert f == pytest.approx(expected, rel=1e-10, abs=1e-11 * max(1.0, np.abs(expected).max()))


def assert_time_slopes(case, d):
    # What ramps drive: the adapter's set point, the controller's own supply, a load switch's output.
    def moved(t):
        return eq.right_hand_side(case.build, case.mode, t, case.y)

    expected = np.imag(moved(case.t + 1j * eq.TINY)) / eq.TINY
    got = np.zeros(len(case.y))
    got[0], got[7] = d[circuit.REG_T], d[circuit.CTRL_T]
    got[2], got[5] = -d[circuit.SW_T], d[circuit.SW_T]
    assert got == pytest.approx(expected, rel=1e-7, abs=1e-9 * max(1.0, np.abs(expected).max()))


def assert_mass_product(case, vector):
    x = np.random.default_rng(vector).normal(size=len(case.y))
    out = np.empty(len(x))
    circuit.mass_product(x, case.p, case.s, out)
    assert out == pytest.approx(eq.mass_matrix(case.build) @ x, rel=1e-11, abs=1e-18)


def assert_solve(case, d, rate, vector):
    count, n = len(case.s), len(case.y)
    w, chain, border = np.empty(linear.WORK), np.empty(count), np.empty(count)
    linear.factor(rate, case.y, case.p, case.s, case.m, d, w, chain, border)
    matrix = rate * eq.mass_matrix(case.build) - eq.slopes(case.build, case.mode, case.t, case.y)
    b = np.random.default_rng(vector).normal(size=n)
    x = b.copy()
    linear.solve(case.s, w, chain, border, x)
    # Backward error, row by row: what is left over, against what went into each row.
    left = np.abs(matrix @ x - b) / (np.abs(matrix) @ np.abs(x) + np.abs(b))
    assert left.max() < 1e-9
    # And the solution itself, where the dense solve can tell.
    scale = np.abs(matrix).max(axis=1)
    if np.linalg.cond(matrix / scale[:, None]) < 1e6:
        assert x == pytest.approx(np.linalg.solve(matrix, b), rel=1e-9, abs=1e-9 * np.abs(x).max())


@hunt
@given(rise=st.floats(-40, 200), cold=st.floats(0.2, 50), beta=st.floats(1500, 4500), ambient=st.floats(250, 330))
def test_limiter(rise, cold, beta, ambient):
    value, slope = laws.limiter(rise, cold, beta, ambient)
    assert value == pytest.approx(float(eq.limiter_resistance(rise, cold, beta, ambient)), rel=1e-12)
    expected = eq.slope(lambda x: eq.limiter_resistance(x, cold, beta, ambient), rise)
    assert slope == pytest.approx(expected, rel=1e-11)


def test_limiter_published():
    # R = R0 exp(beta (1/T - 1/T0)); 5 ohm, beta 3000 K, 25 to 100 degrees: 0.6617 ohm. The law is
    # that of the NTC makers' application notes (from memory); the figure is worked from it.
    assert laws.limiter(75.0, 5.0, 3000.0, 298.15)[0] == pytest.approx(0.6617, abs=0.5e-4)


@hunt
@given(v_b=st.floats(0, 6), v_r=st.floats(0, 6), ramp=st.floats(0, 10), ohm=decades(0.01, 0.5), limit=decades(0.1, 10))
def test_load_switch(v_b, v_r, ramp, ohm, limit):
    def expected(b, r, x):
        return eq.load_switch_current(b, r, x, ohm, limit)

    value, *got = laws.load_switch(v_b, v_r, ramp, ohm, limit)
    rounding = 1e-14 * (1.0 + 10.0 / ohm)
    assert value == pytest.approx(float(expected(v_b, v_r, ramp)), rel=1e-9, abs=rounding)
    slopes = (
        eq.slope(lambda x: expected(x, v_r, ramp), v_b),
        eq.slope(lambda x: expected(v_b, x, ramp), v_r),
        eq.slope(lambda x: expected(v_b, v_r, x), ramp),
    )
    assert got == pytest.approx(slopes, rel=1e-8, abs=rounding / (0.01 * limit * ohm) + 1e-14 / ohm)
