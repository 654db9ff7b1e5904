"""Running a command in a test."""

import gc
import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import settings

from inrushlib.cli import main

# The same examples every time, however long they take: what is right today does not fail tomorrow by another draw, or
# on a busy machine. Searching at random is for the long checks, each with its seed.
settings.register_profile("same every time", derandomize=True, database=None, deadline=None)
settings.load_profile("same every time")


def pytest_collection_finish() -> None:
    """What is loaded by now stays: to look through all of it for garbage again takes a tenth of some tests' time."""
    gc.collect()
    gc.freeze()


@pytest.fixture
def answer(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, Any]]:
    """Runs a command with --json; returns its exit status and what it printed."""

    def run(*arguments: str) -> tuple[int, Any]:
        status = main([*arguments, "--json"])
        return status, json.loads(capsys.readouterr().out)

    return run


@pytest.fixture
def refused(capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Runs a command that has to refuse what it gets; returns its message."""

    def run(*arguments: str) -> str:
        assert main(list(arguments)) == 2
        captured = capsys.readouterr()
        assert captured.out == ""
        assert "Traceback" not in captured.err
        return captured.err

    return run
