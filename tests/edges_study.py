"""Edges that are missed where the way to the end of a range is not walked: the same search with every way walked.

    python -m tests.edges_study [COUNT] [SEED]

The example builds with half of their values drawn from their ranges, on adapters of 0.6 to 1.3 times the rating, so
that some start and some do not. Exit status 1 where an edge is missed or lies elsewhere.
"""

import sys
from pathlib import Path
from time import process_time

import numpy as np

from inrushlib.build import Build, load_build
from inrushlib.errors import InrushError
from inrushlib.margins import edges, nearest_edges
from inrushlib.margins.reach import reach
from inrushlib.odds import key_ranges
from inrushlib.startup import simulate
from tests.command_line import call

BUILDS = sorted((Path(__file__).parents[1] / "workbook" / "builds").glob("*.toml"))
RATINGS = (0.6, 0.8, 1.0, 1.0, 1.3)


class EveryWay(edges._Runs):
    """Starts of a search that takes no way as settled."""

    def keep_all_the_way(self, packed):
        """Say for each start whether it keeps the verdict, and for none that it does on the whole way there."""
        kept, settled, found = super().keep_all_the_way(packed)
        return kept, np.zeros_like(settled), found


def drawn(number: int) -> Build:
    """An example build with other values."""
    rng = np.random.default_rng(number)
    build = load_build(BUILDS[number % len(BUILDS)])
    values = {"adapter.rated_current": build.adapter.rated_current * float(rng.choice(RATINGS))}
    for known in key_ranges(build):
        low, high = reach(build, known)
        if rng.random() < 0.5:
            value = low * (high / low) ** rng.random() if low > 0.0 else high * rng.random()
            entries = build.get(known.key)
            values[known.key] = [value] * len(entries) if isinstance(entries, tuple) else value
    for key, value in values.items():
        try:
            build = build.with_values({key: value})
        except InrushError:  # another value leaves no room for this one
            continue
    return build


def both(build: Build) -> tuple[list[dict[str, object]], list[dict[str, object]], float, float]:
    """Edges as they are found, and with every way walked; processor time of each [s]."""
    verdict, usual = simulate(build).verdict, edges._Runs
    began = process_time()
    found = nearest_edges(build, verdict=verdict)
    between = process_time()
    edges._Runs = EveryWay
    try:
        walked = nearest_edges(build, verdict=verdict)
    finally:
        edges._Runs = usual
    taken = between - began, process_time() - between
    return [edge.to_dict() for edge in found], [edge.to_dict() for edge in walked], *taken


def main(count: int = 200, seed: int = 1) -> int:
    """Compare as many builds, and say what differs."""
    total, missed, taken = 0, 0, np.zeros(2)
    for number in range(seed, seed + count):
        found, walked, *times = both(drawn(number))
        total += len(walked)
        taken += times
        for edge in walked:
            if edge not in found:
                missed += 1
                print(f"build {number}: {edge}")
    print(f"{count} builds from seed {seed}: {total} edges, {missed} of them missed or elsewhere")
    print(f"{taken[0]:.1f} s of processor time, {taken[1]:.1f} s with every way walked")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
