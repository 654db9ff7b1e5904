"""The command when something goes wrong: one message, a status that says what kind, and nothing lost."""

import argparse
import json
import os
import shlex
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from inrushlib.build import parse_build
from inrushlib.cli import answer as answer_module
from inrushlib.cli import commands, entry, main
from inrushlib.errors import MOST_LISTED, BuildError
from tests.small_board import BOOTS as BUILD

SHELL = "import sys; from inrushlib.cli import main; sys.exit(main())"


@pytest.fixture
def build(tmp_path):
    path = tmp_path / "b.toml"
    path.write_text(BUILD, encoding="utf-8")
    return path


def shell(line, **more):
    """Run a line of the shell in which $INRUSH is the command."""
    environment = {**os.environ, "INRUSH": f"{sys.executable} -c '{SHELL}'", **more}
    command = ["bash", "-c", f'inrush() {{ {environment["INRUSH"]} "$@"; }}; set -o pipefail; {line}']
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=300)


def one_line(text):
    assert "Traceback" not in text
    (line,) = text.splitlines()
    return line


class TestOutputsThatAreInputs:
    @pytest.mark.parametrize("name", ["b.toml", "./b.toml", "link", "name", "folder/b.toml"])
    def test_curves_over_the_build(self, build, tmp_path, monkeypatch, refused, name):
        monkeypatch.chdir(tmp_path)
        (tmp_path / "link").symlink_to(build)
        os.link(build, tmp_path / "name")
        (tmp_path / "folder").symlink_to(tmp_path)
        line = one_line(refused("check", str(build), "--curves", name))
        assert line == f"--curves {Path(name)}: would overwrite {build}, which is read; accepted: another file"
        assert build.read_text() == BUILD

    def test_curves_over_one_of_several_builds(self, build, tmp_path, refused):
        other = tmp_path / "other.toml"
        other.write_text(BUILD)
        assert "would overwrite" in refused("check", str(build), str(other), "--curves", str(other))
        assert other.read_text() == BUILD

    @pytest.mark.parametrize(
        "arguments",
        [
            ["remedies", "B", "--plot", "B"],
            ["panel", "B", "--plot", "B"],
            ["window", "B", "--gate-map", "B"],
            ["map", "B", "--x", "bus.bulk", "0", "1 mF", "--y", "lead.length", "1", "2", "--plot", "B"],
            ["compare", "B", "T", "--plot", "T"],
            ["compare", "B", "T", "--fit", "bus.bulk", "--save", "B"],
            ["compare", "B", "T", "--fit", "bus.bulk", "--save", "T"],
        ],
    )
    def test_all_commands(self, tmp_path, refused, arguments):
        paths = {"B": tmp_path / "b.png", "T": tmp_path / "t.png"}
        for path in paths.values():
            path.write_text(BUILD)
        assert "would overwrite" in one_line(refused(*(str(paths.get(word, word)) for word in arguments)))
        assert all(path.read_text() == BUILD for path in paths.values())

    def test_two_outputs_in_one_file(self, build, tmp_path, refused):
        path = str(tmp_path / "out.png")
        said = refused("compare", str(build), "t.csv", "--fit", "bus.bulk", "--save", path, "--plot", path)
        assert one_line(said) == f"--plot {path}: is what --save writes; accepted: another file"

    def test_every_argument_that_is_a_file_is_known_as_read_or_written(self):
        # So that a new option cannot be forgotten.
        files = 0
        for name in commands.SUBCOMMANDS:  # only the one that is asked for has its arguments
            (group,) = (a for a in commands.parser(name)._actions if isinstance(a, argparse._SubParsersAction))
            parser = group.choices[name]
            noted = {**(parser.get_default("inputs") or {}), **(parser.get_default("outputs") or {})}
            for action in parser._actions:
                if action.type is Path or str(action.metavar).endswith((".toml", ".csv", ".png")):
                    assert action.dest in noted, (parser.prog, action.dest)
                    files += 1
                if str(action.metavar).endswith(".png"):
                    assert action.dest in parser.get_default("pictures")
        assert files > 15


class TestOutputsThatCannotBeWritten:
    @pytest.mark.parametrize("place", ["nowhere/c.csv", "folder", "read-only.csv", "/dev/full"])
    def test_the_verdict_is_told_all_the_same(self, build, tmp_path, capsys, place):
        (tmp_path / "folder").mkdir()
        (tmp_path / "read-only.csv").write_text("old")
        (tmp_path / "read-only.csv").chmod(0o444)
        assert main(["check", str(build), "--curves", str(tmp_path / place)]) == 2
        captured = capsys.readouterr()
        assert "BOOTS" in captured.out
        assert one_line(captured.err).startswith(f"{tmp_path / place}: cannot be written: ")
        assert (tmp_path / "read-only.csv").read_text() == "old"

    def test_pictures_too(self, build, tmp_path, capsys):
        assert main(["panel", str(build), "--plot", str(tmp_path / "nowhere" / "p.png")]) == 2
        captured = capsys.readouterr()
        assert "two small panels" in captured.out
        assert "p.png: cannot be written: No such file or directory" in captured.err

    @pytest.mark.parametrize("ending", [".eps", ".ps", ".pgf", ".jpg", ".toml", "", ".png.gz"])
    def test_pictures_that_are_not_drawn_here(self, build, tmp_path, refused, ending):
        line = one_line(refused("panel", str(build), "--plot", str(tmp_path / f"p{ending}")))
        assert line.endswith("accepted: a file name that ends in .png, .svg or .pdf")
        assert os.listdir(tmp_path) == ["b.toml"]

    @pytest.mark.parametrize(("ending", "first"), [("png", b"\x89PNG"), ("SVG", b"<?xml"), ("pdf", b"%PDF")])
    def test_pictures_that_are(self, build, tmp_path, ending, first):
        main(["panel", str(build), "--plot", str(tmp_path / f"p.{ending}")])
        assert (tmp_path / f"p.{ending}").read_bytes().startswith(first)


class TestStatus:
    @pytest.fixture
    def broken(self, monkeypatch):
        """A command in which something unforeseen happens."""

        def fail(*_):
            raise ZeroDivisionError("a\nlong\n" + "story " * 200)

        monkeypatch.setattr("inrushlib.cli.keys.page", fail)

    def test_3_and_one_line_for_what_no_one_thought_of(self, broken, monkeypatch, capsys):
        monkeypatch.delenv(entry.TRACEBACK, raising=False)
        assert main(["keys"]) == 3
        line = one_line(capsys.readouterr().err)
        assert line.startswith("inrush: unforeseen error (ZeroDivisionError: a long story story ")
        assert line.endswith("; INRUSH_TRACEBACK=1 shows where")
        assert len(line) < 400

    def test_where_it_happened_can_be_seen(self, broken, monkeypatch, capsys):
        monkeypatch.setenv(entry.TRACEBACK, "1")
        assert main(["keys"]) == 3
        assert "Traceback" in capsys.readouterr().err

    def test_an_import_that_a_stop_ended_counts_as_stopped(self, monkeypatch, capsys):
        def fail(_):
            try:
                raise KeyboardInterrupt
            except KeyboardInterrupt as stop:
                raise ImportError("half a package") from stop

        monkeypatch.setattr("inrushlib.cli.commands.run", fail)
        assert main(["keys"]) == 130
        assert capsys.readouterr().err == "stopped\n"

    @pytest.mark.parametrize("wait", [0.1, 0.25, 0.6])
    def test_a_stop_while_importing(self, wait):
        # The program says when its entry is reached; what follows is ours.
        program = "import sys; from inrushlib.cli import main; print(flush=True); sys.exit(main())"
        command = [sys.executable, "-c", program, "keys"]
        with subprocess.Popen(command, stdout=-1, stderr=-1, text=True) as process:
            process.stdout.readline()
            time.sleep(wait)
            process.send_signal(signal.SIGINT)
            _, errors = process.communicate(timeout=300)
        # On a fast machine it is done by then; it never ends halfway, or in a traceback.
        assert (process.returncode, errors) in [(0, ""), (130, "stopped\n")]

    def test_a_stop_after_the_answer_leaves_it_standing(self):
        # The last thing that a process does is to run its exit handlers: here one waits for a Ctrl-C.
        program = (
            "import atexit, sys, time; atexit.register(lambda: (print('end', flush=True), time.sleep(0.5)));"
            "from inrushlib.cli import main; sys.exit(main())"
        )
        with subprocess.Popen(
            [sys.executable, "-c", program, "keys", "lead.gauge"], stdout=-1, stderr=-1, text=True
        ) as process:
            while process.stdout.readline() != "end\n":
                assert process.poll() is None
            process.send_signal(signal.SIGINT)
            _, errors = process.communicate(timeout=300)
        assert (process.returncode, errors) == (0, "")

    def test_help_says_them(self):
        text = " ".join(commands.parser().format_help().split())
        for words in ("0 yes, 1 no, 2 a file or an argument is not right", "3 something unforeseen", "130 stopped"):
            assert words in text


class TestStandardOutput:
    @pytest.mark.parametrize("words", ["keys", "--help"])
    def test_full(self, words):
        done = shell(f"inrush {words} > /dev/full")
        assert done.returncode == 2
        assert one_line(done.stderr) == "the answer cannot be written to standard output: No space left on device"

    def test_closed(self):
        done = shell("inrush keys >&-")
        assert (done.returncode, done.stdout) == (2, "")
        assert one_line(done.stderr) == "the answer cannot be written: standard output is closed"

    def test_closed_with_standard_error(self):
        done = shell("inrush keys >&- 2>&-")
        assert (done.returncode, done.stdout, done.stderr) == (2, "", "")

    def test_reader_that_has_gone(self):
        done = shell("inrush keys | true")
        assert done.returncode in (0, 2)  # 0 where all went into the pipe before its reader ended
        if done.returncode:
            assert one_line(done.stderr) == "standard output was closed before the whole answer was written"
        assert shell("inrush keys | head -1").stdout.count("\n") == 1

    def test_files_are_written_all_the_same(self, build, tmp_path):
        done = shell(f"inrush check {build} --curves {tmp_path}/c.csv > /dev/full", PYTHONUNBUFFERED="1")
        assert done.returncode == 2
        assert "No space left on device" in one_line(done.stderr)
        assert (tmp_path / "c.csv").read_text().startswith("time [s],")

    def test_what_its_encoding_does_not_have(self, build):
        build.write_text(BUILD.replace("two small panels", "größe 5 µF"), encoding="utf-8")
        done = shell(f"inrush check {build}", PYTHONIOENCODING="ascii")
        assert done.returncode == 0
        assert done.stdout.startswith("gr\\xf6\\xdfe 5 \\xb5F\n")
        assert "BOOTS" in done.stdout
        assert one_line(done.stderr).startswith("Characters that ascii does not have were written as escapes")

    def test_its_other_traits_are_still_there(self, capsys):
        with answer_module.guarded_answer():
            assert sys.stdout.isatty() is False
            assert sys.stdout.encoding.lower() == "utf-8"


class TestDelimiter:
    @pytest.fixture
    def capture(self, tmp_path):
        path = tmp_path / "t.csv"
        path.write_text("time [s]\tCH1 [V]\n" + "".join(f"{k * 1e-3:.3f}\t{k % 5}\n" for k in range(60)))
        return path

    @pytest.mark.parametrize("typed", ["\t", r"\t"])
    def test_a_tab_can_be_typed(self, build, capture, typed):
        channel = ["--channel", "CH1=bus_voltage", "--shift", "0"]
        assert main(["compare", str(build), str(capture), *channel, "--delimiter", typed]) == 0

    @pytest.mark.parametrize("typed", ["\\", r"\x", r"\x4", r"\u12", r"\N{", r"\777777", "ö"])
    def test_others_with_a_backslash_are_refused_in_words(self, build, capture, refused, typed):
        line = one_line(refused("compare", str(build), str(capture), "--delimiter", typed))
        assert line.startswith(f"t.csv: --delimiter {shlex.quote(typed)} is not accepted; ',', ';', ")


class TestWhatTheFileDoesNotSay:
    def test_a_refusal_names_the_option_that_reads_it(self, build, tmp_path, refused, capsys):
        path = tmp_path / "t.csv"
        path.write_text("CH1,state\n" + "".join(f"{k % 5}.5,run\n" for k in range(60)))
        base = ["compare", str(build), str(path), "--channel", "CH1=bus_voltage", "--shift", "0"]
        said = one_line(refused(*base))
        assert said == "t.csv: line 2: column 2 holds texts such as 'run'; leave it out with --ignore state"
        told = ["--ignore", "state"]
        said = one_line(refused(*base, *told))
        assert said == "t.csv: line 1: no column is a time and no sample interval is given; choose --interval SECONDS"
        capsys.readouterr()
        assert main([*base, *told, "--interval", "1 ms", "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["channels"]["CH1"]["measured"]["peak_at"] == pytest.approx(4e-3)


class TestManyProblems:
    COUNT = 30_000

    @pytest.mark.parametrize(
        "text",
        [
            BUILD + "\n".join(f"k{i} = {i}" for i in range(COUNT)),
            "\n".join(f"k{i} = {i}" for i in range(COUNT)) + BUILD,
            BUILD + "\n".join(f"[k{i}]" for i in range(COUNT)),
        ],
        ids=["keys", "top", "tables"],
    )
    def test_twenty_are_listed_and_the_rest_is_counted(self, text):
        with pytest.raises(BuildError) as refused:
            parse_build(text, "b.toml")
        *lines, last = str(refused.value).splitlines()
        assert len(lines) == MOST_LISTED == 20
        assert all(line.startswith("b.toml: ") and ": unknown " in line for line in lines)
        assert last == f"b.toml: and {self.COUNT - 20} more; the first 20 are listed"

    def test_tolerances(self):
        entries = "\n".join(f'"adapter.k{i}" = {i}' for i in range(1000))
        with pytest.raises(BuildError) as refused:
            parse_build(f"{BUILD}[tolerance]\n{entries}", "b.toml")
        assert len(refused.value.problems) == 21
        assert refused.value.problems[-1] == "and 980 more; the first 20 are listed"

    def test_values_of_a_program(self):
        with pytest.raises(BuildError) as refused:
            parse_build(BUILD).with_values({f"k{i}": i for i in range(self.COUNT)})
        assert len(refused.value.problems) == 21

    def test_exactly_twenty(self):
        with pytest.raises(BuildError) as refused:
            parse_build(BUILD + "\n".join(f"k{i} = {i}" for i in range(20)))
        assert len(refused.value.problems) == 20


def test_a_build_that_is_no_file_or_too_large(tmp_path, refused):
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "large").write_bytes(b"# " * (1 << 20))
    for path, why in (
        (tmp_path / "pipe", "it is a pipe"),
        (tmp_path, "it is a folder"),
        ("/dev/zero", "it is a device"),
        (tmp_path / "large", "it is larger than 1048576 bytes"),
    ):
        line = one_line(refused("check", str(path)))
        assert line == f"{path}: cannot be read: {why}; accepted: a TOML file of at most 1 MiB"
