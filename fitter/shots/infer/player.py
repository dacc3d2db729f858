"""The player's model: mean, scatter with heavy tails and drift of deliveries, learnt from inferred shots."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.errors import DataError, Problem
from fitter.physics import vectors
from fitter.shots.infer.delivery import Delivery
from fitter.shots.infer.prior import scatter_covariance

Floats = NDArray[np.float64]

X = vectors.DELIVERY
ROUNDS = 40


class PlayerModel:
    """Multivariate t about a mean that drifts with the shot's order; habits of scikit-learn.

    Weights and scatter by the EM algorithm of the t distribution (Lange, Little & Taylor 1989, J. Am. Stat.
    Assoc. 84, 881-896); the E-step adds each shot's covariance, so that a channel that was not measured keeps
    the scatter of the player's level, and the scatter is shrunk to that of the level.

    Parameters
    ----------
    nu : float, optional
        Degrees of freedom; `player.tails` if None.
    shrink_shots : float, optional
        The level's scatter counts as this many shots; `player.shrink_shots` if None.
    level : float, optional
        Skill, 0 scratch to 1 high handicap; as inferred if None.

    Attributes
    ----------
    mean_ : ndarray, shape (7,)
        See `vectors.DELIVERY`: m/s, rad, m.
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
    ) -> None:
        self.nu = nu
        self.shrink_shots = shrink_shots
        self.level = level

    def fit(self, deliveries: Delivery | Sequence[Delivery]) -> PlayerModel:
        """Learn from the shots of one player that were not set aside, of one or several sessions.

        Raises
        ------
        DataError
            If fewer than two shots are left.
        """
        a = current()
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
        expected_scale = scatter_covariance(self.level_, float(x[:, 0].mean())) / heavy
        mean, drift, scale = x.mean(axis=0), np.zeros(X), expected_scale
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
            scale = (moment + shrink * expected_scale) / (n + shrink)
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
