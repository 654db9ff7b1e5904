"""The odds after having measured: against closed forms, what is said, and what is refused."""

import json
from datetime import date
from math import sqrt

import numpy as np
import pytest
from scipy.special import ndtr
from scipy.stats import kstest, spearmanr

from inrushlib.build import new_build, save_build
from inrushlib.cli import main
from inrushlib.errors import BuildError, UsageError
from inrushlib.measurements import How, Measurement, MeasurementLog, Together, add_to_log
from inrushlib.odds import Doubt, Draw, Estimate, Narrowed, Which, at_measured, key_ranges, spread, spread_after
from inrushlib.odds.posterior import mixing_of, posterior_of
from inrushlib.parts import Origin

from .holding import CURRENT, VALUES, holding_build, least_reservoir

DAY = date(2026, 3, 1)
RESERVOIR, DRAWS = "controller.reservoir", "controller.run_current"


def row(key, value, low=None, high=None, **more):
    said = {"how": How.CAPTURE, "source": "evening.csv"} | more
    return Measurement(key=key, value=value, low=low, high=high, day=DAY, **said)


def about(key, value, sigma):
    """A measurement with an error of so many [unit of the key] at one standard deviation."""
    return row(key, value, value - 1.959964 * sigma, value + 1.959964 * sigma)


def test_odds_after_one_measurement_are_those_of_the_normal_distribution():
    """The reservoir holds with the probability that it is above the least one: closed form."""
    least, sigma = least_reservoir(), 100e-6
    for off in (-1.5, -0.3, 0.8, 2.0):
        log = MeasurementLog((about(RESERVOIR, least + off * sigma, sigma),))
        boots = spread_after(holding_build(0.5), log, runs=256, which=Which.STATED).after.boots
        assert boots.value == pytest.approx(ndtr(off), abs=0.012)


@pytest.mark.parametrize("together", [-0.9, 0.0, 0.9])
def test_what_one_capture_told_goes_together(together):
    """It holds where the reservoir is above the least for the current: of two normal errors the difference is normal.

    A reservoir and a current that are too large together err harmlessly; one too large and one too small do not.
    """
    slope = (least_reservoir(1.01 * CURRENT) - least_reservoir(0.99 * CURRENT)) / (0.02 * CURRENT)
    sigma = spare = 100e-6
    log = MeasurementLog(
        (about(RESERVOIR, least_reservoir() + spare, sigma), about(DRAWS, CURRENT, sigma / slope)),
        (Together(source="evening.csv", keys=(RESERVOIR, DRAWS), correlation=((1, together), (together, 1))),),
    )
    boots = spread_after(holding_build(0.5), log, runs=4096, which=Which.STATED).after.boots
    exact = ndtr(spare / (sigma * sqrt(2 - 2 * together)))
    assert boots.value == pytest.approx(exact, abs=0.012)


def test_where_it_says_nine_in_ten_nine_in_ten_hold():
    """Calibration: true reservoirs anywhere in the range, each measured with an error; a thousand of them."""
    rng, least, width, sigma = np.random.default_rng(4), least_reservoir(), 0.4e-3, 40e-6
    low = least - 0.5 * width
    true = low + width * rng.random(1000)
    measured = true + sigma * rng.standard_normal(1000)
    # What it says hangs on the measured value alone: looked up between some for which it was asked.
    asked = least + sigma * np.linspace(-3, 3, 9)
    build = holding_build(0.5)
    logs = (MeasurementLog((about(RESERVOIR, value, sigma),)) for value in asked)
    odds = [spread(at_measured(build.with_measured(log)), runs=256, which=Which.STATED).boots.value for log in logs]
    said = np.interp(measured, asked, odds)
    holds = true > least
    for begin, end in ((0.02, 0.3), (0.3, 0.7), (0.7, 0.98), (0.8, 0.97)):
        some = (said > begin) & (said < end)
        scatter = sqrt((said[some] * (1 - said[some])).sum())
        assert some.sum() > 50
        assert abs(holds[some].sum() - said[some].sum()) < 2.5 * scatter


def test_quantiles_of_a_two_piece_normal_distribution():
    """Half widths 1 and 3 at 95 %: 95 % between, one quarter below the value; cut at three standard deviations."""
    known = posterior_of(row("bus.ceramic", 10.0, 9.0, 13.0), 0.0, 99.0, by_factor=False)
    assert known.share(np.array([13.0, 9.0])) @ [1, -1] == pytest.approx(0.95)
    assert known.share(np.array([10.0])) == pytest.approx(0.25)
    shares = np.linspace(0.001, 0.999, 57)
    assert known.share(known.at(shares)) == pytest.approx(shares)
    assert known.below.end == pytest.approx(10 - 3 / 1.959964)


def test_an_open_side_reaches_to_the_end_of_the_keys_own_range():
    """Flat to there, so that half of the normal side's width is compared with its length."""
    known = posterior_of(row("bus.ceramic", 10.0, None, 11.0), 6.0, 99.0, by_factor=False)
    values = known.at(np.linspace(0, 1, 2001))
    assert (values.min(), known.below.end) == (6.0, 6.0)
    right = sqrt(np.pi / 2) / 1.959964
    assert known.share(np.array([10.0])) == pytest.approx(4 / (4 + right))
    below = values[values < 10]
    assert np.quantile(below, 0.25) == pytest.approx(7, abs=0.02)
    by_factor = posterior_of(row("bus.ceramic", 10.0, None, 11.0), 0.1, 99.0, by_factor=True)
    below = by_factor.at(np.linspace(0, 1, 2001))
    assert np.median(below[below < 10]) == pytest.approx(1.0, rel=0.02)


def test_what_was_measured_of_one_adapter_is_not_known_of_another():
    rows = [row("adapter.limit_current", 1.3), row("adapter.soft_start", 0.004), row("bus.ceramic", 2e-6)]
    build = new_build(VALUES).with_measured(MeasurementLog(tuple(rows)))
    larger = build.with_values({"adapter.rated_current": 2 * build.adapter.rated_current})
    assert list(larger.measured.newest()) == ["bus.ceramic"]
    assert list(build.with_values({"bus.bulk": 1e-4}).measured.newest()) == [each.key for each in rows]


def test_tied_points_stay_even_and_go_together():
    tie = Together(source="evening.csv", keys=(RESERVOIR, DRAWS), correlation=((1, 0.8), (0.8, 1)))
    log = MeasurementLog((about(RESERVOIR, 1e-3, 1e-5), about(DRAWS, 0.08, 1e-3)), (tie,))
    build = new_build(VALUES).with_measured(log)
    draw = Draw(build, key_ranges(build))
    assert (RESERVOIR, DRAWS) in draw.units
    assert sum(len(unit) for unit in draw.units) == len(draw.dimensions)
    points = np.random.default_rng(1).random((4096, len(draw.dimensions)))
    tied = draw.tied(points)
    places = [draw.dimensions.index(key) for key in (RESERVOIR, DRAWS)]
    assert all(kstest(tied[:, place], "uniform").statistic < 0.025 for place in places)
    # Spearman's coefficient of a Gaussian copula: 6 / pi asin(r / 2) (K. Pearson 1907, from memory).
    assert spearmanr(tied[:, places[0]], tied[:, places[1]]).statistic == pytest.approx(
        6 / np.pi * np.arcsin(0.4), abs=0.04
    )
    others = [i for i in range(len(draw.dimensions)) if i not in places]
    assert np.array_equal(tied[:, others], points[:, others])
    assert mixing_of(np.ones((3, 3))) == pytest.approx(np.outer(np.ones(3), [1, 0, 0]), abs=1e-7)


def test_the_runs_are_around_the_measured_value_and_what_follows_from_it():
    build = holding_build(0.5)
    log = MeasurementLog((about("adapter.limit_current", 8.0, 0.01), about(RESERVOIR, 2e-3, 1e-6)))
    found = spread_after(build, log, runs=64, which=Which.STATED)
    assert found.after.build.adapter.limit_current == 8.0
    assert found.after.build.adapter.foldback_current == pytest.approx(2.4)
    assert [each.key for each in found.moved] == ["adapter.limit_current"]
    origins = {each.key: each.origin for each in found.after.ranges}
    assert origins["adapter.limit_current"] is Origin.MEASURED


def test_a_measurement_without_an_interval_is_taken_as_given():
    """Not a guess any more, but parts scatter."""
    build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8})
    log = MeasurementLog((row("bus.ceramic", 1e-6),))
    before, after = (
        {each.key: each for each in key_ranges(each)}["bus.ceramic"] for each in (build, build.with_measured(log))
    )
    given = {each.key: each for each in key_ranges(build.with_values({"bus.ceramic": 1e-6}))}["bus.ceramic"]
    assert (after.low, after.high) == (given.low, given.high) != (before.low, before.high)
    assert after.origin is Origin.MEASURED


def test_a_value_that_is_changed_is_measured_no_more():
    build = new_build(VALUES).with_measured(MeasurementLog((row(RESERVOIR, 1e-3), row(DRAWS, 0.08))))
    changed = build.with_values({RESERVOIR: 2e-3})
    assert (changed.origin(RESERVOIR), changed.origin(DRAWS)) == (Origin.GIVEN, Origin.MEASURED)


def test_how_much_was_settled():
    """Half a doubt before; the measured reservoir is 1.5 standard deviations above the least."""
    sure = MeasurementLog((about(RESERVOIR, least_reservoir() + 30e-6, 20e-6),))
    found = spread_after(holding_build(0.5), sure, runs=512, which=Which.STATED)
    p = ndtr(1.5)
    assert found.settled.value == pytest.approx(1 - p * (1 - p) / 0.25, abs=0.03)
    assert found.settled.low <= found.settled.value <= found.settled.high
    assert found.before.odds == spread(holding_build(0.5), runs=512, which=Which.STATED).odds
    doubtful = MeasurementLog((about(RESERVOIR, least_reservoir(), 20e-6),))
    assert spread_after(holding_build(0.95), doubtful, runs=512, which=Which.STATED).settled.high < 0


def test_refused_before_the_first_run(monkeypatch):
    from inrushlib.odds import engine

    monkeypatch.setattr(engine, "run_columns", lambda *_, **__: pytest.fail("it ran"))
    with pytest.raises(UsageError, match="no value of this build"):
        spread_after(new_build(VALUES), MeasurementLog((row("switch.on_resistance", 0.03),)))
    falling = about("controller.brownout_falling", 2.9, 0.01)
    with pytest.raises(BuildError, match=r"what was measured: controller.brownout_falling: value 2\.9"):
        spread_after(new_build(VALUES), MeasurementLog((falling,)))
    rising = row("controller.brownout_falling", 2.79, 2.785, 2.795)
    stated = {f"tolerance.{key}": {"low": low, "high": high} for key, low, high in (
        ("controller.brownout_rising", 2.7, 2.75), ("pixel.forget_voltage", 2.3, 2.4),
    )}  # fmt: skip
    with pytest.raises(BuildError) as caught:
        spread_after(new_build(VALUES | stated), MeasurementLog((rising,)))
    assert len(caught.value.problems) == 2
    assert "measured controller.brownout_falling: low " in str(caught.value)


@pytest.fixture
def files(tmp_path):
    build, log = tmp_path / "holds.toml", tmp_path / "fit.toml"
    save_build(holding_build(0.5), build)
    add_to_log(log, [about(RESERVOIR, least_reservoir() + 20e-6, 20e-6), row("switch.on_resistance", 0.03)])
    return str(build), str(log)


def test_command(files, capsys):
    build, log = files
    asked = ["spread", build, "--after", log, "--runs", "64", "--ranges", "stated", "--quick"]
    assert main(asked) == 1
    page = " ".join(capsys.readouterr().out.split())
    assert "Before the measurements it booted in 50 %" in page
    assert "of the doubt" in page
    assert "The runs are around the measured values, not those of the build: controller.reservoir." in page
    assert "of a part that this build does not have: switch.on_resistance." in page
    main([*asked, "--json"])
    flat = json.loads(capsys.readouterr().out)
    assert set(flat["before"]) == set(flat["odds"])
    assert set(flat["before"]["boots"]) == {"value", "low", "high"}
    assert flat["odds"]["boots"]["value"] > flat["before"]["boots"]["value"]
    assert flat["measured"][0]["key"] == RESERVOIR
    assert flat["elsewhere"] == ["switch.on_resistance"]
    assert flat["settled"]["value"] > 0.2


def test_a_log_that_is_not_right_is_refused_with_all_that_is_wrong(files, tmp_path, capsys):
    bad = tmp_path / "bad.toml"
    bad.write_text('[[measured]]\nkey = "x"\n[[measured]]\nkey = "bus.ceramic"\nvalue = "3 V"\n')
    assert main(["spread", files[0], "--after", str(bad)]) == 2
    said = capsys.readouterr().err
    assert "measured row 1" in said
    assert "measured row 2" in said


def test_check_takes_the_log_beside_the_build(tmp_path, capsys):
    path = tmp_path / "tiles.toml"
    save_build(
        new_build({"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6,
                   "wiring.pixels_per_section": 64}), path,
    )  # fmt: skip
    main(["check", str(path), "--json"])
    before = json.loads(capsys.readouterr().out)
    rows = [row("controller.dropout_voltage", 0.09, 0.08, 0.1), row("pixel.listen_voltage", 2.2, 2.19, 2.21)]
    add_to_log(tmp_path / "tiles.measured.toml", rows)
    main(["check", str(path), "--json"])
    after = json.loads(capsys.readouterr().out)
    keys = {each.key for each in rows}
    assert keys <= {each["key"] for each in before["assumed"]}
    assert not keys & {each["key"] for each in after["assumed"]}
    assert {each["key"] for each in after["measured"]} == keys
    # 10 mV are to spare: the measured dropout may still turn it, the listen voltage no more; each within its interval.
    ends = {each["key"]: each["value"] for each in after["edges"]}
    assert "pixel.listen_voltage" in {each["key"] for each in before["edges"]}
    assert "pixel.listen_voltage" not in ends
    assert ends.get("controller.dropout_voltage", 0.09) < 0.106
    main(["check", str(path)])
    page = " ".join(capsys.readouterr().out.split())
    assert "Measured, and not what the build has: controller.dropout_voltage 90 mV" in page
    add_to_log(tmp_path / "tiles.measured.toml", [row("bus.ceramic", 2e-6, source="two\nlines\x1b[31m")])
    main(["check", str(path)])
    said = [line for line in capsys.readouterr().out.splitlines() if "two" in line]
    assert "lines" in said[0]
    assert "\x1b" not in said[0]
    (tmp_path / "tiles.measured.toml").write_text("[[measured]]\nkey = 3\n")
    assert main(["check", str(path)]) == 2
    assert "measured row 1" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("low", "high", "doubt"),
    [(0.1, 0.8, Doubt.LESS), (0.0, 0.8, Doubt.UNTOLD), (-0.4, 0.0, Doubt.UNTOLD), (-0.4, -0.1, Doubt.MORE)],
)
def test_what_became_of_the_doubt_hangs_on_the_whole_interval(low, high, doubt):
    class Made(Narrowed):
        settled = Estimate(0.5 * (low + high), low, high)

    assert Made.__new__(Made).doubt is doubt


def test_where_all_runs_went_one_way_there_was_no_doubt():
    class Made(Narrowed):
        settled = None

    assert Made.__new__(Made).doubt is Doubt.NONE_BEFORE
