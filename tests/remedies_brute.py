"""A dense joint search against the remedies: is there something a class of effort cheaper that they missed?

    python -m tests.remedies_brute [BUILD ...]

Every set of up to two measures cheaper than the recommended one is tried at DESIGNS designs of a net of its own, those
that boot nominally at POINTS points of their ranges. Exit status 1 where one boots in 95 % of 512 other runs.
"""

import sys

from inrushlib.odds import spread
from inrushlib.remedies import recommend_remedies
from inrushlib.remedies.designs import Space, first_rungs
from inrushlib.remedies.effort import Effort
from inrushlib.remedies.measures import SINGLE, measures_of
from inrushlib.remedies.picture import carries_picture, fitting_picture
from inrushlib.remedies.trial import Trial

from .remedies_study import BUILDS

DESIGNS, POINTS, TRIED = 256, 32, 32
WANTED = 0.95


def cheaper(build, most: Effort):
    """Sets of measures below an effort."""
    some = [m for m in measures_of(build) if m.name not in SINGLE and m.effort < most]
    pairs = [(a, b) for i, a in enumerate(some) for b in some[i + 1 :] if a.goes_with(b)]
    return [(), *((m,) for m in some), *pairs] if most > Effort.FIRMWARE else []


def missed(name: str) -> list[str]:
    """Return what boots often enough, takes less effort, and was not found."""
    build = BUILDS[name]()
    found = recommend_remedies(build)
    least = min((each.effort for each in found.good), default=Effort.BUYING)
    picture = None if carries_picture(build) else fitting_picture(build)
    trial, better = Trial(None, None), []
    for measures in cheaper(build, least):
        space = Space(build, measures, picture)
        for each in trial.candidates(space, first_rungs(space.levers, DESIGNS, 987), POINTS, TRIED)[:2]:
            if each.share >= WANTED and spread(each.build, runs=512, seed=55).boots.value >= WANTED:
                better.append(", ".join(sorted(each.names)) or "the program alone")
    print(f"{name}: recommended at {least.name}; {trial.runs} starts; cheaper: {better or 'none'}", flush=True)
    return better


def main(names: list[str]) -> int:
    """Search builds."""
    return int(any([missed(name) for name in names or BUILDS]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
