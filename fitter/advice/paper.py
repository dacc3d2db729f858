"""A prediction as a prior: changes against the present club, with what the model may have wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitter.advice.balls import OBSERVED
from fitter.advice.misfit import Misfit
from fitter.advice.prediction import BESIDE, Prediction
from fitter.advice.roots import SCALE, Roots
from fitter.advice.suspect import loft_step

Floats = NDArray[np.float64]

LIMITS: dict[str, tuple[float, float]] = {
    "fairway": (0.0, 1.0), "first": (0.0, 1.0), "across": (0.0, np.inf), "along": (0.0, np.inf),
    "carry": (0.0, np.inf), "total": (0.0, np.inf), "weak": (0.0, np.inf), "strokes": (0.0, np.inf),
}  # fmt: skip
"""Between which limits a quantity stays when it is moved."""
SPREADS = ("across", "along")
"""Quantities that no misfit of a mean moves."""
POOLED = 40
"""Most options, evenly spread, from which relations between quantities are learned."""
NOTHING = 2.0
"""Squares of a correlation below so many times its chance 1 / draws count as nothing."""


@dataclass(frozen=True, eq=False)
class Paper:
    """What was predicted of options, and of the clubs that can be hit.

    Parameters
    ----------
    prediction, seen : Prediction
        See `Belief.of`.
    names : tuple of str
        Quantities.
    changes : ndarray, shape (draws, options, quantities)
        Against the present club, as predicted.
    roots : Roots
    relation : ndarray, shape (7, quantities)
        What a unit of `SCALE` of each observed channel does to each quantity.
    seed : int
        Of the ranking.
    """

    prediction: Prediction
    seen: Prediction
    names: tuple[str, ...]
    changes: Floats
    roots: Roots
    relation: Floats
    seed: int = 1

    @classmethod
    def of(cls, prediction: Prediction, seen: Prediction, seed: int = 1) -> Paper:
        """Take changes and learn how quantities hang together."""
        table = _table(prediction)
        names = tuple(table)
        changes = np.stack([v - v[:, :1] for v in table.values()], axis=-1)
        channels = _observed(prediction)
        step = max(1, -(-(channels.shape[1] - 1) // POOLED))
        some = channels[:, 1::step].reshape(-1, len(SCALE))
        ball, club = prediction.channels["ball_speed_mps"][:, 0], prediction.channels["club_speed_mps"][:, 0]
        roots = Roots.of(float((ball / club).mean()), some)
        x = some / SCALE
        y = changes[:, 1::step].reshape(-1, len(names))
        ridge = 1e-3 * len(x) * np.diag(np.maximum((x**2).mean(axis=0), 1e-9)) if len(x) else np.eye(7)
        relation = np.linalg.solve(x.T @ x + ridge, x.T @ y) if len(x) else np.zeros((7, len(names)))
        for name, k in {"carry": 4, "total": 5, "middle": 6}.items():
            relation[:, names.index(name)] = np.eye(7)[k] * SCALE[k]
        for k, name in enumerate(("club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm")):
            relation[:, names.index(name)] = np.eye(7)[k] * SCALE[k]
        relation[:, [names.index(name) for name in SPREADS]] = 0.0
        return cls(prediction, seen, names, changes, roots, relation, seed)

    @property
    def measured(self) -> NDArray[np.bool_]:
        """Channels of `OBSERVED` that the baseline's balls carry, shape (7,)."""
        kept = self.prediction.replay.baseline.delivery.session
        return np.array([bool(np.isfinite(kept.used(name)).any()) for name in OBSERVED])

    def at(self, name: str) -> int:
        """Place of a quantity."""
        return self.names.index(name)

    @cached_property
    def misfit(self) -> Misfit:
        """Of the options, then of the clubs that can be hit: a club that stands in both has the same."""
        options = (*self.prediction.options, *self.seen.options)
        return Misfit.of([o.club for o in options], self.prediction.options[0].club, self.roots)

    @cached_property
    def _misfits(self) -> Floats:
        return self.misfit.draws(len(self.changes), self.seed)

    @cached_property
    def values(self) -> Floats:
        """Changes with misfit drawn, (draws, options, quantities)."""
        return np.asarray(self.changes + self._misfits[:, : self.changes.shape[1]] @ self.relation)

    @cached_property
    def here(self) -> Floats:
        """Mean channels of `OBSERVED` of the present club, in their units, shape (7,)."""
        return np.asarray(_present(self.seen))

    @cached_property
    def loft_step(self) -> Floats:
        """See `suspect.loft_step`."""
        return loft_step(self.seen)

    def id_of(self, club: str) -> str:
        """Id of the option that is a club as it is; the club's code if it is none of the options."""
        found = (o.id for o in self.prediction.options if o.club.code == club)
        return next(found, club)

    def places(self, clubs: Sequence[str]) -> list[int]:
        """Places of clubs among those that can be hit, as they are, by code.

        Raises
        ------
        ValueError
            If one was not predicted.
        """
        known = {o.club.code: k for k, o in reversed(list(enumerate(self.seen.options))) if not o.set_up}
        lacking = [c for c in clubs if c not in known]
        if lacking:
            raise ValueError(f"balls were hit with clubs that were not predicted: {', '.join(lacking)}")
        return [known[c] for c in clubs]

    @cached_property
    def _seen(self) -> Floats:
        return np.asarray(_observed(self.seen) / SCALE)

    def _drawn(self, clubs: Sequence[str]) -> Floats:
        found = self._seen[:, self.places(clubs)]
        return np.asarray(found.reshape(len(found), -1))

    def effects(self, clubs: Sequence[str]) -> Floats:
        """Effects of clubs on the observed channels, misfit drawn, units of `SCALE`, (draws, 7 clubs)."""
        size = self.changes.shape[1]
        misfit = self._misfits[:, [size + k for k in self.places(clubs)]]
        return np.asarray(self._drawn(clubs) + misfit.reshape(len(misfit), -1))

    def prior(self, clubs: Sequence[str]) -> Floats:
        """Covariance of these effects, (7 clubs, 7 clubs)."""
        found = self._drawn(clubs)
        found = found - found.mean(axis=0)
        size = self.changes.shape[1]
        others = [size + k for k in self.places(clubs)]
        misfit = self.misfit.covariance(others)[others]
        return np.asarray(found.T @ found / len(found) + _flat(misfit))

    def link(self, clubs: Sequence[str]) -> Floats:
        """Covariance of all quantities with these effects, shape (options x quantities, 7 clubs).

        Correlations that a finite number of draws shows by chance are shrunk away: ``r (1 - k / (n r^2))``,
        nothing below 0 (positive-part James-Stein on each squared correlation).
        """
        theta = self._drawn(clubs)
        theta = theta - theta.mean(axis=0)
        n, size = len(theta), self.changes.shape[1]
        x = self.changes.reshape(n, -1)
        both = x.T @ theta / n
        scale = np.sqrt(np.outer(self._variances, (theta**2).mean(axis=0)))
        square = np.divide(both, scale, out=np.zeros_like(both), where=scale > 0.0) ** 2
        both *= np.maximum(1.0 - NOTHING / n / np.maximum(square, 1e-12), 0.0)
        others = [size + k for k in self.places(clubs)]
        misfit = self.misfit.covariance(others)[:size]
        shared = np.einsum("cq,okcd->oqkd", self.relation, misfit, optimize=True)
        return np.asarray(both + shared.reshape(both.shape))

    @cached_property
    def _variances(self) -> Floats:
        return np.asarray(self.changes.reshape(len(self.changes), -1).var(axis=0))

    def named(self, values: Floats) -> dict[str, Floats]:
        """Quantities of every option from changes, (draws, options) each, and the gain."""
        found = {}
        for k, (name, own) in enumerate(_table(self.prediction).items()):
            low, high = LIMITS.get(name, (-np.inf, np.inf))
            found[name] = np.clip(own[:, :1] + values[..., k], low, high)
            found[name][:, 0] = own[:, 0]
        p = self.prediction
        return {"gain": p.objective.better * (found["value"] - found["value"][:, :1]), **found}


def _table(p: Prediction) -> dict[str, Floats]:
    rows = {"carry": p.carry, "total": p.total, "value": p.value, "aim": p.aim}
    return rows | {name: getattr(p, name) for name in BESIDE} | p.channels


def _channels(p: Prediction) -> list[Floats]:
    names = ("club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm")
    return [*(p.channels[name] for name in names), p.carry, p.total, p.middle]


def _observed(p: Prediction) -> Floats:
    """Changes of the channels of `OBSERVED` in their units, (draws, options, 7)."""
    return np.stack([v - v[:, :1] for v in _channels(p)], axis=-1)


def _present(p: Prediction) -> Floats:
    return np.array([float(v[:, 0].mean()) for v in _channels(p)])


def _flat(blocks: Floats) -> Floats:
    k = len(blocks)
    return np.asarray(blocks.transpose(0, 2, 1, 3).reshape(k * len(SCALE), k * len(SCALE)))
