"""What all visits say together: what a device, a club and a day share is believed once, not once a visit.

The posterior of a session is N(g, P) of what its shots share (mean delivery and calibrations), from a prior
N(m, S). Its shots alone say P^-1 - S^-1 and P^-1 g - S^-1 m. With a prior of all sessions together, in which
a calibration has a part that stays (device, strike model), a part of the club and a part of the day,

    C = [sum of blocks of (P^-1 - S^-1) + S_all^-1]^-1,    g_all = C [P^-1 g - S^-1 m + S_all^-1 m_all]

and the deliveries of each session follow its g on a straight line (`Delivery.linear`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.units import DEG
from fitter.physics import vectors
from fitter.progress.visits import Group
from fitter.shots.infer import measurement
from fitter.shots.infer.delivery import Linear
from fitter.strike_models import leads, strike_models

Floats = NDArray[np.float64]

X = measurement.START
"""Columns of a delivery; the calibrations stand behind them."""
_UNIT = np.array([0.01, DEG, 1.0, DEG, 0.01, DEG, DEG, DEG])
"""Units of the judged parts of the calibrations `measurement.OF_SESSION`."""
_ALIKE = 1.0 - 1e-4
"""Correlation of what stays: all but 1, so that the prior has an inverse."""
_LEAST = 0.05
"""Least share of a calibration's variance that stays from visit to visit."""


@dataclass(frozen=True, eq=False)
class Together:
    """Draws of all groups of balls together.

    Parameters
    ----------
    groups : tuple of Group
    sample : tuple of ndarray, shape (draws, n, 7) each
        Deliveries of the balls as they were hit: m/s, rad, m.
    shift : tuple of ndarray, shape (draws, 7) each
        What the player's own level of that day may lie beside the mean of these balls.
    wider : tuple of ndarray, shape (draws, 7) each
        Factor on the scatter of these balls that makes it the player's own.
    calibrations : ndarray, shape (draws, groups, C)
    models : ndarray, shape (draws, vectors.MODEL)
        Strike model of each draw, the same for all groups.
    """

    groups: tuple[Group, ...]
    sample: tuple[Floats, ...]
    shift: tuple[Floats, ...]
    wider: tuple[Floats, ...]
    calibrations: Floats
    models: Floats

    def place(self, group: Group) -> int:
        """Number of a group."""
        return next(k for k, g in enumerate(self.groups) if g is group)

    def level(self, k: int) -> Floats:
        """Mean delivery of the player on that day with that club, shape (draws, 7)."""
        return np.asarray(self.sample[k].mean(axis=1) + self.shift[k])

    def shots(self, k: int) -> Floats:
        """Balls about the player's level with the player's scatter, shape (draws, n, 7)."""
        mean = self.sample[k].mean(axis=1, keepdims=True)
        apart = self.wider[k][:, None] * (self.sample[k] - mean)
        return np.asarray(mean + self.shift[k][:, None] + apart)


def parts() -> tuple[Floats, Floats]:
    """SDs of a calibration's part of the day and of the club, shape (C,) each; what stays is the rest."""
    a, more = current(), np.zeros(len(measurement.CALIBRATIONS) - measurement.OPEN)
    found = [
        np.array([a.sd(f"progress.{kind}_{name}") for name in measurement.OF_SESSION]) * _UNIT
        for kind in ("day", "club")
    ]
    return np.append(found[0], more), np.append(found[1], more)


def together(groups: Sequence[Group], n: int, seed: int) -> Together:
    """Draw all groups together.

    Parameters
    ----------
    groups : sequence of Group
    n, seed : int
        Draws and seed.
    """
    share = _repair_share(groups)
    rival = (~leads(n, seed, share)).astype(np.int64)
    rng = draws.generator(seed, "progress", len(groups))
    sizes = [len(g) for g in groups]
    sample = [np.empty((n, size, X)) for size in sizes]
    calibrations = np.empty((n, len(groups), len(measurement.CALIBRATIONS)))
    for repair in np.unique(rival):
        at = np.flatnonzero(rival == repair)
        lines = [g.delivery.linear(int(repair)) for g in groups]
        mean, cov = combined(groups, lines)
        root = _root(cov)
        g = (mean + rng.standard_normal((len(at), len(mean))) @ root.T).reshape(len(at), len(groups), -1)
        calibrations[at] = g[..., X:]
        for k, line in enumerate(lines):
            own = np.linalg.cholesky(line.own) @ rng.standard_normal((len(at), sizes[k], X, 1))
            moved = np.einsum("sxg,dg->dsx", line.pull, g[:, k] - line.g)
            x = line.x + own[..., 0] - moved
            x[..., 0] = np.exp(x[..., 0])
            sample[k][at] = x
    opened = calibrations[..., measurement.OPEN :].mean(axis=1)
    shift = [_shift(values, group, rng) for values, group in zip(sample, groups, strict=True)]
    _settle(shift, sample, groups, rng)
    return Together(
        tuple(groups), tuple(sample), tuple(shift), _wider(sample, groups, rng), calibrations,
        strike_models(n, seed, opened, share),
    )  # fmt: skip


def combined(groups: Sequence[Group], lines: Sequence[Linear]) -> tuple[Floats, Floats]:
    """Mean and covariance of what the shots of every group share, shapes (G groups,) and squared."""
    size = len(lines[0].g)
    wide = size * len(lines)
    day, club = parts()
    joint = np.zeros((len(lines), size, len(lines), size))
    told, said = np.zeros_like(joint), np.zeros((len(lines), size))
    for i, (one, a) in enumerate(zip(groups, lines, strict=True)):
        before, after = np.linalg.inv(a.prior_cov), np.linalg.inv(a.g_cov)
        values, axes = np.linalg.eigh(after - before)
        told[i, :, i] = (axes * np.maximum(values, 0.0)) @ axes.T
        said[i] = after @ a.g - before @ a.prior
        joint[i, :X, i, :X] = a.prior_cov[:X, :X]
        for j, (other, b) in enumerate(zip(groups, lines, strict=True)):
            both = np.sqrt(np.diag(a.prior_cov)[X:] * np.diag(b.prior_cov)[X:])
            stays = np.maximum(both - day**2 - club**2, _LEAST * both)
            if i != j:
                stays = stays * _ALIKE
            common = np.where(_of_model(), stays, stays * (one.device == other.device))
            common = common + day**2 * (one.visit == other.visit)
            common = common + club**2 * (one.club.code == other.club.code)
            joint[i, X:, j, X:] = np.diag(common)
    # In SDs of the prior, since radians and restitutions are many orders of magnitude apart.
    unit = np.sqrt(np.diag(joint.reshape(wide, wide)))
    prior = np.linalg.inv(joint.reshape(wide, wide) / np.outer(unit, unit))
    means = np.stack([line.prior for line in lines]).ravel() / unit
    cov = np.linalg.inv(prior + told.reshape(wide, wide) * np.outer(unit, unit))
    found = cov @ (said.ravel() * unit + prior @ means)
    return found * unit, 0.5 * (cov + cov.T) * np.outer(unit, unit)


def _root(cov: Floats) -> Floats:
    """Root of a covariance, (m, m): by eigenvalues, since some directions are all but known."""
    unit = np.sqrt(np.diag(cov))
    values, axes = np.linalg.eigh(cov / np.outer(unit, unit))
    return np.asarray(unit[:, None] * axes * np.sqrt(np.maximum(values, 0.0)))


def _of_model() -> NDArray[np.bool_]:
    """Calibrations that no device has a part in: restitution, and what is open about the strike."""
    out = np.arange(len(measurement.CALIBRATIONS)) >= measurement.OPEN
    out[measurement.RESTITUTION] = True
    return np.asarray(out)


def _repair_share(groups: Sequence[Group]) -> float | None:
    """Probability of the leading repair where attack and loft were measured, else None: as judged."""
    told = [
        float(g.delivery.repairs[0])
        for g in groups
        if np.isfinite([g.delivery.session.used(c) for c in ("attack_deg", "dynamic_loft_deg")])
        .all(axis=0)
        .mean()
        > 0.5
    ]
    return float(np.mean(told)) if told else None


def _shift(sample: Floats, group: Group, rng: np.random.Generator) -> Floats:
    """Level of the day about the mean of n balls, (draws, 7).

    A multivariate t, since the scatter is estimated.
    """
    n = len(group)
    cov = _scatter(sample, group)
    root = np.linalg.cholesky(cov + 1e-12 * np.eye(X) * np.trace(cov))
    tail = np.sqrt((n - 1) / rng.chisquare(n - 1, (len(sample), 1)))
    return np.asarray(rng.standard_normal((len(sample), X)) @ root.T * tail / np.sqrt(n))


def _settle(
    shift: Sequence[Floats], sample: Sequence[Floats], groups: Sequence[Group], rng: np.random.Generator
) -> None:
    """Let all visits tell of each visit's mean strike, in place: a dozen balls alone tell it to 2 mm or 3.

    A normal random effect with a flat mean, as for the scatter. The rest of the swing is told well by its own
    balls, and another club moves it.
    """
    own = 0.5 * (1e-3 * current().sd("progress.months_strike_mm")) ** 2
    for column in (vectors.TOE, vectors.HIGH):
        told = np.stack([s[..., column].mean(axis=1) for s in sample])
        noise = np.array(
            [_scatter(s, g)[column, column] / len(g) for s, g in zip(sample, groups, strict=True)]
        )
        weight = 1.0 / (noise + own)
        middle = weight @ told / weight.sum()
        middle = middle + rng.standard_normal(len(middle)) / np.sqrt(weight.sum())
        for k, var in enumerate(noise):
            share = own / (own + var)
            mean = middle + share * (told[k] - middle)
            tail = np.sqrt((len(groups[k]) - 1) / rng.chisquare(len(groups[k]) - 1, len(mean)))
            level = mean + rng.standard_normal(len(mean)) * tail * np.sqrt(share * var)
            shift[k][:, column] = level - told[k]


def _scatter(sample: Floats, group: Group) -> Floats:
    """Covariance of one ball about the mean, (7, 7)."""
    return np.asarray(np.cov(sample.mean(axis=0).T) + group.delivery.own_cov.mean(axis=0))


def _wider(sample: Sequence[Floats], groups: Sequence[Group], rng: np.random.Generator) -> tuple[Floats, ...]:
    """Factors on the scatter of every group, (draws, 7) each.

    The logarithm of an SD of n normal balls has a variance of 1 / (2 (n - 1)), more with heavy tails. A
    player's scatter moves little from visit to visit, so that all visits tell of each (a normal random effect
    with a flat mean; Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., 5.4).
    """
    a = current()
    told = np.log(np.stack([np.diag(_scatter(s, g)) for s, g in zip(sample, groups, strict=True)])) / 2.0
    freedom = np.array([len(g) - 1.0 for g in groups]) * a.value("progress.scatter_share")
    noise, own = 1.0 / (2.0 * freedom), 0.5 * a.sd("progress.months_scatter") ** 2
    weight = 1.0 / (noise + own)
    middle = weight @ told / weight.sum()
    drawn = middle + rng.standard_normal((len(sample[0]), X)) / np.sqrt(weight.sum())
    out = []
    for value, var in zip(told, noise, strict=True):
        share = own / (own + var)
        mean = drawn + share * (value - drawn)
        out.append(np.exp(mean + rng.standard_normal(mean.shape) * np.sqrt(share * var) - value))
    return tuple(out)
