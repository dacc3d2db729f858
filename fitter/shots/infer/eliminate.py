"""A session's equations: the deliveries of its shots eliminated into the player's mean and the calibrations.

Symbols, for one session under one hypothesis (skill level and strike model):

====== ==================== ====================================================================
x_i    (7,)                 delivery of shot i, the logarithm of the speed first
g      (G,)                 (m, c): the player's mean delivery (7) and the calibrations (C)
y_i    (12,)                measured channels, s_i (12,) the SDs of measurement and linearisation
A_i    (12, 7)              slopes of the channels by x_i over s_i, zero where nothing was measured
B_i    (12, C)              slopes by c over s_i
r_i    (12,)                residuals, measured less predicted, over s_i
W      (7, 7)               inverse of the covariance of one player's shots about m
V, m_0 (7, 7), (7,)         inverse covariance and centre of players' means
K, c_0 (C, C), (C,)         inverse covariance (diagonal) and centre of the calibrations
w_i, t_i                    firmness with which a shot is held to m; 1 for a shot that counts, else 0
====== ==================== ====================================================================

What is to be least is

    J = sum_i t_i (|r_i|^2 + w_i (x_i - m)' W (x_i - m)) + (m - m_0)' V (m - m_0) + (c - c_0)' K (c - c_0) (1)

A session is an arrow: each x_i meets its own channels and g alone. One step (dx_i, dg) solves

    H_i dx_i + F_i dg = b_i    with  H_i = A_i' A_i + w_i W,  F_i = (-w_i W, A_i' B_i),
                                     b_i = A_i' r_i - w_i W (x_i - m)                                    (2)
    dx_i = H_i^-1 b_i - D_i dg       D_i = H_i^-1 F_i                                                    (3)
    S dg = e                         S = sum_i t_i (G_i - F_i' D_i) + diag(V, K)                         (4)
                                     G_i = diag(w_i W, B_i' B_i)
                                     e = sum_i t_i ((w_i W (x_i - m), B_i' r_i) - D_i' b_i)
                                         - (V (m - m_0), K (c - c_0))                                    (5)

S is the Schur complement of the shots (Nocedal & Wright 2006, Numerical Optimization, 2nd ed., 10.3; the
elimination is that of bundle adjustment). The posterior covariances are

    cov g = S^-1,     cov x_i = H_i^-1 + D_i S^-1 D_i'                                                   (6)

and the logarithm of the evidence of a hypothesis is Laplace's (MacKay 2003, Information Theory, Inference,
and Learning Algorithms, eq. 27.4), up to a constant of the session:

    log Z = -1/2 (J + sum_i t_i (log|H_i| - log|W| + 2 sum log s_i) + log|S| - log|V| - log|K|)          (7)

in which the distance of a shot far from the mean counts by its logarithm (see `log_evidence`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.physics import vectors
from fitter.shots.infer.hypotheses import Hypotheses
from fitter.shots.infer.linearise import OF_PLACE, Line
from fitter.shots.infer.measurement import CALIBRATIONS, Data

Floats = NDArray[np.float64]

X = vectors.DELIVERY
G = X + len(CALIBRATIONS)


@dataclass(frozen=True)
class Precisions:
    """Inverse covariances of all hypotheses, ready to broadcast over sessions or shots.

    Parameters
    ----------
    within, between : ndarray, shape (k, 1, 7, 7)
        W and V.
    centre : ndarray, shape (k, 1, 7)
        m_0.
    calibration : ndarray, shape (sessions, C)
        Diagonal of K.
    scatter : ndarray, shape (k, 1, 7)
        Variances of one player's shots at the hypothesis' level.
    """

    within: Floats
    between: Floats
    centre: Floats
    calibration: Floats
    scatter: Floats


def precisions(hypotheses: Hypotheses, data: Data) -> Precisions:
    """Invert the covariances of the priors of k hypotheses."""
    priors = hypotheses.priors
    return Precisions(
        np.stack([np.linalg.inv(p.within) for p in priors])[:, None],
        np.stack([np.linalg.inv(p.between) for p in priors])[:, None],
        np.stack([p.mean for p in priors])[:, None],
        1.0 / data.spread**2,
        np.stack([np.diag(p.within) for p in priors])[:, None],
    )


@dataclass(frozen=True)
class Equations:
    """Equations of all sessions under k hypotheses, the shots eliminated.

    Parameters
    ----------
    r : ndarray, shape (k, n, 12)
    within : ndarray, shape (k, n, 7, 7)
        W by the session's own scatter.
    h, own : ndarray, shape (k, n, 7, 7)
        H and its inverse.
    b : ndarray, shape (k, n, 7)
    d : ndarray, shape (k, n, 7, G)
    s : ndarray, shape (k, sessions, G, G)
    e : ndarray, shape (k, sessions, G)
    distance : ndarray, shape (k, n)
        Squared Mahalanobis distance of each shot from the player's mean.
    """

    r: Floats
    within: Floats
    h: Floats
    own: Floats
    b: Floats
    d: Floats
    s: Floats
    e: Floats
    distance: Floats


def eliminate(
    data: Data,
    p: Precisions,
    line: Line,
    noise: Floats,
    x: Floats,
    g: Floats,
    weight: Floats,
    scatter: Floats,
) -> Equations:
    """Set up the equations at a point and eliminate its shots.

    Parameters
    ----------
    data : Data
        n shots.
    p : Precisions
    line : Line
        The channels as straight functions of delivery and calibrations.
    noise : ndarray, shape (k, n, 12)
        s_i.
    x : ndarray, shape (k, n, 7)
    g : ndarray, shape (k, sessions, G)
    weight : ndarray, shape (k, n)
        w_i.
    scatter : ndarray, shape (k, sessions, 7)
        Variances of the session's shots over those of W.
    """
    owner, first, trust = data.owner, data.first, data.trust[:, None]
    m, c = g[..., :X], g[..., X:]
    use = np.isfinite(data.y) / noise
    r = (np.nan_to_num(data.y) - line.here) * use
    a, b_c = line.by_x * use[..., None], line.by_c * use[..., None]
    a_t, b_t = a.swapaxes(-1, -2), b_c.swapaxes(-1, -2)
    off = x - m[:, owner]
    less = 1.0 / np.sqrt(scatter)
    within = (p.within * less[..., :, None] * less[..., None, :])[:, owner]
    inner = _times(within, off)
    held, pulled = within * weight[..., None, None], inner * weight[..., None]
    h = a_t @ a + held  # (2)
    f = np.concatenate([-held, a_t @ b_c], axis=-1)
    b = _times(a_t, r) - pulled
    own: Floats = np.asarray(np.linalg.inv(h), dtype=np.float64)
    d = own @ f  # (3)
    block = -f.swapaxes(-1, -2) @ d  # (4)
    block[..., :X, :X] += held
    block[..., X:, X:] += b_t @ b_c
    s = np.add.reduceat(block * trust[..., None], first, axis=1)
    s[..., :X, :X] += p.between
    s[..., range(X, G), range(X, G)] += p.calibration
    right = np.concatenate([pulled, _times(b_t, r)], axis=-1) - _times(d.swapaxes(-1, -2), b)  # (5)
    e = np.add.reduceat(right * trust, first, axis=1)
    e[..., :X] -= _times(p.between, m - p.centre)
    e[..., X:] -= p.calibration * (c - data.mean)
    return Equations(r, within, h, own, b, d, s, e, (off * inner).sum(-1))


def log_evidence(data: Data, p: Precisions, q: Equations, noise: Floats, g: Floats) -> Floats:
    """Logarithm of the evidence of each hypothesis, shape (k, sessions), up to a constant of the session.

    The squared distance of a shot from the mean counts in full up to `Data.ordinary` and by its logarithm
    beyond, as the weights hold it.
    """
    m, c = g[..., :X], g[..., X:]
    used = np.isfinite(data.y)
    cost = (q.r * q.r).sum(-1) + np.linalg.slogdet(q.h)[1] - np.linalg.slogdet(q.within)[1]  # (7)
    beyond = np.maximum(q.distance / data.ordinary, 1.0)
    cost += np.minimum(q.distance, data.ordinary) + data.ordinary * np.log(beyond)
    cost += 2.0 * np.log(np.where(used, noise, 1.0)).sum(-1)
    miss = m - p.centre
    return np.asarray(
        -0.5
        * (
            np.add.reduceat(cost * data.trust, data.first, axis=1)
            + (miss * _times(p.between, miss)).sum(-1)
            + (p.calibration * (c - data.mean) ** 2).sum(-1)
            + np.linalg.slogdet(q.s)[1]
            - np.linalg.slogdet(p.between)[1]
            - np.log(p.calibration).sum(-1)
        )
    )


def leverage(data: Data, q: Equations, line: Line, noise: Floats, g_cov: Floats) -> Floats:
    """Posterior variance of each predicted channel over the square of its noise, shape (k, n, 12).

    By (6), for every channel, measured or not.
    """
    a = line.by_x / noise[..., None]
    by_g = -(a @ q.d)
    by_g[..., X:] += line.by_c / noise[..., None]
    return np.asarray(((a @ q.own) * a).sum(-1) + ((by_g @ g_cov[:, data.owner]) * by_g).sum(-1))


def considered(data: Data, q: Equations, line: Line, noise: Floats, g_cov: Floats) -> Floats:
    """How far shots move with g, those of its entries that they do not tell included, shape (k, n, 7, G).

    A session without strike places says nothing of the gear effect, yet all its strike places hang on it.
    With U_i, the slopes by these entries over s_i (`Line.untold`), x_i moves by

        -(H_i^-1 A_i' U_i - D_i S^-1 sum_j t_j (B_j' U_j - D_j' A_j' U_j))                                (12)

    times their change: consider parameters, which widen what is known and are not themselves updated (Schmidt
    1966, Adv. Control Syst. 3, 293-340; Jazwinski 1970, Stochastic Processes and Filtering Theory, 8.6).
    """
    if not line.untold.any():
        return q.d
    use = (np.isfinite(data.y) / noise)[..., None]
    u, a_t, b_t = line.untold * use, (line.by_x * use).swapaxes(-1, -2), (line.by_c * use).swapaxes(-1, -2)
    cross = -q.d.swapaxes(-1, -2) @ (a_t @ u)
    cross[..., X:, :] += b_t @ u
    moved = g_cov @ np.add.reduceat(cross * data.trust[:, None, None], data.first, axis=1)
    pull = q.d.copy()
    pull[..., X:][..., OF_PLACE] += q.own @ (a_t @ u) - q.d @ moved[:, data.owner]
    return np.asarray(pull)


def _times(matrix: Floats, vector: Floats) -> Floats:
    """Matrix times vector over the leading axes."""
    return np.asarray(np.matmul(matrix, vector[..., None])[..., 0])
