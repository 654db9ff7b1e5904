"""What delays a curve: low pass, skew and shift do so alike close by, and come apart far away."""

import numpy as np
import pytest

from inrushlib.startup import hold_lumps
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.minimum import _different
from inrushlib.trace.fit.problem import Problem
from tests import fit_coverage

from . import made

BOOT = "controller.boot_time"


def problem(name, *, late=-0.02, bandwidth=None, stretches=2000, quantities=("bus_voltage", "lead_current")):
    """The fit of the true build's own capture, and the shift that is right."""
    build = hold_lumps(made.reference(name))
    bench = fit_coverage.Bench(late=late, bandwidth=bandwidth or {})
    found = Problem(build, Samples.of(fit_coverage.seen(build, quantities, bench, 1)), (BOOT,))
    found.use(stretches, 1e-5)
    return found, late * build.run.duration


def test_a_low_pass_is_found_although_a_little_of_it_is_a_delay():
    # 1.5 kHz is a time constant of 106 us: 1.06 standard deviations of what is usual.
    slow, shift = problem("1016", bandwidth={0: 1500.0}, quantities=("lead_current",))
    stuck = slow.point(np.zeros(1), slow.seen.nothing(shift))
    found = slow.slower(stuck)
    assert found.cost < stuck.cost
    (errors,) = slow.seen.named(found.settled.errors)
    assert errors["time_constant"] == pytest.approx(1.06, abs=0.3)


def test_far_away_the_shift_alone_follows_a_delay_that_the_capture_does_not_show():
    late, shift = problem("0114", late=0.05)
    best = late.point(np.zeros(1), late.seen.nothing(shift))
    late.set_steps(late.slopes(best))
    slopes, x = late.slopes(best), np.array([0.3])
    longer = late.start[0] * (np.exp(0.3) - 1.0)
    delayed = late.seen.shift(slopes.delayed(best, x)) - late.seen.shift(best.settled.errors)
    assert delayed == pytest.approx(longer, rel=0.01)
    there = late.lined_up(late.point(x, slopes.delayed(best, x)))
    assert there.cost - best.cost < 20.0


def test_feet_that_show_the_same_are_one_however_far_their_values_are_apart():
    late, shift = problem("0114", late=0.05, stretches=200)
    longer = late.start[0] * (np.exp(0.3) - 1.0)
    here = late.point(np.zeros(1), late.seen.nothing(shift))
    there = late.lined_up(late.point(np.array([0.3]), late.seen.nothing(shift + longer)))
    other = late.point(np.array([0.3]), late.seen.nothing(shift))
    assert _different(late, [there, here]) == [min(here, there, key=lambda p: p.cost)]
    assert len(_different(late, [other, here])) == 2
