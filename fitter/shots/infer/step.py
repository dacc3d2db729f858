"""Damped Gauss-Newton steps to the posterior of every shot, of the players' means and of the calibrations.

All sessions are solved under all hypotheses in one batch, see `eliminate` for symbols and equations. The
first rounds take tangents of the strike, the others secants over the posterior spread. A shot far from the
player's mean is held to it less, by monotone weights (Maronna 1976, Ann. Statist. 4, 51-67),

    w_i = min(loose_i, ordinary / ((x_i - m)' W (x_i - m) + tr(W H_i^-1)))                               (8)

so that a mishit on which several channels agree is believed. The noise of each channel is found on the way,
see `device`, and so is the scatter of each of the player's columns, see `scatter`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.shots.infer import device, scatter
from fitter.shots.infer.doubt import Doubt
from fitter.shots.infer.eliminate import G, X, considered, eliminate, leverage, log_evidence, precisions
from fitter.shots.infer.hypotheses import Hypotheses
from fitter.shots.infer.linearise import secant, tangent
from fitter.shots.infer.measurement import MEASURED, Data
from fitter.shots.infer.prior import Prior

Floats = NDArray[np.float64]

TANGENTS, SECANTS = 4, 5
"""Rounds with tangents and with secants: fixed, so that no session's answer depends on its neighbours."""
AGAIN = 4
"""Rounds of secants from the posterior of nearly the same data."""
LONGEST = 4.0
"""Longest step of a round, in prior SDs."""


@dataclass(frozen=True)
class Posterior:
    """Posteriors under each of k hypotheses; the first axis is the hypothesis.

    Parameters
    ----------
    x : ndarray, shape (k, n, 7)
        Delivery, the logarithm of the speed first.
    own : ndarray, shape (k, n, 7, 7)
        Covariance of a shot if g were known.
    pull : ndarray, shape (k, n, 7, G)
        How far a shot moves with g: x = x_hat - pull (g - g_hat).
    g, g_cov : ndarray, shapes (k, sessions, G) and (k, sessions, G, G)
        Player's mean delivery and calibrations.
    evidence : ndarray, shape (k, sessions)
        Logarithm, up to a constant of the session.
    predicted : ndarray, shape (k, n, 12)
        Channels as a device would show them, SI.
    noise : ndarray, shape (k, n, 12)
        SD of one measurement about the straight line, SI.
    leverage : ndarray, shape (k, n, 12)
        Posterior variance of `predicted` over the square of `noise`.
    alone : ndarray, shape (k, n, 12)
        SD of a measurement if nothing else of the shot were known, SI.
    device, free : ndarray, shape (k, sessions, 12)
        Variance of the device's noise over the judged one, and its degrees of freedom.
    scatter : ndarray, shape (k, sessions, 7)
        Variance of the player's shots over that of the level.
    """

    x: Floats
    own: Floats
    pull: Floats
    g: Floats
    g_cov: Floats
    evidence: Floats
    predicted: Floats
    noise: Floats
    leverage: Floats
    alone: Floats
    device: Floats
    free: Floats
    scatter: Floats

    def take(self, shots: slice | NDArray[np.int64], one: slice | NDArray[np.int64]) -> Posterior:
        """Cut out some sessions: their rows and their numbers."""
        return Posterior(
            self.x[:, shots], self.own[:, shots], self.pull[:, shots], self.g[:, one], self.g_cov[:, one],
            self.evidence[:, one], self.predicted[:, shots], self.noise[:, shots], self.leverage[:, shots],
            self.alone[:, shots], self.device[:, one], self.free[:, one],
            self.scatter[:, one],
        )  # fmt: skip


def _begin(data: Data, prior: Prior) -> Floats:
    """Deliveries to begin with, shape (n, 7): the prior's mean, nearer to what was measured."""
    x = np.array(np.broadcast_to(prior.mean, (len(data.y), X)))
    column = {name: data.y[:, k] for k, name in enumerate(MEASURED)}
    # Ordinary driver: ball/club ratio 1.45; launch 0.85 of the loft; starting values only.
    ball = column["ball_speed_mps"] / 1.45
    speed = np.where(np.isfinite(column["club_speed_mps"]), column["club_speed_mps"], ball)
    guesses = (
        (0, np.log(speed)), (1, column["attack_deg"]), (3, column["direction_deg"]),
        (4, column["launch_deg"] / 0.85),
    )  # fmt: skip
    for k, guess in guesses:
        x[:, k] = np.where(np.isfinite(guess), guess, x[:, k])
    return x


class _Damping:
    """Step lengths: halved where a step turns back, made longer again where it does not.

    Ball speed falls to both sides of the face's middle, so that an undamped step jumps from high to low.
    """

    def __init__(self, longest: Floats, shape: tuple[int, ...]) -> None:
        self._longest, self._last, self._length = longest, np.zeros(shape), np.ones((*shape[:-1], 1))

    def __call__(self, step: Floats) -> Floats:
        """Shorten a step."""
        move = step / self._longest
        back = (move * self._last).sum(-1, keepdims=True) < 0.0
        self._length = np.where(back, 0.5 * self._length, np.minimum(1.0, 1.5 * self._length))
        self._last = move
        return np.asarray(self._length * np.clip(step, -self._longest, self._longest))


def solve(
    data: Data, hypotheses: Hypotheses, begin: Posterior | None = None, hold: bool = False
) -> Posterior:
    """Find the posteriors of every hypothesis.

    Parameters
    ----------
    data : Data
    hypotheses : Hypotheses
        k of them.
    begin : Posterior, optional
        Of the same shots with little different: a few rounds of secants are enough then.
    hold : bool
        Leave the sessions' means, calibrations and noise as `begin` has them: the shots may be some of the
        sessions' shots then.

    Returns
    -------
    Posterior
    """
    priors, model, struck = hypotheses.priors, hypotheses.models[:, None], hypotheses.face
    k, n, owner = len(priors), len(data.y), data.owner
    p, doubt = precisions(hypotheses, data), Doubt.judged()
    within = np.stack([q.within for q in priors])[:, None]
    sd_shot, sd_mean = (
        np.sqrt(np.stack([np.diag(c) for c in covs]))[:, None]
        for covs in ([q.within for q in priors], [q.between for q in priors])
    )
    parts = (np.broadcast_to(v, (k, len(data.first), v.shape[-1])) for v in (sd_mean, data.spread))
    sd_g = np.concatenate(list(parts), axis=-1)
    damp_x = _Damping(LONGEST * sd_shot, (k, n, X))
    damp_g = _Damping(LONGEST * sd_g, (k, len(data.first), G))
    weight = np.broadcast_to(data.loose, (k, n))
    if begin is None:
        x, g = _first_guess(data, hypotheses)
        tau, spread = np.ones((k, len(data.first), len(MEASURED))), np.ones((k, len(data.first), X))
        cov, first_round = np.empty(0), 0
    else:
        x, g, tau, spread = begin.x, begin.g, begin.device, begin.scatter
        cov = begin.own + begin.pull @ begin.g_cov[:, owner] @ begin.pull.swapaxes(-1, -2)
        first_round = TANGENTS + SECANTS - AGAIN
    free = np.full_like(tau, device.degrees()) if begin is None or not hold else begin.free
    for turn in range(first_round, TANGENTS + SECANTS + 1):
        here = (g[:, owner, X:], data.head, model, struck, data.usual, data.y)
        line = tangent(x, *here) if turn < TANGENTS else secant(x, cov, *here)
        own = data.sd**2 * tau[:, owner]
        total = own + line.bend + doubt.variance(line.here, x, struck)
        noise = np.sqrt(total)
        q = eliminate(data, p, line, noise, x, g, weight, spread)
        g_cov: Floats = begin.g_cov if begin is not None and hold else np.asarray(np.linalg.inv(q.s))  # (6)
        if turn == TANGENTS + SECANTS:
            break
        dg = np.zeros_like(q.e) if hold else np.matmul(g_cov, q.e[..., None])[..., 0]  # (4)
        dx = np.matmul(q.own, q.b[..., None])[..., 0] - np.matmul(q.d, dg[:, owner][..., None])[..., 0]  # (3)
        if turn >= TANGENTS - 1 and not hold:
            hat = leverage(data, q, line, noise, g_cov)
            tau, free = device.update(data, tau, q.r, hat, own / total)  # (9)
            spread = scatter.update(data, p.scatter, spread, x - g[:, owner, :X], q, g_cov)  # (11)
        x, g = x + damp_x(dx), g + damp_g(dg)
        trace = (q.within * q.own).sum((-1, -2))
        weight = np.minimum(data.loose, data.ordinary / (q.distance + trace))  # (8)
        if turn >= TANGENTS - 1:
            cov = q.own + q.d @ g_cov[:, owner] @ q.d.swapaxes(-1, -2)  # (6)
    hat = leverage(data, q, line, noise, g_cov)
    root = np.sqrt(spread[:, owner])
    alone = np.sqrt(
        noise**2 + ((line.by_x @ (within * root[..., :, None] * root[..., None, :])) * line.by_x).sum(-1)
    )
    evidence = log_evidence(data, p, q, noise, g) + device.log_prior(data, tau) + scatter.log_prior(spread)
    pull = considered(data, q, line, noise, g_cov)
    return Posterior(x, q.own, pull, g, g_cov, evidence, line.here, noise, hat, alone, tau, free, spread)


def _first_guess(data: Data, hypotheses: Hypotheses) -> tuple[Floats, Floats]:
    """Deliveries (k, n, 7) and sessions' means and calibrations (k, sessions, G) to begin with."""
    k, priors, trust = len(hypotheses), hypotheses.priors, data.trust[:, None]
    x = np.array(np.broadcast_to(_begin(data, priors[0]), (k, len(data.y), X)))
    counted = np.add.reduceat(data.trust, data.first)[:, None]
    mean = np.add.reduceat(x * trust, data.first, axis=1) / np.maximum(counted, 1.0)
    mean = np.where(counted > 0, mean, np.stack([q.mean for q in priors])[:, None])
    return x, np.concatenate([mean, np.broadcast_to(data.mean, (k, *data.mean.shape))], axis=-1)
