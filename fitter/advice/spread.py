"""How widely shots scatter, honestly for a dozen of them: intervals of an SD, ellipses of a pattern."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Ellipse:
    """Ellipse of a pattern.

    Parameters
    ----------
    centre : (float, float)
    semi_axes : (float, float)
        Longer first.
    angle : float
        Of the longer axis from the first coordinate to the second, rad.
    level : float
        Share of balls that it should hold.
    """

    centre: tuple[float, float]
    semi_axes: tuple[float, float]
    angle: float
    level: float

    @property
    def area(self) -> float:
        """In the square of the points' unit."""
        return float(np.pi * self.semi_axes[0] * self.semi_axes[1])

    @property
    def reach(self) -> tuple[float, float]:
        """Half width and half height of the upright box that holds it exactly."""
        a, b = self.semi_axes
        c, s = np.cos(self.angle), np.sin(self.angle)
        return float(np.hypot(a * c, b * s)), float(np.hypot(a * s, b * c))

    def outline(self, points: int = 72) -> Floats:
        """Points of the outline, shape (points, 2)."""
        turn = np.linspace(0.0, 2.0 * np.pi, points)
        a, b = self.semi_axes
        local = np.stack([a * np.cos(turn), b * np.sin(turn)], axis=-1)
        c, s = np.cos(self.angle), np.sin(self.angle)
        return np.asarray(np.asarray(self.centre) + local @ np.array([[c, s], [-s, c]]))


def factor(n: int, level: float = 0.95) -> float:
    """Square of the Mahalanobis distance within which the next shot falls, n shots known.

    ``2 (n + 1)(n - 1) / (n (n - 2)) F_level(2, n - 2)`` (prediction region of a bivariate normal; Chew 1966,
    J. Amer. Statist. Assoc. 61, 605-617).

    Raises
    ------
    ValueError
        With fewer than three shots.
    """
    if n < 3:
        raise ValueError("a region needs three shots")
    from scipy.special import fdtri

    return float(2.0 * (n + 1) * (n - 1) / (n * (n - 2)) * fdtri(2, n - 2, level))


def known_factor(level: float = 0.95) -> float:
    """The same where mean and covariance are known: chi-square with two degrees of freedom."""
    return float(-2.0 * np.log1p(-level))


def of_covariance(
    covariance: Floats, square: float, centre: tuple[float, float] = (0.0, 0.0), level: float = 0.95
) -> Ellipse:
    """Ellipse of a covariance (2, 2) at a squared Mahalanobis distance."""
    values, vectors = np.linalg.eigh(np.asarray(covariance, dtype=np.float64))
    long = vectors[:, 1]
    axes = np.sqrt(np.maximum(values[::-1], 0.0) * square)
    return Ellipse(centre, (float(axes[0]), float(axes[1])), float(np.arctan2(long[1], long[0])), level)


def ellipse(points: Floats, level: float = 0.8) -> Ellipse:
    """Ellipse that should hold a share of the next balls, widened for what few shots do not tell.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        At least three.
    level : float
    """
    x = np.asarray(points, dtype=np.float64)
    centre = x.mean(axis=0)
    covariance = np.cov(x, rowvar=False)
    return of_covariance(covariance, factor(len(x), level), (float(centre[0]), float(centre[1])), level)


def sd_interval(n: int, level: float = 0.95) -> tuple[float, float]:
    """Interval of a true SD over the one found in n shots: the root of (n - 1) over chi-square quantiles.

    Raises
    ------
    ValueError
        With fewer than two shots.
    """
    if n < 2:
        raise ValueError("an SD needs two shots")
    from scipy.special import chdtri

    tail = 0.5 * (1.0 - level)
    # chdtri takes the probability above.
    return tuple(float(np.sqrt((n - 1) / chdtri(n - 1, p))) for p in (tail, 1.0 - tail))  # type: ignore[return-value]
