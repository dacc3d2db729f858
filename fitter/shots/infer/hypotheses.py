"""What is held to be true of a session, as rival hypotheses: skill, repair of the spin, point of the face."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.shots.infer.prior import LEVELS, Prior, prior

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Hypotheses:
    """k hypotheses of a session.

    Parameters
    ----------
    priors : tuple of Prior
    models : ndarray, shape (k, 14)
        Strike model, see `vectors.MODEL`.
    odds : ndarray, shape (k,)
        Logarithm of the prior probability.
    level : ndarray, shape (k,)
        Skill, 0 scratch to 1 high handicap.
    repair : ndarray of int, shape (k,)
        Repair of the spin: 0 the leading one, 1 its rival.
    face, speed : ndarray of int, shape (k,)
        Points to which face and loft, and speed and path, belong: places in `vocabulary.POINTS`. That of the
        speed is found afterwards, see `points`.
    """

    priors: tuple[Prior, ...]
    models: Floats
    odds: Floats
    level: Floats
    repair: Ints
    face: Ints
    speed: Ints

    def __len__(self) -> int:
        return len(self.priors)

    def twice(self) -> Hypotheses:
        """Let path and speed belong to the face centre, and then to the mass centre."""
        two = np.tile(np.arange(len(self)), 2)
        return replace(
            self, priors=self.priors * 2, models=self.models[two], odds=self.odds[two],
            level=self.level[two], repair=self.repair[two], face=self.face[two],
            speed=np.repeat([0, 1], len(self)),
        )  # fmt: skip


def weighed(face: tuple[int, ...], level: float | None = None, model: Floats | None = None) -> Hypotheses:
    """Set up the hypotheses that are weighed against each other.

    Parameters
    ----------
    face : tuple of int
        Points of face and loft that are open.
    level : float, optional
        Skill; three levels are weighed if None.
    model : ndarray, shape (14,), optional
        Strike model; both repairs of the spin are weighed if None.
    """
    a = current()
    levels = LEVELS if level is None else (level,)
    trusted = a.value("strike.shift_weight")
    if model is None:
        rivals, belief = np.vstack([worlds.strike_models(), worlds.rival_model()]), [trusted, 1 - trusted]
    else:
        rivals, belief = np.asarray(model, dtype=np.float64)[None], [1.0]
    by_level = [prior(v) for v in levels]
    rows = product(face, range(len(rivals)), range(len(levels)))
    point, repair, at = (np.array(column, dtype=np.int64) for column in zip(*rows, strict=True))
    odds = np.log(belief)[repair]
    if len(face) > 1:
        there = a.value("measurement.at_strike_point")
        odds = odds + np.log(np.where(point == 1, there, 1.0 - there))
    return Hypotheses(
        tuple(by_level[i] for i in at), rivals[repair], odds, np.asarray(levels)[at], repair, point,
        np.zeros(len(at), dtype=np.int64),
    )  # fmt: skip
