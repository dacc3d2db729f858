"""Means of several groups shrunk towards each other: how much of a lead in few shots is to be believed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Pooled:
    """Posterior of group means.

    Parameters
    ----------
    mean, sd : ndarray, shape (groups,)
    together, together_se : float
        Pooled estimate if all groups were alike, and its standard error.
    tau : float
        Posterior mean of the SD between the groups.
    """

    mean: Floats
    sd: Floats
    together: float
    together_se: float
    tau: float


def pool(means: ArrayLike, errors: ArrayLike, nodes: int = 2000) -> Pooled:
    """Normal hierarchical model with a flat prior on the SD between groups, integrated out.

    Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., eq. 5.17, 5.20 and 5.21. The most probable SD is
    often 0, which would call all groups alike; so it is integrated over.

    Parameters
    ----------
    means, errors : array_like, shape (groups,)
        Mean and standard error of each group; at least three groups.
    nodes : int
        Points of the integral over the SD between groups.
    """
    y, s = np.asarray(means, dtype=np.float64), np.asarray(errors, dtype=np.float64)
    if len(y) < 3:
        raise ValueError("a flat prior on the SD between groups needs three groups")
    weight = s**-2
    together = float(weight @ y / weight.sum())
    # The tail of p(tau | y) falls as tau^(1 - groups); a stretched grid reaches far out.
    u = (np.arange(nodes) + 0.5) / nodes
    scale = float(np.hypot(np.std(y), np.median(s)))
    tau, step = scale * u / (1.0 - u), scale / (1.0 - u) ** 2
    total = s[None] ** 2 + tau[:, None] ** 2
    precision = (1.0 / total).sum(axis=1)
    mu = (y / total).sum(axis=1) / precision
    log_p = -0.5 * np.log(precision) - 0.5 * (np.log(total) + (y - mu[:, None]) ** 2 / total).sum(axis=1)
    p = np.exp(log_p - log_p.max()) * step
    p /= p.sum()
    pull = s[None] ** 2 / total
    mean = pull * mu[:, None] + (1.0 - pull) * y
    variance = (1.0 - pull) * s[None] ** 2 + pull**2 / precision[:, None]
    centre = p @ mean
    spread = p @ (variance + (mean - centre) ** 2)
    return Pooled(centre, np.sqrt(spread), together, float(weight.sum() ** -0.5), float(p @ tau))


def shrinkage(tau: float, sd: float, n: int) -> float:
    """Share of a lead that n shots of that SD leave to be believed: tau2 / (tau2 + sd2 / n)."""
    return tau**2 / (tau**2 + sd**2 / n)


def expected_best(k: int) -> float:
    """Expected largest of k standard normal numbers: how much better the best of equal options looks."""
    from scipy.special import ndtri

    # E max = integral of the quantile over the k-th power of the rank.
    u = (np.arange(200_000) + 0.5) / 200_000
    return float(ndtri(u ** (1.0 / k)).mean())


def information(mean: float, sd: float) -> float:
    """Worth of knowing a difference N(mean, sd) before choosing: ``s [phi(z) + z Phi(z)], z = -|m| / s``."""
    from scipy.special import ndtr

    z = -abs(mean) / sd
    return float(sd * (np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi) + z * ndtr(z)))
