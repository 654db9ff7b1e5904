"""Whole start-ups against answers of an independent high-accuracy solver (``reference/*.json``).

The tolerances are those that the answers were handed out with: same verdict and counts, instants
within 0.2 ms, voltages within 5 mV, currents within 0.5 % or 5 mA.
"""

import json
from pathlib import Path

import pytest

from inrushlib.build import load_build
from inrushlib.startup import screen, simulate

FOLDER = Path(__file__).parent / "reference"
BUILDS = sorted(FOLDER.glob("*.toml"))
SECONDS = 0.2e-3
VOLTS = 5e-3


def same_instant(got, expected):
    if expected is None:
        assert got is None
    else:
        assert got == pytest.approx(expected, abs=SECONDS, rel=0)


def same_current(got, expected):
    assert abs(got - expected) <= max(5e-3, 0.005 * abs(expected))


def test_every_answer_has_its_build():
    assert len(BUILDS) >= 32
    assert [path.stem for path in BUILDS] == [path.stem for path in sorted(FOLDER.glob("*.json"))]


@pytest.mark.parametrize("path", BUILDS, ids=lambda path: path.stem)
def test_full_result(path):
    expected = json.loads(path.with_suffix(".json").read_text())
    startup = simulate(load_build(path))
    assert (startup.verdict.value, startup.brown_outs, startup.trips) == (
        expected["verdict"],
        expected["brown_outs"],
        expected["trips"],
    )
    same_instant(startup.running_at, expected["running_at"])
    same_instant(startup.ready_at, expected["ready_at"])
    figures = startup.figures
    same_current(figures.peak_lead_current, expected["peak_lead_current"])
    same_current(figures.final_lead_current, expected["final_lead_current"])
    assert figures.final_bus_voltage == pytest.approx(expected["final_bus_voltage"], abs=VOLTS, rel=0)
    assert figures.final_rail_voltage == pytest.approx(expected["final_rail_voltage"], abs=VOLTS, rel=0)
    assert figures.final_section_voltages == pytest.approx(expected["final_section_voltages"], abs=VOLTS, rel=0)


@pytest.mark.parametrize("path", BUILDS, ids=lambda path: path.stem)
def test_screening(path):
    # The search's shortcut runs at a looser tolerance; it has to meet the same answers.
    expected = json.loads(path.with_suffix(".json").read_text())
    outcome = screen(load_build(path))
    assert (outcome.verdict.value, outcome.brown_outs, outcome.trips) == (
        expected["verdict"],
        expected["brown_outs"],
        expected["trips"],
    )
    same_instant(outcome.running_at, expected["running_at"])
    same_instant(outcome.ready_at, expected["ready_at"])
    same_current(outcome.peak_lead_current, expected["peak_lead_current"])
    same_current(outcome.final_lead_current, expected["final_lead_current"])
    assert outcome.final_bus_voltage == pytest.approx(expected["final_bus_voltage"], abs=VOLTS, rel=0)
    assert outcome.final_rail_voltage == pytest.approx(expected["final_rail_voltage"], abs=VOLTS, rel=0)
    assert outcome.final_section_voltages == pytest.approx(expected["final_section_voltages"], abs=VOLTS, rel=0)
