import numpy as np
import pytest

from inrushlib.search.adapter import smallest_adapter
from inrushlib.search.islands import find_islands, overstressed_in, which_boot
from inrushlib.search.ratings import with_limit
from inrushlib.startup import Cancelled, Stressed, Verdict, screen, screen_many, simulate

from .sized_builds import boots, reference, six_tiles


@pytest.fixture(scope="module")
def one_tile():
    build = six_tiles(wiring__sections=1, wiring__pixels_per_section=16, run__duration=0.3)
    return build, smallest_adapter(build).starting.limit_current


def test_islands_where_they_are_known(one_tile):
    # The limit swings around the smallest one that boots, so that edges lie at whole multiples of pi.
    build, limit = one_tile
    found = find_islands(
        lambda v: with_limit(build, limit * (1 + 0.5 * np.sin(v))), np.linspace(0.5, 12, 40), relative=1e-3
    ).found
    assert len(found) == 2
    edges = [found[0].high, found[1].low, found[1].high]
    assert edges == pytest.approx([np.pi, 2 * np.pi, 3 * np.pi], abs=0.02)
    assert found[0].low == 0.5
    assert found[0].low_fails is None
    assert found[0].low_verdict is None
    assert found[0].high_verdict is Verdict.STUCK


def test_edges_are_as_narrow_as_asked(one_tile):
    build, limit = one_tile
    scan = np.linspace(0.2, 3, 5)
    rough = find_islands(lambda v: with_limit(build, v * limit), scan, relative=0.05).found[0]
    fine = find_islands(lambda v: with_limit(build, v * limit), scan, relative=1e-4).found[0]
    assert 1e-4 * rough.low < rough.low - rough.low_fails <= 0.05 * rough.low
    assert 0 < fine.low - fine.low_fails <= 1e-4 * fine.low
    absolute = find_islands(lambda v: with_limit(build, v * limit), scan, relative=0, absolute=0.01).found[0]
    assert 0 < absolute.low - absolute.low_fails <= 0.01


@pytest.mark.parametrize("name", ["0100", "0103", "0114", "0120", "1001", "1013", "1027", "1038"])
def test_ending_where_a_start_is_lost_changes_no_answer(name):
    builds = [with_limit(reference(name), limit) for limit in np.geomspace(0.1, 60, 12)]
    expected = [screen(each) for each in builds]
    assert which_boot(builds).tolist() == [start.verdict is Verdict.BOOTS for start in expected]
    answers = screen_many(builds, until_lost=True)
    for i, start in enumerate(expected):
        lost = start.brown_outs + start.trips > 0
        # A start that is lost is not watched to its end, and any other is.
        assert (answers.verdict(i) in (Verdict.KEEPS_RESETTING, Verdict.ADAPTER_TRIPS)) == lost
        if not lost:
            assert answers.verdict(i) is start.verdict
            assert answers.final_bus_voltage[i] == start.final_bus_voltage


def test_nothing_boots(one_tile):
    build, limit = one_tile
    islands = find_islands(lambda v: with_limit(build, v * limit), np.linspace(0.1, 0.9, 6))
    assert islands.found == ()
    assert not islands.boots.any()
    assert islands.runs == 6


def test_progress_rises_to_one_and_cancel_stops(one_tile):
    build, limit = one_tile
    told: list[float] = []
    find_islands(lambda v: with_limit(build, v * limit), np.linspace(0.1, 3, 30), progress=told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1)
    with pytest.raises(Cancelled):
        find_islands(lambda v: with_limit(build, v * limit), np.linspace(0.1, 3, 30), cancelled=lambda: True)


def test_delays_that_lie_in_two_islands():
    # Built by an independent search for builds whose frames collide with radio bursts: boots, does not, boots.
    build = reference("0114")
    for delay, expected in ((0.005, False), (0.05, True), (0.1, False), (0.2, True)):
        assert boots(build.with_values({"firmware.first_frame_delay": delay})) is expected


@pytest.mark.parametrize("switch", [None, {"highest_junction": 26}])
def test_what_many_starts_overstress_is_what_each_does_its_heat_included(switch):
    builds = [six_tiles(switch=switch, adapter__rated_voltage=volts) for volts in (5.1, 12.0)]
    found = overstressed_in(builds)
    parts = [[each.part for each in one] for one in found]
    assert parts == [[each.part for each in simulate(build).overstressed] for build in builds]
    assert (Stressed.SWITCH in parts[0]) is (switch is not None)
    assert Stressed.PIXELS in parts[1]
