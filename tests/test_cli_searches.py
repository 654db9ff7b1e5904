"""The commands beside check: what they print, their exit status, what they refuse."""

from dataclasses import replace
from pathlib import Path

import pytest

from inrushlib.answers.blocks import Answer
from inrushlib.answers.fit import fit_blocks
from inrushlib.answers.terminal import render
from inrushlib.build import load_build
from inrushlib.cli import main
from inrushlib.cli.compare import accuracy, to_dict
from inrushlib.errors import UsageError
from inrushlib.measurements import How, read_log
from inrushlib.panel import solve_panel
from inrushlib.search.adapter import smallest_adapter
from inrushlib.trace import Comparison
from inrushlib.trace.fit.alarm import Cause, Finding
from inrushlib.trace.fit.fit import Fit, FittedKey
from inrushlib.trace.fit.status import Status

ROOT = Path(__file__).resolve().parents[1]
NEVER = str(ROOT / "workbook/builds/tide_board_never_starts.toml")
SWITCH = str(ROOT / "workbook/builds/tide_board_with_switch.toml")
TWO_TILES = """
title = "two tiles behind a switch"
[adapter]
rated_current = 3
[controller]
boot_time = "20 ms"
[switch]
[wiring]
sections = 2
pixels_per_section = 64
[run]
duration = 0.3
"""
CAPTURE = str(ROOT / "sample_traces/tide_board_with_switch.csv")


def test_size(answer, capsys):
    # With the odds: tests/test_cli_odds.py.
    status, found = answer("size", NEVER, "--no-odds")
    assert status == 0
    assert found["smallest_limit_current"] == pytest.approx(smallest_adapter(load_build(NEVER)).starting.limit_current)
    assert found["smallest_rated_current"] == pytest.approx(found["smallest_limit_current"] / 1.2)
    assert found["standard_rating"] == 10.0
    assert found["decided_by"] == "start"
    main(["size", NEVER, "--no-odds"])
    assert "TAKE 10 A" in capsys.readouterr().out


def test_window(refused, answer):
    status, found = answer("window", SWITCH, "--no-odds")
    assert status == 0
    assert found["earliest"] <= found["first_frame_takes_from"] <= found["flat"][0] <= found["recommended"]
    assert found["latest"] is None
    assert found["first_frame_takes_from"] > load_build(SWITCH).firmware.gate_delay
    assert "[switch]" in refused("window", NEVER)


TILE = """
title = "one tile"
[adapter]
rated_current = "1.5 A"
[wiring]
sections = 1
pixels_per_section = 64
[run]
duration = 0.6
"""


def test_remedies(answer, tmp_path):
    status, found = answer("remedies", NEVER, "--no-odds", "--plot", str(tmp_path / "r.png"))
    assert status == 0
    verdicts = {remedy["name"]: remedy["verdict"] for remedy in found}
    assert verdicts["as it is"] == "stuck"
    assert verdicts["high-side switch"] == verdicts["bigger adapter"] == "boots"
    assert (tmp_path / "r.png").stat().st_size > 10_000


def test_remedies_with_odds(answer, tmp_path):
    """A board that boots now and then: a switch does it always, and so does a supply of its own."""
    build = tmp_path / "tile.toml"
    build.write_text(TILE, encoding="utf-8")
    status, found = answer("remedies", str(build), "--runs", "64")
    assert status == 0
    now, *others = found
    assert now["odds"]["value"] < 0.95
    ranked = sorted((each for each in others if each["place"]), key=lambda each: each["place"])
    assert ranked[0]["odds"]["value"] >= 0.95
    assert ranked[0]["reason"].startswith("take this: ")
    assert all(each["odds"]["low"] <= each["odds"]["value"] <= each["odds"]["high"] for each in ranked)
    assert all(each["odds"] is None for each in others if not each["helps"])


def test_map(answer, tmp_path):
    axes = [
        "--x",
        "adapter.rated_current",
        "5 A",
        "15",
        "--y",
        "bus.bulk",
        "100 uF",
        "1 mF",
        "--y-log",
        "--points",
        "9",
    ]
    status, found = answer("map", NEVER, *axes, "--plot", str(tmp_path / "m.png"))
    assert status == 0
    assert {row[0] for row in found["verdicts"]} == {"stuck"}
    assert {row[-1] for row in found["verdicts"]} == {"boots"}
    edge = [x for line in found["boundaries"] for x, _ in line]
    assert min(edge) == pytest.approx(9.02, rel=0.03)
    assert (tmp_path / "m.png").exists()


def test_map_prints_its_axes(capsys):
    axes = ["--x", "adapter.rated_current", "5 A", "15", "--y", "bus.bulk", "100 uF", "1 mF", "--y-log"]
    assert main(["map", NEVER, *axes, "--points", "5"]) == 0
    page = capsys.readouterr().out
    for words in ("adapter.rated_current", "by equal differences", "5 A", "15 A", "bus.bulk", "by equal factors",
                  "100 uF", "1000 uF"):  # fmt: skip
        assert words in page


@pytest.mark.parametrize(
    ("axes", "words"),
    [
        (["--x", "adapter.nothing", "1", "2", "--y", "bus.bulk", "1 uF", "1 mF"], "adapter.nothing"),
        (["--x", "adapter.rated_current", "3", "2", "--y", "bus.bulk", "1 uF", "1 mF"], "adapter.rated_current"),
        (["--x", "adapter.limit_style", "1", "2", "--y", "bus.bulk", "1 uF", "1 mF"], "adapter.limit_style"),
        (["--x", "adapter.rated_current", "1 V", "2", "--y", "bus.bulk", "1 uF", "1 mF"], "1 V"),
    ],
)
def test_map_refuses(refused, axes, words):
    assert words in refused("map", NEVER, *axes)


def test_panel(answer, capsys, tmp_path):
    status, found = answer("panel", NEVER, "--colour", "1,0.5,0", "--feeds", "--plot", str(tmp_path / "p.png"))
    assert status == 1  # the adapter runs above its label: a danger
    state = solve_panel(load_build(NEVER), (1, 0.5, 0))
    assert found["adapter_current"] == pytest.approx(state.adapter_current)
    assert found["lowest_pixel"] == state.worst_pixel
    assert {"root_voltage", "lowest_voltage", "highest_voltage", "feed_currents", "largest_hop_current"} <= set(found)
    assert any(row["name"] == "both ends" for row in found["feeds"])
    assert all({"what", "severity", "source"} <= set(finding) for finding in found["findings"])
    assert (tmp_path / "p.png").exists()
    main(["panel", NEVER])
    assert "licensed person" in capsys.readouterr().out


def test_panel_without_a_danger_ends_with_0(answer, tmp_path):
    small = tmp_path / "small.toml"
    small.write_text(
        'title = "small"\n[adapter]\nrated_current = "3 A"\n[wiring]\nsections = 1\npixels_per_section = 16\n'
    )
    status, found = answer("panel", str(small))
    assert status == 0
    assert "danger" not in {finding["severity"] for finding in found["findings"]}
    assert found["losses"].keys() >= {"lead", "joint", "feeds", "jumpers", "pixels"}


@pytest.mark.parametrize("colour", ["1,2,1", "white", "1,1", "-0.1,0,0", "nan,0,0"])
def test_panel_refuses_a_colour(refused, colour):
    assert colour in refused("panel", NEVER, f"--colour={colour}")


def test_compare_and_fit(answer, tmp_path):
    status, found = answer(
        "compare", SWITCH, CAPTURE, "--channel", "bus_voltage=bus_voltage", "--channel",
        "lead_current=lead_current", "--fit", "adapter.limit_current", "controller.boot_time", "lead.resistance",
        "--save", str(tmp_path / "fitted.toml"), "--plot", str(tmp_path / "c.png"),
    )  # fmt: skip
    assert status == 0
    # The recipe beside the capture says 5.6 A and 291 ms.
    assert found["fit"]["adapter.limit_current"]["value"] == pytest.approx(5.6, rel=0.03)
    assert found["fit"]["controller.boot_time"]["value"] == pytest.approx(0.291, rel=0.03)
    assert {"rms", "largest_difference", "peak_measured", "peak_modelled"} <= set(found["channels"]["bus_voltage"])
    assert load_build(tmp_path / "fitted.toml").adapter.limit_current == pytest.approx(5.6, rel=0.03)
    assert "tide_board_with_switch.csv" in (tmp_path / "fitted.toml").read_text()
    assert (tmp_path / "c.png").exists()


def test_what_a_capture_taught_is_recorded_beside_the_build(answer, tmp_path):
    build = tmp_path / "board.toml"
    build.write_bytes(Path(SWITCH).read_bytes())
    fit = [
        "--channel",
        "lead_current=lead_current",
        "--fit",
        "adapter.limit_current",
        "controller.boot_time",
        "--record",
    ]
    status, found = answer("compare", str(build), CAPTURE, *fit)
    assert status == 0
    log = read_log(tmp_path / "board.measured.toml")
    assert [row.key for row in log.rows] == ["adapter.limit_current", "controller.boot_time"]
    for row in log.rows:
        told = found["fit"][row.key]
        assert (row.how, row.source) == (How.CAPTURE, "tide_board_with_switch.csv")
        assert row.value == pytest.approx(told["value"], rel=1e-4)
        assert [row.low, row.high] == pytest.approx(told["interval"], rel=1e-3)
        assert row.modelled == pytest.approx(told["start"], rel=1e-4)
    keys = ("adapter.limit_current", "controller.boot_time")
    assert log.correlation(keys)[0, 1] == pytest.approx(found["fit_report"]["correlation"][0][1], abs=1e-3)
    assert len(build.read_text().splitlines()) == len(Path(SWITCH).read_text().splitlines())


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--channel", "bus_voltage=bus_voltage", "--record"], "--record keeps fitted values"),
        (["--channel", "nothing=bus_voltage"], "nothing"),
        (["--channel", "bus_voltage=nothing"], "nothing"),
        (["--channel", "bus_voltage"], "NAME=VALUE"),
        (["--channel", "bus_voltage=bus_voltage", "--scale", "bus_voltage=x"], "accepted: a number"),
        (["--channel", "bus_voltage=bus_voltage", "--fit", "adapter.limit_style"], "adapter.limit_style"),
        (["--channel", "bus_voltage=bus_voltage", "--save", "x.toml"], "--save"),
    ],
)
def test_compare_refuses(refused, arguments, words):
    assert words in refused("compare", SWITCH, CAPTURE, *arguments)


def test_fit_may_be_repeated(answer):
    _, found = answer(
        "compare", SWITCH, CAPTURE, "--channel", "lead_current=lead_current",
        "--fit", "adapter.limit_current", "--fit", "controller.boot_time",
    )  # fmt: skip
    assert list(found["fit"]) == ["adapter.limit_current", "controller.boot_time"]


def test_an_alarm_stands_in_the_headline_and_in_the_object():
    key = FittedKey(key="lead.resistance", value=0.1, start=0.1, interval=None, status=Status.WITHHELD)
    finding = Finding(Cause.UNEXPLAINED, "bus_voltage", "3.1")
    fit = Fit(keys={"lead.resistance": key}, build=load_build(SWITCH), shift=0.0, alarm=(finding,))
    said = render(Answer("", True, fit_blocks(fit)))
    assert "ALARM: THE MODEL DOES NOT LIE ON BUS VOLTAGE" in said
    assert "No interval is given" in said
    flat = to_dict(Comparison(0.0, {}, 0), fit, {}, {})
    assert flat["alarm"] == [{"cause": "unexplained", "channel": "bus_voltage", "sentence": finding.sentence}]
    told = flat["fit"]["lead.resistance"]
    assert (told["error"], told["interval"], told["status"]) == (None, None, "withheld")
    assert to_dict(Comparison(0.0, {}, 0), replace(fit, alarm=()), {}, {})["alarm"] is None


@pytest.mark.parametrize(
    ("said", "gain", "time_base"),
    [
        ((None, None), 0.03, 1e-4),
        (("1 %", "20 ppm"), 0.01, 2e-5),
        (("known", "known"), 0.0, 0.0),
        (("0.02", "1e-3"), 0.02, 1e-3),
    ],
)
def test_accuracy_in_the_readers_words(said, gain, time_base):
    found = accuracy(*said)
    assert (found.gain, found.time_base) == (pytest.approx(gain), pytest.approx(time_base))


@pytest.mark.parametrize("text", ["-1 %", "three", "200 %", "nan", ""])
def test_an_accuracy_that_is_none_is_refused(text):
    with pytest.raises(UsageError, match=r"--probe-accuracy .*accepted: a share such as"):
        accuracy(text, None)


@pytest.mark.parametrize(
    "command",
    [
        ["check"], ["size", "--no-odds"], ["remedies", "--no-odds"], ["reservoir", "--no-odds"],
        ["window", "--no-odds"], ["switch"], ["panel"], ["brightness"],
        ["map", "--x", "adapter.rated_current", "3 A", "6 A", "--y", "bus.bulk", "100 uF", "1 mF", "--points", "2"],
    ],
    ids=lambda command: command[0],
)  # fmt: skip
def test_pages_say_where_tolerances_have_no_effect(command, tmp_path, capsys):
    path = tmp_path / "scatter.toml"
    path.write_text(TWO_TILES + '[tolerance]\n"adapter.limit_current" = { relative = 0.1 }\n')
    name, *more = command
    main([name, str(path), *more])
    assert capsys.readouterr().out.count("[tolerance] is for `inrush spread`") == 1
    path.write_text(TWO_TILES)
    main([name, str(path), *more])
    assert "[tolerance]" not in capsys.readouterr().out
