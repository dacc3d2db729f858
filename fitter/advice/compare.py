"""Clubs that were hit, against each other: what the balls alone say, without a prediction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.advice.balls import OBSERVED, Balls
from fitter.advice.blocks import Estimate, fit
from fitter.base.assumptions import current
from fitter.base.errors import DataError, InputError, Problem

Floats = NDArray[np.float64]

LEAST = 3
"""Fewest balls of a club that are compared."""


class Spread(NamedTuple):
    """SD about a club's own middle, shrunken, with its 80 % interval."""

    sd: float
    low: float
    high: float


@dataclass(frozen=True)
class Measured:
    """One club as it was hit.

    Parameters
    ----------
    club : str
        Code.
    balls : int
    means : dict of str to float
        Raw means of the channels that were measured, in the unit of their name.
    across, along : Spread or None
        Of side and carry.
    """

    club: str
    balls: int
    means: dict[str, float]
    across: Spread | None
    along: Spread | None


@dataclass(frozen=True)
class Difference:
    """A club less the one that all are held against, channel by channel.

    Parameters
    ----------
    club, against : str
    channels : dict of str to Estimate
        Shrunken, with 80 and 95 % intervals.
    p_longer : float or None
        Probability that its carry is longer.
    """

    club: str
    against: str
    channels: dict[str, Estimate]
    p_longer: float | None


@dataclass(frozen=True)
class Comparison:
    """All clubs that were hit.

    Parameters
    ----------
    clubs : tuple of Measured
        The one that all are held against first.
    differences : tuple of Difference
        Longest carry first.
    runs : int
        Stretches of one club.
    one_by_one : bool
        All balls of each club in one stretch: drift cannot be told from the clubs.
    slope : float or None
        Drift of the carry, m a ball.
    """

    clubs: tuple[Measured, ...]
    differences: tuple[Difference, ...]
    runs: int
    one_by_one: bool
    slope: float | None


def compare(balls: Balls, against: str = "") -> Comparison:
    """Hold clubs against each other by the block model, channel by channel.

    Parameters
    ----------
    balls : Balls
        Without misreads.
    against : str
        Code of the club that all are held against; the first that was hit when silent.

    Raises
    ------
    InputError
        If it was not hit.
    DataError
        If fewer than two clubs have three balls.
    """
    codes = np.array(balls.codes, dtype=object)
    counts = balls.counts()
    named = [c for c in dict.fromkeys(codes) if counts[c] >= LEAST]
    if len(named) < 2:
        found = ", ".join(f"{c} ({n})" for c, n in counts.items()) or "no ball"
        do = "Hit another club, or name the build of each log: LOG=HEAD/SHAFT."
        problem = Problem("the logs", found, f"two clubs with {LEAST} balls each", do)
        raise DataError("There is nothing to compare.", [problem])
    if against and against not in named:
        problem = Problem("--against", repr(against), ", ".join(named), "Name one of these.")
        raise InputError("That club was not hit, or too few of its balls count.", [problem])
    first = against or named[0]
    order = [first, *(c for c in named if c != first)]
    kept = balls.take(np.isin(codes, named))
    club = np.array([order.index(c) for c in kept.codes], dtype=np.int64)
    at = np.lexsort((kept.order, kept.block))
    club, block, number = club[at], kept.block[at], kept.order[at]
    runs = 1 + int(((np.diff(club) != 0) | (np.diff(block) != 0)).sum())
    stretch = np.unique(block, return_inverse=True)[1]
    channels: dict[str, dict[int, Estimate]] = {k: {} for k in OBSERVED}
    longer: dict[int, float] = {}
    slope = None
    for name in OBSERVED:
        y = np.asarray(kept.table[at, OBSERVED.index(name)])
        there = np.isfinite(y)
        seen = [k for k in range(len(order)) if (there & (club == k)).sum() >= LEAST]
        if 0 not in seen or len(seen) < 2:
            continue
        there &= np.isin(club, seen)
        place = {k: j for j, k in enumerate(seen)}
        own = np.array([place[k] for k in club[there]], dtype=np.int64)
        days = np.unique(stretch[there], return_inverse=True)[1]
        fitted = fit(y[there], own, days, number[there])
        channels[name] = {k: fitted.difference(place[k], 0) for k in seen[1:]}
        if name == "carry_m":
            longer = {k: fitted.p_above(place[k], 0) for k in seen[1:]}
            slope = fitted.slope
    differences = [
        Difference(order[k], first, {n: v[k] for n, v in channels.items() if k in v}, longer.get(k))
        for k in range(1, len(order))
    ]
    differences.sort(key=lambda d: -d.channels["carry_m"].mean if "carry_m" in d.channels else 0.0)
    table = kept.table[at]
    clubs = tuple(_measured(order, k, club, table) for k in range(len(order)))
    return Comparison(clubs, tuple(differences), runs, runs == len(order), slope)


def _measured(order: Sequence[str], k: int, club: NDArray[np.int64], table: Floats) -> Measured:
    mine = table[club == k]
    with_any = np.isfinite(mine).any(axis=0)
    means = {n: float(np.nanmean(mine[:, j])) for j, n in enumerate(OBSERVED) if with_any[j]}
    side, carry = (OBSERVED.index(n) for n in ("offline_m", "carry_m"))
    spreads = [_spread(table[:, j], club, k) for j in (side, carry)]
    return Measured(order[k], len(mine), means, *spreads)


def _spread(y: Floats, club: NDArray[np.int64], k: int) -> Spread | None:
    """SD of one club about its own middle, drawn to that of all clubs.

    A scaled inverse chi-square whose prior counts as so many balls (Gelman et al., Bayesian Data Analysis,
    3rd ed., 2.6): ten balls alone leave 0.69 to 1.83 times an SD (95 %).
    """
    from scipy.stats import chi2

    there = np.isfinite(y)
    pooled, free = 0.0, 0
    for j in np.unique(club[there]):
        own = y[there & (club == j)]
        pooled, free = pooled + float(((own - own.mean()) ** 2).sum()), free + len(own) - 1
    own = y[there & (club == k)]
    if len(own) < LEAST or free < 1:
        return None
    usual = current().value("compare.spread_balls")
    square = float(((own - own.mean()) ** 2).sum()) + usual * pooled / free
    freedom = len(own) - 1 + usual
    low, high = (np.sqrt(square / chi2.ppf(q, freedom)) for q in (0.9, 0.1))
    return Spread(float(np.sqrt(square / freedom)), float(low), float(high))
