"""The walk to the ends of an interval, and profiles, against closed forms, a published example and another library."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.optimize import brentq, least_squares

from inrushlib.trace.fit.least_squares import uncertainty
from inrushlib.trace.fit.observation import Settled, robust
from inrushlib.trace.fit.problem import WEAK, Point, Slopes
from inrushlib.trace.fit.profile import GROWTH, _next, profile, walk


@pytest.mark.parametrize("first", [0.02, 0.5, 1.0, 1.96, 7.0])
def test_a_parabola_ends_at_its_root(first):
    assert walk(lambda d, s: (d * d, s), None, first, 100.0) == pytest.approx(1.96, rel=0.005)


def test_no_crossing_is_none_and_a_crossing_is_believed_only_beside_a_good_point():
    assert walk(lambda d, s: (0.1 * d, s), None, 0.1, 1.4) is None
    # Descents that fail but on some points: the step is believed where the last good point is near it.
    reach = walk(lambda d, s: (0.0 if d < 0.7 else 1e6, s), None, 0.3, 1.4)
    assert 0.7 / 1.05 < reach < 0.7 * 1.05


def test_where_there_is_no_run_there_is_no_crossing():
    assert walk(lambda d, s: (0.1 if d < 0.7 else np.inf, s), None, 0.3, 1.4) is None
    assert walk(lambda d, s: (d * d if d < 3.0 else np.inf, s), None, 0.3, 9.0) == pytest.approx(1.96, rel=0.005)


def test_a_narrow_trough_at_a_kink_is_not_believed():
    # A limit just touched: steep beside the best point, and as good as that farther on.
    def grown(d, state):
        return (1e4 if 1e-3 < d < 0.1 else 0.5), state

    assert walk(grown, None, 2e-3, 1.4) is None


def test_a_trough_hardly_below_what_lies_past_it_is_no_interval():
    # As deep as one place in thirty goes by chance, and any of many places could have been the lowest.
    assert walk(lambda d, s: (min(d * d, 4.64), s), None, 1.96, 100.0) is None
    assert walk(lambda d, s: (min(d * d, 30.0), s), None, 1.96, 100.0) == pytest.approx(1.96, rel=0.005)


def test_where_the_misfit_rises_less_than_a_parabola_the_interval_is_wider():
    # Steep up to 2, then slow: it is four times 3.84 at 46.
    reach = walk(lambda d, s: (d * d if d < 2 else 4 + 0.259 * (d - 2), s), None, 1.96, 100.0)
    assert reach == pytest.approx(23.0, rel=0.03)


def test_a_rise_between_a_straight_line_and_a_parabola_is_less_than_a_parabola():
    # 8.7 at three half widths, where a parabola has 35 and what is asked for is 15.4: that is reached at 11.5.
    reach = walk(lambda d, s: (d * d if d < 2 else 4 + 1.2 * (d - 2), s), None, 1.96, 100.0)
    assert reach == pytest.approx(5.73, rel=0.03)


def test_a_bound_close_behind_a_crossing_leaves_it_a_crossing():
    assert walk(lambda d, s: (d * d, s), None, 1.96, 2.5) == pytest.approx(1.96, rel=0.005)


#: Treated cells: concentration of substrate [ppm] and velocity [counts/min^2]. Bates and Watts, Nonlinear Regression
#: Analysis and Its Applications (1988), table A1.3, from memory, as are the two results below.
PUROMYCIN = np.array(
    [[0.02, 76], [0.02, 47], [0.06, 97], [0.06, 107], [0.11, 123], [0.11, 139], [0.22, 159], [0.22, 152], [0.56, 191],
     [0.56, 201], [1.10, 207], [1.10, 200]]
)  # fmt: skip


def velocity(b):
    return b[0] * PUROMYCIN[:, 0] / (b[1] + PUROMYCIN[:, 0]) - PUROMYCIN[:, 1]


@pytest.mark.parametrize(("number", "ends"), [(0, (197.302, 229.290)), (1, (0.046925, 0.086160))])
def test_puromycin(number, ends):
    best = least_squares(velocity, [200.0, 0.1], x_scale="jac", xtol=1e-12)
    assert best.x == pytest.approx([212.68, 0.06412], rel=1e-3)
    variance = 2 * best.cost / (len(PUROMYCIN) - 2)
    error = float(np.sqrt(variance * np.linalg.inv(best.jac.T @ best.jac)[number, number]))
    t = 2.228  # Student's t, 97.5 %, 10 degrees of freedom
    for side, end in zip((-1.0, 1.0), ends, strict=True):

        def grown(distance, other, side=side):
            def held(z):
                b = np.empty(2)
                b[number], b[1 - number] = best.x[number] + side * distance, z[0]
                return velocity(b)

            found = least_squares(held, [other], x_scale="jac", xtol=1e-12)
            return 2 * (found.cost - best.cost) / variance, found.x[0]

        reach = walk(grown, best.x[1 - number], t * error, 20 * error, t * t)
        # A walk stops within 2 % of the growth's root.
        assert best.x[number] + side * reach == pytest.approx(end, abs=0.02 * abs(end - best.x[number]) + 1e-4)


class Plain:
    """Residuals as a function of keys, without runs and instrument."""

    def __init__(self, residual, slopes, count, reach=3.4):
        self.residual, self.derivatives = residual, slopes
        self.keys = tuple(range(count))
        self.lower, self.upper = np.full(count, -reach), np.full(count, reach)

    def point(self, x, _):
        settled = Settled(errors=np.zeros(1), residual=self.residual(x), shown=None, slope=None)
        return Point(x, SimpleNamespace(rows=1), settled)

    def slopes(self, point, free=None, rough=False):
        held = np.concatenate([self.derivatives(point.x), np.eye(len(self.keys)) / WEAK])
        return Slopes(held, held, np.zeros((1, len(self.keys))), point.x, np.zeros(len(self.keys)))

    def lined_up(self, point):
        return point


def exact(problem, i, side, start):
    """The crossing by a root finder around a library's own descents."""

    def cost(x):
        point = problem.point(np.asarray(x), None)
        return float(np.sum(robust(point.residual)))

    def profiled(value):
        others = np.delete(np.arange(len(problem.keys)), i)

        def residual(z):
            x = np.empty(len(problem.keys))
            x[i], x[others] = value, z
            return np.sqrt(robust(problem.point(x, None).residual))

        return 2 * least_squares(residual, start[others], xtol=1e-12, ftol=1e-12).cost - cost(start)

    end = start[i] + side * 1e-4
    while profiled(end) < GROWTH:
        end = start[i] + side * 1.5 * abs(end - start[i])
    return brentq(lambda v: profiled(v) - GROWTH, start[i], end, xtol=1e-8)


def linear(seed):
    """A straight model of three keys that are correlated, at its minimum."""
    draw = np.random.default_rng(seed)
    columns = draw.normal(size=(200, 3)) @ np.array([[40.0, 30.0, 0.0], [0.0, 10.0, 5.0], [0.0, 0.0, 20.0]])
    noise = draw.normal(size=200)
    problem = Plain(lambda x: columns @ x - noise, lambda x: columns, 3)
    best = least_squares(lambda x: np.sqrt(robust(problem.point(x, None).residual)), np.zeros(3), xtol=1e-12).x
    return problem, best


def profiles(problem, best):
    point = problem.point(best, None)
    slopes = problem.slopes(point)
    known = uncertainty((1 + (point.residual / 3) ** 2)[:, None] ** -0.25 * slopes.following)
    return [profile(problem, point, slopes, known, i) for i in range(len(best))]


@pytest.mark.parametrize("seed", range(4))
def test_linear_cases_have_their_exact_profile_intervals(seed):
    problem, best = linear(seed)
    for i, found in enumerate(profiles(problem, best)):
        for side, end in ((-1, found.low), (1, found.high)):
            assert end - best[i] == pytest.approx(exact(problem, i, side, best) - best[i], rel=0.02)


@pytest.mark.parametrize("seed", range(4))
def test_on_a_straight_model_the_others_follow_without_descents(seed):
    """A run is what a fit pays for: of three keys ten points each, one or two steps of the others at each of them."""
    problem, best = linear(seed)
    points, point = [], problem.point

    def counted_point(x, errors):
        points.append(x)
        return point(x, errors)

    problem.point = counted_point
    assert [len(found.points) for found in profiles(problem, best)] == [10, 10, 10]
    assert len(points) <= 67


@pytest.mark.parametrize("seed", range(3))
def test_a_library_s_profiles_agree_on_a_curved_model(seed):
    iminuit = pytest.importorskip("iminuit")
    draw = np.random.default_rng(seed)
    t = np.linspace(0.0, 3.0, 60)
    data = 5.0 * np.exp(-t) + draw.normal(0.0, 0.4, 60)

    def residual(x):
        return (5.0 * np.exp(x[0]) * np.exp(-np.exp(x[1]) * t) - data) / 0.4

    def slopes(x):
        level = 5.0 * np.exp(x[0]) * np.exp(-np.exp(x[1]) * t) / 0.4
        return np.column_stack([level, -level * np.exp(x[1]) * t])

    problem = Plain(residual, slopes, 2)
    minuit = iminuit.Minuit(lambda x: float(np.sum(robust(problem.point(np.asarray(x), None).residual))), np.zeros(2))
    minuit.errordef, minuit.tol = GROWTH, 1e-4
    minuit.migrad()
    minuit.minos()
    best = np.array(minuit.values)
    for i, found in enumerate(profiles(problem, best)):
        theirs = minuit.merrors[i]
        assert found.low - best[i] == pytest.approx(theirs.lower, rel=0.03)
        assert found.high - best[i] == pytest.approx(theirs.upper, rel=0.03)


def test_where_the_others_follow_along_a_bend_they_descend_anew():
    """Close by, too: with the slopes of the best fit alone the ends lie a third too near."""
    problem = Plain(
        lambda x: np.array([x[0] / 0.1, (np.exp(x[1]) - 1 - 5 * x[0]) / 0.01]),
        lambda x: np.array([[10.0, 0.0], [-500.0, 100 * np.exp(x[1])]]),
        2,
    )
    best = np.zeros(2)
    found = profiles(problem, best)[0]
    assert found.low == pytest.approx(exact(problem, 0, -1, best), rel=0.1)
    assert found.high == pytest.approx(exact(problem, 0, 1, best), rel=0.1)


@pytest.mark.parametrize(
    ("good", "bad", "ahead"),
    [
        # On the straight line through the last point, a tenth farther at least and three times as far at most.
        ((1.0, 1.5), None, 1.96 / 1.5),
        ((2.0, 1.5), None, 2.0 * 1.96 / 1.5),
        ((1.0, 0.5), None, 3.0),
        ((1.0, 1.9), None, 1.1),
        ((1.0, 0.0), None, 3.0),  # nothing has grown yet
        ((8.0, 1.0), None, 10.0),  # no farther than the last distance
        # Between two points on the line through them, within the middle half.
        ((1.0, 1.0), (2.0, 3.0), 1.48),
        ((1.0, 1.0), (3.0, 3.0), 1.96),
        ((1.0, 1.0), (2.0, 100.0), 1.25),
        ((1.0, 1.0), (2.0, 2.0), 1.75),
        ((1.0, 1.0), (2.0, np.inf), 1.25),
    ],
)
def test_where_a_walk_goes_next(good, bad, ahead):
    assert _next(good, bad, 1.96, 10.0) == pytest.approx(ahead)


def counted(grown):
    """The same, and how often it was asked."""
    asked = []

    def found(distance, state):
        asked.append(distance)
        return grown(distance), state

    return found, asked


def test_a_walk_to_a_wall_takes_few_trials():
    # A fit takes some runs for each: it halves its way to a jump, and stops a twenty-fifth before it.
    grown, asked = counted(lambda d: 0.5 if d < 0.7 else 1e6)
    reach = walk(grown, None, 0.3, 1.4)
    assert 0.7 * 0.96 < reach < 0.7 * 1.04
    assert len(asked) <= 12
    grown, asked = counted(lambda d: d * d)
    assert walk(grown, None, 1.9, 100.0) == pytest.approx(1.96, rel=0.02)
    assert len(asked) <= 4  # and one look past it
    assert asked[-1] == pytest.approx(3.0 * walk(lambda d, s: (d * d, s), None, 1.9, 100.0), rel=0.02)


def test_a_walk_ends_at_its_last_distance():
    grown, asked = counted(lambda d: 0.01 * d)
    assert walk(grown, None, 0.5, 2.0) is None
    assert max(asked) == 2.0
    assert asked.count(2.0) == 1
    # A crossing at the last distance is one.
    assert walk(lambda d, s: (d * d, s), None, 1.9, 2.0) == pytest.approx(1.96, rel=0.03)


@pytest.mark.parametrize(("best", "side", "found"), [(0.0, 1, False), (-1.5, 1, True), (1.5, 0, True)])
def test_far_from_its_start_the_way_back_counts_too(best, side, found):
    # A slow growth crosses after 1.45 logarithms, a little more than a factor of four: believed only on the way back.
    rate = 1.96 / 1.45
    problem = Plain(lambda x: np.array([rate * (x[0] - best)] * 1), lambda x: np.array([[rate]]), 1, reach=9.0)
    problem.residual = lambda x: np.array([rate * (x[0] - best)])
    (one,) = profiles_of(problem, best)
    end = (one.low, one.high)[side]
    assert (end is not None) == found


def profiles_of(problem, best):
    """Profiles of a problem of one key whose weights are those of small residuals."""
    point = problem.point(np.array([best]), None)
    slopes = problem.slopes(point)
    return [profile(problem, point, slopes, uncertainty(slopes.following), 0)]
