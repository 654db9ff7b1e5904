"""The odds of ten builds against plain random runs.

    python -m tests.odds_study [RUNS] [SEED]

Each build's odds come from 2,048 points of replicated nets, the plain share from RUNS (20,000) independent draws of the
same ranges. A plain share has a scatter of its own, and an interval at 95 % misses one time in twenty: of ten builds
one outside is no sign of anything. What counts is whether the two agree within the intervals of both, and how many are
outside: exit status 1 where a share that boots is outside both together, or where more than three of ten are outside
(one time in a hundred by chance, were each outside one time in ten).
"""

import sys

import numpy as np

from inrushlib.build import new_build
from inrushlib.odds import Draw, key_ranges, spread
from inrushlib.odds.engine import verdicts
from inrushlib.odds.interval import wilson
from inrushlib.odds.points import CHUNK, Chunk
from inrushlib.startup import Verdict

TILES = {"title": "tiles", "wiring.pixels_per_section": 64, "run.duration": 0.5}
SWITCH = {"switch": {"gate_resistance": "10 kohm", "gate_drain_capacitance": "10 nF"}, "bus.bulk": "470 uF"}
PLAIN = ((1, 1), (2, 1.5), (2, 2.5), (6, 3), (6, 6))
BUILDS = [
    *(TILES | {"wiring.sections": n, "adapter.rated_current": a} for n, a in PLAIN),
    *(TILES | SWITCH | {"wiring.sections": n, "adapter.rated_current": a} for n, a in ((1, 1), (4, 2), (6, 3))),
    TILES | {"wiring.sections": 4, "adapter.rated_current": 3, "adapter.limit_style": "hiccup"},
    TILES | {"wiring.sections": 2, "adapter.rated_current": 2, "adapter.limit_style": "foldback"},
]  # fmt: skip


MOST_OUTSIDE = 3


def plain(build, runs, seed):
    """Wilson's interval of the share of independent draws that end with each verdict."""
    draw = Draw(build, key_ranges(build))
    source = np.random.default_rng(seed)
    chunks = (Chunk(0, first, source.random((CHUNK, len(draw.dimensions)))) for first in range(0, runs, CHUNK))
    counts = np.zeros(len(Verdict), dtype=int)
    for ran in verdicts(draw, chunks):
        counts += np.bincount(ran.codes[ran.codes >= 0], minlength=len(Verdict))
    return [wilson(int(count), CHUNK * -(-runs // CHUNK)) for count in counts]


def main(runs: int = 20_000, seed: int = 1) -> int:
    """Compare all builds and say what is outside."""
    outside, apart = 0, 0
    for number, values in enumerate(BUILDS):
        build = new_build(values)
        found, shares = spread(build, runs=2048, seed=seed), plain(build, runs, seed + 1000)
        for (verdict, odds), share in zip(found.odds.items(), shares, strict=True):
            inside = odds.low <= share.value <= odds.high
            if verdict is Verdict.BOOTS:
                outside += not inside
                apart += share.low > odds.high or share.high < odds.low
            if odds.value or share.value:
                mark = "" if inside else "  outside"
                print(
                    f"{number} {verdict.value:20} {odds.low:.4f} {odds.high:.4f}  plain {share.value:.4f} "
                    f"({share.low:.4f} {share.high:.4f}){mark}",
                    flush=True,
                )
    print(f"{outside} of {len(BUILDS)} shares that boot are outside, {apart} by more than both intervals allow")
    return int(apart > 0 or outside > MOST_OUTSIDE)


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
