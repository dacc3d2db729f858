"""Value of information against printed digits and brute force."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, stats

from fitter.trial.information import (
    correlated_gradient,
    expected_maximum,
    knowledge_gradient,
    perfect_information,
)


def test_perfect_information_to_the_digits() -> None:
    # Unit normal loss integral (Raiffa & Schlaifer 1961), s [phi(z) + z Phi(z)] at z = -0.4 and 0 (computed).
    assert perfect_information(2.0, 5.0) == pytest.approx(1.1522, abs=5e-5)
    assert perfect_information(0.0, 5.0) == pytest.approx(1.9947, abs=5e-5)
    assert perfect_information(0.0, 5.0) == pytest.approx(5.0 / math.sqrt(2.0 * math.pi))
    assert perfect_information(3.0, 0.0) == 0.0


def test_perfect_information_is_an_expected_excess() -> None:
    # Quadrature of E max(X, 0) - max(E X, 0) by a general library.
    for mean, sd in ((2.0, 5.0), (-1.0, 0.5), (0.3, 4.0)):
        excess, _ = integrate.quad(lambda x, m=mean, s=sd: x * stats.norm.pdf(x, m, s), 0.0, 60.0)
        assert perfect_information(mean, sd) == pytest.approx(excess - max(mean, 0.0), abs=1e-7)


@pytest.mark.parametrize("k", [2, 3, 5, 8, 12, 20])
def test_expected_maximum_of_equal_options_is_that_of_one_line(k: int) -> None:
    # Parallel lines: no option can pass another.
    assert expected_maximum(np.arange(float(k)), np.ones(k)) == k - 1.0


def test_expected_maximum_against_quadrature() -> None:
    rng = np.random.default_rng(3)
    nodes, weights = np.polynomial.hermite_e.hermegauss(150)
    z = np.linspace(-9.0, 9.0, 400_001)
    step = z[1] - z[0]
    density = np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)
    for n in (1, 2, 3, 7, 40):
        a, b = rng.normal(0.0, 2.0, n), rng.normal(0.0, 1.5, n)
        brute = float(((a[:, None] + b[:, None] * z).max(axis=0) * density).sum() * step)
        assert expected_maximum(a, b) == pytest.approx(brute, abs=2e-6)
    assert len(nodes) == len(weights)


def test_knowledge_gradient_of_two_is_the_printed_formula_and_simulation() -> None:
    # Frazier, Powell & Dayanik 2008, eq. 13 and 14; here by drawing what one ball would say.
    means, sds, noise = np.array([1.0, 0.0, -2.0]), np.array([0.5, 3.0, 1.0]), 4.0
    found = knowledge_gradient(means, sds, noise)
    z = np.random.default_rng(5).standard_normal(400_000)
    for i in range(3):
        moved = sds[i] ** 2 / math.hypot(sds[i], noise)
        after = np.maximum(means[i] + moved * z, np.delete(means, i).max()).mean() - means.max()
        assert found[i] == pytest.approx(after, abs=0.01)
    # An option known for certain has nothing to tell.
    assert knowledge_gradient(means, np.array([0.0, 1.0, 1.0]), noise)[0] == 0.0


def test_what_tells_the_same_of_all_tells_nothing() -> None:
    means = np.array([0.0, 1.0, 0.5])
    assert correlated_gradient(means, np.array([2.0, 2.0, 2.0])) == 0.0
    one, both = (
        correlated_gradient(means, np.array([0.0, 0.0, 2.0])),
        correlated_gradient(means, np.array([0.0, -1.0, 2.0])),
    )
    # News that helps one option and hurts its rival is worth more.
    assert both > one > 0.0
