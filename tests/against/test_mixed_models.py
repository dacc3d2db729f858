"""The block model's equations against published mixed models and a general library."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf
from scipy.optimize import minimize

from fitter.advice.blocks import solve

DYESTUFF = np.array([
    [1545, 1440, 1440, 1520, 1580], [1540, 1555, 1490, 1560, 1495], [1595, 1550, 1605, 1510, 1560],
    [1445, 1440, 1595, 1465, 1545], [1595, 1630, 1515, 1635, 1625], [1520, 1455, 1450, 1480, 1445],
], dtype=float)  # fmt: skip
"""Yields of six batches: Davies & Goldsmith 1972, Statistical Methods in Research and Production, 6.4 (M)."""
# Block, whole-plot treatment, sub-plot treatment, response: Stroup's split plot (M), as in SAS PROC MIXED's
# and NAG g02jac's example.
SPLIT_PLOT = np.array([
    (1, 1, 1, 56), (1, 1, 2, 41), (1, 2, 1, 50), (1, 2, 2, 36), (1, 3, 1, 39), (1, 3, 2, 35),
    (2, 1, 1, 30), (2, 1, 2, 25), (2, 2, 1, 36), (2, 2, 2, 28), (2, 3, 1, 33), (2, 3, 2, 30),
    (3, 1, 1, 32), (3, 1, 2, 24), (3, 2, 1, 31), (3, 2, 2, 27), (3, 3, 1, 15), (3, 3, 2, 19),
    (4, 1, 1, 30), (4, 1, 2, 25), (4, 2, 1, 35), (4, 2, 2, 30), (4, 3, 1, 17), (4, 3, 2, 18),
], dtype=float)  # fmt: skip


def restricted(y: np.ndarray, flat: np.ndarray, groups: list[np.ndarray]) -> tuple[np.ndarray, float]:
    """Variances of the groups and of the error where the restricted likelihood is largest."""
    weights = np.ones(len(y))
    best = minimize(
        lambda log: -solve(y, weights, flat, groups, np.exp(log)).log_density,
        np.zeros(len(groups)), method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 5000},
    )  # fmt: skip
    found = solve(y, weights, flat, groups, np.exp(best.x))
    return np.exp(best.x) ** 2 * found.variance, found.variance


def test_dyestuff() -> None:
    batch = np.repeat(np.arange(6), 5)
    y = DYESTUFF.ravel()
    between, within = restricted(y, np.ones((30, 1)), [np.eye(6)[batch]])
    assert y.mean() == 1527.5
    assert between[0] == pytest.approx(1764.05, abs=0.01)
    assert within == pytest.approx(2451.25, abs=0.01)
    frame = pd.DataFrame({"y": y, "batch": batch})
    general = smf.mixedlm("y ~ 1", frame, groups="batch").fit(reml=True)
    assert between[0] == pytest.approx(float(general.cov_re.iloc[0, 0]), rel=1e-3)
    assert within == pytest.approx(general.scale, rel=1e-3)


def test_split_plot() -> None:
    block, whole, sub, y = SPLIT_PLOT.T
    cell = ((whole - 1) * 2 + sub - 1).astype(int)
    plot = ((block - 1) * 3 + whole - 1).astype(int)
    groups = [np.eye(4)[block.astype(int) - 1], np.eye(12)[plot]]
    random, error = restricted(y, np.eye(6)[cell], groups)
    assert random == pytest.approx([62.3958, 15.3819], abs=2e-3)
    assert error == pytest.approx(9.3611, abs=1e-3)


def test_eight_schools_by_integration_over_tau() -> None:
    # Rubin 1981; Gelman et al., Bayesian Data Analysis, 5.5; posterior means under a flat tau (computed).
    y = np.array([28.0, 8, -3, 7, -1, 1, 18, 12])
    s = np.array([15.0, 10, 16, 11, 9, 11, 10, 18])
    pooled = (y / s**2).sum() / (1 / s**2).sum()
    assert pooled == pytest.approx(7.6856, abs=5e-5)
    assert (1 / s**2).sum() ** -0.5 == pytest.approx(4.0719, abs=5e-5)
    taus = np.linspace(0.01, 400.0, 40_000)
    found = [solve(y, 1 / s**2, np.ones((8, 1)), [np.eye(8)], [tau], variance=1.0) for tau in taus]
    log = np.array([f.log_density for f in found])
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    means = weight @ np.array([f.effects[0] + f.effects[1:] for f in found])
    printed = [11.40, 7.89, 6.13, 7.64, 5.13, 6.14, 10.67, 8.46]
    np.testing.assert_allclose(means, printed, atol=0.06)


def test_a_lead_of_six_is_worth_less_than_two() -> None:
    # tau 3, s 12, n 7: B = 9 / (9 + 144 / 7) = 0.3043, 6 yd are worth 1.8 (computed).
    y = np.array([6.0, -6.0])
    found = solve(y, np.full(2, 7.0), np.ones((2, 1)), [np.eye(2)], [3.0 / 12.0], variance=144.0)
    assert found.effects[1] == pytest.approx(6.0 * 9.0 / (9.0 + 144.0 / 7.0), rel=1e-9)
    assert found.effects[1] == pytest.approx(1.8, abs=0.03)
