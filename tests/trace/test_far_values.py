"""A value far from its start doubts the capture, as far as somebody vouches for the start."""

from types import SimpleNamespace

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.startup import hold_lumps, run_curves
from inrushlib.trace.fit.alarm import Cause, alarmed, causes, far_values
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.prepare import Measured

PANEL = {"title": "t", "adapter.rated_current": 1, "wiring.sections": 1, "wiring.pixels_per_section": 64}
CERAMIC, RESISTANCE = "bus.ceramic", "adapter.output_resistance"


def ended(build, key, factor):
    """A problem of one key, and a foot this many times from its start."""
    held = hold_lumps(build)
    time = np.linspace(0.0, 0.5, 200)
    curves = {"bus_voltage": run_curves(held).at(time)["bus_voltage"]}
    problem = Problem(held, Samples.of(Measured(time, curves, {"bus_voltage": 1e-3}, 0)), [key])
    point = problem.point(np.zeros(1), problem.seen.nothing(0.0))
    assert point is not None
    return problem, SimpleNamespace(x=np.array([np.log(factor)]), settled=point.settled)


@pytest.mark.parametrize(
    ("given", "factor", "far"),
    [(False, 15.0, False), (False, 25.0, True), (True, 15.0, True), (True, 9.0, False), (True, 1 / 15, True)],
)
def test_a_default_may_be_as_wrong_as_such_parts_differ(given, factor, far):
    # An assumed ceramic capacitor of 1 uF may be one of 0.1 to 22 uF.
    build = new_build(PANEL | ({CERAMIC: 1e-6} if given else {}))
    assert build.get(CERAMIC) == pytest.approx(1e-6)
    problem, foot = ended(build, CERAMIC, factor)
    assert list(far_values(problem, foot)) == ([CERAMIC] if far else [])
    assert alarmed(problem, foot) == far
    assert (Cause.FAR_VALUE in [finding.cause for finding in causes(problem, foot, [])]) == far


@pytest.mark.parametrize("known", [{}, {RESISTANCE: 0.05}, {"adapter.class": "plug-in 1 A"}])
def test_what_no_such_part_has_is_doubted_however_the_start_was_known(known):
    # An assumed output resistance of 50 mohm may be 100, not 750; nor has its class one like that.
    build = new_build(PANEL | known)
    problem, foot = ended(build, RESISTANCE, 15.0)
    assert list(far_values(problem, foot)) == [RESISTANCE]
