"""The block model beside general libraries: statsmodels' generalised least squares on the same covariance."""

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import optimize, stats

from fitter.advice.balls import OBSERVED, Balls
from fitter.advice.likelihood import Design, likelihood
from fitter.advice.roots import SCALE, Roots
from fitter.kit.club import unknown_club


def clubs(count):
    one = unknown_club()
    return tuple(replace(one, head=replace(one.head, head=f"A{k}")) for k in range(count))


@pytest.mark.parametrize("channel", [2, 3, 4])
def test_a_clubs_effect_is_that_of_generalised_least_squares(channel):
    """statsmodels GLS, level and clubs fixed, blocks, drift and own days in the covariance; one channel."""
    rng = np.random.default_rng(5)
    three = clubs(3)
    club = np.tile([0, 0, 1, 1, 2, 2, 2, 2, 1, 1, 0, 0], 2)
    block = np.repeat([1, 2], 12)
    y = rng.standard_normal(24) + 0.5 * club
    table = np.full((24, 7), np.nan)
    table[:, channel] = y * SCALE[channel]
    values = {name: table[:, k] for k, name in enumerate(OBSERVED)}
    hit = Balls(three, club, block, np.tile(np.arange(12.0), 2), values)
    roots = Roots.of(1.45, np.zeros((0, 7)))
    codes = tuple(c.code for c in three)
    told = likelihood(hit, codes[1:], codes[0], roots, np.zeros(14), np.eye(14))
    design = Design.of(hit, codes[1:], codes[0], roots)
    # Everything but the level, which stands first, is in the covariance.
    covariance = np.diag(told.scatter[channel, channel] / told.weights * 14.0 / 12.0)
    for x, prior in zip(design.x.T[1:], design.prior[1:], strict=False):
        covariance += prior[channel, channel] * np.outer(x, x)
    fixed = np.column_stack([np.ones(24), club == 1, club == 2]).astype(float)
    theirs = sm.GLS(y, fixed, sigma=covariance).fit()
    at = [channel, 7 + channel]
    mine = np.linalg.inv(told.precision[np.ix_(at, at)])
    np.testing.assert_allclose(mine @ told.pull[at], theirs.params[1:], atol=2e-3)
    np.testing.assert_allclose(mine, theirs.normalized_cov_params[1:, 1:], rtol=1e-3)


def test_the_weights_are_those_of_a_t(monkeypatch):
    """Location of a t of 5 degrees by maximum likelihood in scipy, at the scale that was learned."""
    rng = np.random.default_rng(2)
    one = clubs(1)
    y = rng.standard_t(5, 40)
    table = np.full((40, 7), np.nan)
    table[:, 2] = y
    values = {name: table[:, k] for k, name in enumerate(OBSERVED)}
    zero = np.zeros(40, dtype=np.int64)
    roots = Roots.of(1.45, np.zeros((0, 7)))
    # Without blocks, drift and own days only the level is left.
    monkeypatch.setattr(
        Roots, "covariance", lambda self, kind: np.eye(7) * (1.0 if kind == "scatter" else 1e-9)
    )
    hit = Balls(one, zero, zero, np.arange(40.0), values)
    told = likelihood(hit, (), one[0].code, roots, np.zeros(0), np.zeros((0, 0)))
    scale = float(np.sqrt(told.scatter[2, 2]))
    level = float(told.weights @ y / told.weights.sum())
    best = optimize.minimize_scalar(
        lambda m: -stats.t.logpdf((y - m) / scale, 5).sum(), bounds=(-1, 1), method="bounded"
    )
    assert level == pytest.approx(best.x, abs=0.01)
