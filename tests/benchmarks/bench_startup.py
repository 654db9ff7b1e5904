"""Speed of a start-up against scipy's methods at equal error, printed as ratios within one run.

Run with ``pytest tests/benchmarks/bench_startup.py -s``; nothing here fails on a slow machine.

scipy is given what it can use: the same compiled right-hand side, made explicit (``C^-1 f``) in
compiled code; a compiled dense Jacobian; and the list of switchings that our run has to find, along which
it is driven from one to the next. It is each of ``solve_ivp``'s stiff methods, and ``odeint``, whose loop is
compiled. These have the switchings for free. "LSODA, watching" has the same job as ours: it also watches
the thresholds, as events; ``odeint`` could not. For each the loosest tolerance
is taken whose error is not above ours. Errors are those against Radau at 1e-11 over the same stretches,
at 9 instants in each, largest of all states in units of 1 + |y|.
"""

from functools import cache, partial
from itertools import pairwise
from time import perf_counter

import numba
import numpy as np
import pytest
from scipy.integrate import odeint, solve_ivp

from inrushlib.build import new_build
from inrushlib.model import circuit
from inrushlib.model import layout as at
from inrushlib.model import run as model_run
from inrushlib.model.dense_output import restore
from inrushlib.startup.simulate import run_curves

from ..model import equations as eq
from ..model.driving import drive
from .quick import QUICK, rounds

TOLERANCE = 1e-5  # the library's own
LADDER = 10.0 ** np.arange(-4.0, -9.01, -0.25)
DURATION = 0.2 if QUICK else 1.0  # [s]; the shorter one ends after the switch has closed
EXACT = 1e-8 if QUICK else 1e-11
METHODS = ["LSODA, watching", "odeint"] if QUICK else ["LSODA", "LSODA, watching", "BDF", "Radau", "odeint"]
POINTS = np.arange(1, 10) / 9
FRAMES = ("first_frame", "content")


def build():
    """Six sections behind a switch that the running program turns on; frames and radio bursts all along."""
    return new_build(
        {
            "title": "benchmark", "adapter.rated_current": 3, "adapter.peak_current": 5, "adapter.peak_time": 1e-3,
            "bus.bulk": 470e-6, "panel.bulk": 220e-6, "switch.gate_resistance": 10e3,
            "switch.gate_drain_capacitance": 10e-9, "switch.pullup_resistance": 100e3,
            "controller.feed_diode": True, "controller.reservoir": 470e-6, "controller.burst_current": 0.25,
            "firmware.refresh_interval": 0.1, "firmware.content_delay": 0.3, "firmware.first_frame_delay": 0.05,
            "wiring.sections": 6, "wiring.pixels_per_section": 64, "wiring.feeds": [2], "run.duration": DURATION,
        }
    )  # fmt: skip


@numba.njit(error_model="numpy")
def explicit(t, y, p, s, m, q, inverse, f, d, out):
    """``C^-1 f``: C is diagonal but for bus, gate and root."""
    circuit.derivative(t, y, p, s, m, q, f, d)
    for j in range(y.shape[0]):
        out[j] = inverse[j, j] * f[j]
    for i in (at.V_B, at.V_G, at.V_R):
        out[i] = inverse[i, at.V_B] * f[at.V_B] + inverse[i, at.V_G] * f[at.V_G] + inverse[i, at.V_R] * f[at.V_R]


@numba.njit(error_model="numpy")
def explicit_slopes(t, y, p, s, m, q, inverse, f, d, out):
    """``C^-1 df/dy``, dense, from the same slopes as the library's own solve takes."""
    circuit.derivative(t, y, p, s, m, q, f, d)
    j = np.zeros((y.shape[0], y.shape[0]))
    j[at.V_O, at.V_O], j[at.V_O, at.I_L] = d[circuit.REG_O] - 1.0 / p.adapter_bleed_resistance, -1.0
    j[at.I_L, at.V_O], j[at.I_L, at.V_B], j[at.I_L, at.I_L] = 1.0, -1.0, -p.lead_resistance
    for row, sign in ((at.V_B, -1.0), (at.V_R, 1.0)):
        j[row, at.V_B] += sign * d[circuit.SW_B]
        j[row, at.V_G] += sign * d[circuit.SW_G]
        j[row, at.V_R] += sign * d[circuit.SW_R]
    pull = 1.0 / p.switch_pullup_resistance
    j[at.V_B, at.I_L] = 1.0
    j[at.V_B, at.V_B] -= pull + d[circuit.CTRL_IN]
    j[at.V_B, at.V_G] += pull
    j[at.V_B, at.V_H] -= d[circuit.CTRL_H]
    j[at.V_G, at.V_B] = pull
    j[at.V_G, at.V_G] = -pull - m[at.GATE_LOW] / p.switch_gate_resistance - d[circuit.CLAMP_G]
    j[at.V_G, at.V_3] = -d[circuit.CLAMP_3]
    j[at.V_3, at.V_G] = d[circuit.CLAMP_G]
    for node, inner, g in (
        (at.V_B, at.V_BB, (p.bus_bulk > 0.0) / p.bus_bulk_esr),
        (at.V_R, at.V_RB, (p.panel_bulk > 0.0) / p.panel_bulk_esr),
    ):
        j[node, node] -= g
        j[node, inner] += g
        j[inner, node] += g
        j[inner, inner] -= g
    j[at.V_H, at.V_B] = d[circuit.CTRL_IN]
    j[at.V_H, at.V_H] = d[circuit.CTRL_H] - d[circuit.REG3_H]
    j[at.V_H, at.V_3] = -d[circuit.REG3_3]
    j[at.V_3, at.V_H] = d[circuit.REG3_H]
    j[at.V_3, at.V_3] = d[circuit.REG3_3] - d[circuit.LOAD_3] + d[circuit.CLAMP_3]
    for k in range(s.shape[0]):
        v = at.CORE + k
        j[v, v] -= d[circuit.SLOPES + k] + s[k, at.FEED]
        j[v, at.V_R] += s[k, at.FEED]
        j[at.V_R, v] += s[k, at.FEED]
        j[at.V_R, at.V_R] -= s[k, at.FEED]
        if k + 1 < s.shape[0]:
            j[v, v] -= s[k, at.HOP]
            j[v, v + 1] += s[k, at.HOP]
            j[v + 1, v] += s[k, at.HOP]
            j[v + 1, v + 1] -= s[k, at.HOP]
    for i in range(y.shape[0]):
        for k in range(y.shape[0]):
            out[i, k] = inverse[i, i] * j[i, k]
    for i in (at.V_B, at.V_G, at.V_R):
        for k in range(y.shape[0]):
            out[i, k] = (
                inverse[i, at.V_B] * j[at.V_B, k]
                + inverse[i, at.V_G] * j[at.V_G, k]
                + inverse[i, at.V_R] * j[at.V_R, k]
            )


class Contest:
    """One build, its stretches from our own run, and what all methods are measured against."""

    def __init__(self, contested=None, tolerance=TOLERANCE, exact=EXACT):
        self.record = record = drive(contested or build(), tolerance)
        self.p, self.s = record.packed.parts, record.packed.lumps
        self.n = n = record.states
        mass = np.zeros((n, n))
        for j in range(n):
            column = np.zeros(n)
            circuit.mass_product(np.eye(n)[j], self.p, self.s, column)
            mass[:, j] = column
        self.inverse = np.linalg.inv(mass)
        self.f, self.d = np.empty(n), np.empty(circuit.SLOPES + len(self.s))
        self.stretches = self.stretches_of(record)
        self.exact = self.by_solve_ivp("Radau", exact)

    def stretches_of(self, record):
        """From one switching or end of a ramp to the next: start, end, modes, instants to compare at."""
        kept = record.kept
        base = at.KEPT_STATE
        modes = np.hstack([kept[:, 3:base], kept[:, base + 4 * self.n :]])
        changed = np.flatnonzero((modes[1:] != modes[:-1]).any(axis=1)) + 1
        switched = np.searchsorted(kept[:, 0], record.log[:, 0])
        cuts = sorted({0, len(kept), *changed, *switched})
        stretches = []
        for first, last in pairwise(cuts):
            start = kept[first, 0]
            end = kept[last, 0] if last < len(kept) else record.build.run.duration
            m = np.full(at.MODES, np.inf)
            m[at.KEPT_MODES] = kept[first, 3:base]
            q = np.zeros((len(self.s), at.LUMP_MODES))
            q[:, at.SHOWS] = kept[first, base + 4 * self.n :]
            times = np.minimum(start + (end - start) * POINTS, end)
            times[-1] = end
            stretches.append((start, end, m, q, times))
        return stretches

    def ours(self, record=None):
        """A run's states at the instants compared, from its own kept steps; the contest's own run unless given."""
        stretches = self.stretches if record is None else self.stretches_of(record)
        kept, rows = (record or self.record).kept, []
        starts = kept[:, 0]
        for *_, times in stretches:
            for t in times:
                # The step that ends at or after t: at a stretch's end that is its last one.
                row = max(np.searchsorted(starts, t, side="left") - 1, 0)
                y = np.empty(self.n)
                restore(kept[row], min((t - starts[row]) / kept[row, 1], kept[row, 2]), y)
                rows.append(y)
        return np.array(rows)

    def functions(self, m, q):
        p, s, inverse, f, d, n = self.p, self.s, self.inverse, self.f, self.d, self.n

        def rate(t, y):
            out = np.empty(n)
            explicit(t, y, p, s, m, q, inverse, f, d, out)
            return out

        def slopes(t, y):
            out = np.empty((n, n))
            explicit_slopes(t, y, p, s, m, q, inverse, f, d, out)
            return out

        return rate, slopes

    def thresholds(self, m):
        """What our run watches: the over flag, the rail's levels, each section's listen and forget levels."""
        p = self.p

        def over(t, y):
            v_ref, _ = circuit.reference_voltage(t, p, m)
            return circuit.regulated(v_ref, y[at.V_O], m[at.TOP], p)[0] - 0.97 * p.adapter_limit_current

        def level(j, volts):
            return lambda t, y: y[j] - volts

        found = [over, level(at.V_3, p.controller_brownout_rising), level(at.V_3, p.controller_brownout_falling)]
        for k in range(len(self.s)):
            found += [level(at.CORE + k, p.pixel_listen_voltage), level(at.CORE + k, p.pixel_forget_voltage)]
        return found

    def by_solve_ivp(self, method, tolerance, watching=False):
        y, rows = np.zeros(self.n), []
        for start, end, m, q, times in self.stretches:
            rate, slopes = self.functions(m, q)
            answer = solve_ivp(
                rate, (start, end), y, method=method, jac=slopes, rtol=max(tolerance, 1e-12), atol=tolerance,
                t_eval=times, events=self.thresholds(m) if watching else None,
            )  # fmt: skip
            y = answer.y[:, -1]
            rows += list(answer.y.T)
        return np.array(rows)

    def by_odeint(self, tolerance):
        y, rows = np.zeros(self.n), []
        for start, end, m, q, times in self.stretches:
            rate, slopes = self.functions(m, q)
            answer = odeint(
                rate, y, [start, *times], Dfun=slopes, tfirst=True, rtol=tolerance, atol=tolerance, tcrit=[end],
                mxstep=100_000,
            )  # fmt: skip
            y = answer[-1]
            rows += list(answer[1:])
        return np.array(rows)

    def error(self, states):
        return (np.abs(states - self.exact) / (1 + np.abs(self.exact))).max()


@cache
def usual_contest():
    """The contest on the build above; what it compiles and its exact answer serve the whole process."""
    return Contest()


@pytest.fixture
def contest():
    return usual_contest()


def test_scipy_solves_the_same_equations(contest):
    # Both compiled functions against the equations written a second time, in the middle of three stretches.
    for i in (5, len(contest.stretches) // 2, len(contest.stretches) - 2):
        start, end, m, q, _ = contest.stretches[i]
        t, y = 0.5 * (start + end), contest.exact[9 * i + 4]
        colours = [contest.record.build.pixel.power_on, *(getattr(contest.record.build.firmware, n) for n in FRAMES)]
        mode = eq.Mode(
            bool(m[at.ON]), m[at.T_ON], m[at.TOP], bool(m[at.GATE_LOW]), m[at.LOAD],
            [colours[int(k)] for k in q[:, at.SHOWS]],
        )  # fmt: skip
        rate, slopes = contest.functions(m, q)
        inverse = np.linalg.inv(eq.mass_matrix(contest.record.build))
        expected = inverse @ eq.right_hand_side(contest.record.build, mode, t, y)
        assert rate(t, y) == pytest.approx(expected, rel=1e-6, abs=1e-9 * np.abs(inverse).max())
        expected = inverse @ eq.slopes(contest.record.build, mode, t, y)
        assert np.abs(slopes(t, y) - expected).max() < 1e-9 * np.abs(expected).max()


def our_run():
    """The whole run with its record."""
    return run_curves(build(), tolerance=TOLERANCE)


def test_our_run(benchmark, contest):
    record = contest.record
    curves = benchmark.pedantic(our_run, rounds=rounds(30), warmup_rounds=1)
    ends = curves.at(np.array([DURATION]))
    assert ends["bus_voltage"][0] == pytest.approx(record.y[at.V_B], abs=1e-6)
    print(
        f"\n{contest.n} states, {len(record.log)} switchings, {int(record.out[model_run.STEPS])} steps,"
        f" {1e3 * benchmark.stats.stats.min:.2f} ms, error {contest.error(contest.ours()):.1e}"
    )


@pytest.mark.parametrize("method", METHODS)
def test_scipy(benchmark, contest, method):
    aim = contest.error(contest.ours())
    name, _, more = method.partition(", ")
    solve = contest.by_odeint if method == "odeint" else partial(contest.by_solve_ivp, name, watching=bool(more))
    tolerance, error = next(
        (tolerance, error) for tolerance in LADDER if (error := contest.error(solve(tolerance))) <= aim
    )
    best = []

    def time_ours():
        # Right before each round of scipy's, so that a busy machine slows both.
        start = perf_counter()
        for _ in range(5):
            our_run()
        best.append((perf_counter() - start) / 5)

    benchmark.pedantic(solve, args=(tolerance,), setup=time_ours, rounds=rounds(6))
    theirs = benchmark.stats.stats.min
    print(
        f"\n{method} at {tolerance:.1e}: {1e3 * theirs:.1f} ms, error {error:.1e};"
        f" ours {1e3 * min(best):.2f} ms, {theirs / min(best):.1f} times faster"
    )
    assert error <= aim
