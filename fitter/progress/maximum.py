"""The largest of n normal numbers: what hitting more balls does to a peak."""

from __future__ import annotations

from functools import cache

import numpy as np

from fitter.base.errors import InputError, Problem

_STEP, _END = 0.0005, 9.0
"""Grid of the integrals, in SDs: with the trapezoid rule their error is below 1e-7."""


@cache
def moments(n: int) -> tuple[float, float]:
    """Mean and SD of the largest of n independent standard normal numbers.

    E[max] is the integral of 1 - F(x)^n over x > 0 less that of F(x)^n over x < 0, and E[max^2] the
    integral of 2 |x| times the same (Tippett 1925, Biometrika 17, 364-387; tables in Harter 1961,
    Biometrika 48, 151-165).

    Raises
    ------
    InputError
        If there is no number.

    Examples
    --------
    >>> [round(moments(n)[0], 5) for n in (2, 5, 20)]
    [0.56419, 1.16296, 1.86748]
    """
    if n < 1:
        raise InputError("A peak needs balls.", [Problem("balls", str(n), "1 or more", "Hit some.")])
    from scipy.special import ndtr

    x = np.arange(0.0, _END + _STEP, _STEP)
    above, below = 1.0 - ndtr(x) ** n, ndtr(-x) ** n
    weight = np.full(len(x), _STEP)
    weight[[0, -1]] *= 0.5
    mean = float(weight @ (above - below))
    square = float(weight @ (2.0 * x * (above + below)))
    return mean, float(np.sqrt(max(square - mean**2, 0.0)))


def for_balls(peak: float, sd: float, n: int, balls: int) -> float:
    """Peak of n balls as it would be expected of another number of balls.

    Parameters
    ----------
    peak : float
        The largest of n.
    sd : float
        Of one ball, in the peak's unit.
    n, balls : int

    Examples
    --------
    >>> round(for_balls(100.0, 1.0, 30, 10), 2)
    99.5
    """
    return peak + sd * (moments(balls)[0] - moments(n)[0])
