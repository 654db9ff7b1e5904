"""Run the compiled model on a build, and read its record.

``drive``
    the whole run: status, state, mode, switchings, kept steps
``Record.at``
    all states at any instants, from the kept steps' cubics
``Record.peak``
    the largest value of one state, with its instant
``modes``
    the stretches between switchings and what was switched how in each, from the record alone
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from inrushlib.build import Build
from inrushlib.model import layout as at
from inrushlib.model import run as model_run
from inrushlib.model.decided import UNTIL_END
from inrushlib.startup.pack import Packed, pack

from .equations import Mode, lumps


@dataclass
class Record:
    """A finished run."""

    build: Build
    packed: Packed
    status: int
    y: np.ndarray
    m: np.ndarray
    q: np.ndarray
    log: np.ndarray
    kept: np.ndarray
    out: np.ndarray

    @property
    def states(self) -> int:
        return len(self.y)

    def _cubics(self, rows):
        n = self.states
        base = at.KEPT_STATE
        return (self.kept[rows, base + i * n : base + (i + 1) * n] for i in range(4))

    def at(self, times) -> np.ndarray:
        """States at the given instants, one row each; at a switching, the state that carries on."""
        times = np.asarray(times, dtype=float)
        starts = self.kept[:, 0]
        rows = np.clip(np.searchsorted(starts, times, side="right") - 1, 0, len(starts) - 1)
        y0, y1, c1, c2 = self._cubics(rows)
        x = np.minimum((times - starts[rows]) / self.kept[rows, 1], self.kept[rows, 2])[:, None]
        return y0 * (1 - x) + x * (y1 + (1 - x) * (c1 + x * c2))

    def times(self, points: int) -> np.ndarray:
        """``points`` instants in every kept step, its start included and its end not, and the end."""
        share = np.arange(points) / points
        start, size, end = self.kept[:, 0], self.kept[:, 1], self.kept[:, 2]
        inner = start[:, None] + share[None, :] * (size * end)[:, None]
        return np.append(inner.ravel(), start[-1] + size[-1] * end[-1])

    def peak(self, state: int, points: int = 64) -> tuple[float, float]:
        """Largest value of a state and its instant [s], on the finely sampled cubics."""
        times = self.times(points)
        values = self.at(times)[:, state]
        i = int(np.argmax(values))
        return float(values[i]), float(times[i])

    def first_reach(self, state: int, level: float) -> float:
        """First instant [s] at which a rising state reaches a level, by bisection on the cubics."""
        times = self.times(8)
        values = self.at(times)[:, state]
        i = int(np.argmax(values >= level))
        assert values[i] >= level, "never reached"
        low, high = times[max(i - 1, 0)], times[i]
        for _ in range(60):
            mid = 0.5 * (low + high)
            low, high = (low, mid) if self.at([mid])[0, state] >= level else (mid, high)
        return high

    def instants(self, code: int) -> np.ndarray:
        """When a switching of this code happened [s]."""
        return self.log[self.log[:, 1] == code, 0]


def drive(build: Build, tolerance: float = 1e-5, rows: int = 50_000) -> Record:
    """Run a build; asserts only that there was room for the record."""
    packed = pack(build)
    count = len(packed.lumps)
    n = at.CORE + count
    y, m, q = np.zeros(n), np.zeros(at.MODES), np.zeros((count, at.LUMP_MODES))
    log = np.zeros((20_000, 3))
    kept = np.zeros((rows, at.KEPT_STATE + 4 * n + count))
    out = np.zeros(model_run.OUTS)
    status = model_run.run(
        packed.parts, packed.lumps, packed.interruptions, tolerance, 1e6, 1e5, UNTIL_END, y, m, q, log, kept, out
    )
    steps, switchings = int(out[model_run.KEPT]), int(m[at.SWITCHINGS])
    assert steps <= rows
    assert switchings <= len(log)
    return Record(build, packed, status, y, m, q, log[:switchings], kept[:steps], out)


@dataclass
class Stretch:
    """One smooth piece of a run."""

    start: float
    end: float
    mode: Mode
    over: bool
    reset: bool
    holding: bool  # in reset, the rail at or above the level that ends it
    above: tuple[bool, ...]  # each lump counts as at or above its listen level
    shows: tuple[bool, ...]  # each lump shows a frame


class _Switched:
    """What is switched how, following the list of switchings."""

    def __init__(self, build: Build):
        self.build = build
        a = build.adapter
        self.peak = a.limit_current if a.peak_current is None else a.peak_current
        self.on, self.over, self.t_on = True, False, (-np.inf if build.run.start == "plug" else 0.0)
        self.top, self.low_since = self.peak, 0.0
        self.reset, self.gate_low, self.state, self.burst = True, False, build.controller.reset_current, 0.0
        self.holding, self.boot_peak = False, 0.0
        self.colours = [build.pixel.power_on, build.firmware.first_frame, build.firmware.content]
        self.frame = 1
        count = len(lumps(build).pixels)
        self.duties = [build.pixel.power_on] * count
        self.above, self.shows = [False] * count, [False] * count

    def adapter(self, t: float, code: int) -> None:
        match code:
            case at.E_OVER:
                self.over = True
            case at.E_NOT_OVER:
                self.over, self.top = False, self.peak
            case at.E_ALLOWANCE_SPENT:
                self.top = self.build.adapter.limit_current
            case at.E_TRIP | at.E_MAINS_OFF:
                self.on, self.over, self.top = False, False, self.peak
            case at.E_RETRY | at.E_MAINS_ON:
                self.on, self.t_on = True, t

    def controller(self, t: float, code: int) -> None:
        c = self.build.controller
        match code:
            case at.E_RAIL_UP | at.E_RAIL_DIP:
                self.holding = code == at.E_RAIL_UP
            case at.E_BOOT_PEAK_START | at.E_BOOT_PEAK_END:
                self.boot_peak = c.boot_peak_current if code == at.E_BOOT_PEAK_START else 0.0
            case at.E_RESET_RELEASE:
                self.reset, self.holding, self.state = False, False, c.boot_current
            case at.E_BROWN_OUT:
                self.reset, self.state, self.burst, self.gate_low = True, c.reset_current, 0.0, False
            case at.E_RUN:
                self.state = c.run_current
            case at.E_GATE_LOW:
                self.gate_low, self.low_since = True, t
            case at.E_BURST_START:
                self.burst = c.burst_current
            case at.E_BURST_END:
                self.burst = 0.0

    def sections(self, code: int, index: int) -> None:
        match code:
            case at.E_FRAME_START:
                self.frame = index
            case at.E_ABOVE:
                self.above[index] = True
            case at.E_DEAF:
                self.above[index] = False
            case at.E_SHOWS:
                self.duties[index], self.shows[index] = self.colours[self.frame], True
            case at.E_FORGETS:
                self.duties[index], self.shows[index] = self.colours[0], False

    def stretch(self, start: float, end: float) -> Stretch:
        mode = Mode(
            self.on, self.t_on, self.top, self.gate_low, self.state + self.burst + self.boot_peak, list(self.duties),
            self.low_since,
        )  # fmt: skip
        return Stretch(start, end, mode, self.over, self.reset, self.holding, tuple(self.above), tuple(self.shows))


def _cuts(record: Record) -> list[float]:
    """Where anything switches or a ramp ends [s]."""
    build = record.build
    cuts = {0.0, float(build.run.duration), *record.log[:, 0]}
    if build.controller.feed == "own":
        cuts.add(1e-3)
    for instant in (0.0, *record.instants(at.E_RETRY), *record.instants(at.E_MAINS_ON)):
        cuts.add(instant + build.adapter.soft_start)
    return sorted(x for x in cuts if x <= build.run.duration)


def modes(record: Record) -> list[Stretch]:
    """Smooth stretches, rebuilt from the list of switchings and the build alone."""
    switched = _Switched(record.build)
    stretches = []
    row = 0
    for start, end in pairwise(_cuts(record)):
        while row < len(record.log) and record.log[row, 0] <= start:
            t, code, index = record.log[row]
            row += 1
            switched.adapter(t, int(code))
            switched.controller(t, int(code))
            switched.sections(int(code), int(index))
        if end - start > 1e-12:
            stretches.append(switched.stretch(start, end))
    return stretches
