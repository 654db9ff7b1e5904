"""Readings that come in: into the build with its comments, into its log with day and interval; odds move at once."""

import json
import shutil
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from inrushlib.answers.guide import log_answer
from inrushlib.answers.terminal import render
from inrushlib.build import load_build, new_build
from inrushlib.cli import main
from inrushlib.errors import UsageError
from inrushlib.guide import CardName, bench_log, deal, enter, joined, parse_entry
from inrushlib.measurements import How, Measurement, MeasurementLog, log_beside, read_log
from tests.guide.bench import DAY, boots, measure, true_display

BUILDS = Path(__file__).parents[2] / "workbook" / "builds"
SMALL = {"title": "t", "adapter.rated_current": 2, "wiring.sections": 2, "wiring.pixels_per_section": 32}
NOTHING = MeasurementLog()


@pytest.fixture
def board(tmp_path):
    path = tmp_path / "board.toml"
    shutil.copy(BUILDS / "tide_board_boots.toml", path)
    return path


def run(capsys, *words):
    status = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return status, out, err


def test_entering_goes_into_the_build_and_its_log(board, capsys):
    before = board.read_text()
    status, out, _ = run(capsys, "guide", board, "--runs", 128, "--day", "2026-03-01", "--json", "--enter",
                         "regulator-dropout=130 mV, 91 mA", "lead-drop=208 mV, 1.99 A")  # fmt: skip
    answer = json.loads(out)
    after = board.read_text()
    assert [line for line in before.splitlines() if "#" in line] == [line for line in after.splitlines() if "#" in line]
    assert load_build(board).lead.resistance == pytest.approx(0.208 / 1.99, rel=1e-3)
    log = read_log(log_beside(board))
    assert [row.key for row in log.rows] == ["controller.dropout_voltage", "lead.resistance"]
    lead = log.rows[1]
    assert (lead.how, lead.day, lead.source) == (How.BENCH, date(2026, 3, 1), "lead-drop")
    assert lead.low < lead.value < lead.high
    assert lead.modelled == pytest.approx(0.0999, rel=1e-2)
    assert answer["boots"]["value"] > answer["before"]["value"] + 0.1  # a low dropout helps it
    assert {"regulator-dropout", "lead-drop"}.isdisjoint(
        each["card"] for each in (*answer["cards"], *answer["others"])
    )  # fmt: skip
    assert status == (0 if answer["boots"]["value"] >= 0.95 else 1)


def test_page_says_odds_before_and_after_and_what_is_next(board, capsys):
    _, out, _ = run(capsys, "guide", board, "--runs", 128, "--enter", "regulator-dropout=130 mV, 91 mA")
    assert "Before these readings it was " in out
    assert "Measure next: " in out
    status, out, _ = run(capsys, "guide", board, "--log")
    assert status == 0
    assert "regulator's dropout voltage" in out
    assert "bench: regulator-dropout" in out
    status, out, _ = run(capsys, "guide", board, "--log", "--json")
    row = json.loads(out)["measured"][0]
    assert row["holds"]
    assert row["stands"] == row["value"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("lead-drop", "accepted: CARD=READING"),
        ("feeds=3 V", "accepted: CARD=READING, a card of tile-white"),
        ("lead-drop=3 V", "1 given; accepted: 2: drop [V], current [A]"),
        ("lead-drop=3 kg, 1 A", "card lead-drop: drop"),
        ("lead-drop=0 V, 1 A", "accepted: above zero"),
        ("tile-white=600 mA, 300 mA", "make pixel.channel_current"),
        ("sagging-tile=3.2 V, 200 mA, 3.0 V, 200 mA", "two readings are the same"),
        ("dimmed-picture=150 mA, 240 mA, 250 mA", "accepted: peaks of the full current"),
    ],
)
def test_readings_that_cannot_be_are_refused_and_nothing_is_written(board, capsys, text, words):
    before = board.read_text()
    status, _, err = run(capsys, "guide", board, "--enter", text)
    assert status == 2
    assert words in err
    assert board.read_text() == before
    assert not log_beside(board).exists()


def test_all_bad_entries_are_told_at_once(board, capsys):
    status, _, err = run(capsys, "guide", board, "--enter", "lead-drop=1", "x=1")
    assert status == 2
    assert len(err.strip().splitlines()) == 2


def test_day_and_log_are_checked(board, capsys):
    assert run(capsys, "guide", board, "--day", "yesterday")[0] == 2
    assert run(capsys, "guide", board, "--log", "--enter", "lead-drop=0.2, 2")[0] == 2


def test_a_reading_beyond_the_expected_is_pointed_out():
    build = new_build(SMALL)
    fine = enter(build, CardName.LEAD_DROP, (0.26, 2.0), DAY, NOTHING)
    odd = enter(build, CardName.LEAD_DROP, (2.6, 2.0), DAY, NOTHING)
    assert fine.apart == ()
    assert [each.name for each, _ in odd.apart] == ["drop"]


def test_errors_of_one_card_are_kept_together():
    build = new_build(SMALL)
    found = enter(build, CardName.ADAPTER_LOADS, (5.08, 0.19, 5.02, 1.2), DAY, NOTHING)
    table = found.log.together[0].correlation
    assert found.log.together[0].is_possible
    assert abs(table[0][1]) > 0.05
    assert joined(NOTHING, [found]).correlation(("adapter.rated_voltage", "adapter.output_resistance"))[0, 1] != 0


def test_log_tells_measured_again_and_inside_or_not():
    build = new_build(SMALL | {"lead.resistance": 0.1})
    rows = tuple(
        Measurement(key="lead.resistance", value=value, low=value - 0.01, high=value + 0.01, how=How.BENCH,
                    source="lead-drop", day=DAY, modelled=was)
        for value, was in ((0.12, 0.127), (0.1, 0.12))
    )  # fmt: skip
    lines = bench_log(build, MeasurementLog(rows))
    assert [line.holds for line in lines] == [False, True]
    assert [line.inside for line in lines] == [True, False]
    assert "measured again" in render(log_answer(build, lines))
    assert "nothing has been measured yet" in render(log_answer(build, ())).lower()


def test_entry_needs_a_card_of_this_build():
    with pytest.raises(UsageError, match="not for this build"):
        parse_entry("hop-drop=0.1, 2", new_build(SMALL | {"wiring.sections": 1}))


def test_readings_move_the_odds_to_the_truth():
    """A made display, read with noise in the guide's order; the study of twenty is a command of its own."""
    build = load_build(BUILDS / "tide_board_boots.toml")
    source = np.random.default_rng(3)
    display = true_display(build, source)
    odds, log = measure(display, build, lambda left: left[0], source, runs=128, most=4)
    assert abs(odds[-1] - boots(display)) < abs(odds[0] - boots(display))
    assert len(log.rows) >= 1
    assert deal(build, log, runs=128).odds.boots.value == pytest.approx(odds[-1], abs=0.02)
