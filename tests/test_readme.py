"""What the README shows in Python runs, and says what it says."""

import doctest
import re
import shutil
from pathlib import Path

import pytest

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
