"""Random builds over wide ranges: each must end with a verdict, finite curves and a closed energy balance.

    python -m tests.random_builds [COUNT] [SEED]

Prints what failed with its build, and the worst imbalance. Exit status 1 where anything failed.
"""

import sys
import time
from collections import Counter

from inrushlib.build import new_build, to_toml
from inrushlib.errors import InrushError
from inrushlib.startup import simulate
from tests.command_line import call
from tests.startup.checking import LARGEST_IMBALANCE, faults, imbalance
from tests.startup.wide_builds import Chance, random_values


def main(count: int = 2000, seed: int = 1) -> int:
    """Run the builds and say what came of them."""
    verdicts: Counter[str] = Counter()
    worst, worst_number, slowest, slowest_number, failed = 0.0, seed, 0.0, seed, 0
    for number in range(seed, seed + count):
        build = new_build(random_values(Chance(number)))
        began = time.perf_counter()
        try:
            startup = simulate(build)
        except InrushError as error:
            found = [f"{type(error).__name__}: {error}"]
        else:
            found = faults(startup)
            verdicts[startup.verdict.value] += 1
            if imbalance(startup) > worst:
                worst, worst_number = imbalance(startup), number
        took = time.perf_counter() - began
        if took > slowest:
            slowest, slowest_number = took, number
        if found:
            failed += 1
            print(f"build {number}: {'; '.join(found)}\n{to_toml(build)}")
    print(f"{count} builds from seed {seed}: {failed} failed; slowest {slowest:.2f} s (build {slowest_number})")
    print(f"worst energy imbalance {100 * worst:.2g} % (build {worst_number}), allowed {100 * LARGEST_IMBALANCE:g} %")
    print(", ".join(f"{verdict} {n}" for verdict, n in verdicts.most_common()))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
