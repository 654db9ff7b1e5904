"""Every command that README.md and DEVELOPERS.md name is there, and answers when it is asked."""

import re
import runpy
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
}


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
    assert name in SCRIPTS
    done = subprocess.run(
        [sys.executable, "-m", name, *QUICK[name]], cwd=ROOT, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_test_that_is_named_is_there():
    for path in set(re.findall(r"`?(tests/[\w/]+\.py)", README + DEVELOPERS)):
        assert (ROOT / path).is_file(), path
