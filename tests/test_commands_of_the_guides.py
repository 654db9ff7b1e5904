"""Every command that README.md and DEVELOPERS.md name is there, and answers when it is asked."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

from inrushlib.cli import main
from inrushlib.cli.commands import SUBCOMMANDS

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CHECKS = DEVELOPERS.partition("\n## Checks\n")[2].partition("\n## ")[0]
LINES = [line.strip().partition("   ")[0] for line in CHECKS.splitlines() if line.startswith("    .venv/bin/")]
PROGRAMS = sorted({word for line in LINES for word in re.findall(r"\.venv/bin/([\w-]+)", line)})
SCRIPTS = sorted(set(re.findall(r"\bpython (?:-m )?(tests[\w./]+)", README + DEVELOPERS)))
#: Commands in the form that ends within seconds.
QUICK = {
    "tests/fuzz/fuzz_reader.py": ["--files", "20"],
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
    for call in re.findall(r"`?inrush [a-z]+ [^`\n]*", README + DEVELOPERS):
        named |= set(re.findall(r"(?<![\w-])--[a-z][\w-]*", call.partition("  #")[0]))
    assert named - known == set()


@pytest.mark.parametrize("name", PROGRAMS)
def test_every_program_is_installed_by_the_extra_of_the_tests(name):
    assert list(Path(sys.executable).parent.glob(f"{name}*"))


@pytest.mark.parametrize("name", SCRIPTS)
def test_every_script_is_there_and_can_be_started(name):
    path = ROOT / (name if name.endswith(".py") else f"{name.replace('.', '/')}.py")
    path = path if path.exists() else path.with_suffix("") / "__main__.py"
    tree = ast.parse(path.read_text(encoding="utf-8"))
    guarded = any(isinstance(node, ast.If) and "__main__" in ast.unparse(node.test) for node in tree.body)
    tested = any(isinstance(node, ast.FunctionDef) and node.name.startswith("test") for node in tree.body)
    assert guarded or tested or path.name == "__main__.py"


@pytest.mark.parametrize("name", QUICK)
def test_a_script_runs_in_its_quickest_form(name):
    assert name in SCRIPTS
    call = [name] if name.endswith(".py") else ["-m", name]
    done = subprocess.run(
        [sys.executable, *call, *QUICK[name]], cwd=ROOT, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_test_that_is_named_is_there():
    for path in set(re.findall(r"`?(tests/[\w/]+\.py)", README + DEVELOPERS)):
        assert (ROOT / path).is_file(), path
