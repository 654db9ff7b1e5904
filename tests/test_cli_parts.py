"""The commands about one part: switch, reservoir, brightness, pixel, and the gate map of the window."""

from pathlib import Path

import pytest

from inrushlib.build import build_keys, load_build, parse_build, save_build
from inrushlib.cli import main
from inrushlib.parts import TABLES, part_classes
from inrushlib.safety.switch_stress import switch_stress
from inrushlib.search.brightness import brightness_caps
from inrushlib.search.reservoir import smallest_reservoir

ROOT = Path(__file__).resolve().parents[1]
NEVER = str(ROOT / "workbook/builds/tide_board_never_starts.toml")
SWITCH = str(ROOT / "workbook/builds/tide_board_with_switch.toml")
# Invented readings of a pixel that takes 11 mA a channel and 0.5 mA beside them, ten of them on the supply.
BENCH = "voltage [V],current [mA],count,colour\n5,5,0,dark\n5,38,1,white\n5,335,10,white\n5,115,10,red\n"


def test_switch(answer, capsys):
    status, found = answer("switch", SWITCH)
    stress = switch_stress(load_build(SWITCH))
    assert status == 0
    assert found["start"]["hottest_junction"] == pytest.approx(stress.start.hottest_junction)
    assert found["stays_lit"]["verdict"] == stress.stays_lit.verdict.value
    assert [f["severity"] for f in found["findings"]] == [f.severity.value for f in stress.findings]
    assert main(["switch", SWITCH]) == 0
    page = capsys.readouterr().out
    assert "display stays lit" in page
    assert "bare controller pin" in page
    assert "licensed person" in page


def test_switch_that_gets_too_hot_is_no(answer, tmp_path):
    path = tmp_path / "hot.toml"
    # A junction that warms by some 100 K for each watt.
    save_build(load_build(SWITCH).with_values({"switch.thermal_resistances": [10.0, 30.0, 100.0, 500.0]}), path)
    status, found = answer("switch", str(path))
    assert status == 1
    assert found["findings"][0]["severity"] == "danger"


def test_reservoir(answer, capsys):
    # With the odds: tests/test_cli_odds.py.
    status, found = answer("reservoir", SWITCH, "--no-odds")
    size = smallest_reservoir(load_build(SWITCH))
    assert status == 0
    assert found["next_value"] == size.standard.value
    assert found["by_hand"]["capacitance"] == pytest.approx(
        found["by_hand"]["current"] * found["by_hand"]["time"] / found["by_hand"]["voltage_drop"]
    )
    assert main(["reservoir", SWITCH, "--no-odds"]) == 0
    assert "C = I t / dV" in capsys.readouterr().out
    assert main(["reservoir", NEVER, "--no-odds"]) == 1
    assert "NO RESERVOIR" in capsys.readouterr().out


def test_brightness(answer, capsys):
    status, found = answer("brightness", SWITCH)
    caps = brightness_caps(load_build(SWITCH))
    assert status == 0
    assert found["white"]["continuous"]["level"] == caps.white.continuous.level
    assert [row["level"] for row in found["picture"]["levels"]] == [row.level for row in caps.picture.levels]
    constants = {constant["name"]: constant for constant in found["firmware"]}
    assert constants["gate delay"]["value"] == 2000
    assert constants["brightness cap, any picture"]["value"] == caps.white.continuous.level
    assert main(["brightness", NEVER]) == 1  # it does not start
    page = capsys.readouterr().out
    assert f"FULL WHITE UP TO LEVEL {caps.white.continuous.level} OF 255" in page
    assert "NEC 210.20(A)" in page


def test_brightness_with_another_table(answer):
    _, chassis = answer("brightness", SWITCH)
    _, power = answer("brightness", SWITCH, "--ampacity", "power transmission")
    assert power["limits"]["lead"] < chassis["limits"]["lead"]


def test_pixel(answer, capsys, tmp_path):
    path = tmp_path / "bench.csv"
    path.write_text(BENCH)
    status, found = answer("pixel", str(path), "--pixels", "10")
    assert status == 0
    assert found["values"]["channel_current"]["value"] == pytest.approx(11e-3, rel=0.01)
    assert found["values"]["quiescent_current"]["value"] == pytest.approx(
        0.5e-3, abs=2 * found["values"]["quiescent_current"]["error"]
    )
    assert found["values"]["channel_resistance"]["error"] is None
    main(["pixel", str(path), "--pixels", "10"])
    assert "pixel.channel_current" in capsys.readouterr().out


def test_gate_map(answer, tmp_path):
    picture = tmp_path / "gates.png"
    status, found = answer("window", SWITCH, "--no-odds", "--gate-map", str(picture))
    assert status == 0
    gates = found["gate_map"]
    assert len(gates["latest"]) == len(gates["capacitance"])
    assert len(gates["latest"][0]) == len(gates["resistance"])
    assert any(edge is not None for row in gates["latest"] for edge in row)
    assert picture.stat().st_size > 10_000


def test_keys(answer, capsys):
    status, found = answer("keys")
    assert status == 0
    assert set(found) == set(build_keys())
    assert found["adapter.limit_current"]["default_text"] == "1.2 x rated_current"
    main(["keys", "switch", "lead.gauge"])
    page = capsys.readouterr().out
    assert page.startswith("[lead]\n  gauge: optional (default: 22 AWG)")
    assert "[switch]" in page
    assert "[adapter]" not in page


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["switch", NEVER], "[switch]"),
        (["switch", "nowhere.toml"], "nowhere.toml"),
        (["reservoir", "nowhere.toml"], "nowhere.toml"),
        (["brightness", SWITCH, "--ampacity", "guessed"], "'chassis wiring'"),
        (["pixel", "nowhere.csv"], "nowhere.csv"),
        (["pixel", SWITCH], "line 1"),
        (["keys", "battery"], "battery: no such table or key"),
        (["window", NEVER, "--gate-map", "gates.png"], "[switch]"),
    ],
)
def test_bad_input(refused, arguments, words):
    assert words in refused(*arguments)


def test_a_bench_table_without_its_pixels(refused, tmp_path):
    path = tmp_path / "bench.csv"
    path.write_text(BENCH)
    assert "how many pixels" in refused("pixel", str(path))
    assert "accepted" in refused("pixel", str(path), "--pixels", "10", "--other-current", "nan")


def test_parts_lists_every_class_with_values_ranges_and_sources(answer, capsys):
    assert main(["parts"]) == 0
    page = capsys.readouterr().out
    assert all(f'class = "{name}"' in page for table in TABLES for name in part_classes(table))
    assert main(["parts", "plug-in 1 A"]) == 0
    page = capsys.readouterr().out
    assert "1.2 x rated_current" in page
    assert "470 uF to 2200 uF" in page
    assert "desktop" not in page.replace("desktop adapters", "")
    status, found = answer("parts", "lead", "8 mA, wakes dark")
    assert status == 0
    assert list(found) == ["lead", "pixel"]
    current = found["pixel"]["8 mA, wakes dark"]["values"]["channel_current"]
    assert (current["value"], current["low"], current["high"], current["unit"]) == (7.7e-3, 7e-3, 9e-3, "A")
    assert current["source"]


def test_parts_refuses_what_is_neither_a_table_nor_a_class(capsys):
    assert main(["parts", "plug-in 7 A"]) == 2
    assert "plug-in 7 A: no such table or class; accepted: adapter, lead" in capsys.readouterr().err


def test_pixel_prints_lines_that_a_build_file_takes(tmp_path, capsys):
    (tmp_path / "bench.csv").write_text(BENCH)
    assert main(["pixel", str(tmp_path / "bench.csv"), "--pixels", "10"]) == 0
    lines = capsys.readouterr().out.partition("[pixel]")[2]
    rest = '[adapter]\nrated_current = "2 A"\n[wiring]\nsections = 1\npixels_per_section = 8\n'
    build = parse_build(f'title = "t"\n[pixel]{lines}\n{rest}')
    assert build.pixel.channel_current == pytest.approx(11e-3, rel=0.03)
    assert {"pixel.channel_current", "pixel.forward_voltages"} <= build.given
