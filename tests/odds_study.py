"""The odds of ten builds against plain random runs.

    python -m tests.odds_study [RUNS] [SEED]

Each build's odds come from 2,048 points of replicated nets, the plain share from RUNS (20,000) independent draws of the
same ranges. Both scatter. A plain share half as uncertain as the odds falls outside their interval at 95 % eight
times in a hundred though both are right (2 (1 - Phi(1.96 / sqrt(1 + 1/4))), with normal scatter): all ten are inside in
fewer than half of such studies, and nothing follows from one that is not. Intervals of both that do not even touch come
about one time in a hundred each. So exit status 1, which a right program has once in a hundred studies, is for any of

- more than three of ten shares that boot outside (chance: 0.6 %);
- two that are farther apart than both intervals together (0.4 %);
- one that is twice as far apart as both together: no chance, and not to be outvoted by nine good ones.
"""

import sys

import numpy as np

from inrushlib.build import new_build
from inrushlib.odds import Draw, key_ranges, spread
from inrushlib.odds.engine import verdicts
from inrushlib.odds.interval import wilson
from inrushlib.odds.points import CHUNK, Chunk
from inrushlib.startup import Verdict
from tests.command_line import call

TILES = {"title": "tiles", "wiring.pixels_per_section": 64, "run.duration": 0.5}
SWITCH = {"switch": {"gate_resistance": "10 kohm", "gate_drain_capacitance": "10 nF"}, "bus.bulk": "470 uF"}
PLAIN = ((1, 1), (2, 1.5), (2, 2.5), (6, 3), (6, 6))
BUILDS = [
    *(TILES | {"wiring.sections": n, "adapter.rated_current": a} for n, a in PLAIN),
    *(TILES | SWITCH | {"wiring.sections": n, "adapter.rated_current": a} for n, a in ((1, 1), (4, 2), (6, 3))),
    TILES | {"wiring.sections": 4, "adapter.rated_current": 3, "adapter.limit_style": "hiccup"},
    TILES | {"wiring.sections": 2, "adapter.rated_current": 2, "adapter.limit_style": "foldback"},
]  # fmt: skip


MOST_OUTSIDE, MOST_APART, FARTHEST = 3, 1, 2.0


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
    outside, gaps = 0, []
    for number, values in enumerate(BUILDS):
        build = new_build(values)
        found, shares = spread(build, runs=2048, seed=seed), plain(build, runs, seed + 1000)
        for (verdict, odds), share in zip(found.odds.items(), shares, strict=True):
            inside = odds.low <= share.value <= odds.high
            if verdict is Verdict.BOOTS:
                outside += not inside
                gaps.append(gap(odds, share))
            if odds.value or share.value:
                mark = "" if inside else "  outside"
                print(
                    f"{number} {verdict.value:20} {odds.low:.4f} {odds.high:.4f}  plain {share.value:.4f} "
                    f"({share.low:.4f} {share.high:.4f}){mark}",
                    flush=True,
                )
    apart = sum(each > 1 for each in gaps)
    print(
        f"{outside} of {len(BUILDS)} shares that boot are outside, {apart} by more than both intervals allow; "
        f"the farthest by {max(gaps):.2f} of both"
    )
    return int(outside > MOST_OUTSIDE or apart > MOST_APART or max(gaps) > FARTHEST)


def gap(one, other):
    """How far two estimates are apart, in parts of their half intervals towards each other together."""
    upper, lower = (one, other) if one.value >= other.value else (other, one)
    both = (upper.value - upper.low) + (lower.high - lower.value)
    return (upper.value - lower.value) / both if upper.value > lower.value else 0.0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
