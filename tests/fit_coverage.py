"""How often the stated intervals hold the truth on captures with defects: ``python -m tests.fit_coverage N [FIRST]``.

Each capture is a run of a reference build seen by an instrument with none, one or two random defects, and is fitted
from values that are off. Counted by capture, since keys of one capture err together: a capture's share of intervals
that hold the truth. Determinable is a key whose error, by the slopes at the truth and with the instrument's usual
accuracy, is below a tenth of its value.
"""

import argparse
import time
from dataclasses import dataclass, field

import numpy as np
from scipy.signal import lfilter

from inrushlib.errors import BuildError, TraceError
from inrushlib.startup import hold_lumps, run_curves
from inrushlib.trace.averages import Integrals
from inrushlib.trace.fit.censoring import Samples
from inrushlib.trace.fit.fit import fit_build
from inrushlib.trace.fit.problem import Problem
from inrushlib.trace.fit.report import _known
from inrushlib.trace.fit.status import Status
from inrushlib.trace.prepare import Measured, sample_noise

from .trace import made

BUILDS = ("0100", "0101", "0103", "0114", "0117", "0122", "0126", "0130", "1006", "1016", "1032", "1417")
KEYS = (*made.KEYS, "lead.resistance", "pixel.channel_resistance", "bus.bulk", "adapter.soft_start")
HELD = {None: "", True: " in", False: " OUT"}
DETERMINABLE = 0.1
HALF_WIDTHS = 3.0
TOLD_EVERY = 10  # captures


@dataclass
class Bench:
    """What an instrument does to curves: shares of a channel's range in all of the run, seconds, hertz; by channel."""

    gain: dict = field(default_factory=dict)
    zero: dict = field(default_factory=dict)
    bandwidth: dict = field(default_factory=dict)
    rail: dict = field(default_factory=dict)
    amplifier: dict = field(default_factory=dict)
    hum: dict = field(default_factory=dict)
    drift: dict = field(default_factory=dict)
    skew: dict = field(default_factory=dict)
    jitter: float = 0.0
    time_base: float = 0.0
    noise: float = 0.004
    bits: int = 8
    late: float = -0.02  # of the run, where the capture begins
    samples: int = 8000


def seen(build, quantities, bench, seed):
    """The curves of a build as the bench shows them."""
    draw = np.random.default_rng(seed)
    duration = build.run.duration
    times = np.linspace(bench.late, 1.0, bench.samples, endpoint=False) * duration
    interval = times[1] - times[0]
    run = Integrals(run_curves(build, tolerance=1e-7), quantities)
    curves = {}
    instants = times + draw.normal(0.0, bench.jitter * interval + 1e-15, len(times))
    for i, name in enumerate(quantities):
        fine = np.arange(min(times[0], 0.0) - 2e-3, times[-1] + 2e-3, interval / 8)
        curve = run.values(fine)[:, i]
        span = float(np.ptp(curve))
        if i in bench.bandwidth:
            r = interval / 8 * 2 * np.pi * bench.bandwidth[i]
            keep = np.exp(-r)
            now, before = 1.0 - (1.0 - keep) / r, (1.0 - keep) / r - keep
            curve = lfilter([now, before], [1.0, -keep], curve, zi=[(before + keep) * curve[0]])[0]
        at = (instants - bench.skew.get(i, 0.0)) * (1.0 + bench.time_base)
        values = np.interp(at, fine, curve) * (1.0 + bench.gain.get(i, 0.0)) + bench.zero.get(i, 0.0) * span
        values += bench.drift.get(i, 0.0) * span * np.linspace(-0.5, 0.5, len(times))
        if i in bench.hum:
            amplitude, frequency, phase = bench.hum[i]
            values += amplitude * span * np.sin(2 * np.pi * frequency * times + phase)
        top = float(values.max())
        if i in bench.amplifier:
            values = np.minimum(values, bench.amplifier[i] * top)
        values = values + draw.normal(0.0, bench.noise * span, len(times))
        step = 1.25 * span / 2**bench.bits
        values = step * np.rint(values / step)
        if i in bench.rail:
            values = np.minimum(values, step * np.rint(bench.rail[i] * top / step))
        curves[name] = values
    return Measured(times - times[0], curves, {q: sample_noise(v) for q, v in curves.items()}, 0, "made")


DEFECTS = ("gain", "zero", "bandwidth", "rail", "amplifier", "jitter", "hum", "skew", "drift", "late")


def afflicted(bench, defect, channel, draw):
    """Put a random defect of a kind on a bench."""
    sign = draw.choice([-1.0, 1.0])
    if defect == "gain":
        bench.gain[channel] = sign * draw.uniform(0.01, 0.05)
    elif defect == "zero":
        bench.zero[channel] = sign * draw.uniform(0.002, 0.02)
    elif defect == "bandwidth":
        bench.bandwidth[channel] = 10 ** draw.uniform(3, 5)
    elif defect in ("rail", "amplifier"):
        getattr(bench, defect)[channel] = draw.uniform(0.7, 0.97)
    elif defect == "jitter":
        bench.jitter = draw.uniform(0.05, 0.5)
    elif defect == "hum":
        bench.hum[channel] = (draw.uniform(0.003, 0.03), draw.choice([100.0, 120.0]), draw.uniform(0, 6.28))
    elif defect == "skew":
        bench.skew[channel] = sign * draw.uniform(10e-6, 60e-6)
    elif defect == "drift":
        bench.drift[channel] = sign * draw.uniform(0.005, 0.05)
    else:
        bench.late = draw.uniform(0.01, 0.2)


@dataclass(frozen=True)
class Case:
    """One made capture, and the fit's question."""

    true: object
    start: object
    measured: Measured
    keys: tuple
    defects: tuple


def case(seed, builds=BUILDS, most_keys=4, samples=8000):
    """The random case of a seed."""
    draw = np.random.default_rng([20, seed])
    true = hold_lumps(made.reference(str(draw.choice(builds))))
    keys = [key for key in KEYS if isinstance(true.get(key), float) and true.get(key) > 0]
    keys = tuple(str(k) for k in draw.choice(keys, draw.integers(most_keys // 2, most_keys + 1), replace=False))
    quantities = ("bus_voltage", "lead_current")
    if draw.uniform() < 0.15:
        quantities = (str(draw.choice(quantities)),)
    bench = Bench(bits=int(draw.integers(6, 13)), noise=10 ** draw.uniform(-3, -2), time_base=draw.normal(0, 3e-5))
    bench.samples = samples
    defects = tuple(str(d) for d in draw.choice(DEFECTS, draw.choice(3, p=[0.35, 0.45, 0.2]), replace=False))
    for defect in defects:
        afflicted(bench, defect, int(draw.integers(len(quantities))), draw)
    away = draw.normal(0.0, 0.2, len(keys))
    return Case(true, _started(true, away, keys), seen(true, quantities, bench, seed), keys, defects)


def _started(true, away, keys):
    """The build that a fit starts from, ``away`` from the truth [logarithm]; half as far where there is none such."""
    try:
        return made.moved(true, np.exp(away), keys)
    except BuildError:
        return _started(true, 0.5 * away, keys)


def determinable(found):
    """Which keys the capture could tell, by the slopes at the truth."""
    problem = Problem(found.true, Samples.of(found.measured), found.keys)
    problem.use(2000, 1e-5)
    point = problem.point(np.zeros(len(found.keys)), problem.seen.nothing(float(-0.02 * found.true.run.duration)))
    problem.set_steps(problem.slopes(point))
    return _known(problem, point)[1].errors < DETERMINABLE


def judged(found):
    """The fit, and for each key: status, whether the interval holds the truth, half widths away."""
    fit = fit_build(found.start, found.measured, found.keys)
    rows = []
    for key, told in fit.keys.items():
        truth, interval = found.true.get(key), told.interval
        if interval is None or told.status is Status.WITHHELD:
            rows.append((told.status, None, 0.0))
            continue
        low, high = interval
        inside = (low is None or low <= truth) and (high is None or truth <= high)
        half = 0.5 * (high - low) if low is not None and high is not None else np.nan
        rows.append((told.status, inside, abs(told.value - truth) / half))
    return fit, rows


@dataclass
class Tally:
    """What the captures so far have shown."""

    shares: dict = field(default_factory=lambda: {0: [], 1: [], 2: []})  # inside their interval, by number of defects
    could: int = 0
    did: int = 0
    wrong: list = field(default_factory=list)  # seeds, one for each value
    alarms: int = 0
    refused: list = field(default_factory=list)  # seeds of captures that tell nothing, and are said to
    times: list = field(default_factory=list)

    def add(self, seed, found, fit, rows, can, spent):
        """Count one capture."""
        told = [row for row in rows if row[1] is not None]
        if told:
            self.shares[len(found.defects)].append(np.mean([row[1] for row in told]))
        self.could += int(can.sum())
        self.did += sum(bool(c) and row[0] is Status.INTERVAL for c, row in zip(can, rows, strict=True))
        self.alarms += bool(fit.alarm)
        if not fit.alarm:
            self.wrong += [seed for row in rows if row[2] > HALF_WIDTHS]
        self.times.append(spent)

    def lines(self):
        """It in words."""
        few = self.shares[0] + self.shares[1]
        for name, some in (("no or one defect", few), ("two defects", self.shares[2])):
            if some:
                away = np.std(some) / len(some) ** 0.5
                yield f"{name}: intervals hold the truth in {np.mean(some):.1%} +- {away:.1%} of {len(some)} captures"
        yield f"determined: {self.did} of {self.could} determinable values; alarms: {self.alarms}"
        yield f"off by over {HALF_WIDTHS:g} half widths, no alarm: {len(self.wrong)} {sorted(set(self.wrong))}"
        yield f"refused, as they tell nothing: {len(self.refused)} {self.refused}"
        yield f"processor time: median {np.median(self.times):.1f} s, most {max(self.times):.1f} s"


def described(seed, found, fit, rows, can, spent):
    """One capture in words."""
    words = [
        f"{key}={told.value / found.true.get(key) - 1:+.3%}{HELD[row[1]]}"
        f" {row[0].value}{'' if c else ' (not determinable)'} {row[2]:.2f}"
        for (key, told), row, c in zip(fit.keys.items(), rows, can, strict=True)
    ]
    causes = [finding.cause.value for finding in fit.alarm], [finding.cause.value for finding in fit.remedied]
    head = f"{seed} {found.true.title} {found.defects} {tuple(found.measured.curves)} {spent:.1f} s {fit.runs} runs"
    return "\n    ".join((head, *map(str, causes), *words))


def main():
    p = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    p.add_argument("count", type=int)
    p.add_argument("first", type=int, nargs="?", default=1)
    p.add_argument("--say", action="store_true", help="each capture, too")
    options = p.parse_args()
    tally = Tally()
    for seed in range(options.first, options.first + options.count):
        found = case(seed)
        began = time.process_time()
        try:
            fit, rows = judged(found)
        except TraceError as error:
            tally.refused.append(seed)
            print(f"{seed} refused: {error}", flush=True)
            continue
        spent = time.process_time() - began
        seen_as = (seed, found, fit, rows, determinable(found), spent)
        tally.add(*seen_as)
        if options.say:
            print(described(*seen_as), flush=True)
        if len(tally.times) % TOLD_EVERY == 0:
            # A run that is ended early has said what it found.
            print(f"{len(tally.times)} captures, to seed {seed}", *tally.lines(), sep="\n  ", flush=True)
    print(f"{len(tally.times)} captures, from seed {options.first} on", *tally.lines(), sep="\n  ")


if __name__ == "__main__":
    main()
