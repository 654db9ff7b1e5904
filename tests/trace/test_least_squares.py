"""Least squares without any model of ours, against closed forms."""

import numpy as np
import pytest

from inrushlib.trace.fit.least_squares import memory, solve, uncertainty

FREE = np.array([np.inf, np.inf])


def line(slope=2.0, level=1.0, noise=0.1, seed=0):
    x = np.linspace(0.0, 1.0, 400)
    return x, level + slope * x + np.random.default_rng(seed).normal(0.0, noise, 400)


def test_a_straight_line_has_the_errors_of_the_text_book():
    # Ordinary least squares: s^2 (X'X)^-1.
    x, y = line()
    found = solve(lambda b: y - b[0] - b[1] * x, np.array([0.3, 0.1]), -FREE, FREE)
    design = np.column_stack([np.ones_like(x), x])
    best, squares, _, _ = np.linalg.lstsq(design, y, rcond=None)
    covariance = squares[0] / (len(x) - 2) * np.linalg.inv(design.T @ design)
    np.testing.assert_allclose(found.values, best, rtol=1e-8)
    np.testing.assert_allclose(found.errors, np.sqrt(np.diag(covariance)), rtol=1e-6)
    assert found.uncertainty.correlation[0, 1] == pytest.approx(
        covariance[0, 1] / np.sqrt(covariance[0, 0] * covariance[1, 1]), rel=1e-6
    )


def test_known_noise_is_taken_as_it_is():
    x, y = line(noise=0.1)
    found = solve(lambda b: (y - b[0] - b[1] * x) / 0.3, np.array([0.3, 0.1]), -FREE, FREE, noise_known=True)
    design = np.column_stack([np.ones_like(x), x]) / 0.3
    np.testing.assert_allclose(found.errors, np.sqrt(np.diag(np.linalg.inv(design.T @ design))), rtol=1e-6)


def test_a_robust_loss_does_not_follow_a_spike():
    x, y = line(noise=0.01)
    y[10] += 50.0
    plain = solve(lambda b: (y - b[0] - b[1] * x) / 0.01, np.ones(2), -FREE, FREE)
    robust = solve(lambda b: (y - b[0] - b[1] * x) / 0.01, np.ones(2), -FREE, FREE, loss="soft_l1", outlier=3.0)
    assert abs(robust.values[0] - 1.0) < 0.01
    assert abs(plain.values[0] - 1.0) > 0.1


def test_bounds_hold():
    x, y = line()
    found = solve(lambda b: y - b[0] - b[1] * x, np.ones(2), np.zeros(2), np.array([5.0, 1.5]))
    assert found.values[1] == pytest.approx(1.5, abs=1e-6)


def test_a_combination_alone_is_not_told_and_the_rest_keeps_its_error():
    rng = np.random.default_rng(2)
    a, b = rng.normal(size=(2, 500))
    known = uncertainty(np.column_stack([a, a, b]))
    assert np.isinf(known.errors[0])
    assert np.isinf(known.errors[1])
    only = uncertainty(np.column_stack([a, b]))
    assert known.errors[2] == pytest.approx(only.errors[1], rel=1e-9)


def test_what_nothing_feels_is_not_told():
    known = uncertainty(np.column_stack([np.ones(50), np.zeros(50)]))
    assert known.errors[0] == pytest.approx(1 / np.sqrt(50))
    assert np.isinf(known.errors[1])


@pytest.mark.parametrize("share", [0.0, 0.5, 0.9])
def test_memory_of_a_first_order_process(share):
    # AR(1): 1 + 2 sum share^k = (1 + share) / (1 - share).
    rng = np.random.default_rng(1)
    noise = rng.normal(size=200_000)
    values = np.empty_like(noise)
    values[0] = noise[0]
    for i in range(1, len(noise)):
        values[i] = share * values[i - 1] + noise[i]
    assert memory(values) == pytest.approx((1 + share) / (1 - share), rel=0.06)


def test_memory_of_nothing_is_one():
    assert memory(np.zeros(100)) == 1.0
    assert memory(np.ones(3)) == 1.0


def test_a_fit_that_was_cut_short_has_not_converged():
    x, y = line()

    def bent(b):
        return y - b[0] * np.exp(b[1] * x)

    assert solve(bent, np.array([0.1, 3.0]), -FREE, FREE).converged
    assert not solve(bent, np.array([0.1, 3.0]), -FREE, FREE, most_steps=2).converged
