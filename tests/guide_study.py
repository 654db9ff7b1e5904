"""Twenty made displays on a made bench: do readings move the odds to the truth, and is the guide's order the shorter?

    python -m tests.guide_study [DISPLAYS] [SEED] [RUNS]

Each display is one point of a build's ranges. Its odds are computed, then a card is measured with noise within the
accuracy of the instruments, entered, and so on, until the odds are above 95 % or below 5 %, or no card is left. Once in
the guide's order, once in a random one, on the same display. Where no order gets there all its cards count.
Exit status 1 where readings do not move the odds to the truth (mean square of what they are off, before and after),
or where the guide's order does not take fewer cards.
"""

import sys

import numpy as np

from inrushlib.build import load_build
from tests.command_line import call
from tests.guide.bench import boots, measure, true_display

BUILDS = ("tide_board_boots", "tide_board_with_switch", "market_clock", "tide_board_never_starts")


def main(displays: int = 20, seed: int = 1, runs: int = 256) -> int:
    """Measure all displays in both orders and say how many cards each took."""
    rows = []
    for number in range(displays):
        source = np.random.default_rng([seed, number])
        build = load_build(f"workbook/builds/{BUILDS[number % len(BUILDS)]}.toml")
        display = true_display(build, source)
        truth = boots(display)
        guided, _ = measure(display, build, lambda left: left[0], np.random.default_rng([seed, number, 1]), runs=runs)
        source = np.random.default_rng([seed, number, 2])
        random, _ = measure(display, build, lambda left, s=source: left[s.integers(len(left))], source, runs=runs)
        rows.append((truth, guided[0], guided[-1], len(guided) - 1, len(random) - 1, random[-1]))
        name = BUILDS[number % len(BUILDS)]
        print(f"{name:26} {'boots' if truth else 'fails'}  before {guided[0]:4.0%}  guide {len(guided) - 1:2} cards, "
              f"{guided[-1]:4.0%}  random {len(random) - 1:2} cards, {random[-1]:4.0%}", flush=True)  # fmt: skip
    return report(np.array(rows, dtype=float))


def report(found: np.ndarray) -> int:
    """Print the figures of all displays; exit status."""
    truth, before, after, guide, random, _ = found.T
    off = [float(np.mean((odds - truth) ** 2)) for odds in (before, after)]
    less = random - guide
    error = float(np.std(less, ddof=1) / np.sqrt(len(less)))
    right = int(np.sum((after > 0.5) == (truth > 0.5)))
    print(f"mean square of (odds - truth): {off[0]:.3f} before, {off[1]:.3f} after; on the right side {right} of "
          f"{len(truth)}")  # fmt: skip
    print(f"cards until sure: guide {guide.mean():.2f}, random {random.mean():.2f}; fewer by {less.mean():.2f} +- "
          f"{1.96 * error:.2f} (paired, 95 %)")  # fmt: skip
    print(f"fewer on {int(np.sum(less > 0))} displays, as many on {int(np.sum(less == 0))}, more on "
          f"{int(np.sum(less < 0))}")  # fmt: skip
    return 0 if off[1] < off[0] and less.mean() > 1.96 * error else 1


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
