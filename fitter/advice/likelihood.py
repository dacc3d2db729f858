"""What balls tell of clubs: a block model with heavy tails, all channels together, ball by ball.

``y = level + block + drift x order + club + club's own day + error``, each a vector over the channels; the
error follows a multivariate t. The club's own effect is left free: what balls say of it is returned as
information, and the belief joins that with what it holds (a Gaussian prior), exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.balls import Balls
from fitter.advice.roots import SCALE, Roots
from fitter.base.assumptions import current

Floats = NDArray[np.float64]

Groups = list[tuple[NDArray[np.int64], NDArray[np.int64]]]
"""Balls that have the same channels: indices of the balls, and of the channels."""

CHANNELS = len(SCALE)
STEPS = 12
"""Steps of the EM iteration; a fixed number, so that the same balls give the same bytes."""
LEAST = 1e-3
"""Precision below which a channel counts as not measured."""
FREE = 1e4
"""Variance of the level, in squares of `SCALE`: nothing is known of it but what the balls say."""


@dataclass(frozen=True)
class Design:
    """Which effects each ball carries, scalars that hold for every channel.

    Parameters
    ----------
    x : ndarray, shape (n, effects)
        The clubs' effects last.
    prior : ndarray, shape (nuisances, 7, 7)
        Covariances of the others.
    """

    x: Floats
    prior: Floats

    @property
    def nuisances(self) -> int:
        """How many effects are no club's."""
        return len(self.prior)

    @classmethod
    def of(cls, balls: Balls, clubs: tuple[str, ...], present: str, roots: Roots) -> Design:
        """Design of balls, with an effect for each of some clubs; the present one has none, by definition."""
        n, codes = len(balls), np.array(balls.codes, dtype=object)
        columns, prior = [np.ones(n)], [FREE * np.eye(CHANNELS)]
        for block in np.unique(balls.block):
            inside = balls.block == block
            order = np.where(inside, balls.order - balls.order[inside].mean(), 0.0)
            columns += [inside.astype(float), order]
            prior += [roots.covariance("day"), roots.covariance("drift")]
            for code in sorted(set(codes[inside])):
                columns.append((inside & (codes == code)).astype(float))
                prior.append(roots.covariance("own_day"))
        columns += [(codes == code).astype(float) for code in clubs]
        assert present not in clubs
        return cls(np.stack(columns, axis=1), np.stack(prior))


@dataclass(frozen=True)
class Likelihood:
    """Information of balls on the effects of clubs, against the present one, in units of `SCALE`.

    Parameters
    ----------
    clubs : tuple of str
        Codes.
    precision : ndarray, shape (7 clubs, 7 clubs)
        Club by club, channel by channel; singular where a channel was not measured.
    pull : ndarray, shape (7 clubs,)
        Precision times estimate.
    scatter : ndarray, shape (7, 7)
        Scale of the t of one ball.
    weights : ndarray, shape (n,)
        By which each ball counts, about 1; far ones less.
    """

    clubs: tuple[str, ...]
    precision: Floats
    pull: Floats
    scatter: Floats
    weights: Floats

    def of_club(self, k: int, prior: Floats, mean: Floats) -> tuple[Floats, Floats]:
        """What the balls alone say of one club, other clubs as they are believed.

        Parameters
        ----------
        k : int
            Place of the club.
        prior : ndarray, shape (7 clubs, 7 clubs)
        mean : ndarray, shape (7 clubs,)

        Returns
        -------
        covariance, estimate : ndarray, shape (7, 7), (7,)
            Units of `SCALE`; NaN where a channel was not measured with the club.
        """
        size = len(mean)
        own = np.arange(k * CHANNELS, (k + 1) * CHANNELS)
        rest = np.setdiff1d(np.arange(size), own)
        precision, pull = self.precision[np.ix_(own, own)], self.pull[own]
        if len(rest):
            known = np.linalg.inv(prior[np.ix_(rest, rest)])
            cross = self.precision[np.ix_(own, rest)]
            inside = self.precision[np.ix_(rest, rest)] + known
            precision = precision - cross @ np.linalg.solve(inside, cross.T)
            pull = pull - cross @ np.linalg.solve(inside, self.pull[rest] + known @ mean[rest])
        covariance = np.full((CHANNELS, CHANNELS), np.nan)
        estimate = np.full(CHANNELS, np.nan)
        seen = np.flatnonzero(np.diag(precision) > LEAST)
        if len(seen):
            found = np.linalg.inv(precision[np.ix_(seen, seen)])
            covariance[np.ix_(seen, seen)] = found
            estimate[seen] = found @ pull[seen]
        return covariance, estimate


def likelihood(
    balls: Balls,
    clubs: tuple[str, ...],
    present: str,
    roots: Roots,
    prior_mean: Floats,
    prior_precision: Floats,
) -> Likelihood:
    """Weigh balls by the EM iteration of the multivariate t, its scatter learned with them.

    Lange, Little & Taylor 1989, J. Amer. Statist. Assoc. 84, 881-896: weights (nu + p) / (nu + d2). The
    scatter of an ordinary player joins as so many balls. A t tells less of its centre than the weighted
    normal: ``(nu + p) / (nu + p + 2)`` of it (their eq. 4 of the expected information).

    Parameters
    ----------
    balls : Balls
        Those of the present club, to which all clubs are referred, among them.
    clubs : tuple of str
        Codes of the clubs whose effects are asked for.
    present : str
        Code of the present club.
    roots : Roots
    prior_mean : ndarray, shape (7 clubs,)
        In units of `SCALE`: for the weights alone; it is not part of what is returned.
    prior_precision : ndarray, shape (7 clubs, 7 clubs)
    """
    a = current()
    nu, usual = a.value("belief.tail_df"), a.value("belief.scatter_balls")
    design = Design.of(balls, clubs, present, roots)
    y = balls.table / SCALE
    scatter0 = roots.covariance("scatter") * (nu - 2.0) / nu
    scatter, weights = scatter0, np.ones(len(y))
    groups = _patterns(y)
    q, m = design.x.shape[1], design.nuisances
    base = np.zeros((q * CHANNELS, q * CHANNELS))
    for k, cov in enumerate(design.prior):
        at = slice(k * CHANNELS, (k + 1) * CHANNELS)
        base[at, at] = np.linalg.inv(cov)
    full = base.copy()
    edge = m * CHANNELS
    full[edge:, edge:] = prior_precision
    pull0 = np.zeros(q * CHANNELS)
    pull0[edge:] = prior_precision @ prior_mean
    for _ in range(STEPS):
        p, h = _normal_equations(design.x, y, groups, weights, scatter)
        p += full
        covariance = np.asarray(np.linalg.inv(p), dtype=np.float64)
        effects = (covariance @ (h + pull0)).reshape(q, CHANNELS)
        residual = y - design.x @ effects
        weights, scatter = _weigh(residual, design.x, covariance, groups, scatter, (nu, usual, scatter0))
    p, h = _normal_equations(design.x, y, groups, weights, scatter)
    p, h = _tails(p, h, nu)
    p += base
    inside = np.linalg.solve(p[:edge, :edge], np.column_stack([p[:edge, edge:], h[:edge]]))
    precision = p[edge:, edge:] - p[edge:, :edge] @ inside[:, :-1]
    pull = h[edge:] - p[edge:, :edge] @ inside[:, -1]
    return Likelihood(clubs, 0.5 * (precision + precision.T), pull, scatter, weights)


def _tails(p: Floats, h: Floats, nu: float) -> tuple[Floats, Floats]:
    share = (nu + CHANNELS) / (nu + CHANNELS + 2.0)
    return share * p, share * h


def _patterns(y: Floats) -> Groups:
    """Balls by which channels they have: indices of balls and of channels."""
    seen = np.isfinite(y)
    kinds = np.unique(seen, axis=0) if len(seen) else np.zeros((0, CHANNELS), bool)
    return [
        (np.flatnonzero((seen == kind).all(axis=1)), np.flatnonzero(kind)) for kind in kinds if kind.any()
    ]


def _normal_equations(
    x: Floats,
    y: Floats,
    groups: Groups,
    w: Floats,
    scatter: Floats,
) -> tuple[Floats, Floats]:
    q = x.shape[1]
    p, h = np.zeros((q, CHANNELS, q, CHANNELS)), np.zeros((q, CHANNELS))
    for rows, seen in groups:
        inverse = np.linalg.inv(scatter[np.ix_(seen, seen)])
        xw = x[rows] * w[rows, None]
        cross = xw.T @ x[rows]
        whole = np.zeros((CHANNELS, CHANNELS))
        whole[np.ix_(seen, seen)] = inverse
        p += cross[:, None, :, None] * whole[None, :, None, :]
        h[:, seen] += xw.T @ y[np.ix_(rows, seen)] @ inverse
    return p.reshape(q * CHANNELS, q * CHANNELS), h.reshape(-1)


def _weigh(
    residual: Floats,
    x: Floats,
    covariance: Floats,
    groups: Groups,
    scatter: Floats,
    judged: tuple[float, float, Floats],
) -> tuple[Floats, Floats]:
    """Weights and scatter of the next step; what is not known of the effects counts as part of a residual."""
    nu, usual, scatter0 = judged
    n, q = x.shape
    weights = np.ones(n)
    total, count = usual * scatter0, usual
    blocks = covariance.reshape(q, CHANNELS, q, CHANNELS)
    for rows, seen in groups:
        xr = x[rows]
        doubt = np.einsum("ia,acbd,ib->icd", xr, blocks, xr, optimize=True)
        inside = scatter[np.ix_(seen, seen)]
        inverse = np.linalg.inv(inside)
        r = residual[np.ix_(rows, seen)]
        square = np.einsum("ic,cd,id->i", r, inverse, r)
        square += np.einsum("icd,dc->i", doubt[:, seen][:, :, seen], inverse)
        w = (nu + len(seen)) / (nu + square)
        weights[rows] = w
        # Channels that a ball lacks are filled by what the others say of them.
        slope = scatter[:, seen] @ inverse
        filled = r @ slope.T
        rest = scatter - slope @ scatter[seen]
        spread = np.einsum("cs,ist,dt->icd", slope, doubt[:, seen][:, :, seen], slope)
        total = total + np.einsum("i,ic,id->cd", w, filled, filled)
        total = total + np.einsum("i,icd->cd", w, spread) + len(rows) * rest
        count += len(rows)
    return weights, 0.5 * (total + total.T) / count


def more(balls: int, roots: Roots, scatter: Floats | None, measured: NDArray[np.bool_]) -> Floats:
    """Noise of a club's effect by so many balls more with it and with the present club in mirrored order.

    A mirrored order takes drift and level away; each club's own day stays, whatever the number of balls.

    Parameters
    ----------
    balls : int
        With each of the two.
    roots : Roots
    scatter : ndarray, shape (7, 7), or None
        Scale of the t of one ball; an ordinary player's when None.
    measured : ndarray of bool, shape (7,)
        Channels that the device gives.

    Returns
    -------
    ndarray, shape (7, 7)
        Units of `SCALE`.
    """
    nu = current().value("belief.tail_df")
    if scatter is None:
        scatter = roots.covariance("scatter") * (nu - 2.0) / nu
    share = (nu + CHANNELS) / (nu + CHANNELS + 2.0)
    noise = 2.0 * roots.covariance("own_day") + 2.0 * scatter / (share * balls)
    # A channel that nobody measures has no end of noise, and no part in the others.
    lost = ~measured
    noise[np.ix_(lost, lost)] += FREE * np.eye(int(lost.sum()))
    return noise
