"""Shafts that paper cannot tell apart: one line for each head, with what a trial of them would cost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.options import Option
from fitter.advice.scored import Scored
from fitter.base.assumptions import current

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Alike:
    """Shafts on one head whose predicted gains say nothing about which is better.

    Parameters
    ----------
    head : str
        Code.
    tier : str
        'C' or 'E'.
    options : tuple of str
        Ids, each shaft in its best set-up, best first.
    shafts : tuple of str
        Their codes.
    low, high : float
        Smallest and largest of their expected gains, in the objective's unit.
    own : bool
        Whether the present shaft on that head cannot be told apart from them either.
    soft, stiff : str
        Shafts at opposite ends: if any are tried, these.
    balls : int
        Of a trial of the two, both together.
    minutes : float
        That it takes.
    """

    head: str
    tier: str
    options: tuple[str, ...]
    shafts: tuple[str, ...]
    low: float
    high: float
    own: bool
    soft: str
    stiff: str
    balls: int
    minutes: float


def alike(scored: Sequence[Scored], gain: Floats) -> tuple[Alike, ...]:
    """Group the shafts of each head that cannot be told apart from its best one.

    Parameters
    ----------
    scored : sequence of Scored
        Computed in full, the present club first.
    gain : ndarray, shape (draws, options)
        Against the present club, in the same order and draws.

    Returns
    -------
    tuple of Alike
        By the gain of their best, cheaper tier first among equals. A shaft belongs to a group while it is the
        better one with a probability of at least ``verdict.tie``.
    """
    a, mean = current(), gain.mean(axis=0)
    tie, own_shaft = a.value("verdict.tie"), scored[0].option.club.shaft.code
    by_head: dict[str, dict[str, int]] = defaultdict(dict)
    for i in sorted(range(len(scored)), key=lambda i: (-mean[i], scored[i].option.id)):
        club = scored[i].option.club
        by_head[club.head.code].setdefault(club.shaft.code, i)
    found = []
    for head, shafts in by_head.items():
        bought = [i for code, i in shafts.items() if code != own_shaft]
        if not bought:
            continue
        even = (gain >= gain[:, [bought[0]]]).mean(axis=0) >= tie
        group = [i for i in bought if even[i] or i == bought[0]]
        if len(group) < 2:
            continue
        options = [scored[i].option for i in group]
        stiffness = sorted(options, key=_stiffness)
        found.append(
            Alike(
                head=head,
                tier=options[0].tier,
                options=tuple(o.id for o in options),
                shafts=tuple(o.club.shaft.code for o in options),
                low=float(mean[group].min()),
                high=float(mean[group].max()),
                own=own_shaft in shafts and bool(even[shafts[own_shaft]]),
                soft=stiffness[0].club.shaft.code,
                stiff=stiffness[-1].club.shaft.code,
                balls=2 * int(a.value("next.trial_balls")),
                minutes=a.value("next.trial_minutes"),
            )
        )
    return tuple(sorted(found, key=lambda x: (-x.high, x.tier, x.head)))


def _stiffness(option: Option) -> tuple[float, float, str]:
    shaft = option.club.shaft
    return shaft.figure("frequency_cpm").value, shaft.figure("mass_g").value, shaft.code


def folded(groups: Iterable[Alike]) -> set[tuple[str, str]]:
    """Heads and shafts, by code, that another shaft of the same head and tier stands for."""
    return {(x.head, shaft) for x in groups for shaft in x.shafts[1:]}
