"""The odds: against closed forms and plain random runs, the same on any number of threads, and what is refused."""

import json

import numpy as np
import pytest

from inrushlib.build import load_build, new_build
from inrushlib.cli import main
from inrushlib.errors import BuildError, Cancelled, UsageError
from inrushlib.odds import Draw, Which, key_ranges, spread
from inrushlib.odds.interval import replicated, wilson
from inrushlib.odds.points import plan
from inrushlib.startup import Verdict, screen
from inrushlib.startup.verdicts import run_columns

from .holding import VALUES, holding_build, least_reservoir

PLAIN = {
    "title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 2, "wiring.pixels_per_section": 64,
    "run.duration": 0.4,
}  # fmt: skip


def test_closed_form_of_the_hold_up():
    for factor, verdict in ((0.998, Verdict.BOOTS_AFTER_RESETS), (1.002, Verdict.BOOTS)):
        changed = new_build(VALUES | {"controller.reservoir": factor * least_reservoir()})
        assert screen(changed).verdict is verdict


def test_hold_up_with_an_even_reservoir():
    """The exact probability is inside the interval for at least 93 of 100 seeds."""
    inside = 0
    for seed in range(100):
        share = 0.05 + 0.9 * ((seed * 0.618034) % 1)
        found = spread(holding_build(share), runs=64, seed=seed, which=Which.STATED).boots
        inside += found.low <= share <= found.high
    assert inside >= 93


@pytest.mark.parametrize("rated", [1.6, 2.2])
def test_against_plain_random_runs(rated):
    build = new_build(PLAIN | {"adapter.rated_current": rated})
    draw = Draw(build, key_ranges(build))
    points = np.random.default_rng(5).random((1500, len(draw.dimensions)))
    codes = run_columns(draw.pack(points)[0])[0]
    found = spread(build, runs=512)
    for verdict in (Verdict.BOOTS, Verdict.STUCK):
        plain = wilson(int((codes == list(Verdict).index(verdict)).sum()), len(codes))
        odds = found.odds[verdict]
        assert odds.low - (plain.high - plain.low) / 2 <= plain.value <= odds.high + (plain.high - plain.low) / 2
    assert sum(each.value for each in found.odds.values()) + found.failed / found.runs == pytest.approx(1)


def test_same_seed_same_answer_on_any_number_of_threads():
    build = new_build(PLAIN)
    one, three = (spread(build, runs=512, seed=7, workers=workers) for workers in (1, 3))
    assert one.odds == three.odds
    assert one.influences == three.influences
    assert one.worst.values == three.worst.values
    assert spread(build, runs=512, seed=8).odds != one.odds


def test_the_worst_run_ends_the_same_when_saved_and_opened(tmp_path, capsys):
    path, worst = tmp_path / "build.toml", tmp_path / "worst.toml"
    from inrushlib.build import save_build

    save_build(new_build(PLAIN | {"adapter.rated_current": 2}), path)
    assert main(["spread", str(path), "--runs", "64", "--json", "--save-worst", str(worst)]) == 1
    found = json.loads(capsys.readouterr().out)
    assert screen(load_build(worst)).verdict.value == found["worst"]["verdict"] != "boots"
    assert found["runs"] == 64
    assert found["failed"] == 0
    assert set(found["odds"]) == {verdict.value for verdict in Verdict}
    assert set(found["odds"]["boots"]) == {"value", "low", "high"}
    assert "adapter.limit_current" in found["worst"]["values"]


def test_a_run_that_fails_is_counted_and_shown(monkeypatch, capsys, tmp_path):
    from inrushlib.build import save_build
    from inrushlib.odds import engine

    def failing(packed, *, tolerance):
        codes, rails = run_columns(packed, tolerance=tolerance)
        codes[0] = -1
        return codes, rails

    monkeypatch.setattr(engine, "run_columns", failing)
    path = tmp_path / "build.toml"
    save_build(new_build(PLAIN), path)
    main(["spread", str(path), "--runs", "64", "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["failed"] == 8
    assert sum(each["value"] for each in found["odds"].values()) == pytest.approx(1 - 8 / 64)
    main(["spread", str(path), "--runs", "64"])
    assert "8 of 64 runs could not be finished" in capsys.readouterr().out


def test_only_what_is_stated():
    build = new_build(PLAIN | {"tolerance.adapter.limit_current": {"relative": 0.1}})
    found = spread(build, runs=64, which=Which.STATED)
    assert [each.key for each in found.ranges] == ["adapter.limit_current"]
    assert list(found.worst.values) == ["adapter.limit_current"]


def test_refused_before_the_first_run(monkeypatch):
    from inrushlib.odds import engine

    monkeypatch.setattr(engine, "run_columns", lambda *_, **__: pytest.fail("it ran"))
    with pytest.raises(UsageError, match="nothing to spread"):
        spread(new_build(PLAIN), which=Which.STATED)
    with pytest.raises(UsageError, match="runs: value 3; accepted: 64 to"):
        spread(new_build(PLAIN), runs=3)
    with pytest.raises(UsageError, match="seed: value -1"):
        spread(new_build(PLAIN), seed=-1)
    with pytest.raises(BuildError, match=r"bus.ceramic.*\n.*boot_time"):
        spread(
            new_build(
                PLAIN | {"tolerance.bus.ceramic": {"relative": 1.0}, "tolerance.controller.boot_time": {"sigma": "1 s"}}
            )
        )
    with pytest.raises(BuildError) as caught:
        new_build(
            PLAIN
            | {"tolerance.bus.cermic": {"relative": 0.1}, "tolerance.bus.bulk": {"low": 2e-3, "high": 1e-3},
               "tolerance.adapter.limit_style": {"relative": 0.1}}
        )  # fmt: skip
    assert len(caught.value.problems) == 3


def test_stopped():
    with pytest.raises(Cancelled):
        spread(new_build(PLAIN), runs=1024, cancelled=lambda: True)


def test_plans():
    for runs in (64, 100, 1000, 4096, 10_000, 12_345):
        planned = plan(runs)
        assert runs <= planned.runs <= runs * 9 / 8
        assert 8 <= planned.replicates <= 16
        assert planned.points & (planned.points - 1) == 0


def test_intervals():
    # Brown, Cai and DasGupta, "Interval estimation for a binomial proportion" (2001), Wilson's at 95 %: 1 of 10.
    assert (wilson(1, 10).low, wilson(1, 10).high) == pytest.approx((0.0179, 0.4042), abs=1e-4)
    none = replicated(np.zeros(8, dtype=np.int64), 512)
    assert none.low == 0
    assert none.high == pytest.approx(wilson(0, 4096).high)
    assert replicated(np.full(8, 512), 512).low < 1
    alike = replicated(np.full(8, 100), 512)
    assert alike.high - alike.low == pytest.approx(0.5 / 512)
