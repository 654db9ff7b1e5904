"""A plugin of pytest under ``coverage run``: which test ran which line, and how long each took.

The context of what is recorded is the test's node id, its set-up included: what a fixture runs for several tests counts
for the first of them. The times go into the file that ``TIMES`` names in the environment.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Generator
from pathlib import Path

import coverage
import pytest

TIMES = "INRUSH_TIMES_OF_TESTS"
_times: dict[str, float] = {}


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Record a test under its name."""
    recorder = coverage.Coverage.current()
    assert recorder is not None, "to be run by `coverage run`"
    recorder.switch_context(item.nodeid)
    began = time.process_time()
    result = yield
    _times[item.nodeid] = time.process_time() - began
    recorder.switch_context("")
    return result


def pytest_sessionfinish() -> None:
    """Write the times [s of the processor]."""
    Path(os.environ[TIMES]).write_text(json.dumps(_times), encoding="utf-8")
