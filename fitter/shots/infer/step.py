"""Weighted least squares over shots, players' means and calibrations at once, with Laplace covariances.

A session is an arrow: each shot's delivery (7) touches its own channels and the session's block g of the
player's mean delivery (7) and the calibrations (6). Gauss-Newton with the shots eliminated by the Schur
complement (Nocedal & Wright 2006, Numerical Optimization, 2nd ed., 10.3; the elimination is that of bundle
adjustment) solves all sessions under all hypotheses in one batch. A shot far from the player's mean is held
to it less, by monotone weights (Maronna 1976, Ann. Statist. 4, 51-67), so that a mishit of which several
channels tell is believed. The evidence of a hypothesis is Laplace's (MacKay 2003, Information Theory,
Inference, and Learning Algorithms, eq. 27.4).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.physics import impact
from fitter.shots.infer.linearise import Line, secant, tangent
from fitter.shots.infer.measurement import CALIBRATIONS, MEASURED
from fitter.shots.infer.prior import Prior

Floats = NDArray[np.float64]

X, C = impact.DELIVERY, len(CALIBRATIONS)
G = X + C
_BALL = MEASURED.index("ball_speed_mps")
TANGENTS, SECANTS = 4, 5
"""Rounds with tangents and with secants: fixed, so that no session's answer hangs on its neighbours."""
AGAIN = 4
"""Rounds of secants where a posterior of nearly the same data is at hand."""
LONGEST = 4.0
"""Longest step of a round, in prior SDs."""


@dataclass(frozen=True)
class Data:
    """Shots of several sessions in one table, session after session.

    Parameters
    ----------
    y, sd : ndarray, shape (n, 12)
        Measured channels and their SDs, SI; NaN where there is nothing to use.
    first : ndarray of int, shape (sessions,)
        Row at which each session begins.
    trust : ndarray, shape (n,)
        1 where a shot tells of the session, 0 where only of itself.
    head : ndarray, shape (n, 13)
    mean, spread : ndarray, shape (sessions, 6)
        Prior of the calibrations.
    fall : (float, float)
        SDs of the fall of restitution across and up the face, per m2 of miss.
    ordinary : float
        Squared Mahalanobis distance from the player's mean up to which a shot is an ordinary one.
    loose : ndarray, shape (n,)
        How firmly each shot is held to the player's mean, 1 as the scatter says.
    """

    y: Floats
    sd: Floats
    first: NDArray[np.int64]
    trust: Floats
    head: Floats
    mean: Floats
    spread: Floats
    fall: tuple[float, float]
    ordinary: float
    loose: Floats

    def take(self, rows: NDArray[np.int64], y: Floats) -> Data:
        """Cut out some rows, in order, with other measurements y (n, 12)."""
        sessions, first = np.unique(self.owner[rows], return_index=True)
        return Data(
            y[rows], self.sd[rows], first, self.trust[rows], self.head[rows], self.mean[sessions],
            self.spread[sessions], self.fall, self.ordinary,
            self.loose[rows],
        )  # fmt: skip

    @property
    def owner(self) -> NDArray[np.int64]:
        """Session of each shot, shape (n,)."""
        counts = np.diff(np.append(self.first, len(self.y)))
        return np.repeat(np.arange(len(self.first)), counts)


@dataclass(frozen=True)
class Posterior:
    """Posteriors under each of k hypotheses; the first axis is the hypothesis.

    Parameters
    ----------
    x : ndarray, shape (k, n, 7)
        Delivery, the logarithm of the speed first.
    own : ndarray, shape (k, n, 7, 7)
        Covariance of a shot if g were known.
    pull : ndarray, shape (k, n, 7, 13)
        How far a shot moves with g: x = x_hat - pull (g - g_hat).
    g, g_cov : ndarray, shapes (k, sessions, 13) and (k, sessions, 13, 13)
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

    def take(self, shots: slice | NDArray[np.int64], one: slice | NDArray[np.int64]) -> Posterior:
        """Cut out some sessions: their rows and their numbers."""
        return Posterior(
            self.x[:, shots], self.own[:, shots], self.pull[:, shots], self.g[:, one], self.g_cov[:, one],
            self.evidence[:, one], self.predicted[:, shots], self.noise[:, shots], self.leverage[:, shots],
            self.alone[:, shots],
        )  # fmt: skip


def start(data: Data, prior: Prior) -> Floats:
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


def _damped(move: Floats, last: Floats, step: Floats) -> tuple[Floats, Floats]:
    """Halve the step of whatever turned back, lengthen the others again.

    Ball speed falls to both sides of the face's middle, so that an undamped step jumps from high to low.
    """
    back = (move * last).sum(-1, keepdims=True) < 0.0
    return np.where(back, 0.5 * step, np.minimum(1.0, 1.5 * step)), move


def solve(
    data: Data, priors: list[Prior], models: Floats, begin: Posterior | None = None, hold: bool = False
) -> Posterior:
    """Find the posteriors of every hypothesis.

    Parameters
    ----------
    data : Data
    priors : list of Prior
        One for each of k hypotheses.
    models : ndarray, shape (k, 14)
        Strike model of each hypothesis.
    begin : Posterior, optional
        Of the same shots with little different: a few rounds of secants are enough then.
    hold : bool
        Leave the sessions' blocks as `begin` has them: the shots may be some of the sessions' shots then.

    Returns
    -------
    Posterior
    """
    k, n, owner, first = len(priors), len(data.y), data.owner, data.first
    there = np.isfinite(data.y)
    y = np.nan_to_num(data.y)
    within = np.stack([np.linalg.inv(p.within) for p in priors])[:, None]
    between = np.stack([np.linalg.inv(p.between) for p in priors])[:, None]
    centre = np.stack([p.mean for p in priors])[:, None]
    reach = LONGEST * np.sqrt(np.stack([np.diag(p.within) for p in priors]))[:, None]
    wide = np.sqrt(np.stack([np.diag(p.between) for p in priors]))[:, None]
    far = LONGEST * np.concatenate(
        [np.broadcast_to(v, (k, len(first), v.shape[-1])) for v in (wide, data.spread)], axis=-1
    )
    stiff = 1.0 / data.spread**2
    model = models[:, None]
    trust = data.trust[:, None]
    weight = np.broadcast_to(data.loose, (k, n))
    if begin is None:
        x = np.array(np.broadcast_to(start(data, priors[0]), (k, n, X)))
        told = np.add.reduceat(data.trust, first)[:, None]
        mu = np.add.reduceat(x * trust, first, axis=1) / np.maximum(told, 1.0)
        mu = np.where(told > 0, mu, centre)
        c = np.array(np.broadcast_to(data.mean, (k, *data.mean.shape)))
        cov, rounds = np.empty(0), range(TANGENTS + SECANTS + 1)
    else:
        x, mu, c = np.array(begin.x), begin.g[..., :X], begin.g[..., X:]
        cov = begin.own + begin.pull @ begin.g_cov[:, owner] @ begin.pull.swapaxes(-1, -2)
        rounds = range(TANGENTS + SECANTS - AGAIN, TANGENTS + SECANTS + 1)
    step_x, last_x = np.ones((k, n, 1)), np.zeros((k, n, X))
    step_g, last_g = np.ones((k, len(first), 1)), np.zeros((k, len(first), G))
    for turn in rounds:
        here = (x, c[:, owner], data.head, model, data.y)
        line = tangent(*here) if turn < TANGENTS else secant(x, cov, *here[1:])
        noise = np.sqrt(data.sd**2 + line.bend + _fall(line, x, models, data.fall))
        use = there / noise
        r = (y - line.here) * use
        a, b = line.by_x * use[..., None], line.by_c * use[..., None]
        at, bt = a.swapaxes(-1, -2), b.swapaxes(-1, -2)
        off = x - mu[:, owner]
        inner = np.matmul(within, off[..., None])[..., 0]
        far_out = (off * inner).sum(-1)
        held = within * weight[..., None, None]
        pulled = inner * weight[..., None]
        h = at @ a + held
        own: Floats = np.asarray(np.linalg.inv(h), dtype=np.float64)
        f = np.concatenate([-held, at @ b], axis=-1)
        d = own @ f
        bx = np.matmul(at, r[..., None])[..., 0] - pulled
        block = -f.swapaxes(-1, -2) @ d
        block[..., :X, :X] += held
        block[..., X:, X:] += bt @ b
        bg = np.concatenate([pulled, np.matmul(bt, r[..., None])[..., 0]], axis=-1)
        bg -= np.matmul(d.swapaxes(-1, -2), bx[..., None])[..., 0]
        whole = np.add.reduceat(block * trust[..., None], first, axis=1)
        whole[..., :X, :X] += between
        whole[..., range(X, G), range(X, G)] += stiff
        rhs = np.add.reduceat(bg * trust, first, axis=1)
        rhs[..., :X] -= np.matmul(between, (mu - centre)[..., None])[..., 0]
        rhs[..., X:] -= stiff * (c - data.mean)
        g_cov = begin.g_cov if begin is not None and hold else np.linalg.inv(whole)
        if turn == TANGENTS + SECANTS:
            break
        dg = np.zeros_like(rhs) if hold else np.matmul(g_cov, rhs[..., None])[..., 0]
        dx = np.matmul(own, bx[..., None])[..., 0] - np.matmul(d, dg[:, owner][..., None])[..., 0]
        step_x, last_x = _damped(dx / reach, last_x, step_x)
        step_g, last_g = _damped(dg / far, last_g, step_g)
        x = x + step_x * np.clip(dx, -reach, reach)
        dg = step_g * np.clip(dg, -far, far)
        mu, c = mu + dg[..., :X], c + dg[..., X:]
        doubt = (within.swapaxes(-1, -2) * own).sum((-1, -2))
        weight = np.minimum(data.loose, data.ordinary / (far_out + doubt))
        if turn >= TANGENTS - 1:
            cov = own + d @ g_cov[:, owner] @ d.swapaxes(-1, -2)

    a_full = line.by_x / noise[..., None]
    carried = -(a_full @ d)
    carried[..., X:] += line.by_c / noise[..., None]
    leverage = ((a_full @ own) * a_full).sum(-1) + ((carried @ g_cov[:, owner]) * carried).sum(-1)
    spread = np.stack([p.within for p in priors])[:, None]
    alone = np.sqrt(noise**2 + ((line.by_x @ spread) * line.by_x).sum(-1))
    miss = mu - centre
    cost = (r * r).sum(-1) + np.linalg.slogdet(h)[1] - np.linalg.slogdet(within)[1]
    beyond = np.maximum(far_out / data.ordinary, 1.0)
    cost += np.minimum(far_out, data.ordinary) + data.ordinary * np.log(beyond)
    cost += 2.0 * np.log(np.where(there, noise, 1.0)).sum(-1)
    evidence = -0.5 * (
        np.add.reduceat(cost * data.trust, first, axis=1)
        + (miss * np.matmul(between, miss[..., None])[..., 0]).sum(-1)
        + (stiff * (c - data.mean) ** 2).sum(-1)
        + np.linalg.slogdet(whole)[1]
        - np.linalg.slogdet(between)[1]
        - np.log(stiff).sum(-1)
    )
    g = np.concatenate([mu, c], axis=-1)
    return Posterior(x, own, d, g, g_cov, evidence, line.here, noise, np.asarray(leverage), alone)


def _fall(line: Line, x: Floats, models: Floats, fall: tuple[float, float]) -> Floats:
    """Variance of the ball speed, (k, n, 12): nobody knows how fast restitution falls off the centre."""
    out = np.zeros_like(line.here)
    per_cor = line.here[..., _BALL] / (1.0 + models[:, None, impact.COR])
    miss = fall[0] ** 2 * x[..., impact.TOE] ** 4 + fall[1] ** 2 * x[..., impact.HIGH] ** 4
    out[..., _BALL] = per_cor**2 * miss
    return out
