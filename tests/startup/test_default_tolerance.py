"""What the default tolerance promises, on builds that have broken it: the same answer as a hundredth of it.

Three random builds in ``cases/``, each of which an independent solver answers as the finer tolerance does here.
"""

from pathlib import Path

import pytest

from inrushlib.build import load_build
from inrushlib.startup import Verdict, screen, simulate
from inrushlib.startup.simulate import TOLERANCE

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
