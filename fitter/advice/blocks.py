"""One channel of balls hit with several clubs: ``y = level + club + block + drift x order + error``.

Clubs are partly pooled and blocks have levels of their own; how much each varies is integrated over, never
taken at its most likely value: at a most likely 0 all clubs would be called equal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

RATIOS = np.concatenate([[0.0], np.geomspace(0.05, 4.0, 17)])
"""SDs of clubs and of blocks, in SDs of one ball, over which is integrated."""
STEPS = 15
"""Steps of the EM iteration for the weights of the balls."""


class Solved(NamedTuple):
    """A linear model at given variances.

    Parameters
    ----------
    log_density : float
        Of the data, flat effects and the error's variance integrated out (restricted likelihood).
    effects : ndarray, shape (columns,)
        Means: flat ones first, then those of each group.
    covariance : ndarray, shape (columns, columns)
        In units of the error's variance.
    variance : float
        Of the error: its restricted estimate.
    """

    log_density: float
    effects: Floats
    covariance: Floats
    variance: float


def solve(
    y: Floats,
    weights: Floats,
    flat: Floats,
    groups: Sequence[Floats],
    ratios: Sequence[float],
    variance: float | None = None,
) -> Solved:
    """Solve a mixed model whose variance ratios are given.

    Henderson's equations (Henderson 1950; Searle, Casella & McCulloch 1992, Variance Components, 7.2b), and
    the restricted likelihood with the error's variance profiled (their 6.6e).

    Parameters
    ----------
    y, weights : ndarray, shape (n,)
        Weights divide the error's variance.
    flat : ndarray, shape (n, p)
        Effects of which nothing is known.
    groups : sequence of ndarray, shape (n, q_i)
        Random effects.
    ratios : sequence of float
        Their SDs over that of the error, above 0.
    variance : float, optional
        The error's, where it is known.
    """
    x = np.concatenate([flat, *groups], axis=1)
    spread = [np.full(g.shape[1], r**-2.0) for g, r in zip(groups, ratios, strict=True)]
    penalty = np.concatenate([np.zeros(flat.shape[1]), *spread])
    xw = x * weights[:, None]
    normal = x.T @ xw + np.diag(penalty)
    covariance = np.linalg.inv(normal)
    effects = covariance @ (xw.T @ y)
    residual = y - x @ effects
    square = float(weights @ residual**2 + penalty @ effects**2)
    n, p = len(y), flat.shape[1]
    log_det = float(np.linalg.slogdet(normal)[1])
    log_prior = float(np.log(penalty[p:]).sum()) if len(penalty) > p else 0.0
    if variance is None:
        density = -0.5 * (n - p) * np.log(square) - 0.5 * log_det + 0.5 * log_prior
        variance = square / max(n - p, 1)
    else:
        density = -0.5 * square / variance - 0.5 * log_det + 0.5 * log_prior
    return Solved(float(density), np.asarray(effects), np.asarray(covariance), variance)


class Estimate(NamedTuple):
    """A mean and its intervals."""

    mean: float
    low: float
    high: float
    low95: float
    high95: float


@dataclass(frozen=True)
class Fit:
    """Posterior of one channel: a mixture over the SDs of clubs and of blocks.

    Parameters
    ----------
    clubs : int
    weight : ndarray, shape (grid,)
        Posterior of each pair of SDs.
    effects : ndarray, shape (grid, clubs)
        Means of the clubs' effects about the level.
    covariance : ndarray, shape (grid, clubs, clubs)
    level : float
        Mean over the clubs, all balls.
    freedom : float
        Degrees of freedom of each part's t distribution.
    slope : float
        Drift a ball, mean.
    ball_weights : ndarray, shape (n,)
        By which each ball counts: far ones less.
    """

    clubs: int
    weight: Floats
    effects: Floats
    covariance: Floats
    level: float
    freedom: float
    slope: float
    ball_weights: Floats

    def mean(self, k: int) -> float:
        """Mean of a club, shrunk towards that of all."""
        return float(self.level + self.weight @ self.effects[:, k])

    def difference(self, a: int, b: int) -> Estimate:
        """Shrunken difference a - b with its 80 and 95 % intervals."""
        from scipy.optimize import brentq
        from scipy.special import stdtr

        middle, sd = self._apart(a, b)

        def off(x: float, share: float) -> float:
            return float(self.weight @ stdtr(self.freedom, (x - middle) / sd)) - share

        wide = 40.0 * float(sd.max()) + float(np.abs(middle).max())
        ends = (brentq(off, -wide, wide, (q,), xtol=1e-13 * wide) for q in (0.1, 0.9, 0.025, 0.975))
        return Estimate(float(self.weight @ middle), *map(float, ends))

    def p_above(self, a: int, b: int) -> float:
        """Probability that a club is above another."""
        from scipy.special import stdtr

        middle, sd = self._apart(a, b)
        return float(self.weight @ stdtr(self.freedom, middle / sd))

    def _apart(self, a: int, b: int) -> tuple[Floats, Floats]:
        """Mean and SD of the difference a - b in each part of the mixture."""
        c = self.covariance
        sd = np.sqrt(np.maximum(c[:, a, a] + c[:, b, b] - 2.0 * c[:, a, b], 1e-18))
        return self.effects[:, a] - self.effects[:, b], sd


def fit(y: Floats, club: Ints, block: Ints, order: Floats) -> Fit:
    """Fit one channel.

    SDs of clubs and blocks have half-normal priors in SDs of one ball (`compare.club_sd`,
    `compare.block_sd`), the drift a normal one (`compare.drift_sd`). The error is a t: weights by EM (Lange,
    Little & Taylor 1989, J. Amer. Statist. Assoc. 84, 881-896).

    Parameters
    ----------
    y, order : ndarray, shape (n,)
        Values and numbers of the balls.
    club, block : ndarray of int64, shape (n,)
        Numbered from 0, none left out.
    """
    a = current()
    clubs, blocks = int(club.max()) + 1, int(block.max()) + 1
    groups = [np.eye(clubs)[club], (order - order.mean())[:, None]]
    some = bool(blocks > 1)
    if some:
        groups.append(np.eye(blocks)[block])
    drift, nu = a.value("compare.drift_sd"), a.value("compare.tail_df")
    one = np.ones((len(y), 1))
    weights = np.ones(len(y))
    pairs = [(float(c), float(b)) for c in RATIOS for b in (RATIOS if some else RATIOS[:1])]
    prior = np.array([
        -0.5 * (c / a.value("compare.club_sd")) ** 2 - 0.5 * (b / a.value("compare.block_sd")) ** 2
        for c, b in pairs
    ])  # fmt: skip
    usual = (a.value("compare.club_sd"), drift, a.value("compare.block_sd"))
    for _ in range(STEPS):
        s = solve(y, weights, one, groups, usual[: len(groups)])
        x = np.concatenate([one, *groups], axis=1)
        residual = y - x @ s.effects
        doubt = np.einsum("ij,jk,ik->i", x, s.covariance, x)
        weights = (nu + 1.0) / (nu + residual**2 / max(s.variance, 1e-18) + doubt)
    found = [
        solve(y, weights, one, groups, [max(c, 1e-6), drift, max(b, 1e-6)][: len(groups)]) for c, b in pairs
    ]
    # A t tells less of its centre than the weighted normal: (nu + 1) / (nu + 3) of it.
    told = (nu + 1.0) / (nu + 3.0)
    # Each node of the grid stands for its width.
    width = {float(r): float(w) for r, w in zip(RATIOS, np.gradient(RATIOS), strict=True)}
    area = np.array([width[c] * (width[b] if some else 1.0) for c, b in pairs])
    log = np.array([s.log_density for s in found]) + prior + np.log(area)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    here = slice(1, 1 + clubs)
    return Fit(
        clubs, weight,
        np.array([s.effects[here] for s in found]),
        np.array([s.covariance[here, here] * s.variance / told for s in found]),
        float(weight @ np.array([s.effects[0] for s in found])),
        float(max(len(y) - 1, 1)),
        float(weight @ np.array([s.effects[1 + clubs] for s in found])),
        weights,
    )  # fmt: skip
