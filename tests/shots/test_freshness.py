"""Warm-up, tiredness and the fresh line. The rule of 95 % of the day's peak is common practice, no source."""

from types import MappingProxyType

import numpy as np

from fitter.shots.freshness import freshness
from fitter.shots.session import Session


def made(speeds, intent=None, aside=()):
    n = len(speeds)
    words = {} if intent is None else {"intent": tuple(intent)}
    return Session(
        "P1", "right", "virtual", MappingProxyType({"club_speed_mps": np.array(speeds, dtype=float)}),
        MappingProxyType(words), MappingProxyType({}), np.arange(1, n + 1), np.arange(1, n + 1),
        set_aside=np.array([i in aside for i in range(n)]),
    )  # fmt: skip


def noise(n, seed=1):
    return 0.4 * np.random.default_rng(seed).standard_normal(n)


def test_shots_under_the_line_are_marked_and_the_caution_says_why():
    got = freshness(made([60.0, 59.5, 59.8, 56.9, 56.7, 57.1]))
    np.testing.assert_array_equal(got.tired, [False, False, False, True, True, False])
    np.testing.assert_allclose(got.line_mps, 57.0)
    assert any("fresh line" in c and "body" in c for c in got.cautions)


def test_one_slow_swing_is_marked_without_a_caution():
    got = freshness(made([60.0, 56.0, 59.8, 59.5, 59.9, 59.0]))
    assert got.tired.sum() == 1
    assert got.cautions == ()


def test_misread_makes_no_peak_and_intents_are_not_pooled():
    speeds = [50.0, 50.0, 75.0, 50.0, 44.0, 44.0]
    got = freshness(made(speeds, ["full"] * 4 + ["course"] * 2, aside=(2,)))
    assert not got.tired.any()
    np.testing.assert_allclose(got.peak_mps[[0, 4]], [50.0, 44.0])


def test_warm_up_is_found_and_a_steady_session_has_none():
    """A step of five SDs is found at its place; of thirty steady sessions at most three show one (BIC)."""
    got = freshness(made(np.r_[48.0 + noise(6), 50.0 + noise(14, 2)]))
    assert got.warm_up.sum() in (5, 6, 7)
    assert abs(got.warm_up_gain_mps - 2.0) < 0.6
    steady = [freshness(made(50.0 + noise(20, seed))).warm_up.any() for seed in range(30)]
    assert np.sum(steady) <= 3


def test_tiring_has_a_trend_with_its_error():
    """Least squares on a line of slope -0.1 m/s a shot (closed form)."""
    got = freshness(made(50.0 - 0.1 * np.arange(20) + noise(20)))
    assert abs(got.trend_mps + 0.1) < 3.0 * got.trend_sd_mps


def test_no_speed_no_line():
    got = freshness(made([np.nan] * 4))
    assert not got.tired.any()
    assert np.isnan(got.line_mps).all()
    assert got.cautions == ()
