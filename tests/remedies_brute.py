"""A dense joint search against the remedies: is there something a class of effort cheaper that they missed?

    python -m tests.remedies_brute [BUILD ...]

Every set of up to two measures that takes less effort than the best one that boots often enough is tried at DESIGNS
designs of a net of its own; so is, where that leaves room for rewiring, everything at once without a bank, with the
dearest value of all that has a price. Those that boot nominally, TRIED of them at most, are tried at POINTS points of
their ranges, and the best two of a set in 512 other runs. Exit status 1 where one of these boots in 95 % of them. What
it prints is a row a build of a table: best effort, sets, designs tried, starts, seconds of processor time, what is
cheaper.
"""

import sys
import time

from inrushlib.odds import spread
from inrushlib.remedies import recommend_remedies
from inrushlib.remedies.designs import Space, first_rungs
from inrushlib.remedies.effort import Effort
from inrushlib.remedies.measures import RATING, measures_of
from inrushlib.remedies.outcome import RemedyName
from inrushlib.remedies.picture import carries_picture, fitting_picture
from inrushlib.remedies.spare import at_its_most, kits
from inrushlib.remedies.trial import Trial
from tests.command_line import call

from .remedies_study import BUILDS

DESIGNS, POINTS, TRIED, BEST = 256, 32, 32, 2
WANTED = 0.95
HEADS = ("build", "least effort", "sets", "designs", "starts", "processor [s]", "cheaper")


def cheaper(build, most: Effort):
    """Sets of measures below an effort."""
    some = [m for m in measures_of(build) if m.effort < most]
    pairs = [(a, b) for i, a in enumerate(some) for b in some[i + 1 :] if a.goes_with(b)]
    return [(), *((m,) for m in some), *pairs] if most > Effort.FIRMWARE else []


def everything(build, most: Effort):
    """All that can be had together below an effort, and more than two."""
    found = kits(measures_of(build), RemedyName.BUS_CAPACITOR) if most > Effort.REWIRING else []
    return [kit for kit in found if len(kit) > 2]


def missed(name: str) -> list[str]:
    """Return what boots often enough, takes less effort, and was not found."""
    build = BUILDS[name]()
    found = recommend_remedies(build)
    least = min((each.effort for each in found.good), default=Effort.BUYING)
    picture = None if carries_picture(build) else fitting_picture(build)
    began, trial, better, tried = time.process_time(), Trial(None, None), [], 0
    few, many = cheaper(build, least), everything(build, least)
    for measures in (*few, *many):
        larger = any(lever.key == RATING for measure in measures for lever in measure.levers)
        space = Space(build, measures, None if larger else picture)
        designs = at_its_most(space, DESIGNS, 987) if measures in many else first_rungs(space.levers, DESIGNS, 987)
        tried += len(designs)
        for each in trial.candidates(space, designs, POINTS, TRIED)[:BEST]:
            if each.share >= WANTED and spread(each.build, runs=512, seed=55).boots.value >= WANTED:
                better.append(", ".join(sorted(each.names)) or "the program alone")
    took = round(time.process_time() - began)
    row = (name, least.words, len(few) + len(many), tried, trial.runs, took, "; ".join(better) or "none")
    print(f"| {' | '.join(map(str, row))} |", flush=True)
    return better


def main(names: list[str]) -> int:
    """Search builds."""
    print(f"| {' | '.join(HEADS)} |\n|{' --- |' * len(HEADS)}", flush=True)
    return int(any([missed(name) for name in names or BUILDS]))


if __name__ == "__main__":
    sys.exit(call(main, __doc__, names=BUILDS))
