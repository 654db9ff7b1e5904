"""What the README shows in Python runs, and says what it says."""

import doctest
import re
import shlex
import shutil
from pathlib import Path

import pytest

from inrushlib.cli import main
from inrushlib.cli.commands import SUBCOMMANDS

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^```python\n(.*?)^```$", README, flags=re.MULTILINE | re.DOTALL)


def test_there_are_examples():
    assert len(EXAMPLES) == 3
    assert all(text.startswith(">>> ") for text in EXAMPLES)


def test_every_command_of_the_table_has_its_call():
    table = set(re.findall(r"^\| `inrush (\w+)", README, flags=re.MULTILINE))
    assert table == set(SUBCOMMANDS)
    shown = set(re.findall(r"# inrush (\w+)", "".join(EXAMPLES)))
    assert shown == table - {"workbook", "warm"}  # served, and a preparation: neither is called


@pytest.mark.parametrize("text", EXAMPLES, ids=("builds", "switch", "captures"))
def test_example(text, tmp_path, monkeypatch):
    for folder in ("workbook/builds", "sample_traces"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    monkeypatch.chdir(tmp_path)
    example = doctest.DocTestParser().get_doctest(text, {}, "README", "README.md", 0)
    said: list[str] = []
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    runner.run(example, out=said.append)
    assert not runner.failures, "".join(said)
    assert runner.tries == text.count(">>>")


STORY = re.search(r"^<!-- story: -->\n```sh\n(.*?)^```$", README, flags=re.MULTILINE | re.DOTALL)


def test_story_runs_and_says_what_stands_behind_each_command(tmp_path, monkeypatch, capsys):
    for path in (
        *(ROOT / "workbook/builds").glob("tide_board_*.toml"),
        ROOT / "sample_traces/tide_board_with_switch.csv",
    ):
        shutil.copy(path, tmp_path)
    monkeypatch.chdir(tmp_path)
    lines = [line for line in STORY[1].splitlines() if not line.startswith("#")]
    assert len(lines) == 15
    for line in lines:
        command, _, said = line.rpartition("  # ")
        status = re.match(r"exit (\d)", said)
        assert main(shlex.split(command)[1:]) == (int(status[1]) if status else 0), command
        out = capsys.readouterr().out
        words = re.findall(r'"(.*?)"', said)
        assert words
        for each in words:
            assert each in out, command
    assert (tmp_path / "sheet.pdf").stat().st_size > 10_000
