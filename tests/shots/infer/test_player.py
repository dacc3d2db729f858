"""The player's model: scatter, heavy tails, drift, and what nobody measured."""

import numpy as np
import pytest

from fitter.base.errors import DataError
from fitter.shots.infer import infer
from fitter.shots.infer.player import PlayerModel
from fitter.shots.infer.prior import scatter_covariance
from tests.shots.infer.virtual import BALL, sessions


def test_scatter_is_learnt_from_many_shots_and_believed_with_few():
    """Sample covariance of 400 shots with all channels: each SD within a fifth (six standard errors)."""
    truth = sessions(1, 400)
    model = PlayerModel(nu=50).fit(infer.infer(truth.sessions[0]))
    true = np.cov(truth.delivery[0].T)
    np.testing.assert_allclose(np.sqrt(np.diag(model.covariance_) / np.diag(true)), 1.0, atol=0.2)
    few = PlayerModel(shrink_shots=1e6).fit(infer.infer(truth.sessions[0].take(np.arange(5))))
    believed = scatter_covariance(few.level_, few.mean_[0])
    np.testing.assert_allclose(np.diag(few.covariance_), np.diag(believed), rtol=0.02)


def test_unmeasured_strike_keeps_the_levels_scatter():
    """Nothing measured of a column: E-step adds all its variance, so the fixed point is the prior."""
    truth = sessions(1, 12, ("club_speed_mps",))
    got = infer.infer(truth.sessions[0], level=0.5)
    model = PlayerModel(level=0.5).fit(got)
    believed = np.sqrt(np.diag(scatter_covariance(0.5, model.mean_[0])))
    np.testing.assert_allclose(np.sqrt(np.diag(model.covariance_))[5:], believed[5:], rtol=0.35)


def test_mishit_weighs_less_and_draws_have_heavy_tails():
    """Kurtosis of a t with nu 8 is 3 + 6 / (nu - 4) = 4.5, of a normal 3 (closed form)."""
    truth = sessions(1, 40)
    model = PlayerModel(nu=8).fit(infer.infer(truth.sessions[0]))
    far = np.abs((truth.delivery[0] - model.mean_) / np.sqrt(np.diag(model.covariance_))).max(axis=1)
    assert model.weights_[far.argmax()] < np.median(model.weights_)
    draws = model.sample(200_000, np.random.default_rng(2))
    z = (draws - model.mean_) / np.sqrt(np.diag(model.covariance_))
    np.testing.assert_allclose(z.std(axis=0), 1.0, atol=0.02)
    assert 3.6 < np.mean(z[:, 1] ** 4) < 6.0
    np.testing.assert_allclose(
        np.cov(draws.T), model.covariance_, rtol=0.05, atol=np.diag(model.covariance_).max() * 0.02
    )


def test_drift_of_the_speed_is_found():
    """Speed that falls by 0.3 % a shot over 30 shots: slope within three standard errors of it."""
    truth = sessions(1, 30)
    s = truth.sessions[0]
    fall = 1.0 - 0.003 * np.arange(30)
    from dataclasses import replace
    from types import MappingProxyType

    values = dict(s.values) | {k: s.value(k) * fall for k in ("club_speed_mps", "ball_speed_mps")}
    model = PlayerModel().fit(infer.infer(replace(s, values=MappingProxyType(values))))
    assert abs(model.drift_[0] + 0.003 * model.mean_[0]) < 3.0 * model.drift_sd_[0]
    assert model.drift_[0] < -2.0 * model.drift_sd_[0]


def test_several_sessions_of_a_player_are_one_model():
    truth = sessions(2, 8, BALL)
    found = infer.infer_many(truth.sessions)
    both, one = PlayerModel().fit(found), PlayerModel().fit(found[0])
    assert both.n_shots_ == 16 - sum(int(d.misread.any(axis=1).sum()) for d in found)
    assert (both.mean_sd_ > 0).all()
    assert one.n_shots_ <= 8


def test_too_few_shots_and_no_fit_are_told():
    truth = sessions(1, 1)
    with pytest.raises(DataError, match="needs shots"):
        PlayerModel().fit(infer.infer(truth.sessions[0]))
    with pytest.raises(ValueError, match="fit the model"):
        PlayerModel().sample(3, np.random.default_rng(1))
