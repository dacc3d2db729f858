"""Random numbers whose streams belong to a seed and a name, so that order and worker count change nothing."""

from __future__ import annotations

import hashlib
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


_NORMAL = NormalDist()
"""Quantiles by Wichura 1988, Applied Statistics 37, 477-484, to 1e-16, without the import of scipy."""

NORMAL_80 = _NORMAL.inv_cdf(0.9)
"""Half width of the 80 % interval of a standard normal number."""
INTERVAL = (0.1, 0.9)
"""Probabilities below the ends of an 80 % interval, the only interval that people are shown."""


def interval(values: Floats, axis: int = 0) -> Floats:
    """Ends of the 80 % interval of draws along an axis, shape (2, ...): low, high.

    Examples
    --------
    >>> interval(np.arange(11.0)).tolist()
    [1.0, 9.0]
    """
    return np.asarray(np.quantile(values, INTERVAL, axis=axis), dtype=np.float64)


def generator(seed: int, *names: str | int) -> np.random.Generator:
    """Counter-based generator whose stream belongs to a seed and a list of names."""
    digest = hashlib.blake2b("\x1f".join([str(seed), *map(str, names)]).encode(), digest_size=16).digest()
    return np.random.Generator(np.random.Philox(key=int.from_bytes(digest, "little")))


def uniforms(n: int, seed: int, *names: str | int) -> Floats:
    """n stratified uniforms: one in each n-th of (0, 1), in random order, shape (n,).

    A Latin hypercube whose columns are keyed by name (McKay, Beckman & Conover 1979, Technometrics 21,
    239-245): adding or removing one factor leaves all the others as they were.
    """
    rng = generator(seed, *names)
    return np.asarray((rng.permutation(n) + rng.uniform(0.02, 0.98, n)) / n, dtype=np.float64)


def normals(n: int, seed: int, *names: str | int) -> Floats:
    """n stratified standard normal numbers, shape (n,), scaled to mean 0 and SD 1 exactly (from n = 4).

    The mean of a judged number over the draws is then its centre, without an error of sampling.
    """
    z = np.array([_NORMAL.inv_cdf(u) for u in uniforms(n, seed, *names).tolist()])
    if n < 4:
        return z
    z = z - z.mean()
    return np.asarray(z / z.std(), dtype=np.float64)


def latin(n: int, columns: int, rng: np.random.Generator) -> Floats:
    """n stratified standard normal numbers in each of some independent columns, (n, columns)."""
    ranks = rng.permuted(np.tile(np.arange(n), (columns, 1)), axis=1)
    u = (ranks + rng.uniform(0.02, 0.98, (columns, n))) / n
    return np.array([[_NORMAL.inv_cdf(v) for v in row] for row in u.tolist()]).reshape(columns, n).T


def choices(n: int, weights: Floats, seed: int, *names: str | int) -> NDArray[np.int64]:
    """n indices drawn in proportion to weights, stratified, shape (n,)."""
    edges = np.cumsum(weights / weights.sum())
    return np.minimum(np.searchsorted(edges, uniforms(n, seed, *names)), len(weights) - 1).astype(np.int64)


def dirichlet_weights(n: int, shots: int, seed: int, *names: str | int) -> Floats:
    """Bayesian-bootstrap weights (Rubin 1981, Ann. Statist. 9, 130-134), shape (n, shots), rows sum to 1."""
    e = generator(seed, *names).standard_exponential((n, shots))
    return np.asarray(e / e.sum(axis=1, keepdims=True), dtype=np.float64)
