"""How often the true values lie inside the stated intervals: ``python -m tests.fit_study REPEATS [CAPTURE]``.

Each repeat makes a capture of sample_traces anew, with other noise and samples that begin somewhere else, and fits
the values that its recipe changed, from the values of the build file. Printed a key: the share of true values inside
the stated 95 % interval, the bias, and the scatter over the stated error, which is 1 where the errors are right.
"""

import argparse
import time

import numpy as np

from inrushlib.trace import read_trace
from inrushlib.trace.fit.fit import fit_build
from inrushlib.trace.prepare import measure

from . import make_captures


def fitted(recipe, seed=None, keys=None, bootstrap=0):
    """The fit of one repeat."""
    build = make_captures.start_build(recipe)
    trace = read_trace(make_captures.file_of(recipe, seed), name=f"repeat {seed}")
    names = {name: settings["shows"] for name, settings in recipe["channel"].items()}
    return fit_build(build, measure(trace, names, build), keys or list(recipe["changed"]), bootstrap=bootstrap)


def study(recipe, repeats, bootstrap=0):
    """Relative differences from the true values, stated relative errors, inside or not; each (repeats, keys)."""
    true = make_captures.true_build(recipe)
    away, errors, inside = [], [], []
    for seed in range(1, repeats + 1):
        fit = fitted(recipe, seed, bootstrap=bootstrap)
        truth = {key: true.get(key) for key in fit.keys}
        told = {key: f.interval if f.error else (np.nan, np.nan) for key, f in fit.keys.items()}
        away.append([f.value / truth[key] - 1.0 for key, f in fit.keys.items()])
        errors.append([(f.error or np.nan) / f.value for f in fit.keys.values()])
        inside.append([told[key][0] <= truth[key] <= told[key][1] for key in fit.keys])
    return np.array(away), np.array(errors), np.array(inside)


def main():
    p = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    p.add_argument("repeats", type=int)
    p.add_argument("capture", nargs="?", default="tide_panel_boots")
    p.add_argument("--bootstrap", type=int, default=0, metavar="N", help="take the errors from N bootstrap repeats")
    options = p.parse_args()
    recipe = make_captures.recipe_of(make_captures.TRACES / f"{options.capture}.csv")
    began = time.perf_counter()
    away, errors, inside = study(recipe, options.repeats, options.bootstrap)
    print(f"{options.capture}: {options.repeats} repeats in {time.perf_counter() - began:.0f} s")
    print(f"inside the 95 % interval: {100 * inside.mean():.1f} % of all values")
    for i, key in enumerate(recipe["changed"]):
        stated = float(np.sqrt(np.nanmean(errors[:, i] ** 2)))
        print(
            f"  {key:28s} inside {100 * inside[:, i].mean():5.1f} %   bias {100 * away[:, i].mean():+.3f} %"
            f"   scatter {100 * away[:, i].std():.3f} %, {away[:, i].std() / stated:.2f} of the stated error"
        )


if __name__ == "__main__":
    main()
