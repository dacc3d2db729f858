"""Where the shots of some options finish in every draw, and what can be read from such patterns."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.base import draws as keyed
from fitter.base.assumptions import current
from fitter.base.units import DEG

Floats = NDArray[np.float64]

WEAK = 0.2
"""A weak shot is the 20th percentile."""
FINISHES = ("carry", "total", "carry_side", "total_side")
LEAST_OWN = 0.05
"""Share of a pattern's variance that its shots keep, however wide the kernel."""


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


class Unseen(NamedTuple):
    """What a few balls do not tell of a pattern: the same numbers for every club of a draw, (draws,) each.

    Parameters
    ----------
    aim : ndarray
        Standard normal error of an aim.
    across, along : ndarray
        Factors on the spread.
    """

    aim: Floats
    across: Floats
    along: Floats

    @classmethod
    def of(cls, draws: int, angles: Floats, seed: int) -> Unseen:
        """Draw it for a session.

        An SD of n balls has a relative variance of ``(k - 1) / 4n`` at the kurtosis k of the balls (Cramer
        1946, Mathematical Methods of Statistics, 27.4). The Bayesian bootstrap gives the sample's own
        kurtosis, which is ``3 (n - 1) / (n + 1)`` on average for normal balls (Fisher 1930), and divides by
        n + 1: the factors fill that up. Across, the few balls are joined with what is known of players at
        large, in logarithms (Bishop 2006, eq. 2.141): the widest of many samples is wide by chance as well.

        Parameters
        ----------
        draws : int
        angles : ndarray, shape (shots,)
            Of the present club's balls from the tee, about the target, rad.
        seed : int
        """
        a, n = current(), len(angles)
        have = (3.0 * (n - 1) / (n + 1) - 1.0) / (4.0 * (n + 1))
        own = (a.value("pattern.kurtosis") - 1.0) / (4.0 * max(n - 1, 1))
        known = a.sd("pattern.direction_sd_deg") / a.value("pattern.direction_sd_deg")
        pull = own / (own + known**2)
        sd = max(float(angles.std(ddof=1)), 1e-6) if n > 1 else 1.0
        towards = pull * np.log(a.value("pattern.direction_sd_deg") * DEG / sd)
        z = [keyed.normals(draws, seed, "pattern", name) for name in ("aim", "across", "along")]
        across, along = (np.sqrt(max(v - have, 0.0)) for v in (own * (1.0 - pull), own))
        return cls(z[0], np.exp(towards + across * z[1]), np.exp(along * z[2]))

    def thin(self, step: int) -> Unseen:
        """Keep one draw in so many."""
        return Unseen(*(np.ascontiguousarray(part[::step]) for part in self))


@dataclass(frozen=True)
class Pattern:
    """Where the shots of some options finish, in every draw; m, side right +.

    Parameters
    ----------
    carry, total, carry_side, total_side : ndarray, shape (draws, options, shots)
    weights : ndarray, shape (draws, shots)
        Rows sum to 1.
    unseen : Unseen or None
        None where the shots are all that there is to know.
    present : Pattern or None
        Of the present club alone, in the same draws: a change of the spread is told against it.
    balls : int
        How many balls were hit, where the shots stand for more; 0 for the shots themselves.
    """

    carry: Floats
    total: Floats
    carry_side: Floats
    total_side: Floats
    weights: Floats
    unseen: Unseen | None = None
    present: Pattern | None = None
    balls: int = 0

    def mean(self, name: str) -> Floats:
        """Weighted mean over the shots, shape (draws, options)."""
        return np.asarray(np.einsum("dos,ds->do", getattr(self, name), self.weights))

    def thin(self, step: int) -> Pattern:
        """Keep one draw in so many."""
        if step == 1:
            return self
        rows: dict[str, Any] = {name: getattr(self, name)[::step] for name in (*FINISHES, "weights")}
        rows["present"] = None if self.present is None else self.present.thin(step)
        return replace(self, unseen=None if self.unseen is None else self.unseen.thin(step), **rows)

    def first(self) -> Pattern:
        """The first option alone."""
        rows: dict[str, Any] = {name: getattr(self, name)[:, :1] for name in FINISHES}
        return replace(self, **rows)

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

    def spread(self, name: str) -> Floats:
        """SD of a finish about its own mean, m, shape (draws, options): of all balls, not of these alone."""
        sd = self._own_spread(name)
        if self.present is not None:
            before = self.present._own_spread(name)
            change = np.log(sd / before)
            expected, kept = self._on_average(name)
            sd = before * np.exp(expected + np.sqrt(kept) * (change - change.mean(axis=0)))
        return np.asarray(sd if self.unseen is None else sd * self._factor(name)[:, None])

    def _own_spread(self, name: str) -> Floats:
        """SD of these balls, unbiased, m, shape (draws, options); not below a millimetre."""
        values = getattr(self, name)
        square = np.einsum("dos,ds->do", values**2, self.weights) - self.mean(name) ** 2
        return np.asarray(np.sqrt(np.maximum(square * put_back(values.shape[2]), 1e-6)))

    def _on_average(self, name: str) -> tuple[Floats, Floats]:
        """By how much the spread of the finishes, on average over the draws, changes.

        What is not known of another head moves balls apart in each draw; what is not known of the present
        one has done so already, and goes with it. On average over the draws neither stands in the finishes.

        Returns
        -------
        change, kept : ndarray, shape (options,)
            Of the logarithm of the SD; share of what the balls say that is believed, see `pooled`.
        """
        assert self.present is not None
        before = getattr(self.present, name).mean(axis=(0, 1))
        added = getattr(self, name).mean(axis=0) - before
        before, added = before - before.mean(), added - added.mean(axis=1, keepdims=True)
        square, size = max(float(before @ before), 1e-9), (added**2).sum(axis=1)
        scale = np.sqrt(square * size)
        common = np.divide((added * before).sum(axis=1), scale, out=np.ones(len(added)), where=scale > 1e-9)
        common = np.clip(common, -1.0, 1.0)
        believed, kept = pooled(common, self.balls or len(before))
        after = np.maximum(square + 2.0 * believed * scale + size, 1e-9)
        return np.asarray(0.5 * np.log(after / square)), kept

    def _factor(self, name: str) -> Floats:
        assert self.unseen is not None
        return self.unseen.across if name.endswith("side") else self.unseen.along

    def middle(self) -> Floats:
        """Side of the middle of the balls, mean over all draws, m, shape (options,)."""
        return np.asarray(self.total_side.mean(axis=(0, 2)))

    def aim(self, shift: Floats, cap_m: float = math.inf, learned: bool = True) -> Floats:
        """Aim of a club, m, right +, shape (draws, options), as ``pattern.aim_balls`` balls with it tell it.

        The player aims the middle of the balls at the target, or beside it by a shift that all draws share:
        no draw chooses its own best aim. The aim errs by SD / sqrt(balls), from the same standard normal
        number for every club of a draw, in place of the scatter of the session's weighted middle.

        Before a ball is hit with a club, nothing but the mean of all draws is known of its middle: that aim
        is the one that is printed, and what is not known of a club's face is an error of it.

        Parameters
        ----------
        shift : ndarray, shape (options,)
            m.
        cap_m : float
            How far the player is willing to aim off.
        learned : bool
            False for the aim before a ball is hit.
        """
        own = self.total_side.mean(axis=2)
        middle = own if learned else self.middle()
        aimed = np.clip(shift - middle, -cap_m, cap_m) - (self.mean("total_side") - own)
        if self.unseen is None:
            return np.asarray(aimed)
        error = self.unseen.aim[:, None] / np.sqrt(current().value("pattern.aim_balls"))
        return np.asarray(aimed + error * self.spread("total_side"))

    def smooth(self, band: Band, *names: str) -> Pattern:
        """Draw some finishes to their mean, or from it: with their kernels they have the pattern's spread."""
        moved: dict[str, Any] = {}
        for name in names:
            values, mean = getattr(self, name), self.mean(name)[..., None]
            h = band.side if name.endswith("side") else band.far
            square = np.einsum("dos,ds->do", values**2, self.weights) - mean[..., 0] ** 2
            wanted = self.spread(name) ** 2
            rest = np.maximum(wanted - h**2, LEAST_OWN * wanted)
            factor = np.sqrt(rest / np.maximum(square, 1e-12))
            moved[name] = mean + (values - mean) * factor[..., None]
        return replace(self, **moved)


def pooled(common: Floats, n: int) -> tuple[Floats, Floats]:
    """Draw correlations that few balls tell by chance towards none.

    What an option adds to a ball's finish widens the pattern as far as it goes with where the ball finishes
    anyway: by their correlation r. n balls tell atanh r to 1 / sqrt(n - 3) (Fisher 1921, Metron 1, 3-32);
    over players at large it is normal about 0 with a judged SD. What is added to all balls alike, as by more
    speed, is kept whole.

    Parameters
    ----------
    common : ndarray, shape (options,)
        The correlations.
    n : int
        Balls.

    Returns
    -------
    believed, kept : ndarray, shape (options,)
        The correlations, and their share of those of the balls.
    """
    known = current().value("pattern.common_sd") ** 2
    share = known / (known + 1.0 / max(n - 3, 1))
    with np.errstate(divide="ignore"):
        believed = np.tanh(share * np.arctanh(common))
    return believed, np.divide(believed, common, out=np.full(len(common), share), where=np.abs(common) > 1e-6)


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
    """

    far: float
    side: float


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
    widths = []
    for column in (name, f"{name}_side"):
        values = getattr(present, column)[:, 0].mean(axis=0)
        n = len(values)
        share = min(1.06 * n**-0.2, 0.9)
        widths.append(max(share * float(values.std(ddof=1)), 0.01) if n > 1 else 1.0)
    return Band(*widths)


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
