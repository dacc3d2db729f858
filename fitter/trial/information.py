"""What a ball is worth before it is hit: value of information of normal beliefs."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def _phi(z: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi))


def _cdf(z: Floats) -> Floats:
    from scipy.special import ndtr

    return np.asarray(ndtr(z))


def over_zero(z: ArrayLike) -> Floats:
    """``f(z) = z Phi(z) + phi(z)``: mean of a standard normal number's excess over ``-z``."""
    at = np.asarray(z, dtype=np.float64)
    return np.asarray(at * _cdf(at) + _phi(at))


def perfect_information(mean: float, sd: float) -> float:
    """Value of knowing a difference N(mean, sd) for certain before choosing by its sign.

    ``s [phi(z) + z Phi(z)], z = -|mu| / s`` (Raiffa & Schlaifer 1961, Applied Statistical Decision Theory,
    5.9.1, unit normal loss integral).

    Examples
    --------
    >>> round(perfect_information(2.0, 5.0), 4), round(perfect_information(0.0, 5.0), 4)
    (1.1522, 1.9947)
    """
    if sd <= 0.0:
        return 0.0
    return float(sd * over_zero(-abs(mean) / sd))


def knowledge_gradient(means: Floats, sds: Floats, noise: float) -> Floats:
    """Value of one more measurement of each of some independent alternatives.

    Parameters
    ----------
    means, sds : ndarray, shape (options,)
        Belief of each.
    noise : float
        SD of a measurement.

    Returns
    -------
    ndarray, shape (options,)
        ``nu_i = s~_i f(-|mu_i - max_(j != i) mu_j| / s~_i)``, ``s~_i^2 = s_i^4 / (s_i^2 + noise^2)``
        (Frazier, Powell & Dayanik 2008, SIAM J. Control Optim. 47(5), 2410-2439, eq. 13 and 14).
    """
    moved = sds**2 / np.sqrt(sds**2 + noise**2)
    best = np.array([np.delete(means, i).max() for i in range(len(means))])
    z = -np.abs(means - best) / np.where(moved > 0.0, moved, np.inf)
    return np.asarray(moved * over_zero(z))


def expected_maximum(means: Floats, slopes: Floats) -> float:
    """``E max_i (a_i + b_i Z)`` for a standard normal Z.

    Lines that are nowhere the highest are dropped; the rest is a sum over the corners of the upper envelope
    (Frazier, Powell & Dayanik 2009, INFORMS J. Comput. 21, 599-613, algorithm 1 and eq. 14).

    Parameters
    ----------
    means, slopes : ndarray, shape (options,)
    """
    order = np.lexsort((means, slopes))
    a, b = means[order], slopes[order]
    # Of parallel lines the highest alone counts.
    last = np.append(b[1:] > b[:-1] + 1e-15, True)
    a, b = a[last], b[last]
    kept = [0]
    corners = [-np.inf]
    for i in range(1, len(a)):
        while True:
            j = kept[-1]
            crossing = (a[j] - a[i]) / (b[i] - b[j])
            if crossing > corners[-1] or len(kept) == 1:
                break
            kept.pop()
            corners.pop()
        kept.append(i)
        corners.append(crossing)
    if len(kept) == 1:
        return float(a[kept[0]])
    a, b, c = a[kept], b[kept], np.array(corners[1:])
    # The line that is highest at Z = 0, and what each corner adds on its way out.
    gain = ((b[1:] - b[:-1]) * over_zero(-np.abs(c))).sum()
    return float((a.max() if len(a) == 0 else _at_zero(a, c)) + gain)


def _at_zero(a: Floats, corners: Floats) -> float:
    """Height of the envelope at Z = 0."""
    return float(a[int(np.searchsorted(corners, 0.0))])


def correlated_gradient(means: Floats, moves: Floats) -> float:
    """Value of an experiment that moves the means of all alternatives along one direction.

    ``E max(mu + s~ Z) - max mu``, see `expected_maximum`.

    Parameters
    ----------
    means, moves : ndarray, shape (options,)
        ``s~`` of `advice.belief.Belief.learned`.
    """
    return max(expected_maximum(means, moves) - float(means.max()), 0.0)
