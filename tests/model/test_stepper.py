"""The step's coefficients against the order conditions, its order by halving, its error rule.

The conditions are those of Rosenbrock methods in E. Hairer and G. Wanner, Solving Ordinary
Differential Equations II, 2nd ed. (1996), section IV.7 (there for order 4; here written with the
diagonal of gamma included). The coefficients of the library stand in the transformed form of that
section: Gamma = (1/gamma - C)^-1, alpha = A Gamma, b = m Gamma.
"""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.model import circuit, stepper
from inrushlib.model import layout as at
from inrushlib.model import run as model_run
from inrushlib.startup.pack import pack

from . import equations as eq

STAGES = stepper.STAGES
# The coefficients are given with 13 to 16 digits, some of them near 40.
DIGITS = 1e-11


def square(rows):
    """A lower triangle of a stage's rows as a full matrix."""
    full = np.zeros((STAGES, STAGES))
    full[:, : rows.shape[1]] = rows
    return full


GAMMA = np.linalg.inv(np.eye(STAGES) / stepper.GAMMA - square(stepper.C))
ALPHA = square(stepper.A) @ GAMMA
BETA = ALPHA + GAMMA
ALPHA_SUM, BETA_SUM = ALPHA.sum(axis=1), BETA.sum(axis=1)


def weights(of_stages):
    return np.asarray(of_stages) @ GAMMA


NEW = weights([*stepper.A[5], 1.0])  # the step
EMBEDDED = weights([*stepper.A[4], 0.0]) + GAMMA[4]  # the one inside it: without the last stage


def residuals(b, order, share=1.0):
    """What is left of each order condition, for a solution at a share of the step."""
    x = share
    conditions = [
        [b.sum() - x],
        [b @ BETA_SUM - x**2 / 2],
        [b @ ALPHA_SUM**2 - x**3 / 3, b @ BETA @ BETA_SUM - x**3 / 6],
        [
            b @ ALPHA_SUM**3 - x**4 / 4,
            (b * ALPHA_SUM) @ ALPHA @ BETA_SUM - x**4 / 8,
            b @ BETA @ ALPHA_SUM**2 - x**4 / 12,
            b @ BETA @ BETA @ BETA_SUM - x**4 / 24,
        ],
    ]
    return [left for group in conditions[:order] for left in group]


def test_step_meets_the_conditions_of_order_4():
    assert residuals(NEW, 4) == pytest.approx([0.0] * 8, abs=DIGITS)


def test_embedded_solution_meets_the_conditions_of_order_3_and_not_4():
    assert residuals(EMBEDDED, 3) == pytest.approx([0.0] * 4, abs=DIGITS)
    assert max(np.abs(residuals(EMBEDDED, 4))) > 1e-3


@pytest.mark.parametrize("share", [0.1, 0.35, 0.5, 0.8, 1.0])
def test_dense_output_meets_the_conditions_of_order_3(share):
    rows = np.zeros((2, STAGES))
    rows[:, :5] = stepper.D
    between = np.array([*stepper.A[5], 1.0]) * share + share * (1 - share) * (rows[0] + share * rows[1])
    assert residuals(weights(between), 3, share) == pytest.approx([0.0] * 4, abs=DIGITS)


def test_coefficients_in_time_belong_to_those_in_state():
    # For a right-hand side that depends on time: alpha_i and gamma_i are the sums of their rows.
    assert pytest.approx(ALPHA_SUM, abs=1e-12) == stepper.ALPHA
    assert pytest.approx(GAMMA.sum(axis=1), abs=1e-12) == stepper.GAMMA_T


def test_stiffly_accurate():
    # The last stage is the step itself, and the one before the embedded solution.
    assert pytest.approx(NEW, abs=1e-13) == BETA[5]
    assert pytest.approx(EMBEDDED, abs=1e-13) == BETA[4]


def stability(z, b):
    """R(z) of ``y' = z y``."""
    return 1 + z * b @ np.linalg.solve(np.eye(STAGES) - z * BETA, np.ones(STAGES))


def test_l_stable():
    assert abs(stability(-1e9, NEW)) < 1e-7
    assert abs(stability(-1e9, EMBEDDED)) < 1e-7
    # No oscillation grows, however large the step (the imaginary axis bounds the left half plane).
    assert max(abs(stability(1j * x, NEW)) for x in np.logspace(-3, 5, 400)) <= 1 + 1e-12


# ----- the step at work: three sections behind a switch that is opening, on a moving set point -----


class Smooth:
    """A smooth stretch of a build with everything in it: a ramp, a switch, diode, lit pixels."""

    def __init__(self):
        self.build = new_build(
            {
                "title": "smooth stretch", "adapter.rated_current": 3, "adapter.soft_start": 0.02,
                "adapter.output_resistance": 0.3, "adapter.output_capacitance": 5e-3,
                "lead.inductance": 2e-5, "bus.ceramic": 2e-3, "panel.ceramic": 2e-3,
                "bus.bulk": 2e-3, "bus.bulk_esr": 0.1, "panel.bulk": 2e-3, "panel.bulk_esr": 0.1,
                "switch.on_resistance": 0.2, "switch.gate_drain_capacitance": 5e-8,
                "switch.gate_source_capacitance": 5e-8, "switch.gate_resistance": 1e4, "switch.pullup_resistance": 1e5,
                "controller.feed_diode": True, "controller.feed_resistance": 0.2, "controller.reservoir": 5e-3,
                "controller.rail_capacitance": 10e-3,
                "wiring.sections": 3, "wiring.pixels_per_section": 20, "wiring.feeds": [1],
                "wiring.capacitance_per_pixel": 1e-4, "wiring.feed_resistance": 0.2, "wiring.hop_resistance": 0.2,
            }
        )  # fmt: skip
        self.mode = eq.Mode(True, 0.0, self.build.adapter.limit_current, True, 0.08, [(1.0, 1.0, 1.0)] * 3)
        packed = pack(self.build)
        self.p, self.s = packed.parts, packed.lumps
        self.m = np.full(at.MODES, np.inf)
        self.m[[at.ON, at.T_ON, at.TOP, at.GATE_LOW, at.LOAD]] = 1.0, 0.0, self.mode.top, 1.0, 0.08
        self.m[at.KINK] = self.build.adapter.soft_start
        self.q = np.zeros((3, at.LUMP_MODES))
        self.work = model_run.scratch(13, 3)
        # Capacitors are large throughout, so that even the fastest part takes 0.1 ms: where a step is longer than
        # that a stiff method shows less than its order. Started by hand, then let settle.
        self.t0 = 0.012
        y = np.array([3.0, 0.3, 2.9, 2.8, 2.3, 1.0, 0.9, 2.5, 2.4, 0.0, 0.9, 0.9, 0.9])
        self.y0 = self.steps(y, self.t0 - 2e-3, 1e-5, 200)[0]

    def step(self, t, h, y):
        y_new, dense = np.empty(13), np.empty((3, 13))
        stepper.step(t, h, y, self.p, self.s, self.m, self.q, False, self.work, y_new, dense)
        return y_new, dense

    def steps(self, y, t, h, count):
        """After ``count`` steps of h; and the dense output in the middle of the last one."""
        for i in range(count):
            y_new, dense = self.step(t + i * h, h, y)
            middle = y.copy()
            stepper.interpolate(0.5, middle, y_new, dense)
            y = y_new
        return y, middle


@pytest.fixture(scope="module")
def smooth():
    return Smooth()


SPAN = 3.2e-3


def orders(errors):
    return np.log2(np.array(errors[:-1]) / np.array(errors[1:]))


def test_order_by_halving_the_step(smooth):
    counts = [16, 32, 64, 128]
    exact, _ = smooth.steps(smooth.y0, smooth.t0, SPAN / 2048, 2048)
    errors = [np.abs(smooth.steps(smooth.y0, smooth.t0, SPAN / n, n)[0] - exact).max() for n in counts]
    # Sixteen times less error for half the step: order 4. Something happened meanwhile: a quarter volt and more.
    assert np.abs(exact - smooth.y0).max() > 0.25
    assert errors[-1] > 1e-11
    assert orders(errors) == pytest.approx([4.0] * 3, abs=0.4)


def test_local_orders(smooth):
    # In one step: the solution to h^5, the dense output between its ends to h^4, the estimate to h^4.
    sizes = SPAN / np.array([64, 128, 256])
    step, dense, estimate = [], [], []
    for h in sizes:
        exact, _ = smooth.steps(smooth.y0, smooth.t0, h / 64, 64)
        halfway, _ = smooth.steps(smooth.y0, smooth.t0, h / 64, 32)
        y_new, coefficients = smooth.step(smooth.t0, h, smooth.y0)
        middle = smooth.y0.copy()
        stepper.interpolate(0.5, middle, y_new, coefficients)
        step.append(np.abs(y_new - exact).max())
        dense.append(np.abs(middle - halfway).max())
        estimate.append(np.abs(coefficients[2]).max())
    assert orders(step) == pytest.approx([5.0] * 2, abs=0.4)
    assert orders(dense) == pytest.approx([4.0] * 2, abs=0.4)
    assert orders(estimate) == pytest.approx([4.0] * 2, abs=0.4)


def test_dense_output_starts_and_ends_on_the_step(smooth):
    y_new, dense = smooth.step(smooth.t0, 1e-4, smooth.y0)
    for share, end in ((0.0, smooth.y0), (1.0, y_new)):
        y = smooth.y0.copy()
        stepper.interpolate(share, y, y_new, dense)
        assert y == pytest.approx(end, rel=1e-15)


def test_step_with_a_known_rate_is_the_same(smooth):
    y_new, dense = np.empty(13), np.empty((3, 13))
    again, dense_again = np.empty(13), np.empty((3, 13))
    args = (smooth.p, smooth.s, smooth.m, smooth.q)
    stepper.step(smooth.t0, 2e-4, smooth.y0, *args, False, smooth.work, y_new, dense)
    stepper.step(smooth.t0, 1e-4, smooth.y0, *args, True, smooth.work, again, dense_again)
    plain, _ = smooth.step(smooth.t0, 1e-4, smooth.y0)
    assert np.array_equal(again, plain)
    assert not np.array_equal(again, y_new)


def norm(y, y_new, error, slope=0.0, **keys):
    values = {"title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 1}
    p = pack(new_build(values | {f"adapter.{key}": value for key, value in keys.items()})).parts
    d = np.zeros(circuit.SLOPES + 1)
    d[circuit.REG_O] = slope
    return stepper.error_norm(y, y_new, error, 1e-5, p, d)


def test_error_norm():
    y, y_new = np.array([1.0, -3.0]), np.array([0.5, -1.0])
    # The larger of the two ends counts: 4e-5 / (1e-5 (1 + 3)) against 4e-5 / (1e-5 (1 + 1)).
    assert norm(y, y_new, np.array([4e-5, 4e-5])) == pytest.approx(2.0)
    assert norm(y, y_new, np.array([0.0, -8e-5])) == pytest.approx(2.0)
    for bad in (np.nan, np.inf):
        assert norm(y, y_new, np.array([0.0, bad])) == np.inf


def test_error_norm_counts_the_regulated_current_where_a_protection_watches_it():
    # 2 uV at 120 S are 0.24 mA, against 1e-5 * 10 * 2.4 A: exactly one tolerance, five times the voltage's own.
    y, error = np.array([5.0, 0.0]), np.array([2e-6, 0.0])
    assert norm(y, y, error, -120.0) == pytest.approx(2e-6 / 6e-5)
    for keys in ({"limit_style": "hiccup"}, {"limit_style": "latch-off"}, {"peak_current": 5.0, "peak_time": 0.1}):
        assert norm(y, y, error, -120.0, **keys) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("error", "rejected", "growth"),
    [
        (1.0, False, 0.9), (0.9**4, False, 1.0), (16.0, True, 0.45), (1e9, True, 0.1), (np.inf, True, 0.1),
        (0.0, False, 8.0), (0.0, True, 1.0), (0.5**4, False, 1.8),
    ],
)  # fmt: skip
def test_next_step(error, rejected, growth):
    # An error that goes as h^4 is met by its fourth root; 0.9 for safety, between a tenth and 8.
    assert stepper.next_step(2e-6, error, rejected) == pytest.approx(growth * 2e-6)
