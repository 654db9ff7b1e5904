"""A seeded part of the torture bench: ``python -m tests.torture`` runs the whole of it."""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.errors import SolverError
from inrushlib.startup import Kind, simulate
from tests.startup.checking import LARGEST_IMBALANCE, faults

from .anywhere import LEAST, anywhere
from .bench import FINER, against_twins, by_itself, differences, start, swings
from .relations import RELATIONS, Chance, random_values

SEEDS = range(20_001, 20_041)


@pytest.mark.parametrize("seed", SEEDS)
def test_any_build_of_the_allowed_ranges_ends(seed):
    assert by_itself(seed).wrong == ()


@pytest.mark.parametrize("seed", SEEDS[:6])
def test_no_way_of_telling_a_build_changes_what_becomes_of_it(seed):
    assert against_twins(seed).wrong == ()


def test_all_of_it_later_begins_at_rest():
    """Found by the bench: build 60084 has a regulator that drops nothing."""
    source = Chance(60_084)
    twin = RELATIONS["all of it later"](random_values(source) | {"run.duration": 0.02, "run.interruptions": []}, source)
    one, other = (simulate(new_build(values)) for values in (twin.one, twin.other))
    before = other.at(np.linspace(0.0, twin.later, 50))
    assert max(np.abs(before[name]).max() for name in ("bus_voltage", "reservoir_voltage", "rail_voltage")) < 1e-6
    assert differences(one, other, twin.later) == []


def test_the_end_at_which_data_enters_a_section_matters_in_the_mirror():
    """Found by the bench: build 80059 listens at one end of a section when a frame starts.

    Drawn from that end, the frame reaches the lumps that listen; from the other end none (model, section 3, Frames and
    Lumps). Up to the end of that frame both are one display.
    """
    source = Chance(80_059)
    values = random_values(source)
    twin = RELATIONS["mirrored from end to end"](values, source)
    sent = {"firmware.first_frame_delay": values["firmware.first_frame_delay"]}
    one, other = (simulate(new_build(told | sent), tolerance=FINER) for told in (twin.one, twin.other))
    reached = [s.time for s in one.switchings if s.kind is Kind.FRAME_END][3]
    before, after = np.linspace(0.0, reached, 500), np.linspace(reached, reached + 1e-3, 500)
    apart = [np.abs(one.at(times)["panel_voltage"] - other.at(times)["panel_voltage"]) for times in (before, after)]
    assert apart[0].max() < 1e-9
    assert apart[1].max() > 0.05
    assert differences(simulate(new_build(twin.one)), simulate(new_build(twin.other))) == []


def test_an_adapter_that_swings_against_its_lead_is_told_from_one_that_settles():
    """Found by the bench: build 60657 swings while it is in its foldback, at 1 / (2 pi sqrt(L C))."""
    end = 60e-6
    build = anywhere(60_657).build.with_values(
        {"run.duration": end, "run.interruptions": [], "adapter.soft_start": "10 us"}
    )
    settles = build.with_values({"adapter.output_capacitance": "30 nF"})
    assert (swings(build), swings(settles)) == (True, False)
    times = np.linspace(end - 10e-6, end, 4001)
    volts, settled = (simulate(one).at(times)["adapter_voltage"] for one in (build, settles))
    rises = times[1:][np.diff(np.sign(volts - volts.mean())) > 0]
    period = 2 * np.pi * np.sqrt(build.lead.inductance * build.adapter.output_capacitance)
    assert np.diff(rises).mean() == pytest.approx(period, rel=0.05)
    assert np.ptp(volts) > 1.0
    assert np.ptp(settled) < 0.1


def test_a_refusal_counts_where_a_build_ends_with_what_it_names(monkeypatch):
    """Found by the bench: build 70404 resets every 2 us, for nothing holds its reset and its peak comes at once."""
    build = anywhere(70_404).build
    monkeypatch.setitem(simulate.__globals__, "MOST_SWITCHINGS", 2000)
    assert start(build) is None
    monkeypatch.setitem(simulate.__globals__, "MOST_STEPS", 50)
    with pytest.raises(SolverError, match=r"shorten run\.duration"):
        start(build.with_values({"controller.reset_hold": "10 ms"}))


def test_energies_add_up_where_next_to_nothing_is_moved():
    """Found by the bench: an adapter that trips at once moves what the tolerance can just tell, 0.2 uJ."""
    startup = start(anywhere(73_782).build)
    assert startup.energy.adapter < 0.2e-6
    assert abs(startup.energy.imbalance) > LARGEST_IMBALANCE
    finer = start(startup.build, FINER / 10)
    assert abs(finer.energy.imbalance) < 1e-3 * LARGEST_IMBALANCE  # nothing is left out of the balance
    assert faults(startup) == faults(finer) == []


def test_the_draws_reach_beyond_real_parts():
    far = {key: value for seed in SEEDS for key, value in anywhere(seed).far.items()}
    assert len(far) > 30
    numbers = [value for value in far.values() if isinstance(value, float) and value > 0]
    assert min(numbers) < 1e-6
    assert max(numbers) > 1e3
    assert all(far.get(key, least) >= least for key, least in LEAST.items())


@pytest.mark.parametrize("name", [name for name in RELATIONS if name != "in other units"])
def test_a_twin_that_is_another_display_is_seen(name):
    """The comparison sees a tenth more current in the second telling, whatever the relation."""
    source = Chance(8)
    twin = RELATIONS[name](random_values(source), source)
    other = twin.other | {"pixel.channel_current": 1.1 * twin.other["pixel.channel_current"]}
    assert differences(simulate(new_build(twin.one)), simulate(new_build(other)), twin.later)


def test_twins_are_told_otherwise():
    source = Chance(5)
    for name, relation in RELATIONS.items():
        twin = relation(random_values(Chance(5)), source)
        assert twin.one != twin.other or name == "feeds in another order"
