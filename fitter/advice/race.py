"""Looks at many options with few draws, so that full draws go to those that can still win."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.options import TIERS, Option

Floats = NDArray[np.float64]

ENOUGH = 400_000
"""Flights up to which no look with fewer draws saves time."""
DEVIATIONS = {True: 1.8, False: 2.5}
"""Standard errors of a paired difference that an option may lie under the best and still stay.

For means (True): Latin hypercubes and shots spread over the ranks make the true error about 2.5 times smaller
than the s / sqrt(n) that is reckoned here (0.41 yd against 1.0 at 64 draws, over 24 seeds), so that these are
more than four true standard errors, and still nearly three where a wide doubt of the delivery, which no
hypercube spreads, decides. A quantile or a share gains nothing of that kind.
"""
EACH_TIER = 6
"""Options of each tier that always stay."""


@dataclass(frozen=True)
class LeftOut:
    """Options that a look left out: nothing that the look said of them is known well enough to be shown.

    Parameters
    ----------
    count : int
    behind : float
        Smallest lag of any of them behind the best of its own look, in the objective's unit: each was at
        least so far behind. 0 if there is none.
    """

    count: int = 0
    behind: float = 0.0

    def more(self, means: Floats, keep: NDArray[np.bool_]) -> LeftOut:
        """Add what one more look leaves out, from its means and what it keeps, shape (options,) each."""
        if keep.all():
            return self
        behind = float(means.max() - means[~keep].max())
        return LeftOut(self.count + int((~keep).sum()), min(behind, self.behind) if self.count else behind)


@dataclass(frozen=True)
class RoughOrder:
    """Options in the order of a first look, best first: an order and no figures."""

    options: tuple[Option, ...]


@dataclass(frozen=True)
class Look:
    """One look: draws, and how many shots stand for the session (None for all)."""

    draws: int
    shots: int | None


LOOKS = (Look(10, 6), Look(32, None))
"""Before the full one."""


def needed(options: int, shots: int, draws: int) -> tuple[Look, ...]:
    """Looks that are worth their time before the full one."""
    if options * shots * draws <= ENOUGH:
        return ()
    return tuple(look for look in LOOKS if look.draws < draws)


def survivors(
    options: tuple[Option, ...],
    values: Floats,
    margin: float,
    named: Collection[str] = (),
    by_shot: Floats | None = None,
    mean_alone: bool = True,
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
    mean_alone : bool
        Whether the objective is a plain mean over the shots.

    Returns
    -------
    ndarray of bool, shape (options,)
    """
    mean = values.mean(axis=0)
    leader = int(np.argmax(mean))
    variance = (values - values[:, [leader]]).var(axis=0, ddof=1) / len(values)
    if by_shot is not None:
        variance = variance + (by_shot - by_shot[leader]).var(axis=1, ddof=1) / by_shot.shape[1]
    keep = mean >= mean[leader] - margin - DEVIATIONS[mean_alone] * np.sqrt(variance)
    keep[0] = True
    tiers = np.array([o.tier for o in options])
    for tier in TIERS:
        inside = np.flatnonzero(tiers == tier)
        keep[inside[np.argsort(-mean[inside], kind="stable")[:EACH_TIER]]] = True
    if named:
        keep |= np.array([o.id in named for o in options])
    return np.asarray(keep)
