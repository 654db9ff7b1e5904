"""What the default tolerance promises, on builds that have broken it: the same answer as a hundredth of it.

Three random builds in ``cases/``, each of which an independent solver answers as the finer tolerance does here.
"""

from pathlib import Path

import pytest

from inrushlib.build import load_build, new_build
from inrushlib.startup import Verdict, screen, simulate
from inrushlib.startup.effort import TOLERANCE

from .wide_builds import Chance, random_values

CASES = Path(__file__).parent / "cases"
VOLTS, SHARE = 5e-3, 1e-3


def case(name):
    return load_build(CASES / f"{name}.toml")


def test_a_regulator_that_leaves_dropout_within_a_step():
    # A step that keeps the slope of the dropout lets the rail sag, and the controller brown out, where none is.
    startup = simulate(case("knee"))
    assert (startup.verdict, startup.brown_outs) == (Verdict.STUCK, 0)
    assert screen(case("knee")).verdict is Verdict.STUCK


@pytest.mark.parametrize("name", ["knee", "loose_load_switch", "loose_limiter"])
def test_ends_and_peaks_are_those_of_a_finer_run(name):
    coarse, fine = simulate(case(name)), simulate(case(name), tolerance=TOLERANCE / 100)
    assert (coarse.verdict, coarse.brown_outs, coarse.trips) == (fine.verdict, fine.brown_outs, fine.trips)
    assert coarse.figures.final_bus_voltage == pytest.approx(fine.figures.final_bus_voltage, abs=VOLTS, rel=0)
    assert coarse.figures.final_rail_voltage == pytest.approx(fine.figures.final_rail_voltage, abs=VOLTS, rel=0)
    assert coarse.figures.peak_lead_current == pytest.approx(fine.figures.peak_lead_current, rel=SHARE)


@pytest.mark.parametrize("seed", [38, 94, 173, 589])
def test_switchings_fall_on_the_instants_of_a_finer_run(seed):
    # Read off the dense output of one long step, a crossing well inside it is 5 to 12 us off in these.
    build = new_build(random_values(Chance(seed)))
    coarse, fine = simulate(build).switchings, simulate(build, tolerance=TOLERANCE / 100).switchings
    assert [(s.kind, s.index) for s in coarse] == [(s.kind, s.index) for s in fine]
    assert [s.time for s in coarse] == pytest.approx([s.time for s in fine], abs=2e-6, rel=0)
