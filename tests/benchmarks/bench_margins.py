"""Times of a start's slack and of the nearest edges on builds of six sections, once compiled.

Run with ``pytest tests/benchmarks/bench_margins.py -s``; nothing here fails on a slow machine. What is printed is as in
``bench_search.py``; the budget for the edges of the build with a switch, all its keys, is 1 s.
"""

import pytest

from inrushlib.margins import movable_keys, nearest_edges
from inrushlib.startup import pack, slack_many
from inrushlib.startup.slack import slack_of

from .bench_search import BUILDS, report
from .quick import QUICK


@pytest.mark.parametrize("name", BUILDS)
def test_nearest_edges(name):
    build = BUILDS[name]
    found = []
    keys = movable_keys(build)
    report(f"edges of {len(keys)} keys, {name}", lambda: found.append(nearest_edges(build)), build, 5)
    print(f"; {len(found[-1])} edges", end="")


@pytest.mark.parametrize("name", BUILDS)
def test_slack(name):
    build = BUILDS[name]
    report(f"slack, {name}", lambda: slack_of(build), build, 9)


@pytest.mark.parametrize("name", BUILDS)
def test_slack_of_many(name):
    build, count = BUILDS[name], 8 if QUICK else 400
    packed = [pack(build)] * count
    report(f"slack of {count}, {name}", lambda: slack_many(packed), build, 3)
