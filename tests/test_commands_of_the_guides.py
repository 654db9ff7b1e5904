"""Every command that README.md and DEVELOPERS.md name is there, and answers when it is asked."""

import re
import runpy
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from inrushlib.cli import main
from inrushlib.cli.commands import SUBCOMMANDS
from tests.command_line import call

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CHECKS = DEVELOPERS.partition("\n## Checks\n")[2].partition("\n## ")[0]
LINES = [line.strip().partition("   ")[0] for line in CHECKS.splitlines() if line.startswith("    .venv/bin/")]
PROGRAMS = sorted({word for line in LINES for word in re.findall(r"\.venv/bin/([\w-]+)", line)})
SCRIPTS = sorted(set(re.findall(r"\bpython (?:-m )?(tests[\w./]+)", README + DEVELOPERS)))
#: Every module under tests/ that is a program.
STUDIES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__main__")
    for path in (ROOT / "tests").rglob("*.py")
    if 'if __name__ == "__main__":' in path.read_text(encoding="utf-8") and path != Path(__file__)
)
#: Commands in the form that ends within seconds.
QUICK = {
    "tests.fuzz.fuzz_reader": ["--files", "20"],
    "tests.fuzz.fuzz_build": ["--files", "20"],
    "tests.fuzz.fuzz_arguments": ["--calls", "20"],
    "tests.random_builds": ["2"],
    "tests.tolerance_study": ["2"],
    "tests.edges_study": ["1"],
    "tests.after_study": ["1"],
    "tests.guide_study": ["1", "1", "64"],
    "tests.torture": ["2", "1", "1"],
}
#: Those that say no where so few cases tell nothing yet.
MAY_SAY_NO = {"tests.guide_study"}
#: Commands that another test runs, small, or all that they do.
ELSEWHERE = {
    "tests.benchmarks": "tests/test_benchmarks.py",
    "tests.faults.killed_writers": "tests/faults/test_killed.py",
    "tests.faults.large_upload": "tests/faults/test_held.py",
    "tests.faults.slider_moves": "tests/faults/test_held.py",
    "tests.fit_coverage": "tests/trace/test_fit_fifty.py",
    "tests.fit_study": "tests/trace/test_fit.py",
    "tests.mutations": "tests/test_mutations.py",
    "tests.pictures": "tests/browser/test_pictures.py",
}
#: Commands of which only the help is asked, with the least that they take [s of processor time].
TOO_LONG = {
    "tests.benchmarks.keys": 20,  # a server, a browser and a page
    "tests.benchmarks.pages": 40,  # all pages
    "tests.benchmarks.work_precision": 9,
    "tests.odds_study": 10,
    "tests.remedies_brute": 11,
    "tests.remedies_study": 13,
}
CONSOLE = re.findall(r"^```console\n(.*?)^```$", README, flags=re.MULTILINE | re.DOTALL)
#: Commands on files that there are, in the README's text.
NAMED = sorted(set(re.findall(r"`inrush ([a-z]+ workbook/builds/\w+\.toml)`", README)))


def test_the_list_of_checks_is_found():
    assert len(LINES) > 15
    assert len(SCRIPTS) > 15


@pytest.mark.parametrize(
    "words", [[name] for name in SUBCOMMANDS] + [[]], ids=lambda words: " ".join(words) or "inrush"
)
def test_every_command_says_how_it_is_called(words, capsys):
    with pytest.raises(SystemExit) as stop:
        main([*words, "--help"])
    assert stop.value.code == 0
    assert "usage: inrush" in capsys.readouterr().out


def test_every_option_that_the_guides_name_is_there(capsys):
    known = set()
    for name in SUBCOMMANDS:
        with pytest.raises(SystemExit):
            main([name, "--help"])
        known |= set(re.findall(r"(?<![\w-])--?[a-z][\w-]*", capsys.readouterr().out))
    named = set()
    for line in re.findall(r"`?inrush [a-z]+ [^`\n]*", README + DEVELOPERS):
        named |= set(re.findall(r"(?<![\w-])--[a-z][\w-]*", line.partition("  #")[0]))
    assert named - known == set()


@pytest.mark.parametrize("name", PROGRAMS)
def test_every_program_is_installed_by_the_extra_of_the_tests(name):
    assert list(Path(sys.executable).parent.glob(f"{name}*"))


@pytest.mark.parametrize("name", SCRIPTS)
def test_every_script_is_there_and_can_be_started(name):
    assert name in STUDIES or (ROOT / name).name.startswith(("test_", "bench_"))


@pytest.mark.parametrize("name", STUDIES)
def test_a_study_says_how_it_is_called_and_does_nothing_else(name, monkeypatch, capsys, tmp_path):
    """Found by a study that took its only word for the name of a build, and without one ran them all."""
    monkeypatch.setattr(sys, "argv", [name, "--help"])
    monkeypatch.delitem(sys.modules, name, raising=False)  # it is run once more, as what it is
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as stop:
        runpy.run_module(name, run_name="__main__")
    said = capsys.readouterr().out
    assert stop.value.code == 0
    assert said.startswith("usage: ")
    assert said.count("\n") > 3
    assert list(tmp_path.iterdir()) == []


def test_words_of_a_study(capsys):
    def study(count: int = 3, seed: int = 1) -> tuple[int, int]:
        return count, seed

    def named(names: list[str]) -> list[str]:
        return names

    assert call(study, "what it does", ["20"]) == (20, 1)
    assert call(named, "what it does", []) == []
    assert call(named, "what it does", ["hiccup"], names={"hiccup": 1}) == ["hiccup"]
    for asked, words in ((study, ["many"]), (study, ["1", "2", "3"]), (named, ["hikup"])):
        with pytest.raises(SystemExit) as stop:
            call(asked, "what it does", words, names=["hiccup", "foldback"])
        assert stop.value.code == 2
    assert "'hikup'; accepted: hiccup, foldback" in capsys.readouterr().err


@pytest.mark.parametrize("name", QUICK)
def test_a_script_runs_in_its_quickest_form(name):
    done = subprocess.run(
        [sys.executable, "-m", name, *QUICK[name]], cwd=ROOT, capture_output=True, text=True, check=False, timeout=300
    )
    accepted = {0, 1} if name in MAY_SAY_NO else {0}
    assert done.returncode in accepted, done.stdout + done.stderr
    assert done.stdout
    assert "Traceback" not in done.stderr


def test_every_script_is_run_here_or_elsewhere_or_said_to_take_too_long():
    programs = {name for name in SCRIPTS if name in STUDIES}
    assert programs == {*QUICK, *ELSEWHERE, *TOO_LONG}
    for name, path in ELSEWHERE.items():
        assert name.rpartition(".")[2] in (ROOT / path).read_text(encoding="utf-8"), name
    assert len(QUICK) + len(ELSEWHERE) + len(TOO_LONG) == len(programs)


def ends_as_it_should(line, capsys):
    """Runs a command of the README; returns what it prints."""
    assert main(shlex.split(line)) in (0, 1)
    return capsys.readouterr().out


def test_what_the_readme_shows_on_a_console_is_what_is_said(capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    assert len(CONSOLE) == 2
    for shown in CONSOLE:
        for command, _, expected in (part.partition("\n") for part in shown.split("$ inrush ")[1:]):
            said = " ".join(ends_as_it_should(command, capsys).split())  # it breaks its lines elsewhere
            for piece in expected.split("..."):
                assert " ".join(piece.split()) in said, command


@pytest.mark.parametrize("line", NAMED)
def test_a_command_that_the_readme_names_runs(line, capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    quick = " --no-odds" if line.startswith("window ") else ""
    assert ends_as_it_should(line + quick, capsys)


def test_commands_on_files_are_found():
    assert len(NAMED) == 2


def test_every_test_that_is_named_is_there():
    for path in set(re.findall(r"`?(tests/[\w/]+\.py)", README + DEVELOPERS)):
        assert (ROOT / path).is_file(), path
