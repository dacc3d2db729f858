"""Priors of a player by skill level, before any shot is seen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.units import DEG
from fitter.physics import vectors

Floats = NDArray[np.float64]

COLUMNS = ("speed", "attack", "path", "face", "loft", "toe", "high")
LEVELS = (0.0, 0.5, 1.0)
"""Levels that are weighed against each other when none is named: scratch, middle, high handicap."""
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


def scatter(level: float) -> Floats:
    """SDs of one player's shots, shape (7,): log m/s, rad, m; `level` 0 scratch to 1 high handicap."""
    a = current()
    low, high = (
        np.array([a.value(f"player.scatter_{c}_{end}") for c in COLUMNS])
        for end in ("scratch", "high_handicap")
    )
    return np.asarray(low ** (1.0 - level) * high**level * _UNIT)


def _within(level: float) -> Floats:
    a, correlation = current(), np.eye(7)
    for name, (i, j) in _PAIRS.items():
        correlation[i, j] = correlation[j, i] = a.value(f"player.{name}")
    s = scatter(level)
    return np.asarray(correlation * np.outer(s, s), dtype=np.float64)


def scatter_covariance(level: float, speed: float) -> Floats:
    """Covariance of one player's shots as `vectors.DELIVERY`, (7, 7), at a club speed in m/s."""
    stretch = np.ones(7)
    stretch[0] = speed
    return _within(level) * np.outer(stretch, stretch)


def prior(level: float) -> Prior:
    """Build the priors of a skill level.

    Parameters
    ----------
    level : float
        0 scratch, 1 high handicap.

    Notes
    -----
    A device that is aimed beside the target turns path, face and start alike, and no strike shows it. So
    deliveries are stated against the device's line, the aim offset widens the prior of path and face
    together, and its posterior follows from the player's mean.
    """
    a = current()
    mean = np.array([a.value(f"player.mean_{c}") for c in COLUMNS]) * _UNIT
    sd = np.array([a.sd(f"player.mean_{c}") for c in COLUMNS]) * _UNIT
    mean[0] = np.log(a.value("player.mean_speed"))
    sd[0] = a.sd("player.mean_speed") / a.value("player.mean_speed")
    between = np.diag(sd**2)
    path, face = vectors.PATH, vectors.FACE
    for name, (i, j) in _MEAN_PAIRS.items():
        between[i, j] = between[j, i] = a.value(f"player.{name}") * sd[i] * sd[j]
    turned = np.zeros(7)
    turned[[path, face]] = (a.sd("measurement.aim_deg") * DEG) ** 2
    between[np.ix_([path, face], [path, face])] += turned[path]
    weights = np.asarray(np.linalg.solve(between, turned), dtype=np.float64)
    left = turned[path] - float(weights @ turned)
    return Prior(mean, between, _within(level), weights, float(np.sqrt(max(left, 0.0))))
