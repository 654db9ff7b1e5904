"""Where inside a step a condition is met: two crossings in one step, a touch, several at one instant.

A step's dense output is a cubic, so numpy's polynomial roots say where it meets a level. Whole runs
then show that what happens inside one step, or together, or on a step's end, takes effect once.
"""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inrushlib.build import load_build, new_build
from inrushlib.model import crossing, stepper, switching
from inrushlib.model import layout as at
from inrushlib.model import run as model_run
from inrushlib.startup.pack import pack

from . import equations as eq
from .driving import drive

WALL = Path(__file__).parents[2] / "workbook" / "builds" / "festival_wall.toml"

hunt = settings(max_examples=400, deadline=None)
value = st.floats(-3.0, 3.0).map(lambda x: round(x, 3))


def cubic(y0, y1, c1, c2):
    """The dense output as a polynomial in the share of the step."""
    return np.polynomial.Polynomial([y0, y1 - y0 + c1, c2 - c1, -c2])


def inner_roots(polynomial):
    roots = polynomial.roots()
    return sorted(r.real for r in roots if abs(r.imag) < 1e-9 and 0.0 <= r.real <= 1.0)


@hunt
@given(y0=value, y1=value, c1=value, c2=value)
def test_turning_points(y0, y1, c1, c2):
    p = cubic(y0, y1, c1, c2)
    expected = inner_roots(p.deriv()) if p.deriv().degree() > 0 else []
    got = [x for x in crossing.turning_points(y0, y1, c1, c2) if x < 1.0]
    # Between its ends and turning points a curve does not turn: no value beyond is missed.
    grid = p(np.linspace(0, 1, 101))
    found = p(np.array([0.0, *got, 1.0]))
    assert found.min() <= grid.min() + 1e-12
    assert found.max() >= grid.max() - 1e-12
    assert all(min((abs(x - e) for e in expected), default=1.0) < 1e-6 for x in got)


@hunt
@given(y0=value, y1=value, c1=value, c2=value, end=st.floats(0.0, 1.0))
def test_largest(y0, y1, c1, c2, end):
    p = cubic(y0, y1, c1, c2)
    top = crossing.largest(y0, y1, c1, c2, end)
    grid = p(np.linspace(0.0, end, 201))
    assert grid.max() - 1e-12 <= top <= grid.max() + 1e-3 * (1 + abs(top))


@hunt
@given(y0=value, y1=value, c1=value, c2=value, level=value, up=st.sampled_from([1.0, -1.0]))
def test_first_crossing(y0, y1, c1, c2, level, up):
    p = cubic(y0, y1, c1, c2) - level
    got = crossing.first_crossing(y0, y1, c1, c2, level, up)
    if up * (y0 - level) >= 0.0:
        assert got == 0.0
        return
    roots = inner_roots(p)
    # A level that is only just touched is decided by the last bits: tested on its own below.
    assume(all(abs(p.deriv()(r)) > 1e-6 for r in roots) and abs(p(1.0)) > 1e-9)
    if not roots:
        assert got == math.inf
    else:
        assert got == pytest.approx(roots[0], abs=1e-9)
        assert up * (stepper.interpolate_one(got, y0, y1, c1, c2) - level) >= 0.0


def test_two_crossings_in_one_step():
    # Up through the level at 1/4 and down again at 3/4: both ends lie below it.
    p = np.polynomial.Polynomial.fromroots([0.25, 0.75]) * -4.0
    y0, y1 = p(0.0), p(1.0)
    c1, c2 = -p.coef[2], 0.0  # x^2: c2 - c1; x^3: -c2
    assert y0 < 0 > y1
    assert crossing.first_crossing(y0, y1, c1, c2, 0.0, 1.0) == pytest.approx(0.25, abs=1e-12)
    # From the middle on, where it is above: the way down is found too.
    assert crossing.first_crossing(-y0, -y1, -c1, -c2, 0.0, -1.0) == pytest.approx(0.25, abs=1e-12)


def test_three_crossings_in_one_step_give_the_first():
    p = np.polynomial.Polynomial.fromroots([0.2, 0.5, 0.9])
    c2 = -p.coef[3]
    c1 = c2 - p.coef[2]
    y0, y1 = p(0.0), p(1.0)
    assert y0 < 0 < y1
    assert crossing.first_crossing(y0, y1, c1, c2, 0.0, 1.0) == pytest.approx(0.2, abs=1e-12)


@pytest.mark.parametrize(("above", "met"), [(1e-12, True), (0.0, True), (-1e-12, False)])
def test_touch(above, met):
    # 4 x (1 - x) rises to exactly 1 in the middle. Touching is reaching: "at or above" holds.
    got = crossing.first_crossing(0.0, 0.0, 4.0, 0.0, 1.0 - above, 1.0)
    assert (got == pytest.approx(0.5, abs=1e-5)) is met
    assert (got < math.inf) is met


@pytest.mark.parametrize(("y1", "met"), [(2.2, True), (np.nextafter(2.2, 0.0), False)])
def test_level_met_exactly_at_the_end_of_a_step(y1, met):
    got = crossing.first_crossing(2.0, y1, 0.0, 0.0, 2.2, 1.0)
    assert got == (pytest.approx(1.0, abs=1e-14) if met else math.inf)
    assert got <= 1.0 or not met


def test_level_met_at_the_start_of_a_step():
    assert crossing.first_crossing(2.2, 1.0, 0.0, 0.0, 2.2, 1.0) == 0.0
    assert crossing.first_crossing(2.2, 3.0, 0.0, 0.0, 2.2, -1.0) == 0.0


# ----- the adapter's flag: a threshold on a current, on a moving set point -----


def adapter_build(style):
    return new_build(
        {
            "title": "adapter", "adapter.rated_current": 2, "adapter.limit_style": style,
            "adapter.output_resistance": 0.03,
            "wiring.sections": 1, "wiring.pixels_per_section": 1,
        }
    )  # fmt: skip


@pytest.mark.parametrize("style", ["constant-current", "foldback"])
@pytest.mark.parametrize("over", [False, True])
def test_no_visit_beyond_the_limit_is_missed(style, over):
    # Random cubics of the output voltage against the flag's margin on a fine grid, by the second writing.
    build = adapter_build(style)
    a, p = build.adapter, pack(build).parts
    m = np.full(at.MODES, np.inf)
    m[[at.ON, at.T_ON, at.TOP, at.OVER]] = 1.0, 0.0, p.adapter_limit_current, float(over)
    m[at.KINK] = p.adapter_soft_start
    t, h = 2e-3, 1e-3
    random = np.random.default_rng(7)
    y, y_new, dense = np.zeros(11), np.zeros(11), np.zeros((3, 11))
    shares = np.linspace(0.0, 1.0, 801)
    met = 0
    for _ in range(300):
        v_ref = p.adapter_rated_voltage * (t + np.array([0.0, h])) / p.adapter_soft_start
        y[0], y_new[0] = v_ref - random.uniform(-0.02, 0.15, 2)
        dense[:2, 0] = random.uniform(-0.8, 0.8, 2)
        v_o = cubic(y[0], y_new[0], *dense[:2, 0])(shares)
        limit = eq.limit_current(v_o, a.limit_current, style, a.foldback_current, a.foldback_knee)
        given = eq.adapter_current(
            a.rated_voltage * (t + shares * h) / a.soft_start, v_o, a.output_resistance, limit, 0.01 * a.limit_current
        )
        grid = 0.90 * limit - given if over else given - 0.97 * limit
        assert crossing.over_margin_at(0.5, t, h, y, y_new, dense, p, m) == pytest.approx(grid[400], abs=1e-9)
        if grid[0] >= 0.0:
            continue
        got = crossing.first_over(t, h, y, y_new, dense, p, m)
        beyond = grid >= 0.0
        if got == math.inf:
            # Not met: at most grazed between.
            assert grid.max() < 1e-3 * p.adapter_limit_current
            continue
        met += 1
        first = shares[np.argmax(beyond)] if beyond.any() else 1.0
        assert got <= first + 1e-9
        assert got >= first - 0.01 or not beyond.any()
        assert crossing.over_margin_at(got, t, h, y, y_new, dense, p, m) == pytest.approx(0.0, abs=1e-6)
    assert met > 50


def test_over_shares():
    # Over from 0.97 of the limit and until below 0.90 of it, both of the limit proper, also while
    # the short-term allowance lets more through.
    p = pack(adapter_build("constant-current")).parts
    m = np.full(at.MODES, np.inf)
    m[[at.ON, at.TOP]] = 1.0, 3.0 * p.adapter_limit_current
    r, rated = p.adapter_output_resistance, p.adapter_rated_voltage
    # Well below the raised limit the current is the voltage over the output resistance, exactly.
    for flag, share in ((0.0, 0.97), (1.0, 0.90)):
        m[at.OVER] = flag
        margin = switching.over_margin(rated, rated - share * p.adapter_limit_current * r, p, m)
        assert margin == pytest.approx(0.0, abs=1e-9)
        assert switching.over_margin(rated, rated - (share + 0.01) * p.adapter_limit_current * r, p, m) > 0.0


# ----- whole runs -----


def symmetric(feeds, sections=5):
    return new_build(
        {
            "title": "symmetric", "adapter.rated_current": 9, "wiring.sections": sections,
            "wiring.pixels_per_section": 64, "wiring.feeds": feeds, "run.duration": 0.3,
        }
    )  # fmt: skip


def test_two_conditions_at_one_instant_both_take_effect():
    # Fed in the middle, sections 0 and 4, and 1 and 3, have the same voltage to rounding.
    record = drive(symmetric([2]))
    above = {int(k): t for t, code, k in record.log if code == at.E_ABOVE}
    listens = {int(k): t for t, code, k in record.log if code == at.E_LISTENS}
    assert sorted(above) == sorted(listens) == [0, 1, 2, 3, 4]
    for left, right in ((0, 4), (1, 3)):
        assert above[left] == pytest.approx(above[right], abs=1e-11)
        assert listens[left] == pytest.approx(listens[right], abs=1e-11)
    assert above[2] < above[1] < above[0]
    # Each once, and never deaf by rounding in between: all show the frame.
    assert len(record.instants(at.E_ABOVE)) == 5
    assert len(record.instants(at.E_DEAF)) == 0
    assert np.all(record.q[:, at.SHOWS] == at.SHOWS_FIRST)


def test_adapter_and_section_together():
    # Conditions of different kinds at one share all take effect: find says which, apply does them.
    packed = pack(symmetric([0], sections=2))
    p, s = packed.parts, packed.lumps
    m, q = np.zeros(at.MODES), np.zeros((2, at.LUMP_MODES))
    y, log = np.zeros(at.CORE + 2), np.zeros((10, 3))
    switching.start(p, np.zeros((0, 2)), y, m, q)
    y_new, dense = y.copy(), np.zeros((3, at.CORE + 2))
    # Rail and both sections rise through their levels at half the step.
    for j, level in (
        (at.V_3, p.controller_brownout_rising),
        (at.CORE, p.pixel_listen_voltage),
        (at.CORE + 1, p.pixel_listen_voltage),
    ):
        y_new[j] = 2.0 * level
    shares = np.zeros(6)
    m[at.ON] = 0.0
    share = crossing.find(1.0, 1e-3, y, y_new, dense, p, m, q, shares)
    assert share == pytest.approx(0.5, abs=1e-12)
    assert np.count_nonzero(shares < math.inf) == 3
    crossing.apply(1.0005, share + 1e-12, shares, p, s, m, q, log)
    assert m[at.RELEASE_AT] == pytest.approx(1.0005 + p.controller_reset_hold, abs=1e-12)
    assert list(q[:, at.HEARS]) == [at.WAITING, at.WAITING]
    assert sorted(log[:3, 1]) == sorted([at.E_RAIL_UP, at.E_ABOVE, at.E_ABOVE])
    assert m[at.SWITCHINGS] == 3


@pytest.mark.parametrize("tolerance", [3e-4, 1e-5])
def test_lumps_that_cross_within_an_instant_do_not_take_turns_for_ever(tolerance):
    # Two lumps come to the listening level some tenths of a nanosecond apart: the second is taken along while it is
    # still below, falls back at once, and must not be what takes the first along the next time.
    wall = load_build(WALL).with_values({"wiring.feed_length": 1.3903891703159093})
    record = drive(wall, tolerance, 4000)
    assert record.out[model_run.END_TIME] == wall.run.duration
    assert record.m[at.SWITCHINGS] < 200


def test_brief_dips_inside_one_step_are_found():
    # A radio burst of 10 us asks for more than the regulator gives and dips the rail under its lower
    # level: each is one brown-out, whatever the tolerance and so the size of the steps.
    build = new_build(
        {
            "title": "dips", "adapter.rated_current": 5, "wiring.sections": 1, "wiring.pixels_per_section": 1,
            "controller.boot_time": 1e-3, "controller.burst_current": 1.2, "controller.burst_length": 10e-6,
            "controller.burst_period": 4e-3, "controller.regulator_limit": 0.6,
            "controller.rail_capacitance": 22e-6, "controller.brownout_falling": 3.1,
            "controller.brownout_rising": 3.2, "run.duration": 0.05,
        }
    )  # fmt: skip
    counts = [drive(build, tolerance).m[at.BROWN_OUTS] for tolerance in (1e-2, 1e-4, 1e-7)]
    assert counts[0] == counts[1] == counts[2] >= 5
