"""Random builds over wide ranges at the default tolerance and at a hundredth of it: what changes?

    python -m tests.tolerance_study [COUNT] [SEED]

The default promises the same verdict, brown-outs and trips, save where a rule is missed or met by less than 5 mV or
0.1 %, end voltages within 5 mV of where the finer curve is within 20 us, and a peak current within 0.1 % or 0.1 mA.
Prints each build that breaks this with the
margins of its rules, and the worst of what holds. Exit status 1 where a promise is broken without a thin margin.
"""

import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np

from inrushlib.build import new_build
from inrushlib.startup import Startup, simulate
from inrushlib.startup.effort import TOLERANCE
from tests.command_line import call
from tests.startup.checking import imbalance
from tests.startup.margins import Margin, margins
from tests.startup.wide_builds import Chance, random_values

FINER = TOLERANCE / 100
VOLTS, SHARE = 5e-3, 1e-3
SECONDS, AMPERES = 20e-6, 1e-4


@dataclass(frozen=True)
class Compared:
    """One build at both tolerances."""

    number: int
    verdicts: tuple[str, str]
    changed: bool
    volts: float
    share: float
    imbalance: float
    thin: tuple[Margin, ...]

    @property
    def broken(self) -> bool:
        """Whether a promise is broken."""
        return self.changed or self.volts > VOLTS or self.share > SHARE


def end_distance(one: Startup, other: Startup) -> float:
    """Largest distance [V] of one run's end voltages from the other's curves in their last 20 us."""
    end = one.build.run.duration
    names = [name for name in one.at(np.array([end])) if name.endswith("voltage")]
    ends = one.at(np.array([end]))
    last = other.at(np.linspace(end - SECONDS, end, 101))
    return max(
        max(0.0, float(ends[name][0] - last[name].max()), float(last[name].min() - ends[name][0])) for name in names
    )


def compare(number: int) -> Compared:
    """Run one build at both tolerances."""
    build = new_build(random_values(Chance(number)))
    coarse, fine = simulate(build), simulate(build, tolerance=FINER)
    peaks = coarse.figures.peak_lead_current, fine.figures.peak_lead_current
    apart = abs(peaks[0] - peaks[1])
    found = Compared(
        number,
        (coarse.verdict.value, fine.verdict.value),
        (coarse.verdict, coarse.brown_outs, coarse.trips) != (fine.verdict, fine.brown_outs, fine.trips),
        min(end_distance(coarse, fine), end_distance(fine, coarse)),
        apart / peaks[1] if apart > AMPERES else 0.0,
        imbalance(coarse),
        (),
    )
    if not found.broken:
        return found
    thin = tuple(margin for margin in margins(fine) if margin.thin)
    return Compared(*(getattr(found, name) for name in list(found.__dataclass_fields__)[:-1]), thin)


def main(count: int = 2000, seed: int = 1) -> int:
    """Compare the builds and say what came of them."""
    with ProcessPoolExecutor() as pool:
        found = list(pool.map(compare, range(seed, seed + count), chunksize=10))
    unexplained = 0
    for one in found:
        if one.broken:
            print(f"build {one.number}: {one.verdicts[0]} / {one.verdicts[1]}{', changed' if one.changed else ''};")
            print(f"    ends {1e3 * one.volts:.3g} mV apart, peaks {100 * one.share:.3g} %")
            for margin in one.thin:
                print(f"    thin: {margin}")
            unexplained += not one.thin
    held = [one for one in found if not one.broken]
    worst_volts = max(held, key=lambda one: one.volts)
    worst_share = max(held, key=lambda one: one.share)
    worst_energy = max(found, key=lambda one: one.imbalance)
    print(
        f"{count} builds from seed {seed}: {len(found) - len(held)} apart, {unexplained} of them without a thin margin"
    )
    print(f"of the rest: ends {1e3 * worst_volts.volts:.3g} mV (build {worst_volts.number}) at most")
    print(f"             peaks {100 * worst_share.share:.3g} % (build {worst_share.number}) at most")
    volts, shares = np.array([one.volts for one in found]), np.array([one.share for one in found])
    print(
        f"99 in 100: ends within {1e3 * np.quantile(volts, 0.99):.3g} mV, peaks {100 * np.quantile(shares, 0.99):.3g} %"
    )
    print(f"worst energy imbalance {worst_energy.imbalance:.2g} (build {worst_energy.number})")
    print(f"imbalance above 1e-4: {sum(one.imbalance > 1e-4 for one in found)} builds")
    return 1 if unexplained else 0


if __name__ == "__main__":
    sys.exit(call(main, __doc__))
