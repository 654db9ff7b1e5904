"""Are the odds after having measured right? Made builds, made measurements of them, and how the builds then end.

    python -m tests.after_study [TRIALS] [SEED]

Each of TRIALS (240) true builds has its values anywhere in the ranges of one of three builds. Four values are measured
as by one capture, with errors of 3 % that go together; the odds are asked for with what was measured, and the true
build is started. Of the builds of which it says p, a share p is to boot: of each class of odds the count that boots is
compared with the sum of what was said. Exit status 1 where a class is off by more than three standard deviations, which
chance does three times in a thousand to each.
"""

import sys
from datetime import date
from itertools import pairwise

import numpy as np

from inrushlib.build import new_build
from inrushlib.measurements import How, Measurement, MeasurementLog, Together
from inrushlib.odds import Draw, at_measured, key_ranges, spread
from inrushlib.odds.posterior import mixing_of
from inrushlib.startup import Verdict, screen
from tests.command_line import call

TILES = {"title": "tiles", "wiring.pixels_per_section": 64, "run.duration": 0.5}
BUILDS = [TILES | {"wiring.sections": n, "adapter.rated_current": a} for n, a in ((1, 0.8), (2, 1.8), (6, 3.5))]
KEYS = ("adapter.limit_current", "pixel.channel_resistance", "controller.dropout_voltage", "pixel.listen_voltage")
ERROR = 0.03  # of each value, at one standard deviation
TOGETHER = 0.5
RUNS = 128
CLASSES = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)


def made_log(true, rng):
    """Measurements of a true build."""
    table = np.full((len(KEYS), len(KEYS)), TOGETHER) + (1 - TOGETHER) * np.eye(len(KEYS))
    errors = ERROR * mixing_of(table) @ rng.standard_normal(len(KEYS))
    rows = []
    for key, error in zip(KEYS, errors, strict=True):
        value = true.get(key) * (1 + error)
        half = 1.959964 * ERROR * value
        rows.append(
            Measurement(
                key=key, value=value, low=value - half, high=value + half, how=How.CAPTURE, source="made",
                day=date(2026, 3, 1),
            )
        )  # fmt: skip
    tied = Together(source="made", keys=KEYS, correlation=tuple(map(tuple, table.tolist())))
    return MeasurementLog(tuple(rows), (tied,))


def main(trials: int = 240, seed: int = 1) -> int:
    """Compare what was said with how the true builds end."""
    rng = np.random.default_rng(seed)
    said, boots, before = np.zeros(trials), np.zeros(trials), np.zeros(trials)
    plain = [spread(new_build(values), runs=1024).boots.value for values in BUILDS]
    for i in range(trials):
        build = new_build(BUILDS[i % len(BUILDS)])
        draw = Draw(build, key_ranges(build))
        true = draw.at(rng.random(len(draw.dimensions)))
        log = made_log(true, rng)
        said[i] = spread(at_measured(build.with_measured(log)), runs=RUNS, seed=i).boots.value
        boots[i] = screen(true).verdict is Verdict.BOOTS
        before[i] = plain[i % len(BUILDS)]
    off = 0
    for low, high in pairwise(CLASSES):
        some = (said >= low) & ((said < high) | (high == 1.0))
        # What was said has an error of its own: that of the runs.
        scatter = np.sqrt((said[some] * (1 - said[some]) * (1 + 1 / RUNS)).sum())
        far = (boots[some].sum() - said[some].sum()) / max(scatter, 0.5)
        off += abs(far) > 3
        counts = f"{some.sum():4d} builds, said {said[some].sum():6.1f}, boot {boots[some].sum():4.0f}"
        print(f"{low:.1f} to {high:.1f}: {counts}, off by {far:+.1f} standard deviations")
    left = (said * (1 - said)).mean() / (before * (1 - before)).mean()
    print(f"the measurements settle {100 * (1 - left):.0f} % of the doubt on average; classes that are off: {off}")
    return int(off > 0)


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
