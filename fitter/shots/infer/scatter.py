"""The player's own scatter, column by column: that of the level, moved by the session's shots.

The variance of a column is s^2 times that of the level, and s^2 has a scaled inverse chi-squared prior about
1 with `player.shrink_shots` degrees of freedom, nu. By the EM algorithm (Dempster, Laird & Rubin 1977, J. R.
Stat. Soc. B 39, 1-38), with P_i = D_i + (E, 0), by which x_i - m moves with g, and psi and beta of `device`,

    u_i = diag(H_i^-1 + P_i S^-1 P_i') / (s^2 sigma^2),     z_i^2 = (x_i - m)^2 / ((1 - u_i) s^2 sigma^2)
    s^2 = (nu + s^2 sum (u_i + (1 - u_i) psi(z_i^2) / beta)) / (nu + n)                              (11)

A column that was not measured itself keeps the level's scatter: what the ball tells of it cannot part a
mishit from a misread. Without this a player who scatters more than the level in one column would be taken for
a noisy device.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.shots.infer.device import BETA, CUT
from fitter.shots.infer.eliminate import Equations, X
from fitter.shots.infer.measurement import Data

Floats = NDArray[np.float64]

_EXTREME = (0.04, 25.0)
"""Limits of s^2: a fifth and five times the level's scatter."""


def update(data: Data, variance: Floats, scatter: Floats, off: Floats, q: Equations, g_cov: Floats) -> Floats:
    """Take one step to the fixed point of (11).

    Parameters
    ----------
    data : Data
    variance : ndarray, shape (k, 1, 7)
        Of the level.
    scatter : ndarray, shape (k, sessions, 7)
        s^2.
    off : ndarray, shape (k, n, 7)
        Shots less the player's mean.
    q : Equations
    g_cov : ndarray, shape (k, sessions, G, G)
    """
    nu = current().value("player.shrink_shots")
    moves = q.d.copy()
    moves[..., range(X), range(X)] += 1.0
    unknown = np.diagonal(q.own, axis1=-2, axis2=-1)
    unknown = unknown + ((moves @ g_cov[:, data.owner]) * moves).sum(-1)
    now = (variance * scatter)[:, data.owner]
    guessed = np.minimum(unknown / now, 1.0)
    known = np.maximum(1.0 - guessed, 1e-6)
    z = guessed + known * np.minimum(off * off / (now * known), CUT) / BETA
    found = scatter * np.add.reduceat(data.trust[:, None] * z, data.first, axis=1)
    number = np.add.reduceat(data.trust, data.first)[:, None]
    measured = np.logical_or.reduceat(np.isfinite(data.y[:, :X]), data.first, axis=0)
    return np.asarray(np.where(measured, np.clip((nu + found) / (nu + number), *_EXTREME), 1.0))


def log_prior(scatter: Floats) -> Floats:
    """Logarithm of the prior density over that of s = 1, shape (k, sessions)."""
    nu = current().value("player.shrink_shots")
    return np.asarray(-0.5 * nu * (1.0 / scatter - 1.0 + np.log(scatter)).sum(axis=-1))
