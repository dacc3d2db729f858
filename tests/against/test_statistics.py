"""Statistics of few shots against published examples and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chi2

from fitter.advice import pattern, pooling

# Prediction region of a bivariate normal (Chew 1966, J. Amer. Statist. Assoc. 61, 605): computed factors.
FACTORS = {5: 30.57, 7: 15.87, 10: 11.04, 15: 8.74, 20: 7.88, 30: 7.15}
COVARIANCE = np.array([[144.0, 30.0], [30.0, 400.0]])


@pytest.mark.parametrize(("n", "wanted"), FACTORS.items())
def test_prediction_factor(n: int, wanted: float) -> None:
    assert pattern.factor(n) == pytest.approx(wanted, abs=0.006)


def test_factor_of_many_shots_is_chi_square() -> None:
    # Chi-square with two degrees of freedom, any table: 5.991.
    assert pattern.factor(100_000) == pytest.approx(5.9915, rel=1e-3)


def test_areas_and_axes_of_a_known_covariance() -> None:
    # Closed form pi chi2 sqrt(det S), computed by hand: 50 % 1037.04, 95 % 4482.03; axes 29.02 and 49.17.
    half = pattern.of_covariance(COVARIANCE, chi2.ppf(0.5, 2))
    most = pattern.of_covariance(COVARIANCE, chi2.ppf(0.95, 2))
    assert half.area == pytest.approx(1037.04, abs=0.01)
    assert most.area == pytest.approx(4482.03, abs=0.01)
    assert most.semi_axes == pytest.approx((49.17, 29.02), abs=0.01)
    edge = most.outline(200)
    squares = np.einsum("ni,ij,nj->n", edge, np.linalg.inv(COVARIANCE), edge)
    np.testing.assert_allclose(squares, chi2.ppf(0.95, 2), rtol=1e-9)
    # The upright box of an ellipse x' S^-1 x = q has the half sides sqrt(q S_ii) (closed form).
    assert most.reach == pytest.approx(np.sqrt(chi2.ppf(0.95, 2) * np.diag(COVARIANCE)))


def test_the_ellipse_holds_its_share_of_new_shots() -> None:
    # By construction of a prediction region: coverage of the next ball, simulated.
    rng = np.random.default_rng(4)
    root = np.linalg.cholesky(COVARIANCE)
    inside = []
    for _ in range(3000):
        shots = rng.standard_normal((8, 2)) @ root.T
        e = pattern.ellipse(shots[:7], 0.8)
        d = np.array(shots[7]) - e.centre
        c, s = np.cos(e.angle), np.sin(e.angle)
        local = np.array([c * d[0] + s * d[1], -s * d[0] + c * d[1]]) / e.semi_axes
        inside.append(local @ local <= 1.0)
    assert np.mean(inside) == pytest.approx(0.8, abs=0.025)


def test_too_few_shots_are_refused() -> None:
    with pytest.raises(ValueError, match="three shots"):
        pattern.factor(2)


def test_eight_schools() -> None:
    # Rubin 1981; Gelman et al., Bayesian Data Analysis, sec. 5.5: data printed there, flat prior on tau.
    y = [28, 8, -3, 7, -1, 1, 18, 12]
    s = [15, 10, 16, 11, 9, 11, 10, 18]
    found = pooling.pool(y, s)
    assert found.together == pytest.approx(7.6856, abs=1e-4)
    assert found.together_se == pytest.approx(4.0719, abs=1e-4)
    computed = [11.40, 7.89, 6.13, 7.64, 5.13, 6.14, 10.67, 8.46]
    np.testing.assert_allclose(found.mean, computed, atol=0.03)
    assert found.tau > 4.0


def test_two_groups_do_not_tell_their_spread() -> None:
    # Gelman et al., sec. 5.7: with fewer than three groups the flat prior leaves an improper posterior.
    with pytest.raises(ValueError, match="three groups"):
        pooling.pool([1.0, 2.0], [1.0, 1.0])


@pytest.mark.parametrize(
    ("k", "wanted"),
    [(2, 0.56419), (3, 0.84628), (5, 1.16296), (8, 1.42360), (12, 1.62923), (20, 1.86748)],
)
def test_expected_best_of_equals(k: int, wanted: float) -> None:
    # Harter 1961, Biometrika 48, 151: expected values of normal order statistics.
    assert pooling.expected_best(k) == pytest.approx(wanted, abs=2e-4)


def test_a_lead_shrinks() -> None:
    # Closed form: tau 3, SD 12, seven shots: 9 / (9 + 144/7) = 0.3043, a lead of 6 yd is worth 1.8.
    assert pooling.shrinkage(3.0, 12.0, 7) == pytest.approx(0.3043, abs=1e-4)
    assert 6.0 * pooling.shrinkage(3.0, 12.0, 7) == pytest.approx(1.8, abs=0.05)


def test_worth_of_knowing() -> None:
    # Unit normal loss integral (Raiffa & Schlaifer 1961, Applied Statistical Decision Theory, table).
    assert pooling.information(2.0, 5.0) == pytest.approx(1.1522, abs=1e-4)
    assert pooling.information(0.0, 5.0) == pytest.approx(1.9947, abs=1e-4)
