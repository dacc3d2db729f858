"""How far is far enough if one looks after every ball: a chance of false alarms spent as knowledge grows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import pairwise
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ALPHA = 0.05
"""Chance of a false alarm of one club over all looks, both sides together."""
LAST = 12
"""Balls by which all of it is spent."""
GRID = 240
"""Points of the density between two boundaries."""
WIDEST = 8.0
"""A boundary further out than this is never crossed."""


def spent(share: float, alpha: float = ALPHA) -> float:
    """Chance that may be spent when a share of all information is there.

    ``alpha t^2``, of the family of Kim & DeMets 1987, Biometrika 74, 149-154: a wrong club shows after a few
    balls, hardly after one.

    Examples
    --------
    >>> spent(0.0), spent(0.5), spent(1.0)
    (0.0, 0.0125, 0.05)
    """
    return alpha * min(max(share, 0.0), 1.0) ** 2


def boundaries(
    shares: Sequence[float], alpha: float = ALPHA, spend: Callable[[float, float], float] = spent
) -> tuple[float, ...]:
    """Boundaries of |z| look by look, by recursive integration.

    Armitage, McPherson & Rowe 1969, J. R. Statist. Soc. A 132, 235-244: the score of a look is that of the
    one before and an independent step, with what crossed taken out.

    Parameters
    ----------
    shares : sequence of float
        Share of all information at each look, growing.
    alpha : float
        Both sides together.
    spend : callable
        Chance spent at a share.

    Returns
    -------
    tuple of float
        In standard errors.
    """
    found: list[float] = []
    points: Floats = np.zeros(1)
    mass: Floats = np.ones(1)
    for before, now in pairwise((0.0, *shares)):
        allowed = spend(now, alpha) - spend(before, alpha)
        step = sqrt(max(now - before, 1e-9))
        low, high = 0.0, WIDEST
        for _ in range(50):
            middle = 0.5 * (low + high)
            edge = middle * sqrt(now)
            crossed = float(mass @ (_tail((edge - points) / step) + _tail((edge + points) / step)))
            low, high = (middle, high) if crossed > allowed else (low, middle)
        found.append(high)
        edge = high * sqrt(now)
        width = 2.0 * edge / GRID
        new = -edge + width * (np.arange(GRID) + 0.5)
        # Mass of each cell, exactly: a narrow step must not fall between two points.
        ends = np.append(new - 0.5 * width, edge)
        below = _tail(-(ends[:, None] - points) / step)
        mass = np.asarray(np.diff(below, axis=0) @ mass, dtype=np.float64)
        points = np.asarray(new, dtype=np.float64)
    return tuple(found)


def _tail(z: Floats) -> Floats:
    """Upper tail of the normal distribution."""
    from scipy.special import ndtr

    return np.asarray(ndtr(-z), dtype=np.float64)


@lru_cache(maxsize=512)
def boundary(looks: int, noise: float) -> float:
    """Boundary of the last of some looks, one a ball.

    All is spent by `LAST` balls. Later looks keep that boundary: what they know is nearly what it knew, so
    that the chance of a false alarm hardly grows.

    Parameters
    ----------
    looks : int
    noise : float
        Variance of one ball over what balls cannot remove: a look after k balls has ``1 / (1 + noise / k)``
        of all information.
    """
    end = min(looks, LAST)
    return boundaries([(1.0 + noise / LAST) / (1.0 + noise / k) for k in range(1, end + 1)])[-1]


def rounded(noise: float) -> float:
    """Round a ratio to two figures, so that the boundary is reckoned once for like cases."""
    digits = 1 - int(np.floor(log(max(noise, 1e-6), 10)))
    return round(max(noise, 1e-6), digits)
