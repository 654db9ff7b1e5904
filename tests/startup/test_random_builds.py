"""Any valid build ends with a verdict, finite curves and a closed energy balance."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inrushlib.build import new_build, parse_build, to_toml
from inrushlib.errors import SolverError
from inrushlib.startup import Verdict, screen, simulate
from inrushlib.startup import simulate as simulate_function

from .checking import faults
from .wide_builds import Chance, random_values


class Drawn:
    """A source of chance that hypothesis steers, and shrinks where something fails."""

    def __init__(self, draw):
        self.draw = draw

    def between(self, low, high):
        return self.draw(st.floats(low, high))

    def whole(self, low, high):
        return self.draw(st.integers(low, high))

    def pick(self, options):
        return self.draw(st.sampled_from(options))


@st.composite
def builds(draw):
    """Any build; where nothing holds its reset, the shortest hold that is sold, else it may reset each microsecond."""
    values = random_values(Drawn(draw))
    return new_build(values | {"controller.reset_hold": max(values["controller.reset_hold"], 0.1e-3)})


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(builds())
def test_any_valid_build_ends(build):
    assert faults(simulate(build)) == []


@pytest.mark.parametrize("seed", range(60))
def test_random_build(seed):
    startup = simulate(new_build(random_values(Chance(seed))))
    assert faults(startup) == []
    assert startup.verdict in Verdict


def test_the_ranges_reach_all_verdicts():
    found = {screen(new_build(random_values(Chance(seed)))).verdict for seed in range(200)}
    assert found == set(Verdict)


def test_a_random_build_is_a_file():
    build = new_build(random_values(Chance(3)))
    assert parse_build(to_toml(build)) == build


def test_a_run_that_would_not_end_says_so(monkeypatch):
    module = simulate_function.__globals__
    monkeypatch.setitem(module, "MOST_STEPS", 50)
    with pytest.raises(SolverError, match=r"it took 50 steps, the most that are allowed; shorten run\.duration"):
        simulate(new_build(random_values(Chance(3))))


def test_curves_that_would_fill_the_memory_are_refused_before_they_do(monkeypatch):
    build = new_build(random_values(Chance(3)))
    assert simulate(build).verdict == screen(build).verdict
    monkeypatch.setitem(simulate_function.__globals__, "FIRST_ROWS", 8)
    monkeypatch.setitem(simulate_function.__globals__, "LARGEST_KEPT", 10_000)
    with pytest.raises(SolverError, match=r"take more memory than .* shorten run\.duration, or set wiring\.lumps = 1"):
        simulate(build)
