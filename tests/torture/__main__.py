"""The torture bench.

    python -m tests.torture [COUNT [SEED [PROCESSES]]]

COUNT random builds over the whole of the allowed ranges: each ends with a verdict, finite curves and a closed energy
balance. A tenth as many wide ones against themselves at a tolerance ten times finer, mirrored, cut in three, later, in
other units and with their feeds in another order: nothing changes, save beside a rule that is missed or met by next
to nothing, and those are listed. A build that is refused for going round too often counts apart where it ends with the
key changed that the refusal names. Exit status 1 where anything was wrong.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor

from tests.command_line import call

from .bench import LARGEST_IMBALANCE, Outcome, against_twins, by_itself


def run(what: str, one: Callable[[int], Outcome], numbers: range, pool: ProcessPoolExecutor) -> int:
    """Run builds, say what came of them and return how many were wrong."""
    found = []
    for outcome in pool.map(one, numbers, chunksize=5):
        found.append(outcome)
        for text in outcome.wrong:
            print(f"build {outcome.number}: WRONG: {text}", flush=True)
        for text in outcome.thin:
            print(f"build {outcome.number}: thin margin: {text}", flush=True)
    wrong = sum(bool(outcome.wrong) for outcome in found)
    thin = sum(bool(outcome.thin) for outcome in found)
    slowest = max(found, key=lambda outcome: outcome.seconds)
    worst = max(found, key=lambda outcome: outcome.imbalance)
    print(f"{what}: {len(found)} builds from seed {numbers[0]}, {wrong} wrong, {thin} beside a thin margin; "
          f"{sum(outcome.refused for outcome in found)} draws were no build")  # fmt: skip
    verdicts = Counter(outcome.verdict or "none" for outcome in found)
    print(f"  worst energy imbalance {100 * worst.imbalance:.2g} % (build {worst.number}), allowed "
          f"{100 * LARGEST_IMBALANCE:g} %; slowest {slowest.seconds:.1f} s (build {slowest.number})")  # fmt: skip
    print("  " + ", ".join(f"{verdict} {number}" for verdict, number in verdicts.most_common()))
    return wrong


def main(count: int = 10_000, seed: int = 1, processes: int = 0) -> int:
    """Run both benches, in as many processes as said, in one a processor where that is 0."""
    with ProcessPoolExecutor(processes or None) as pool:
        wrong = run("over all that is allowed", by_itself, range(seed, seed + count), pool)
        wrong += run("told otherwise", against_twins, range(seed, seed + max(count // 10, 1)), pool)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
