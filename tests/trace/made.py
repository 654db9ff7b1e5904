"""Captures made of runs of reference builds, plainer than those of make_captures: noise, rounding, a wrong zero."""

from pathlib import Path

import numpy as np

from inrushlib.build import load_build
from inrushlib.startup import run_curves
from inrushlib.trace.prepare import Measured, sample_noise

REFERENCE = Path(__file__).resolve().parent.parent / "reference"
KEYS = ("adapter.limit_current", "adapter.output_resistance", "pixel.channel_current", "controller.boot_time")


def reference(name):
    """A build of tests/reference."""
    return load_build(REFERENCE / f"{name}.toml")


def moved(build, factors, keys=KEYS):
    """The build with keys multiplied."""
    return build.with_values({key: f * build.get(key) for key, f in zip(keys, factors, strict=True)})


def capture(build, quantities, *, window=(0.0, 1.0), count=2000, noise=0.0, levels=0, zero=0.0, late=0.0, seed=0):
    """A window, in shares of the run, as a scope shows it; noise and zero in shares of a curve's range."""
    draw = np.random.default_rng(seed)
    times = np.linspace(*window, count, endpoint=False) * build.run.duration
    curves = {}
    for name in quantities:
        values = run_curves(build, tolerance=1e-7).at(np.maximum(times, 0.0))[name]
        span = np.ptp(values)
        values = values + zero * span + draw.normal(0.0, noise * span, count)
        if levels:
            step = 1.25 * span / levels
            values = step * np.rint(values / step)
        curves[name] = values
    return Measured(times - late, curves, {q: sample_noise(v) for q, v in curves.items()}, 0, "made")
