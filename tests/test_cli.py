"""The command ``inrush check``: exit status, page, table, JSON, curves, and what it says of bad files."""

import csv
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import matplotlib
import numpy as np
import pytest

from inrushlib.build import load_build, parse_build
from inrushlib.cli import main
from inrushlib.cli.commands import MODULES, SUBCOMMANDS
from inrushlib.cli.next_step import NextStep
from inrushlib.startup import simulate
from tests.small_board import BOOTS

NEVER_STARTS = BOOTS.replace("two small panels", "too many pixels").replace("3 A", "0.3 A").replace("= 16", "= 200")

# What the JSON has at least; the other keys are extra.
KEYS = {
    "verdict", "reason", "brown_outs", "trips", "running_at", "ready_at", "peak_lead_current", "lowest_rail_voltage",
    "final_bus_voltage", "final_lead_current", "final_rail_voltage", "final_section_voltages",
}  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def compiled():
    """What is said of compiling, once a process, is said before these tests look at what is said."""
    simulate(parse_build(BOOTS))


@pytest.fixture
def boots(tmp_path):
    path = tmp_path / "boots.toml"
    path.write_text(BOOTS, encoding="utf-8")
    return path


@pytest.fixture
def never_starts(tmp_path):
    path = tmp_path / "never_starts.toml"
    path.write_text(NEVER_STARTS, encoding="utf-8")
    return path


@pytest.fixture
def not_right(tmp_path):
    path = tmp_path / "not_right.toml"
    path.write_text(BOOTS.replace("3 A", "-3 A").replace("10 ms", "10 V"), encoding="utf-8")
    return path


def check(*arguments):
    return main(["check", *(str(a) for a in arguments)])


class TestExitStatus:
    def test_0_when_it_boots(self, boots, capsys):
        assert check(boots) == 0
        assert capsys.readouterr().err == ""

    def test_0_when_all_boot(self, boots):
        assert check(boots, boots) == 0

    def test_1_when_it_does_not(self, never_starts, capsys):
        assert check(never_starts) == 1
        assert capsys.readouterr().err == ""

    def test_1_when_one_of_several_does_not(self, boots, never_starts):
        assert check(boots, never_starts, boots) == 1

    def test_2_when_a_file_is_not_right(self, not_right):
        assert check(not_right) == 2

    def test_2_wins_over_1(self, never_starts, not_right, boots):
        assert check(never_starts, not_right, boots) == 2

    def test_boots_after_resets_counts_as_booting(self, tmp_path):
        path = tmp_path / "blink.toml"
        path.write_text(BOOTS + "interruptions = [[0.008, 0.03]]\n", encoding="utf-8")
        startup = simulate(load_build(path))
        assert startup.verdict == "boots-after-resets"
        assert check(path) == 0

    @pytest.mark.parametrize("arguments", [[], ["check"], ["chekc", "x"], ["check", "--jsno", "x"]])
    def test_2_for_arguments_that_are_not_right(self, arguments, capsys):
        with pytest.raises(SystemExit) as stop:
            main(arguments)
        assert stop.value.code == 2
        assert "usage: inrush" in capsys.readouterr().err


class TestPage:
    def test_one_build_gives_a_page(self, boots, capsys):
        check(boots)
        page = capsys.readouterr().out
        startup = simulate(load_build(boots))
        assert page.startswith("two small panels\n")
        assert "BOOTS" in page
        assert startup.reason[1:] in page
        for wanted in ("in the lead, peak", "brown-outs, adapter trips", "controller runs the program"):
            assert wanted in page

    def test_several_give_a_table(self, boots, never_starts, capsys):
        check(boots, never_starts)
        head, first, second, *rest = capsys.readouterr().out.splitlines()
        assert head.split()[:2] == ["build", "verdict"]
        assert first.startswith("two small panels  boots ")
        assert second.startswith("too many pixels   stuck ")
        assert any("too many pixels: the bus settles at" in line for line in rest)

    def test_why_it_never_starts_in_words_and_numbers(self, never_starts, capsys):
        check(never_starts)
        page = capsys.readouterr().out
        startup = simulate(load_build(never_starts))
        assert "STUCK" in page
        assert f"The bus settles at {startup.figures.final_bus_voltage:.2f} V; " in page
        assert "the controller needs 2.88 V to come out of reset: it never starts, and the pixels never hear" in page


class TestJson:
    def test_object_for_one(self, boots, capsys):
        check(boots, "--json")
        found = json.loads(capsys.readouterr().out)
        startup = simulate(load_build(boots))
        assert set(found) >= KEYS
        assert found["verdict"] == "boots"
        assert found["reason"] == startup.reason
        assert (found["brown_outs"], found["trips"]) == (0, 0)
        for key in ("running_at", "ready_at"):
            assert found[key] == pytest.approx(getattr(startup, key), rel=1e-12)
        for key in KEYS - {"verdict", "reason", "brown_outs", "trips", "running_at", "ready_at"}:
            assert found[key] == pytest.approx(getattr(startup.figures, key), rel=1e-12)
        assert len(found["final_section_voltages"]) == 2

    def test_null_where_there_is_none(self, never_starts, capsys):
        check(never_starts, "--json")
        found = json.loads(capsys.readouterr().out)
        assert [found[key] for key in ("running_at", "ready_at", "lowest_rail_voltage")] == [None] * 3
        assert found["highest_junction_temperature"] is None
        assert found["peak_lead_current"] > 0.3

    def test_list_for_several(self, boots, never_starts, capsys):
        check(boots, never_starts, "--json")
        found = json.loads(capsys.readouterr().out)
        assert [x["verdict"] for x in found] == ["boots", "stuck"]

    def test_list_for_several_of_which_one_is_right(self, boots, not_right, capsys):
        assert check(boots, not_right, "--json") == 2
        captured = capsys.readouterr()
        assert [x["title"] for x in json.loads(captured.out)] == ["two small panels"]
        assert "not_right.toml" in captured.err

    def test_standard_json(self, never_starts, capsys):
        # Infinity and NaN are no JSON.
        check(never_starts, "--json")

        def refuse(name):
            raise AssertionError(name)

        json.loads(capsys.readouterr().out, parse_constant=refuse)


class TestCurves:
    def test_columns_with_units(self, boots, tmp_path):
        out = tmp_path / "curves.csv"
        assert check(boots, "--curves", out) == 0
        with out.open(encoding="utf-8", newline="") as file:
            head, *rows = csv.reader(file)
        volts = [
            "bus_voltage", "bus_bulk_voltage", "gate_voltage", "panel_voltage", "panel_bulk_voltage",
            "reservoir_voltage", "rail_voltage", "section_0_voltage", "section_1_voltage",
        ]  # fmt: skip
        assert head == ["time [s]", "adapter_voltage [V]", "lead_current [A]"] + [f"{name} [V]" for name in volts]
        numbers = np.array(rows, dtype=float)
        assert np.all(np.isfinite(numbers))
        assert (numbers[0, 0], numbers[-1, 0]) == (0.0, pytest.approx(60e-3))
        startup = simulate(load_build(boots))
        assert np.interp(30e-3, numbers[:, 0], numbers[:, head.index("bus_voltage [V]")]) == pytest.approx(
            startup.at(np.array([30e-3]))["bus_voltage"][0], abs=1e-3
        )
        assert numbers[:, 2].max() == pytest.approx(startup.figures.peak_lead_current, rel=0.01)

    def test_takes_one_build(self, boots, never_starts, tmp_path, capsys):
        assert check(boots, never_starts, "--curves", tmp_path / "curves.csv") == 2
        assert "--curves takes one build" in capsys.readouterr().err
        assert not (tmp_path / "curves.csv").exists()

    def test_folder_that_is_not_there(self, boots, tmp_path, capsys):
        assert check(boots, "--curves", tmp_path / "nowhere" / "curves.csv") == 2
        assert "curves.csv" in capsys.readouterr().err

    def test_nothing_is_written_for_a_file_that_is_not_right(self, not_right, tmp_path):
        assert check(not_right, "--curves", tmp_path / "curves.csv") == 2
        assert not (tmp_path / "curves.csv").exists()


class TestPicture:
    def test_curve_with_its_states(self, boots, tmp_path):
        """The picture names what each part is doing: an SVG keeps its words."""
        with matplotlib.rc_context({"svg.fonttype": "none"}):
            assert check(boots, "--plot", tmp_path / "start.svg") == 0
        words = (tmp_path / "start.svg").read_text(encoding="utf-8")
        for word in ("adapter", "controller", "data line", "pixels", "run", "showing data", "bus", "lead", "limit 3.6"):
            assert word in words

    def test_png_is_a_picture(self, boots, tmp_path):
        assert check(boots, "--plot", tmp_path / "start.png") == 0
        assert (tmp_path / "start.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")

    def test_takes_one_build_and_a_kind_that_is_drawn(self, boots, never_starts, tmp_path, capsys):
        assert check(boots, never_starts, "--plot", tmp_path / "x.png") == 2
        assert "--plot takes one build" in capsys.readouterr().err
        assert check(boots, "--plot", tmp_path / "x.gif") == 2
        assert "accepted: a file name that ends in .png" in capsys.readouterr().err
        assert list(tmp_path.glob("x.*")) == []

    def test_curves_are_written_where_the_picture_cannot_be(self, boots, tmp_path, capsys):
        nowhere = tmp_path / "nowhere" / "x.png"
        assert check(boots, "--plot", nowhere, "--curves", tmp_path / "c.csv") == 2
        assert "x.png" in capsys.readouterr().err
        assert (tmp_path / "c.csv").exists()


class TestNextCommand:
    def test_what_does_not_start_names_the_remedies_and_what_does_the_odds(self, boots, never_starts, capsys):
        check(never_starts)
        assert capsys.readouterr().out.endswith(f"\n  Next: find what would help: inrush remedies {never_starts}\n")
        check(boots)
        assert capsys.readouterr().out.endswith(f"\n  Next: how sure that is: inrush spread {boots}\n")

    def test_none_below_json_or_a_table(self, boots, never_starts, capsys):
        check(never_starts, "--json")
        check(boots, never_starts)
        assert "Next:" not in capsys.readouterr().out

    def test_every_step_is_a_command_with_its_options(self):
        for step in NextStep:
            name, *options = step.line(Path("a b.toml")).rsplit("inrush ", 1)[1].split()
            assert name in SUBCOMMANDS
            assert options[:2] == ["'a", "b.toml'"]

    def test_other_pages(self, never_starts, capsys):
        main(["size", str(never_starts), "--no-odds"])
        assert "Next: find what would help: inrush remedies " in capsys.readouterr().out
        main(["panel", str(never_starts)])
        assert "Next: which wires that takes: inrush wires " in capsys.readouterr().out
        main(["spread", str(never_starts), "--runs", "64", "--quick"])
        assert "Next: find what would help: inrush remedies " in capsys.readouterr().out


def test_current_while_lit_stands_beside_the_peak(never_starts, capsys):
    check(never_starts)
    lines = [line.split("  ")[2:] for line in capsys.readouterr().out.splitlines()]
    names = [line[0].strip() for line in lines if line]
    assert names.index("in the lead, while lit (ammeter)") == names.index("in the lead, peak") + 1


class TestFilesThatAreNotRight:
    def test_table_key_value_and_what_is_accepted(self, not_right, capsys):
        check(not_right)
        captured = capsys.readouterr()
        assert captured.out == ""
        lines = captured.err.splitlines()
        assert len(lines) == 2
        expected = (("adapter.rated_current", "-3"), ("controller.boot_time", "10 V"))
        for line, (key, value) in zip(lines, expected, strict=True):
            assert line.startswith(f"{not_right}: {key}: value ")
            assert value in line
            assert "accepted: " in line

    @pytest.mark.parametrize(
        ("text", "said"),
        [
            (BOOTS + "voltage = 5\n", "run.voltage"),
            (BOOTS.replace("sections = 2", ""), "wiring.sections: value missing"),
            (BOOTS.replace("[run]", "[adapter]"), "not TOML"),
            (BOOTS + "start = [", "not TOML"),
            ("", "title: value missing"),
            ("\x00", "not TOML"),
        ],
    )
    def test_says_what(self, tmp_path, capsys, text, said):
        path = tmp_path / "broken.toml"
        path.write_text(text, encoding="utf-8")
        assert check(path) == 2
        captured = capsys.readouterr()
        assert captured.out == ""
        assert "broken.toml" in captured.err
        assert said in captured.err
        assert "Traceback" not in captured.err

    def test_missing_file(self, tmp_path, capsys):
        assert check(tmp_path / "nowhere.toml") == 2
        error = capsys.readouterr().err
        assert "nowhere.toml" in error
        assert len(error.splitlines()) == 1

    def test_folder(self, tmp_path, capsys):
        assert check(tmp_path) == 2
        error = capsys.readouterr().err
        assert str(tmp_path) in error
        assert len(error.splitlines()) == 1

    def test_bytes_that_are_no_text(self, tmp_path, capsys):
        path = tmp_path / "bytes.toml"
        path.write_bytes(b"title = '\xff\xfe'")
        assert check(path) == 2
        assert "bytes.toml" in capsys.readouterr().err

    def test_the_others_are_checked_all_the_same(self, boots, not_right, never_starts, capsys):
        assert check(boots, not_right, never_starts) == 2
        captured = capsys.readouterr()
        assert "two small panels" in captured.out
        assert "too many pixels" in captured.out
        assert "not_right.toml: adapter.rated_current" in captured.err


class TestAsAProcess:
    @staticmethod
    def inrush(*arguments):
        program = "import sys; from inrushlib.cli import main; sys.exit(main())"
        return subprocess.run(
            [sys.executable, "-c", program, *map(str, arguments)],
            capture_output=True,
            text=True,
            check=False,
            timeout=300,
        )

    def test_status_and_streams(self, boots, not_right):
        done = self.inrush("check", boots, not_right, "--json")
        assert done.returncode == 2
        assert [x["verdict"] for x in json.loads(done.stdout)] == ["boots"]
        assert "controller.boot_time" in done.stderr
        assert "Traceback" not in done.stderr


def test_what_a_run_cannot_tell_from_nothing_is_printed_as_nothing(tmp_path, capsys):
    # Controller on its own supply, a switch that never closes, the mains gone: what still flows is rounding.
    path = tmp_path / "nothing.toml"
    path.write_text(
        'title = "nothing flows"\n[adapter]\nrated_current = 2\n[switch]\n[controller]\nfeed = "own"\n'
        "[firmware]\ngate_delay = 2\n[wiring]\nsections = 2\npixels_per_section = 64\n"
        "[run]\ninterruptions = [[0.3, 5]]\n"
    )
    check(path)
    page = capsys.readouterr().out
    assert re.search(r"in the lead, settled +0 A\n", page)
    assert re.search(r"sections, at the end +0 V to 0 V\n", page)
    assert not re.search(r"\d [npf][AVCJ]\b|\d u[AV]\b.*(settled|end)", page)


HEAVY = {"scipy.signal", "scipy.stats", "scipy.optimize", "pandas", "matplotlib"}
# Each command in a process forked from one that has what all of them take.
IMPORTED = """
import os, sys
from inrushlib.cli import commands
if sys.argv[2:]:
    import numpy, pydantic, inrushlib.build
for name in sys.argv[1:]:
    child = os.fork()
    if child == 0:
        commands.parser(name)
        print(name, *sorted(sys.modules), flush=True)
        os._exit(0)
    assert os.waitpid(child, 0)[1] == 0, name
"""


def imported(*names):
    """What is imported for each of these commands."""
    done = subprocess.run([sys.executable, "-c", IMPORTED, *names], capture_output=True, text=True, check=True)
    lines = done.stdout.splitlines()
    assert len(lines) == len(names)
    return {name: set(line.split()) for name, line in zip(names, lines, strict=True)}


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system does not fork")
def test_only_the_command_that_is_asked_for_is_imported():
    found = imported(*SUBCOMMANDS)
    for command in set(SUBCOMMANDS) - {"compare", "pixel"}:
        modules = found[command]
        ours = {name.rpartition(".")[2] for name in modules if name.startswith("inrushlib.cli.")}
        named = {MODULES.get(name, name) for name in SUBCOMMANDS}
        assert ours & named == {MODULES.get(command, command)}
        assert not modules & HEAVY, command
    # A capture needs no statistics.
    assert not found["compare"] & {"scipy.signal", "scipy.stats", "matplotlib"}


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system does not fork")
def test_the_workbook_s_server_starts_before_anything_of_the_model_is_loaded():
    (modules,) = imported("workbook").values()
    assert not modules & (HEAVY | {"numpy", "inrushlib.build"})


def test_the_list_of_commands_imports_none(capsys):
    with pytest.raises(SystemExit):
        main(["--help"])
    listed = " ".join(capsys.readouterr().out.split())
    assert all(f" {name} {about}" in listed for name, about in SUBCOMMANDS.items())
    (modules,) = imported("").values()
    assert not modules & (HEAVY | {"numpy", "inrushlib.build"})


@pytest.mark.parametrize("name", SUBCOMMANDS)
def test_each_listed_command_is_there(name, capsys):
    with pytest.raises(SystemExit) as ended:
        main([name, "--help"])
    assert ended.value.code == 0
    assert f"usage: inrush {name} " in capsys.readouterr().out
