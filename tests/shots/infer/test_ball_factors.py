"""Laws and factors conditioned on measured carries; the virtual ball follows one law with known factors."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np

from fitter import world as worlds
from fitter.base.assumptions import Assumptions, current, using
from fitter.base.conditions import Conditions
from fitter.physics import ball, engine, vectors
from fitter.shots.infer import infer
from fitter.shots.infer.ball_factors import ball_factors
from tests.shots.infer.virtual import BALL, leading, sessions


def flown(count, shots, law, drag=1.0, lift=1.0, computed=False):
    truth = sessions(count, shots, BALL, models=leading(count, 4), seed=8)
    a = dict(current())
    a["ball.drag_factor"] = replace(a["ball.drag_factor"], value=drag)
    a["ball.lift_factor"] = replace(a["ball.lift_factor"], value=lift)
    with using(Assumptions(a)):
        world = worlds.central(Conditions(law=law)).world
    rng = np.random.default_rng(6)
    out = []
    for s, start in zip(truth.sessions, truth.starts, strict=True):
        carry = engine.fly(start, world)[0, :, vectors.CARRY]
        carry = carry * (1.0 + 0.01 * rng.normal(size=shots))
        estimated = {"carry_m": np.full(shots, computed)}
        values = MappingProxyType(dict(s.values) | {"carry_m": carry})
        out.append(replace(s, values=values, estimated=MappingProxyType(estimated)))
    return out


def test_carries_raise_the_true_law():
    """Twelve carries move the true law from a third to about 0.7 (computed beforehand: 3/4, exact starts)."""
    means = []
    # Carries do not enter the inference, and the strikes are the same under every law.
    deliveries = infer.infer_many(flown(24, 12, ball.MODERN[0]))
    for law in ball.MODERN:
        made = flown(24, 12, law)
        found = [ball_factors(s, d) for s, d in zip(made, deliveries, strict=True)]
        means.append(np.mean([f.laws[law] for f in found]))
        assert all(f.shots <= 12 for f in found)
    # The doubt of the start that carries meet is as wide as the strike's.
    assert min(means) > 0.42
    assert np.mean(means) > 0.65


def test_factors_move_towards_the_truth_and_narrow():
    """A ball of 2.5 % more drag under a named law: the mean error falls, the stated SD does not grow."""
    law = ball.MODERN[0]
    made = flown(8, 20, law, drag=1.025)
    where = Conditions(law=law)
    found = [ball_factors(s, d, where) for s, d in zip(made, infer.infer_many(made), strict=True)]
    prior = current()["ball.drag_factor"]
    assert np.mean([f.drag for f in found]) > 1.0 + 0.3 * 0.025
    assert all(f.drag_sd < prior.sd for f in found)
    assert np.mean([abs(f.drag - 1.025) < 2.0 * f.drag_sd for f in found]) >= 0.6


def test_computed_carries_tell_nothing():
    """Carries that a device computed are its own law's: the prior comes back unchanged."""
    made = flown(1, 12, ball.MODERN[0], computed=True)
    got = ball_factors(made[0], infer.infer(made[0]))
    a = current()
    assert got.shots == 0
    np.testing.assert_allclose([got.drag, got.drag_sd], [1.0, a.sd("ball.drag_factor")])
    np.testing.assert_allclose(list(got.laws.values()), 1.0 / len(ball.MODERN))


def test_a_topped_ball_does_no_harm():
    """A carry of nothing under every law has no slopes: the factors stay finite."""
    made = flown(1, 12, ball.MODERN[0])
    carry = made[0].value("carry_m").copy()
    carry[3] = 0.0
    low = {"carry_m": carry, "launch_deg": made[0].value("launch_deg").copy()}
    low["launch_deg"][3] = -4.0
    topped = replace(made[0], values=MappingProxyType(dict(made[0].values) | low))
    got = ball_factors(topped, infer.infer(topped))
    assert np.isfinite([got.drag, got.drag_sd, got.lift, got.lift_sd]).all()
