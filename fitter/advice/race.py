"""Looks at many options with few draws, so that full draws go to those that can still win."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import Objective
from fitter.advice.options import TIERS, Option
from fitter.advice.parts import Bundles

Floats = NDArray[np.float64]

ENOUGH = 400_000
"""Flights up to which no look with fewer draws saves time."""
DEVIATIONS = {"distance": 1.5, "strokes": 2.0, "share": 2.25, "other": 2.5}
"""Standard errors of a paired difference that an option may lie under the best and still stay.

For mean distances: Latin hypercubes and shots spread over the ranks make the true error about 2.5 times
smaller than the s / sqrt(n) that is reckoned here (0.41 yd against 1.0 at 64 draws, over 24 seeds), so that
these are nearly four true standard errors. Strokes and shares of few shots gain less of that kind, a quantile
nothing.
"""
EACH_TIER = 6
"""Options of each tier that always stay."""
BUNDLES = 3
"""Bundles of each tier beside which stands what their parts are judged by."""


@dataclass(frozen=True)
class LeftOut:
    """Options that a look left out: nothing that the look said of them is known well enough to be shown.

    Parameters
    ----------
    count : int
    behind : float
        Smallest lag of any of them behind the best of its own look, in the objective's unit: each was at
        least so far behind. 0 if there is none.
    unsearched : int
        Options of a large kit that were not even looked at: of pairs whose head, or whose shaft with that
        head, cannot win, see `search`.
    """

    count: int = 0
    behind: float = 0.0
    unsearched: int = 0

    def more(self, means: Floats, keep: NDArray[np.bool_]) -> LeftOut:
        """Add what one more look leaves out, from its means and what it keeps, shape (options,) each."""
        if keep.all():
            return self
        behind = float(means.max() - means[~keep].max())
        behind = min(behind, self.behind) if self.count else behind
        return LeftOut(self.count + int((~keep).sum()), behind, self.unsearched)


@dataclass(frozen=True)
class RoughOrder:
    """Options in the order of a first look, best first: an order and no figures."""

    options: tuple[Option, ...]


@dataclass(frozen=True)
class Look:
    """One look: draws, how many shots stand for the session by kind of objective (none named: all), and how
    many options go on at most: where more cannot be told apart, the best of them do."""

    draws: int
    shots: dict[str, int]
    most: int


LOOKS = (
    Look(10, {"distance": 6, "strokes": 12, "share": 12}, 600),
    Look(24, {"distance": 8}, 600),
    Look(32, {}, 130),
)
"""Before the full one. The middle one pays for few shots alone."""


def kind(objective: Objective) -> str:
    """Kind of an objective, a key of `DEVIATIONS`."""
    return "other" if objective.each is None else {"m": "distance"}.get(objective.unit, objective.unit)


def needed(options: int, shots: int, draws: int, kind: str = "distance") -> tuple[Look, ...]:
    """Looks that are worth their time before the full one, for a kind of objective."""
    if options * shots * draws <= ENOUGH:
        return ()
    looks = LOOKS if kind in LOOKS[1].shots else (LOOKS[0], LOOKS[-1])
    return tuple(look for look in looks if look.draws < draws)


def beside_the_best(options: tuple[Option, ...], means: Floats) -> NDArray[np.bool_]:
    """What the parts of a bundle are judged by: options without one of them, for the best of each tier.

    Parameters
    ----------
    options : tuple of Option
        The present club first.
    means : ndarray, shape (options,)
        Of the look.
    """
    keep = np.zeros(len(options), dtype=bool)
    bundles, tiers = Bundles(options), np.array([o.tier for o in options])
    for tier in TIERS:
        inside = np.flatnonzero(tiers == tier)
        for i in inside[np.argsort(-means[inside], kind="stable")[:BUNDLES]]:
            keep[bundles.beside(int(i), means)] = True
    return keep


def survivors(
    options: tuple[Option, ...],
    values: Floats,
    margin: float,
    named: Collection[str] = (),
    by_shot: Floats | None = None,
    kind: str = "distance",
    most: int | None = None,
) -> NDArray[np.bool_]:
    """Which options can still win.

    Kept: the present club; every option whose mean lies within the margin and `DEVIATIONS` standard
    errors of the paired difference from the best; the best `EACH_TIER` of each tier; and what somebody named.

    Parameters
    ----------
    options : tuple of Option
        The present club first.
    values : ndarray, shape (draws, options)
        Of the objective, larger is better.
    margin : float
        In the objective's unit.
    named : collection of str
        Ids that are never left out.
    by_shot : ndarray, shape (options, shots), optional
        Means over the draws where few shots stand for all: their scatter counts as well.
    kind : str
        Key of `DEVIATIONS`.
    most : int, optional
        How many of them, the best by their means, go on.

    Returns
    -------
    ndarray of bool, shape (options,)
    """
    mean = values.mean(axis=0)
    leader = int(np.argmax(mean))
    variance = (values - values[:, [leader]]).var(axis=0, ddof=1) / len(values)
    if by_shot is not None:
        variance = variance + (by_shot - by_shot[leader]).var(axis=1, ddof=1) / by_shot.shape[1]
    keep = mean >= mean[leader] - margin - DEVIATIONS[kind] * np.sqrt(variance)
    if most is not None and keep.sum() > most:
        keep &= mean >= np.sort(mean[keep])[-most]
    keep[0] = True
    tiers = np.array([o.tier for o in options])
    for tier in TIERS:
        inside = np.flatnonzero(tiers == tier)
        keep[inside[np.argsort(-mean[inside], kind="stable")[:EACH_TIER]]] = True
    if named:
        keep |= np.array([o.id in named for o in options])
    return np.asarray(keep)
