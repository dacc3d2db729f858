"""What outcomes teach of judged numbers: records in, a layer over the assumptions out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.base.algebra import one_thread
from fitter.base.assumptions import Assumptions
from fitter.history.records import Lesson, Outcome

Floats = NDArray[np.float64]

STEPS = 30
LEAST_SHARE = 0.01
"""A judged number whose SD shrank by less is left as it was."""


@dataclass(frozen=True)
class Learned:
    """One judged number of a player, before and after.

    Parameters
    ----------
    name, unit : str
    value, sd : float
        After the lessons.
    before_value, before_sd : float
    lessons : int
        That hang on it.
    """

    name: str
    unit: str
    value: float
    sd: float
    before_value: float
    before_sd: float
    lessons: int


def lessons_of(outcomes: Iterable[Outcome], but: Collection[str] = ()) -> list[Lesson]:
    """Lessons that hang on judged numbers, but for those whose balls tell themselves (`Outcome.tried`)."""
    return [x for o in outcomes if not (o.tried and o.tried in but) for x in o.lessons if x.slopes]


def learned(lessons: Sequence[Lesson], below: Assumptions) -> tuple[Learned, ...]:
    """Judged numbers of one player after his lessons.

    A linear Gaussian model: ``measured - expected + slopes at = slopes theta + rest + noise``, where the
    rest is what the prediction's SD holds besides the thetas (Gelman et al., Bayesian Data Analysis, 3rd
    ed., 14.8, with a normal prior). Errors have heavy tails: weights by EM (Lange, Little & Taylor 1989, J.
    Amer. Statist. Assoc. 84, 881-896).

    Parameters
    ----------
    lessons : sequence of Lesson
    below : Assumptions
        Priors: value and SD of each number.

    Returns
    -------
    tuple of Learned
        Those whose SD shrank, most first.
    """
    names = sorted({n for x in lessons for n in x.slopes if n in below and below.sd(n) > 0.0})
    if not names:
        return ()
    prior, sd = (np.array([getattr(below, what)(n) for n in names]) for what in ("value", "sd"))
    slopes = np.array([[x.slopes.get(n, 0.0) for n in names] for x in lessons])
    at = np.array([[x.at.get(n, v) for n, v in zip(names, prior, strict=True)] for x in lessons])
    away = np.array([x.measured - x.expected for x in lessons]) + (slopes * (at - prior)).sum(axis=1)
    told = (slopes**2 * sd**2).sum(axis=1)
    rest = np.maximum(np.array([x.sd for x in lessons]) ** 2 - told, 0.0)
    error = rest + np.array([x.noise for x in lessons]) ** 2
    tail = below.value("history.tail")
    mean, covariance = _posterior(away, slopes, np.maximum(error, 1e-12), sd, tail)
    own = np.sqrt(np.diag(covariance))
    found = [
        Learned(
            n, below[n].unit, float(v + d), float(s), float(v), float(w), int((slopes[:, k] != 0.0).sum())
        )
        for k, (n, v, d, s, w) in enumerate(zip(names, prior, mean, own, sd, strict=True))
        if s < (1.0 - LEAST_SHARE) * w
    ]
    return tuple(sorted(found, key=lambda x: x.sd / x.before_sd))


@one_thread()
def _posterior(away: Floats, slopes: Floats, error: Floats, sd: Floats, tail: float) -> tuple[Floats, Floats]:
    """Mean and covariance of the thetas about their priors; the tail in degrees of freedom."""
    weight = np.ones(len(away))
    mean, covariance = np.zeros(len(sd)), np.diag(sd**2)
    for _ in range(STEPS):
        precision = np.diag(sd**-2.0) + slopes.T @ (slopes * (weight / error)[:, None])
        covariance = np.asarray(np.linalg.inv(precision), dtype=np.float64)
        mean = covariance @ (slopes.T @ (away * weight / error))
        doubt = np.einsum("ij,jk,ik->i", slopes, covariance, slopes)
        square = ((away - slopes @ mean) ** 2 + doubt) / error
        weight = (tail + 1.0) / (tail + square)
    return mean, covariance


def layer(found: Sequence[Learned], below: Assumptions, whose: str) -> Assumptions:
    """Lay what was learned over judged numbers, each with its standing.

    Parameters
    ----------
    found : sequence of Learned
    below : Assumptions
    whose : str
        For the source, such as 'player P1'.
    """
    over = {
        x.name: replace(
            below[x.name],
            value=x.value,
            sd=x.sd,
            letter="C",
            source=f"learned of {whose} from {x.lessons} measured differences; before "
            f"{x.before_value:g} +- {x.before_sd:g} ({below[x.name].source})",
        )
        for x in found
    }
    return Assumptions({**below, **over})
