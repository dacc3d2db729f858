"""What is believed of a player before the first shot: priors by skill level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import Assumptions, current
from fitter.base.errors import DataError, Problem
from fitter.base.units import DEG
from fitter.physics import impact
from fitter.shots.infer.delivery import Delivery

Floats = NDArray[np.float64]

COLUMNS = ("speed", "attack", "path", "face", "loft", "toe", "high")
LEVELS = (0.0, 0.5, 1.0)
"""Levels that are weighed against each other when nobody names one: scratch, middle, high handicap."""
_UNIT = np.array([0.01, DEG, DEG, DEG, DEG, 1e-3, 1e-3])
_PAIRS = {"face_path": (3, 2), "path_attack": (2, 1), "attack_high": (1, 6), "attack_loft": (1, 4)}
_MEAN_PAIRS = {"mean_face_path": (3, 2), "mean_attack_loft": (1, 4)}


@dataclass(frozen=True)
class Prior:
    """Normal priors in the columns of a delivery, with the logarithm of the speed first.

    Parameters
    ----------
    mean : ndarray, shape (7,)
        Centre of players' means: log m/s, rad, m.
    between : ndarray, shape (7, 7)
        Covariance of players' means, as a device sees them: its line may differ from the player's.
    within : ndarray, shape (7, 7)
        Covariance of one player's shots about the mean.
    aim : ndarray, shape (7,)
        Weights that turn a player's mean less `mean` into the aim offset, rad.
    aim_sd : float
        SD of the aim offset that the mean leaves, rad.
    """

    mean: Floats
    between: Floats
    within: Floats
    aim: Floats
    aim_sd: float


def scatter(level: float, assumptions: Assumptions | None = None) -> Floats:
    """SDs of one player's shots, shape (7,): log m/s, rad, m; `level` 0 scratch to 1 high handicap."""
    a = assumptions or current()
    low, high = (
        np.array([a.value(f"player.scatter_{c}_{end}") for c in COLUMNS])
        for end in ("scratch", "high_handicap")
    )
    return np.asarray(low ** (1.0 - level) * high**level * _UNIT)


def _within(level: float, a: Assumptions) -> Floats:
    correlation = np.eye(7)
    for name, (i, j) in _PAIRS.items():
        correlation[i, j] = correlation[j, i] = a.value(f"player.{name}")
    s = scatter(level, a)
    return np.asarray(correlation * np.outer(s, s), dtype=np.float64)


def scatter_covariance(level: float, speed: float, assumptions: Assumptions | None = None) -> Floats:
    """Covariance of one player's shots as `impact.DELIVERY`, (7, 7), at a club speed in m/s."""
    stretch = np.ones(7)
    stretch[0] = speed
    return _within(level, assumptions or current()) * np.outer(stretch, stretch)


def prior(level: float, assumptions: Assumptions | None = None) -> Prior:
    """Build the priors of a skill level.

    Parameters
    ----------
    level : float
        0 scratch, 1 high handicap.

    Notes
    -----
    A line that was laid askew turns path, face and start alike, and the strike does not know it. So the
    deliveries are told against the device's line, the aim offset widens the prior of path and face together,
    and its posterior follows from the player's mean.
    """
    a = assumptions or current()
    mean = np.array([a.value(f"player.mean_{c}") for c in COLUMNS]) * _UNIT
    sd = np.array([a.sd(f"player.mean_{c}") for c in COLUMNS]) * _UNIT
    mean[0] = np.log(a.value("player.mean_speed"))
    sd[0] = a.sd("player.mean_speed") / a.value("player.mean_speed")
    between = np.diag(sd**2)
    path, face = impact.PATH, impact.FACE
    for name, (i, j) in _MEAN_PAIRS.items():
        between[i, j] = between[j, i] = a.value(f"player.{name}") * sd[i] * sd[j]
    turned = np.zeros(7)
    turned[[path, face]] = (a.sd("measurement.aim_deg") * DEG) ** 2
    between[np.ix_([path, face], [path, face])] += turned[path]
    weights = np.asarray(np.linalg.solve(between, turned), dtype=np.float64)
    left = turned[path] - float(weights @ turned)
    return Prior(mean, between, _within(level, a), weights, float(np.sqrt(max(left, 0.0))))


X = impact.DELIVERY
ROUNDS = 40


class PlayerModel:
    """Multivariate t about a mean that drifts with the shot's order; habits of scikit-learn.

    Weights and scatter by the EM algorithm of the t distribution (Lange, Little & Taylor 1989, J. Am. Stat.
    Assoc. 84, 881-896); the E-step adds what is unknown of each shot, so that a channel nobody measured keeps
    the scatter of the player's level, and the scatter is shrunk to that of the level.

    Parameters
    ----------
    nu : float, optional
        Degrees of freedom; `player.tails` when silent.
    shrink_shots : float, optional
        The level's scatter counts as this many shots; `player.shrink_shots` when silent.
    level : float, optional
        Skill, 0 scratch to 1 high handicap; as inferred when silent.
    assumptions : Assumptions, optional

    Attributes
    ----------
    mean_ : ndarray, shape (7,)
        See `impact.DELIVERY`: m/s, rad, m.
    mean_sd_ : ndarray, shape (7,)
        What is unknown of the mean: finite shots, measurement, calibrations.
    covariance_ : ndarray, shape (7, 7)
        Of shots about the mean.
    drift_, drift_sd_ : ndarray, shape (7,)
        Change from one shot to the next, and its SD.
    weights_ : ndarray, shape (n,)
        Weight of each shot: a mishit keeps its place and pulls less.
    n_shots_ : int
    level_ : float
    """

    def __init__(
        self,
        nu: float | None = None,
        shrink_shots: float | None = None,
        level: float | None = None,
        assumptions: Assumptions | None = None,
    ) -> None:
        self.nu = nu
        self.shrink_shots = shrink_shots
        self.level = level
        self.assumptions = assumptions

    def fit(self, deliveries: Delivery | Sequence[Delivery]) -> PlayerModel:
        """Learn from the shots of one player that were not set aside, of one or several sessions.

        Raises
        ------
        DataError
            If fewer than two shots are left.
        """
        a = self.assumptions or current()
        given = [deliveries] if isinstance(deliveries, Delivery) else list(deliveries)
        kept = [~(d.session.set_aside | d.misread.any(axis=1)) for d in given]
        n = int(sum(k.sum() for k in kept))
        if n < 2:
            problem = Problem(
                given[0].session.source if given else "player's model", f"{n} shots that are not set aside",
                "at least two", "Hit more balls.",
            )  # fmt: skip
            raise DataError("The player's model needs shots.", [problem])
        nu = a.value("player.tails") if self.nu is None else self.nu
        shrink = a.value("player.shrink_shots") if self.shrink_shots is None else self.shrink_shots
        x = np.concatenate([d.mean[k] for d, k in zip(given, kept, strict=True)])
        cov = np.concatenate([d.own_cov[k] for d, k in zip(given, kept, strict=True)])
        numbers = [d.session.shot[k].astype(np.float64) for d, k in zip(given, kept, strict=True)]
        order = np.concatenate([v - v.mean() for v in numbers if len(v)])
        shots = np.array([k.sum() for k in kept], dtype=np.float64)
        found = np.average([d.level for d in given], weights=shots)
        self.level_ = float(found if self.level is None else self.level)
        self.nu_ = float(nu)
        heavy = nu / (nu - 2.0) if nu > 2.0 else 1.0
        believed = scatter_covariance(self.level_, float(x[:, 0].mean()), a) / heavy
        mean, drift, scale = x.mean(axis=0), np.zeros(X), believed
        spread = float((order**2).sum())
        for _ in range(ROUNDS):
            off = x - mean - np.outer(order, drift)
            inverse = np.linalg.inv(scale)
            distance = np.einsum("ni,ij,nj->n", off, inverse, off) + np.einsum("ij,nij->n", inverse, cov)
            w = (nu + X) / (nu + distance)
            mean = mean + (w @ off) / w.sum()
            if spread > 0.0:
                weight = w * order
                drift = drift + (weight @ (off - (w @ off) / w.sum())) / float(weight @ order)
            off = x - mean - np.outer(order, drift)
            moment = np.einsum("n,ni,nj->ij", w, off, off) + np.einsum("n,nij->ij", w, cov)
            scale = (moment + shrink * believed) / (n + shrink)
        self.mean_ = np.asarray(mean)
        self.scale_ = np.asarray(0.5 * (scale + scale.T))
        self.covariance_ = self.scale_ * heavy
        self.drift_ = drift
        self.drift_sd_ = np.sqrt(np.diag(self.covariance_) / spread) if spread > 0.0 else np.full(X, np.inf)
        shared = [d.of_mean()[1] for d in given]
        unknown = sum(s * (m / n) ** 2 for s, m in zip(shared, shots, strict=True))
        self.mean_sd_ = np.sqrt(np.diag(self.covariance_ / n + unknown))
        self.weights_ = w
        self.n_shots_ = n
        return self

    def sample(self, n: int, rng: np.random.Generator) -> Floats:
        """Draw n shots about the mean, shape (n, 7), units of `mean_`.

        Raises
        ------
        ValueError
            If nothing was learnt yet.
        """
        if not hasattr(self, "scale_"):
            raise ValueError("fit the model before drawing from it")
        z = rng.standard_normal((n, X)) @ np.linalg.cholesky(self.scale_).T
        tail = np.sqrt(rng.chisquare(self.nu_, (n, 1)) / self.nu_)
        return np.asarray(self.mean_ + z / tail)
