import sys
from types import SimpleNamespace

import numpy as np
import pytest

from inrushlib.errors import BuildError, UsageError
from inrushlib.search.axis import Axis, check_axes
from inrushlib.search.gate_map import gate_map
from inrushlib.search.map import UNKNOWN, _doubt, verdict_map
from inrushlib.search.window import NoWindow, delay_window
from inrushlib.startup import Cancelled, Verdict, screen_many

from .sized_builds import boots, four_tiles, reference, six_tiles, tide_board

RATING = Axis("adapter.rated_current", 1, 6, 21)
BULK = Axis("bus.bulk", 1e-5, 1e-2, 17, log=True)


def every_point(build, x, y):
    builds = [build.with_values({x.key: float(u), y.key: float(v)}) for v in y.values for u in x.values]
    return screen_many(builds).verdicts.reshape(len(y.values), len(x.values))


CASES = {
    "plain": (six_tiles, RATING, BULK),
    "trips": (
        lambda: reference("0101"),
        Axis("adapter.rated_current", 1, 20, 24),
        Axis("adapter.trip_delay", 1e-4, 1, 19, log=True),
    ),
    "delay": (
        lambda: tide_board("with_switch"),
        Axis("adapter.rated_current", 2, 6, 18),
        Axis("firmware.first_frame_delay", 1e-4, 0.3, 21, log=True),
    ),
}


@pytest.fixture(scope="module", params=CASES)
def case(request):
    make, x, y = CASES[request.param]
    build = make()
    return build, x, y, verdict_map(build, x, y)


def test_filled_in_points_are_what_running_them_gives(case):
    build, x, y, found = case
    assert found.verdicts.shape == (len(y.values), len(x.values))
    assert (found.verdicts == every_point(build, x, y)).all()
    assert found.ran.sum() < found.ran.size


def test_points_beside_another_verdict_were_run(case):
    _, _, _, found = case
    differs = np.zeros(found.ran.shape, dtype=bool)
    for axis in (0, 1):
        change = np.diff(found.verdicts, axis=axis) != 0
        first, second = [slice(None)] * 2, [slice(None)] * 2
        first[axis], second[axis] = slice(None, -1), slice(1, None)
        differs[tuple(first)] |= change
        differs[tuple(second)] |= change
    assert differs.any()
    assert found.ran[differs].all()


@pytest.mark.parametrize("beside", [(i, j) for i in range(3) for j in range(3) if (i, j) != (1, 1)])
def test_a_filled_in_point_beside_another_verdict_is_doubted(beside):
    # All of one verdict and none of them run, but for one neighbour of the middle.
    verdicts, ran = np.full((5, 5), 2), np.zeros((5, 5), dtype=bool)
    place = (beside[0] + 1, beside[1] + 1)
    verdicts[place], ran[place] = 1, True
    grid = SimpleNamespace(verdicts=verdicts.copy(), ran=ran)
    assert _doubt(grid, np.arange(5), np.arange(5))
    near = np.maximum(*np.abs(np.indices((5, 5)) - np.reshape(place, (2, 1, 1)))) == 1
    assert (grid.verdicts == np.where(near, UNKNOWN, verdicts)).all()
    same = SimpleNamespace(verdicts=np.full((5, 5), 2), ran=ran)
    assert not _doubt(same, np.arange(5), np.arange(5))


def test_boundary_is_followed_finely(case):
    # A step of the promised fineness to either side of each place on the line boots on one side only.
    build, x, y, found = case
    line = found.boundaries[0]
    steps = [np.log(axis.high / axis.low) if axis.log else axis.high - axis.low for axis in (x, y)]
    for place in line[:: max(1, len(line) // 6)]:
        on_row = np.isclose(y.values, place[1], rtol=1e-9).any()
        axis, i = (x, 0) if on_row else (y, 1)
        step = 0.6 * found.fineness * steps[i] / (axis.count - 1)
        sides = []
        for sign in (-1, 1):
            moved = place.copy()
            moved[i] = moved[i] * np.exp(sign * step) if axis.log else moved[i] + sign * step
            sides.append(boots(build.with_values({x.key: float(moved[0]), y.key: float(moved[1])})))
        assert sides[0] != sides[1]


def test_boundary_stays_within_the_range(case):
    _, x, y, found = case
    for line in (*found.boundaries, *found.edge_areas):
        assert (line >= [x.low - 1e-12, y.low - 1e-12]).all()
        assert (line <= [x.high + 1e-12, y.high + 1e-12]).all()


def test_own_values_and_runs():
    build = six_tiles(bus__bulk=470e-6)
    found = verdict_map(build, RATING, BULK)
    assert found.own == (3.0, 470e-6)
    assert found.verdict(0, 0) is Verdict.STUCK
    assert found.verdict(0, 20) is Verdict.BOOTS
    assert found.boots[0, 20]
    assert found.runs > found.ran.sum()
    without = verdict_map(build, RATING, Axis("firmware.content_delay", 0.01, 0.1, 3))
    assert without.own is None


def test_whole_numbers():
    build = tide_board("with_switch")
    found = verdict_map(build, Axis("wiring.lanes", 1, 4), Axis("adapter.rated_current", 1, 6, 25))
    assert found.x_values.tolist() == [1, 2, 3, 4]
    assert (found.verdicts == every_whole(build, found)).all()
    columns = np.concatenate([line[:, 0] for line in found.boundaries])
    assert set((columns * 2) % 1) == {0.0}


def every_whole(build, found):
    builds = [
        build.with_values({"wiring.lanes": int(u), "adapter.rated_current": float(v)})
        for v in found.y_values
        for u in found.x_values
    ]
    return screen_many(builds).verdicts.reshape(found.verdicts.shape)


def test_one_number_for_a_list():
    found = verdict_map(
        six_tiles(), Axis("wiring.hop_resistance", 0.01, 0.1, 5), Axis("adapter.rated_current", 2, 4, 5)
    )
    assert found.own == (0.03, 3.0)


def test_says_where_a_key_alone_changes_nothing():
    build = six_tiles(adapter__limit_current=3.6)
    found = verdict_map(build, Axis("adapter.rated_current", 1, 6, 5), Axis("bus.bulk", 1e-4, 1e-3, 5))
    assert "adapter.limit_current" in found.notes[0]
    assert len(np.unique(found.verdicts)) == 1
    assert verdict_map(six_tiles(), Axis("adapter.rated_current", 1, 2, 2), Axis("bus.bulk", 1e-4, 1e-3, 2)).notes == ()


def test_progress_rises_to_one():
    told: list[float] = []
    verdict_map(six_tiles(), RATING, BULK, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1


@pytest.mark.parametrize("after", [0, 3, 12])
def test_cancel(after):
    asked = []

    def cancelled():
        asked.append(None)
        return len(asked) > after

    with pytest.raises(Cancelled):
        verdict_map(six_tiles(), RATING, BULK, cancelled=cancelled)


BAD = [
    (Axis("adapter.rated_curent", 1, 2), "adapter.rated_curent: unknown key; accepted: the keys of adapter, perhaps"),
    (Axis("nothing", 1, 2), "nothing: unknown table or key"),
    (Axis("adapter.limit_style", 1, 2), "adapter.limit_style: no number; accepted: a key of one number"),
    (Axis("pixel.power_on", 0, 1), "pixel.power_on: no number"),
    (Axis("title", 0, 1), "title: no number"),
    (Axis("lead.gauge", 1, 2), "lead.gauge: no number"),
    (Axis("switch.gate_resistance", 1, 2), r"switch.gate_resistance: the build has no \[switch\] table"),
    (Axis("lead.resistance", 2, 2), "lead.resistance: range 2 ohm to 2 ohm; accepted: a first value below the last"),
    (Axis("lead.resistance", 2, 1), "lead.resistance: range 2 ohm to 1 ohm; accepted: a first value below the last"),
    (Axis("lead.resistance", -1, 1), "lead.resistance: value -1 ohm; accepted: above 0 ohm"),
    (Axis("lead.resistance", 1, float("nan")), "lead.resistance: value nan; accepted: a number in SI"),
    (Axis("lead.resistance", 1, float("inf")), "lead.resistance: value inf; accepted: a number in SI"),
    (Axis("lead.resistance", "1 ohm", 2), 'lead.resistance: value "1 ohm"; accepted: a number in SI'),
    (Axis("wiring.lanes", 1, 65), "wiring.lanes: value 65; accepted: 1 to 64, whole"),
    (Axis("wiring.lanes", 1.5, 3), "wiring.lanes: value 1.5; accepted: 1 to 64, whole"),
    (Axis("wiring.lanes", 1, 9), "wiring.lanes: value 9; accepted: 1 to 6, whole: not more lanes than sections"),
    (Axis("firmware.gate_delay", 0, 1, log=True), "firmware.gate_delay: range from 0 s, by factors; accepted"),
    (Axis("lead.resistance", 1, 2, 1), "lead.resistance: 1 values; accepted: 2 to 500, whole"),
    (Axis("lead.resistance", 1, 2, 501), "lead.resistance: 501 values; accepted: 2 to 500, whole"),
    (Axis("lead.resistance", 1, 2, 2.5), "lead.resistance: 2.5 values"),
    (Axis("bus.bulk", 1e-4, 1e-3), "bus.bulk: on both axes; accepted: two different keys"),
    (Axis("controller.brownout_rising", 1, 3), r"brownout_falling: value 2.3 V .*with .*brownout_rising at 1 V"),
    (Axis("controller.brownout_falling", 1, 3), r"brownout_falling: value 3.0; accepted: below .*with .* at 3 V"),
]


@pytest.mark.parametrize(("axis", "message"), BAD, ids=lambda value: value.key if isinstance(value, Axis) else "")
def test_bad_axis_is_refused_with_one_message(axis, message):
    for axes in ((axis, Axis("bus.bulk", 1e-4, 1e-3)), (Axis("bus.bulk", 1e-4, 1e-3), axis)):
        with pytest.raises(UsageError, match=message) as caught:
            verdict_map(six_tiles(), *axes)
        assert len(caught.value.problems) == 1


@pytest.mark.parametrize("fineness", [0, -1, 1.01, float("nan")])
def test_bad_fineness(fineness):
    with pytest.raises(UsageError, match="fineness: value"):
        verdict_map(six_tiles(), RATING, BULK, fineness=fineness)


def gated():
    return four_tiles(
        adapter__rated_current=0.8, controller__feed_diode=True, controller__reservoir=220e-6,
        pixel__power_on=[0.5] * 3, wiring__lanes=4, switch={"gate_resistance": 1e3, "gate_drain_capacitance": 22e-9},
    )  # fmt: skip


def test_gate_map_agrees_with_single_windows():
    build = gated()
    x = Axis("switch.gate_resistance", 100, 4e3, 3, log=True)
    y = Axis("switch.gate_drain_capacitance", 1e-9, 1e-6, 3, log=True)
    told: list[float] = []
    found = gate_map(build, x, y, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1
    assert found.earliest.shape == (3, 3)
    assert np.isfinite(found.latest).any()
    for row, farads in enumerate(found.capacitance):
        for column, ohms in enumerate(found.resistance):
            one = delay_window(build.with_values({x.key: float(ohms), y.key: float(farads)}))
            got = found.earliest[row, column], found.latest[row, column]
            if isinstance(one, NoWindow):
                assert np.isnan(got).all()
            else:
                latest = np.inf if one.latest is None else one.latest
                assert got == pytest.approx((one.earliest, latest), rel=0.025, abs=60e-6)


def test_gate_map_follows_the_edge_at_the_builds_own_delay():
    build = gated().with_values({"firmware.first_frame_delay": 0.6e-3})
    found = gate_map(build, Axis("switch.gate_resistance", 100, 4e3, 3, log=True),
                     Axis("switch.gate_drain_capacitance", 1e-9, 1e-6, 3, log=True))  # fmt: skip
    assert found.own.boundaries
    for i, j in ((0, 0), (-1, -1)):
        assert found.own.boots[i, j] == (found.earliest[i, j] <= 0.6e-3 <= found.latest[i, j])
    assert found.own.x.count >= 40
    assert found.own.own == (1e3, 22e-9)


def test_gate_map_without_axes_spans_the_builds_own_values():
    build = gated()
    with pytest.raises(Cancelled):
        gate_map(build, cancelled=lambda: True)
    found = gate_map(build.with_values({"run.duration": 0.3}))
    assert found.resistance[0] == pytest.approx(100)
    assert found.resistance[-1] == pytest.approx(5e3)
    assert found.capacitance[[0, -1]] == pytest.approx([2.2e-9, 220e-9])


@pytest.mark.parametrize(
    ("build", "axes", "error", "message"),
    [
        (six_tiles(), (), BuildError, "switch: none; accepted: a build with a P-channel"),
        (
            six_tiles(switch={"kind": "load-switch"}),
            (),
            BuildError,
            "switch: load-switch; accepted: a build",
        ),
        (six_tiles(switch={}), (Axis("bus.bulk", 1e-4, 1e-3), None), UsageError, "bus.bulk: no axis of this map"),
        (six_tiles(switch={}), (Axis("switch.gate_resistance", 2, 1), None), UsageError, "range 2 ohm to 1 ohm"),
    ],
)
def test_gate_map_bad_input(build, axes, error, message):
    with pytest.raises(error, match=message):
        gate_map(build, *axes)


def test_gate_map_asks_each_window_at_its_own_values(monkeypatch):
    build = six_tiles(switch={"gate_resistance": 1e3, "gate_drain_capacitance": 0.0, "pullup_resistance": 8e3})
    asked: list[tuple] = []

    def instead(changed):
        switch = changed.switch
        asked.append((switch.gate_resistance, switch.gate_drain_capacitance))
        return asked[-1]

    told: list[float] = []
    monkeypatch.setattr(sys.modules[gate_map.__module__], "_window", instead)
    found = gate_map(build.with_values({"run.duration": 0.1}), progress=told.append)
    # Ten times either side: up to half the pull-up, and around 0.1 nF where the build has no capacitance.
    assert (len(found.resistance), len(found.capacitance)) == (8, 8)
    assert found.resistance[[0, -1]] == pytest.approx([100, 4e3])
    assert found.capacitance[[0, -1]] == pytest.approx([1e-11, 1e-9])
    assert found.earliest == pytest.approx(np.tile(found.resistance, (8, 1)))
    assert found.latest == pytest.approx(np.tile(found.capacitance[:, None], (1, 8)))
    assert len(asked) == 64
    assert told[-64:] == pytest.approx(0.3 + 0.7 * np.arange(1, 65) / 64)
    assert (len(found.own.x_values), len(found.own.y_values)) == (40, 40)
    assert (found.own.x.low, found.own.x.high) == pytest.approx((100, 4e3))


def test_values_between_those_of_an_axis():
    plain, factors = Axis("bus.bulk", 1e-3, 3e-3, 3), Axis("bus.bulk", 1e-4, 1e-2, 3, log=True)
    assert Axis("bus.bulk", 1e-3, 3e-3).count == 60
    assert plain.between(np.array([-1.0, 0.5, 1.0, 5.0])) == pytest.approx([1e-3, 1.5e-3, 2e-3, 3e-3])
    assert factors.between(np.array([0.5, 1.5, 3.0])) == pytest.approx([10**-3.5, 10**-2.5, 1e-2])
    whole = Axis("wiring.lanes", 1, 4, 9)
    assert whole.values.tolist() == [1, 2, 3, 4]
    assert (whole.given(2.6), plain.given(2)) == (3, 2.0)
    assert (plain.unit, whole.unit) == ("F", "")


def test_a_builds_own_value_is_one_number_or_none():
    build = six_tiles(wiring__hop_resistance=[0.03, 0.03, 0.03, 0.03, 0.04])
    assert Axis("wiring.hop_resistance", 0.01, 0.1).own(build) is None
    assert Axis("wiring.hop_resistance", 0.01, 0.1).own(six_tiles(wiring__hop_resistance=0.03)) == 0.03
    assert Axis("firmware.content_delay", 0.01, 0.1).own(build) is None


@pytest.mark.parametrize("count", [2, 500])
def test_as_few_and_as_many_values_as_are_accepted(count):
    check_axes(six_tiles(), Axis("lead.resistance", 1, 2, count), Axis("bus.bulk", 1e-4, 1e-3))
