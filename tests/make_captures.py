"""Make the captures of sample_traces from their recipes: ``python -m tests.make_captures``.

A capture is a run of the model as a scope would have shown it: through a bandwidth limit, at instants that
jitter, with the channel's offset and noise, in the 256 steps of an 8-bit converter. It is made, not measured.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.signal import lfilter

from inrushlib.build import load_build
from inrushlib.quantities import parse_quantity
from inrushlib.startup import hold_lumps, simulate
from tests.command_line import call

ROOT = Path(__file__).resolve().parent.parent
TRACES = ROOT / "sample_traces"
STEPS = 256
BANDWIDTH_POINTS = 8  # instants in one time constant of the bandwidth limit


@dataclass(frozen=True)
class Sampled:
    """One channel as the scope has it."""

    name: str
    unit: str
    codes: np.ndarray
    step: float
    lowest: float
    over_range: np.ndarray

    @property
    def values(self):
        return self.lowest + self.step * self.codes


def recipe_of(csv_path):
    """The recipe beside a capture."""
    return tomllib.loads(csv_path.with_suffix(".recipe.toml").read_text(encoding="utf-8"))


def start_build(recipe):
    """The build as its file says it, where a fit begins."""
    return load_build(ROOT / recipe["build"])


def true_build(recipe):
    """The build that the capture was made from, on as many lumps as a fit that starts from the file takes."""
    return hold_lumps(start_build(recipe)).with_values(recipe["changed"])


def as_seen(run, name, times, bandwidth):
    """A curve at some instants, behind a low pass of first order."""
    tau = 1.0 / (2.0 * np.pi * bandwidth)
    step = tau / BANDWIDTH_POINTS
    grid = np.arange(times.min() - 10 * tau, times.max() + 2 * step, step)
    curve = run.at(grid)[name]
    keep = np.exp(-step / tau)
    passed, _ = lfilter([1.0 - keep], [1.0, -keep], curve, zi=[keep * curve[0]])
    return np.interp(times, grid, passed)


def capture(recipe, seed=None):
    """Times [s], zero at the trigger, and channels of a recipe.

    Another seed gives other noise, and samples that begin somewhere else between two of the recipe's.
    """
    scope = recipe["scope"]
    noise = np.random.default_rng(scope["seed"] if seed is None else seed)
    first, interval, trigger, jitter = (
        parse_quantity(scope[key], "s") for key in ("first", "interval", "trigger_at", "jitter")
    )
    bandwidth = parse_quantity(scope["bandwidth"], "Hz")
    if seed is not None:
        first += interval * noise.uniform()
    time = first + interval * np.arange(scope["samples"])
    instants = time + noise.normal(0.0, jitter, len(time))
    run = simulate(true_build(recipe), tolerance=1e-6)
    channels = []
    for name, settings in recipe["channel"].items():
        quantity = settings["shows"]
        unit = "A" if quantity.endswith("current") else "V"
        full, lowest, offset, scatter = (
            parse_quantity(settings.get(key, 0.0), unit) for key in ("range", "lowest", "offset", "noise")
        )
        step = full / STEPS
        seen = as_seen(run, quantity, instants, bandwidth) + offset + noise.normal(0.0, scatter, len(time))
        codes = np.rint((seen - lowest) / step)
        over = (codes < 0) | (codes >= STEPS)
        channels.append(Sampled(name, unit, np.clip(codes, 0, STEPS - 1), step, lowest, over))
    return time - trigger, channels


def table(columns, delimiter=",", end=""):
    """Rows of cells."""
    return [delimiter.join(row) + end for row in zip(*columns, strict=True)]


def cells(values, form):
    return [format(value, form) for value in values]


def one_header_row(time, channels, _):
    """Names with their units in brackets."""
    head = ",".join(["time [us]", *(f"{c.name} [{c.unit}]" for c in channels)])
    return [head, *table([cells(time * 1e6, ".1f"), *(cells(c.values, ".5g") for c in channels)])]


def units_row(time, channels, _):
    """Names, units in a row of their own, a blank line; a comma at every end."""
    head = [",".join(["Time", *(c.name for c in channels)]) + ","]
    head += [",".join(["(ms)", *(f"({c.unit})" for c in channels)]) + ",", ""]
    return head + table([cells(time * 1e3, ".4f"), *(cells(c.values, ".4f") for c in channels)], end=",")


def decimal_comma(time, channels, _):
    """Semicolons, and a comma in every number."""
    head = ";".join(["t/ms", *(f"{c.name}/{c.unit}" for c in channels)])
    rows = table([cells(time * 1e3, ".4f"), *(cells(c.values, ".4f") for c in channels)], ";")
    return [head, *(row.replace(".", ",") for row in rows)]


def preamble(time, channels, _):
    """Lines of keys and values, then a table with times in seconds."""
    head = ["Instrument,bench scope", "Coupling,DC", f"Record length,{len(time)}"]
    head += [f"Sample interval,{(time[1] - time[0]) * 1e6:.6g},us", "Acquisition,sample", "Bandwidth limit,on"]
    head += [",".join(["time (s)", *(f"{c.name} ({c.unit})" for c in channels)])]
    return head + table([cells(time, ".6e"), *(cells(c.values, ".4e") for c in channels)])


def interval_only(time, channels, _):
    """No times: interval and start stand in the preamble."""
    head = [f"Sample interval: {(time[1] - time[0]) * 1e6:.6g} us", f"Start: {time[0] * 1e3:.6g} ms"]
    return [
        *head,
        ",".join(f"{c.name} [{c.unit}]" for c in channels),
        *table([cells(c.values, ".5g") for c in channels]),
    ]


def counts(time, channels, _):
    """Counts of the converter, with what one is worth and which of them is zero."""
    head = [f"Sample interval,{(time[1] - time[0]) * 1e6:.6g},us", f"Start,{time[0] * 1e6:.9g},us"]
    head.append(",".join(["Vertical units", *(c.unit for c in channels)]))
    head.append(",".join(["YMULT", *(f"{c.step:.12g}" for c in channels)]))
    head.append(",".join(["YZERO", *(f"{c.lowest:.12g}" for c in channels)]))
    return [*head, ",".join(c.name for c in channels), *table([cells(c.codes, ".0f") for c in channels])]


def tabs(time, channels, _):
    """Tabs between columns, thousandths of volts and amperes."""
    head = "\t".join(["Time (ms)", *(f"{c.name} (m{c.unit})" for c in channels)])
    return [head, *table([cells(time * 1e3, ".4f"), *(cells(c.values * 1e3, ".1f") for c in channels)], "\t")]


def running_number(time, channels, _):
    """A running number in place of times; start and increment in the header rows."""
    head = [",".join(["X", *(c.name for c in channels), "Start", "Increment"])]
    units = ["Volt" if c.unit == "V" else "Ampere" for c in channels]
    head.append(",".join(["Sequence", *units, f"{time[0]:.6e}", f"{time[1] - time[0]:.6e}"]))
    return head + table([cells(range(len(time)), "d"), *(cells(c.values, ".4f") for c in channels)], end=",,")


def quoted(time, channels, over_range):
    """Quoted names; what is over range is a token, not a number."""
    head = ",".join(['"Time [ms]"', *(f'"{c.name} [{c.unit}]"' for c in channels)])
    columns = [
        [over_range if over else cell for cell, over in zip(cells(c.values, ".4f"), c.over_range, strict=True)]
        for c in channels
    ]
    return [head, *table([cells(time * 1e3, ".4f"), *columns])]


LAYOUTS = {
    layout.__name__.replace("_", " "): layout
    for layout in (
        one_header_row, units_row, decimal_comma, preamble, interval_only, counts, tabs, running_number, quoted
    )
}  # fmt: skip


def file_of(recipe, seed=None):
    """The bytes of a recipe's capture."""
    return written(recipe, *capture(recipe, seed))


def written(recipe, time, channels):
    """The bytes of times and channels in a recipe's layout."""
    layout = recipe["layout"]
    lines = LAYOUTS[layout["kind"]](time, channels, layout.get("over_range", ""))
    newline = {"LF": "\n", "CRLF": "\r\n"}[layout.get("line_ends", "LF")]
    return (newline.join(lines) + newline).encode(layout.get("encoding", "utf-8"))


def captures():
    """The paths of all captures, each of which has its recipe."""
    return [path.with_name(path.name.replace(".recipe.toml", ".csv")) for path in sorted(TRACES.glob("*.recipe.toml"))]


def main():
    """Make them all."""
    for path in captures():
        path.write_bytes(file_of(recipe_of(path)))
        print(f"{path.name}: {path.stat().st_size} bytes")


if __name__ == "__main__":
    call(main, __doc__)
