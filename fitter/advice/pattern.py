"""Where the shots of some options finish in every draw, and what can be read from such patterns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws as keyed
from fitter.base.assumptions import current
from fitter.base.units import YARD

Floats = NDArray[np.float64]

WEAK = 0.2
"""A weak shot is the 20th percentile."""


def weak_carry(carry: Floats, draws: int, seed: int) -> float:
    """Carry of a weak shot of one club, m: the mean over draws of which shots happened to be hit.

    Parameters
    ----------
    carry : ndarray, shape (shots,)
    draws, seed : int
        Of the ranking: for measured carries the answer is that of the present club's replay.
    """
    n = len(carry)
    far = np.broadcast_to(carry, (draws, 1, n))
    weights = keyed.dirichlet_weights(draws, n, seed, "shots", n)
    return float(Pattern(far, far, far, far, weights).weak().mean())


@dataclass(frozen=True)
class Pattern:
    """Where the shots of some options finish, in every draw; m, side right +.

    Parameters
    ----------
    carry, total, carry_side, total_side : ndarray, shape (draws, options, shots)
    weights : ndarray, shape (draws, shots)
        Rows sum to 1.
    """

    carry: Floats
    total: Floats
    carry_side: Floats
    total_side: Floats
    weights: Floats

    def mean(self, name: str) -> Floats:
        """Weighted mean over the shots, shape (draws, options)."""
        return np.asarray(np.einsum("dos,ds->do", getattr(self, name), self.weights))

    def thin(self, step: int) -> Pattern:
        """Keep one draw in so many."""
        names = ("carry", "total", "carry_side", "total_side", "weights")
        return self if step == 1 else Pattern(*(getattr(self, name)[::step] for name in names))

    def weak(self, name: str = "carry", share: float = WEAK) -> Floats:
        """Weighted quantile over the shots, shape (draws, options).

        The weights of sorted shots, each at the middle of its step, are interpolated.
        """
        values = getattr(self, name)
        order = np.argsort(values, axis=2)
        ranked = np.take_along_axis(values, order, axis=2)
        w = np.take_along_axis(np.broadcast_to(self.weights[:, None], values.shape), order, axis=2)
        place = np.cumsum(w, axis=2) - 0.5 * w
        at = (place < share).sum(axis=2)
        high = np.clip(at, 1, values.shape[2] - 1)[..., None]
        p0, p1 = np.take_along_axis(place, high - 1, 2), np.take_along_axis(place, high, 2)
        v0, v1 = np.take_along_axis(ranked, high - 1, 2), np.take_along_axis(ranked, high, 2)
        t = np.clip((share - p0) / np.maximum(p1 - p0, 1e-12), 0.0, 1.0)
        return np.asarray((v0 + t * (v1 - v0))[..., 0])

    def centring_aim(self, name: str) -> Floats:
        """Aim that brings the mean side nearest to the target within the cap, m, shape (draws, options)."""
        cap = aim_cap()
        return np.asarray(np.clip(-self.mean(f"{name}_side"), -cap, cap))

    def spread(self, name: str, aim: Floats) -> Floats:
        """SD of the side about the target at an aim (draws, options), m, shape (draws, options)."""
        side = getattr(self, f"{name}_side")
        mean = self.mean(f"{name}_side")
        square = np.einsum("dos,ds->do", side**2, self.weights) - mean**2
        variance = np.maximum(square, 0.0) * put_back(side.shape[2])
        return np.asarray(np.sqrt(variance + (mean + aim) ** 2))

    def smooth(self, band: Band) -> Pattern:
        """Draw the shots towards their mean, so that their kernels do not widen the pattern."""
        moved = {}
        for name, shrink in (("carry", band.shrink_far), ("total", band.shrink_far),
                             ("carry_side", band.shrink_side), ("total_side", band.shrink_side)):  # fmt: skip
            mean = self.mean(name)[..., None]
            moved[name] = mean + (getattr(self, name) - mean) * shrink
        return Pattern(**moved, weights=self.weights)


def aim_cap() -> float:
    """How far a player may aim off, m."""
    return current().value("verdict.aim_cap") * YARD


def put_back(n: int) -> float:
    """By what a variance under Bayesian-bootstrap weights falls short of the unbiased one, on average.

    ``E sum w (x - sum w x)^2 = s^2 (n - 1) / (n + 1)`` for s the unbiased SD, since E w_i^2 = 2 / (n (n + 1))
    and E w_i w_j = 1 / (n (n + 1)) (Rubin 1981, Ann. Statist. 9, 130-134).
    """
    return (n + 1) / max(n - 1, 1)


@dataclass(frozen=True)
class Band:
    """Normal kernel about each shot, from the present club's pattern, so that a dozen shots make no steps.

    Parameters
    ----------
    far, side : float
        SDs of the kernel in distance and across, m.
    shrink_far, shrink_side : float
        By how much the shots are drawn to their mean: kernel and shots together have the unbiased variance.
    """

    far: float
    side: float
    shrink_far: float
    shrink_side: float


def band(present: Pattern, name: str) -> Band:
    """Kernel for 'carry' or 'total' by Silverman's rule for normal kernels.

    Silverman 1986, Density Estimation for Statistics and Data Analysis, eq. 3.28: ``h = 1.06 s n^-1/5``; with
    shrinking, sec. 6.4.1.

    Parameters
    ----------
    present : Pattern
        Of the present club, first in its options.
    name : str
        'carry' or 'total'.
    """
    found = []
    for column in (name, f"{name}_side"):
        values = getattr(present, column)[:, 0].mean(axis=0)
        n = len(values)
        share = min(1.06 * n**-0.2, 0.9)
        h = max(share * float(values.std(ddof=1)), 0.01) if n > 1 else 1.0
        found.append((h, float(np.sqrt(put_back(n) * (1.0 - share**2)))))
    (far, by_far), (side, by_side) = found
    return Band(far, side, by_far, by_side)


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
