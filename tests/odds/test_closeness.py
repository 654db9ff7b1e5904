"""Slacks over a spread: quantiles, the worst run, the corner, and total indices of what is either so or not."""

import json
import tracemalloc

import numpy as np
import pytest

from inrushlib.build import load_build, new_build, save_build
from inrushlib.cli import main
from inrushlib.odds import Draw, Which, key_ranges, spread
from inrushlib.odds.closeness import closeness, smallest
from inrushlib.odds.corner import endings
from inrushlib.odds.points import Plan, chunks, plan
from inrushlib.odds.total import total_indices, yes_or_no
from inrushlib.parts.ranges import From
from inrushlib.startup import Rule, Verdict, slack_many
from inrushlib.startup.effort import SCREEN_TOLERANCE
from inrushlib.startup.pack import pack
from inrushlib.startup.slack import slack_columns, slack_of

from .holding import holding_build

PLAIN = {
    "title": "two tiles", "adapter.rated_current": 1.8, "wiring.sections": 2, "wiring.pixels_per_section": 64,
    "run.duration": 0.3,
}  # fmt: skip


@pytest.fixture(scope="module")
def found():
    return spread(new_build(PLAIN), runs=256, full=True)


def test_slacks_of_columns_are_those_of_builds():
    build = new_build(PLAIN)
    draw = Draw(build, key_ranges(build))
    points = np.random.default_rng(2).random((6, len(draw.dimensions)))
    one, many = slack_columns(draw.pack(points)), slack_many([pack(draw.at(point)) for point in points])
    assert one.values == pytest.approx(many.values, rel=1e-6, abs=1e-9, nan_ok=True)
    assert one.verdicts.tolist() == many.verdicts.tolist()


def test_quantiles_are_those_of_the_watched_runs(found):
    build = new_build(PLAIN)
    draw = Draw(build, key_ranges(build))
    points = np.concatenate(
        [each.points[: each.watched] for each in chunks(plan(256), len(draw.dimensions), 1, watch=True)]
    )
    values = slack_columns(draw.pack(points)).values
    assert found.watched == len(points) == 256
    for each in found.slack:
        own = values[:, list(Rule).index(each.rule)]
        own = own[np.isfinite(own)]
        assert each.runs == len(own)
        assert each.quantiles[0.5] == pytest.approx(np.median(own))
        assert each.kept == pytest.approx(np.mean(own >= 0))
        assert each.least == pytest.approx(own.min())
    assert sum(each.closest for each in found.slack) == pytest.approx(1)


def test_slack_against_the_closed_form():
    """The reservoir holds in the share of runs that the closed form of its hold-up says; so does that rule's slack."""
    for share in (0.3, 0.7):
        spared = spread(holding_build(share), runs=512, which=Which.STATED, full=True).slack
        kept = {each.rule: each.kept for each in spared}
        assert kept[Rule.BROWN_OUT] == pytest.approx(share, abs=0.02)


def test_the_worst_run_has_the_smallest_slack(found):
    build = new_build(PLAIN)
    draw = Draw(build, key_ranges(build))
    points = np.concatenate([each.points for each in chunks(plan(256), len(draw.dimensions), 1)])
    slacks = slack_columns(draw.pack(points))
    close = closeness(slacks.verdicts, slacks.shares)
    worst = int(np.argmin(close))
    rule = list(Rule)[int(np.nanargmin(slacks.shares[worst]))]
    assert found.worst.rule is rule
    assert found.worst.slack == pytest.approx(slacks.values[worst, list(Rule).index(rule)])
    assert found.worst.values == draw.values(points[worst])


def test_the_corner_is_no_better_than_the_worst_run(found):
    draw = Draw(found.build, found.ranges)
    place = {each.key: each for each in found.ranges}
    assert found.corner.verdict is not Verdict.BOOTS
    shares = [
        min(each.share for each in slack_of(worst.build, tolerance=SCREEN_TOLERANCE))
        for worst in (found.corner, found.worst)
    ]
    assert shares[0] <= shares[1] + 1e-3
    for key, value in found.corner.values.items():
        if place[key].range.counted is not From.ZERO:
            continue  # its range moves with what the value follows from
        entries = value if isinstance(value, list) else [value]
        assert place[key].low * (1 - 1e-9) <= min(entries)
        assert max(entries) <= place[key].high * (1 + 1e-9)
    points = next(chunks(Plan(1, 8), len(draw.dimensions), 1)).points
    assert [each.code for each in endings(draw, points, workers=1, cancelled=None)] == [
        each.code for each in endings(draw, points, workers=2, cancelled=None)
    ]


def test_the_corner_of_one_value_is_the_end_of_its_range():
    """Of a reservoir alone the worst is the least."""
    build = holding_build(0.5)
    corner = spread(build, runs=64, which=Which.STATED, full=True).corner
    assert corner.values["controller.reservoir"] == pytest.approx(key_ranges(build, Which.STATED)[0].low)
    assert corner.verdict is Verdict.BOOTS_AFTER_RESETS


def test_a_run_that_fails_is_never_the_worst():
    shares = np.array([[-0.5], [0.1], [np.nan]])
    assert closeness(np.array([-1, 0, 0]), shares).argmin() == 1
    assert smallest(shares).tolist() == [-0.5, 0.1, np.inf]


def test_total_indices_of_yes_or_no():
    """x < 1/2 alone; nothing changes with the other, which three of 512 changes would not contradict."""
    one, none = yes_or_no(lambda x: (x[:, 0] < 0.5) * 1.0, 2, Plan(8, 64), 1)
    assert one.value == pytest.approx(1, abs=0.06)
    assert (none.value, none.low) == (0, 0)
    assert 2 / 512 < none.high < 0.02


def test_a_pool_has_at_least_the_index_of_each_member():
    def linear(x):
        return 2 * x[:, 0] + x[:, 1] + 0.5 * x[:, 2]

    alone = total_indices(linear, 3, Plan(8, 512), 1)
    first, others = total_indices(linear, 3, Plan(8, 512), 1, [[0], [1, 2]])
    assert first.value == pytest.approx(alone[0].value, abs=1e-9)
    # Of a sum the variances add up: 1 + 1/4 of 4 + 1 + 1/4.
    assert others.value == pytest.approx(1.25 / 5.25, abs=0.01)


def test_pooled_totals_bound_the_first_order(found):
    assert all(each.total is not None for each in found.influences)
    assert sum(not each.pooled for each in found.influences) >= 4
    for each in found.influences:
        assert each.settles.low <= each.total.high + 0.05


def test_memory_does_not_grow_with_the_runs():
    build = new_build(PLAIN | {"run.duration": 0.05})
    spread(build, runs=64)
    peaks = []
    for runs in (2048, 8192):
        tracemalloc.start()
        spread(build, runs=runs, workers=2)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    # One chunk more or less waits between the threads by chance; what grows with the runs would be four times as much.
    assert peaks[1] < 2.0 * peaks[0]
    assert plan(2**20).watched * plan(2**20).replicates <= 16 * 512


def test_json_of_the_command(tmp_path, capsys):
    path, worst = tmp_path / "b.toml", tmp_path / "worst.toml"
    save_build(new_build(PLAIN), path)
    main(["spread", str(path), "--runs", "64", "--json", "--save-worst", str(worst)])
    flat = json.loads(capsys.readouterr().out)
    release = flat["slack"]["reset-release"]
    assert release["unit"] == "V"
    assert release["quantiles"]["0.05"] <= release["quantiles"]["0.5"] <= release["quantiles"]["0.95"]
    assert flat["worst"]["rule"] in flat["slack"]
    assert flat["corner"]["slack"] < 0
    assert {"settles", "total", "pooled", "of_slack"} <= set(flat["influences"][0])
    assert load_build(worst).title
    main(["spread", str(path), "--runs", "64", "--json", "--quick"])
    quick = json.loads(capsys.readouterr().out)
    assert quick["odds"] == flat["odds"]
    assert (quick["slack"], quick["corner"], quick["more_runs"]) == ({}, None, 0)
