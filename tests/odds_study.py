"""The odds of ten builds against plain random runs.

    python -m tests.odds_study [RUNS] [SEED]

Each build's odds come from 2,048 points of replicated nets, the plain share from RUNS (20,000) independent draws of the
same ranges. Exit status 1 where a plain share is outside its interval.
"""

import sys

import numpy as np

from inrushlib.build import new_build
from inrushlib.odds import Draw, key_ranges, spread
from inrushlib.odds.engine import verdicts
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


def plain(build, runs, seed):
    """Share of independent draws that end with each verdict."""
    draw = Draw(build, key_ranges(build))
    source = np.random.default_rng(seed)
    chunks = (Chunk(0, first, source.random((CHUNK, len(draw.dimensions)))) for first in range(0, runs, CHUNK))
    counts = np.zeros(len(Verdict))
    for ran in verdicts(draw, chunks):
        counts += np.bincount(ran.codes[ran.codes >= 0], minlength=len(Verdict))
    return counts / (CHUNK * -(-runs // CHUNK))


def main(runs: int = 20_000, seed: int = 1) -> int:
    """Compare all builds and say what is outside."""
    outside = 0
    for number, values in enumerate(BUILDS):
        build = new_build(values)
        found, shares = spread(build, runs=2048, seed=seed), plain(build, runs, seed + 1000)
        for (verdict, odds), share in zip(found.odds.items(), shares, strict=True):
            inside = odds.low <= share <= odds.high
            outside += verdict is Verdict.BOOTS and not inside
            if odds.value or share:
                mark = "" if inside else "  OUTSIDE"
                print(
                    f"{number} {verdict.value:20} {odds.low:.4f} {odds.high:.4f}  plain {share:.4f}{mark}", flush=True
                )
    print(f"{outside} of {len(BUILDS)} shares that boot are outside")
    return int(outside > 0)


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
