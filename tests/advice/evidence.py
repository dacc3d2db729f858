"""Balls of an invented world, drawn from the very prior of a belief: level, days, drift, own days, errors."""

from collections.abc import Mapping, Sequence

import numpy as np

from fitter.advice.balls import OBSERVED, Balls
from fitter.advice.belief import Belief
from fitter.advice.roots import SCALE
from fitter.kit.club import Club

TAILS = 5.0


class World:
    """A range on which balls are hit; numbers in units of `SCALE`."""

    def __init__(self, belief: Belief, seed: int, skill: float = 1.0) -> None:
        roots = belief.paper.roots
        self.rng = np.random.default_rng(seed)
        self.cov = {k: roots.covariance(k) for k in ("own_day", "day", "drift", "scatter")}
        self.cov["scatter"] = skill * self.cov["scatter"]
        self.level = belief.paper.here / SCALE

    def draw(self, kind: str) -> np.ndarray:
        return self.rng.multivariate_normal(np.zeros(len(SCALE)), self.cov[kind])

    def errors(self, n: int) -> np.ndarray:
        root = np.linalg.cholesky(self.cov["scatter"] * (TAILS - 2.0) / TAILS)
        z = self.rng.standard_normal((n, len(SCALE))) @ root.T
        return z / np.sqrt(self.rng.chisquare(TAILS, n) / TAILS)[:, None]

    def hit(self, clubs: Sequence[Club], order: Sequence[int], effects: Mapping[int, np.ndarray], block: int):
        """One stretch of balls: clubs by index in their order, and the effects of those that have one."""
        day, drift = self.draw("day"), self.draw("drift")
        own = {k: self.draw("own_day") + effects.get(k, 0.0) for k in sorted(set(order))}
        y = np.array([self.level + day + drift * n + own[k] for n, k in enumerate(order)])
        return balls(clubs, order, y + self.errors(len(order)), block)


def balls(clubs: Sequence[Club], order: Sequence[int], y: np.ndarray, block: int) -> Balls:
    """Balls from values in units of `SCALE`, (n, 7)."""
    n = len(order)
    values = {name: (y * SCALE)[:, k] for k, name in enumerate(OBSERVED)}
    where = np.full(n, block, dtype=np.int64)
    return Balls(tuple(clubs), np.array(order, dtype=np.int64), where, np.arange(n) * 1.0, values, ("typed",))
