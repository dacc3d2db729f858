"""From what a club, a day or a swing can do by itself (its roots) to what is observed of a ball."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current

Floats = NDArray[np.float64]

ROOTS = ("club_speed", "ball_speed", "launch", "spin", "carry", "run", "side")
"""Causes that may move alone: ball speed beyond what the club speed gives, carry beyond what the start gives,
run beyond the carry."""
KINDS = ("head", "shaft", "build", "own_day", "day", "drift", "scatter")
"""Sources of variation, each with its judged SDs in [belief]."""
SCALE = np.array([1.0, 1.0, 1.0, 250.0, 5.0, 5.0, 10.0])
"""Sizes of the channels of `OBSERVED`, so that matrices are well conditioned."""


@dataclass(frozen=True)
class Roots:
    """How observed channels follow their roots.

    Parameters
    ----------
    mix : ndarray, shape (7, 7)
        Channels of `OBSERVED`, in units of `SCALE`, by roots in their own units.
    """

    mix: Floats

    @classmethod
    def of(cls, ratio: float, changes: Floats) -> Roots:
        """Learn the slopes of the carry from what the options of a ranking change.

        Parameters
        ----------
        ratio : float
            Ball speed over club speed of the present club.
        changes : ndarray, shape (n, 7)
            Changes of the channels of `OBSERVED`, options and draws pooled; n may be 0.
        """
        mix = np.eye(7)
        mix[1, 0] = ratio
        slope = carry_slopes(changes)
        # Carry of a root is that of the start it makes.
        mix[4, :4] = slope @ mix[1:4, :4]
        mix[5] = mix[4]
        mix[5, 5] = 1.0
        return cls(mix / SCALE[:, None])

    def covariance(self, kind: str) -> Floats:
        """Covariance of the channels of one kind of variation, in units of `SCALE`, shape (7, 7)."""
        root = self.mix * sds(kind)
        return np.asarray(root @ root.T)

    def draws(self, kind: str, z: Floats) -> Floats:
        """Channels from standard normal roots, (n, 7) each, in units of `SCALE`."""
        return np.asarray((z * sds(kind)) @ self.mix.T)


def sds(kind: str) -> Floats:
    """Judged SDs of the roots of one kind, shape (7,)."""
    return np.array([current().value(f"belief.{kind}_{root}") for root in ROOTS])


CARRY_SLOPES = np.array([3.6, 1.5, -0.004])
"""Carry by ball speed (m per m/s), launch (m per deg) and spin (m per rpm) at ordinary speeds: a prior that
data of a ranking outweigh (about 2 yd a mph, common practice)."""


def carry_slopes(changes: Floats) -> Floats:
    """Slopes of the carry over ball speed, launch and spin, shape (3,): ridge regression about the usual."""
    x, y = changes[:, 1:4] / SCALE[1:4], changes[:, 4]
    usual = CARRY_SLOPES * SCALE[1:4]
    ridge = 10.0 * np.eye(3) * max(float((y**2).mean()), 1.0) if len(x) else np.eye(3)
    found = usual + np.linalg.solve(x.T @ x + ridge, x.T @ (y - x @ usual))
    return np.asarray(found / SCALE[1:4])
