"""Make the captures of sample_traces from their recipes: ``python tests/make_captures.py``.

A capture is a run of the model with noise and the steps of an 8-bit scope. It is made, not measured.
"""

import tomllib
from pathlib import Path

import numpy as np

from inrushlib.build import load_build
from inrushlib.quantities import parse_quantity
from inrushlib.startup import simulate

ROOT = Path(__file__).resolve().parent.parent
TRACES = ROOT / "sample_traces"
STEPS = 256


def capture(recipe_path):
    """Time [s] and channels of a recipe, as the scope would have them."""
    recipe = tomllib.loads(recipe_path.read_text(encoding="utf-8"))
    scope = recipe["scope"]
    build = load_build(ROOT / recipe["build"]).with_values(recipe["changed"])
    first, interval, trigger = (parse_quantity(scope[key], "s") for key in ("first", "interval", "trigger_at"))
    time = first + interval * np.arange(scope["samples"])
    curves = simulate(build, tolerance=1e-6).at(time)
    noise = np.random.default_rng(scope["seed"])
    channels = {}
    for name, settings in recipe["channel"].items():
        unit = "A" if name.endswith("current") else "V"
        step = parse_quantity(settings["range"], unit) / STEPS
        noisy = curves[name] + noise.normal(0.0, parse_quantity(settings["noise"], unit), len(time))
        channels[f"{name} [{unit}]"] = step * np.clip(np.rint(noisy / step), 0, STEPS - 1)
    return time - trigger, channels


def text_of(recipe_path):
    """The CSV of a recipe."""
    time, channels = capture(recipe_path)
    lines = [",".join(["time [us]", *channels])]
    for i, t in enumerate(time):
        lines.append(",".join([f"{t * 1e6:.0f}", *(f"{values[i]:.5g}" for values in channels.values())]))
    return "\n".join(lines) + "\n"


def csv_of(recipe_path):
    """The capture that belongs to a recipe."""
    return recipe_path.with_name(recipe_path.name.replace(".recipe.toml", ".csv"))


if __name__ == "__main__":
    for path in sorted(TRACES.glob("*.recipe.toml")):
        csv_of(path).write_text(text_of(path), encoding="utf-8")
        print(csv_of(path).name)
