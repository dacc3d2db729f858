"""Whether intervals held: known answers, false alarms and power in simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from fitter.base.assumptions import current
from fitter.history.calibration import NARROWER, WIDER, calibration, odds
from tests.history.made import outcome

FITTINGS = 60


def test_counts_by_hand() -> None:
    # Miss in SDs: 0, 1, 2 with sd = noise = 3 and so 3 sqrt(2) in all.
    unit = 3.0 * math.sqrt(2.0)
    rows = [outcome("M7", k, 5.0 + k * unit, kind=kind) for k, kind in enumerate(("head", "head", "shaft"))]
    every, shaft, head = calibration(rows).kinds
    assert (every.kind, shaft.kind, head.kind) == ("all", "shaft", "head")
    assert every.inside == pytest.approx(2 / 3)
    assert every.squared == pytest.approx((0 + 1 + 4) / 3)
    assert head.bias == pytest.approx(unit / 2)
    assert head.bias_sd == pytest.approx(unit / math.sqrt(2))


def test_odds_are_a_ratio_of_likelihoods() -> None:
    away, sd, noise = np.array([2.0, -5.0]), np.array([3.0, 2.0]), np.array([1.0, 2.0])
    log = sum(
        norm.logpdf(a, scale=math.hypot(2 * s, n)) - norm.logpdf(a, scale=math.hypot(s, n))
        for a, s, n in zip(away, sd, noise, strict=True)
    )
    first = norm.logpdf(2.0, scale=math.hypot(6, 1)) - norm.logpdf(2.0, scale=math.hypot(3, 1))
    assert odds(away, sd, noise, (2.0,)) == pytest.approx(math.exp(max(log, first)))


def share(times: float, noise: float, factors: tuple[float, ...], shops: int = 1500) -> float:
    """Share of shops that are alarmed within sixty fittings, looking after each."""
    rng, alarms = np.random.default_rng(11), 0
    for _ in range(shops):
        sd = np.exp(rng.normal(1.2, 0.4, FITTINGS))
        error = noise * sd.mean() * np.exp(rng.normal(0.0, 0.3, FITTINGS))
        away = rng.normal(0.0, np.hypot(times * sd, error))
        alarms += odds(away, sd, error, factors) >= current().value("history.alarm")
    return alarms / shops


@pytest.mark.parametrize("noise", [0.5, 1.0, 1.5])
def test_honest_intervals_raise_few_false_alarms(noise: float) -> None:
    # At most 1 in 20 by Ville's inequality; three standard errors of 1,500 shops.
    assert share(1.0, noise, WIDER) < 0.05 + 3 * math.sqrt(0.05 * 0.95 / 1500)
    assert share(1.0, noise, NARROWER) < 0.05 + 3 * math.sqrt(0.05 * 0.95 / 1500)


@pytest.mark.parametrize("noise", [0.5, 1.0, 1.5])
def test_priors_half_as_wide_as_the_truth_are_noticed(noise: float) -> None:
    # Twelve balls a club leave a noise of about the promise's own SD.
    assert share(2.0, noise, WIDER) > 0.80


def test_a_shop_without_outcomes_has_no_record() -> None:
    found = calibration([])
    assert found.kinds[0].n == 0
    assert found.kinds[0].verdict == "no sign"
    assert found.picks == ()


def test_picks_are_scored_side_by_side() -> None:
    rows = [outcome("M7", k, 6.0, picked="advisor") for k in range(4)]
    rows += [outcome("M8", k, 2.0, picked="fitter") for k in range(3)]
    advisor, fitter = calibration(rows).picks
    assert (advisor.who, advisor.n, advisor.gain_m) == ("advisor", 4, 6.0)
    assert (fitter.who, fitter.n, fitter.gain_m) == ("fitter", 3, 2.0)


def test_too_wide_is_said_as_well() -> None:
    rows = [outcome("M7", k, 5.0 + 0.3 * (-1) ** k, sd=6.0, noise=0.5) for k in range(30)]
    assert calibration(rows).kinds[0].verdict == "too wide"
