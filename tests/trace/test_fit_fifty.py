"""Fifty captures with random defects: how often the intervals hold the truth, how much is determined, none far off.

`python -m tests.fit_coverage 1000` is the study itself, of longer captures, more keys and slower builds.
"""

import json
import os
from pathlib import Path

import pytest
from scipy.stats import binom

from inrushlib.trace.fit.status import Status

from .. import fit_coverage

SEEDS = range(1, 51)
QUICK = {"builds": ("0100", "0114", "0117", "0126", "0130", "1032"), "most_keys": 2, "samples": 1000}
CHANCE = 1e-4  # that intervals which hold the truth in 95 of 100 do so less often than is accepted
DETERMINED = 0.85


@pytest.fixture(scope="session")
def outcomes(tmp_path_factory):
    """What has been found, a file a seed: one folder for all workers of a run of the tests."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "fifty"
    folder.mkdir(exist_ok=True)
    return folder


def outcome(seed: int, folder: Path) -> dict:
    """What a seed's capture shows; fitted where nothing is found of it in the folder, by whichever test asks first."""
    kept = folder / f"{seed}.json"
    if kept.exists():
        return json.loads(kept.read_text())
    case = fit_coverage.case(seed, **QUICK)
    fit, rows = fit_coverage.judged(case)
    can = fit_coverage.determinable(case)
    told = [{"status": status, "inside": inside, "away": float(away), "determinable": bool(c)}
            for (status, inside, away), c in zip(rows, can, strict=True)]  # fmt: skip
    found = {"alarm": bool(fit.alarm), "keys": told}
    part = kept.with_suffix(f".{os.getpid()}")
    part.write_text(json.dumps(found))
    part.replace(kept)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_capture_makes_no_value_confidently_wrong(seed, outcomes):
    found = outcome(seed, outcomes)
    assert found["alarm"] or all(not key["away"] > fit_coverage.HALF_WIDTHS for key in found["keys"])


def test_intervals_hold_the_truth_as_often_as_they_say_and_what_can_be_told_is(outcomes):
    # From the last one on: where another worker makes the fits above, each makes about half of them.
    keys = [key for seed in reversed(SEEDS) for key in outcome(seed, outcomes)["keys"]]
    inside = [key["inside"] for key in keys if key["inside"] is not None]
    assert inside.count(False) <= binom.isf(CHANCE, len(inside), 0.05)
    determinable = [key for key in keys if key["determinable"]]
    determined = [key for key in determinable if key["status"] == Status.INTERVAL]
    assert len(determined) >= DETERMINED * len(determinable)
