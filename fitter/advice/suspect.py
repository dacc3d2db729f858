"""Is this the club? Balls that start as those of another loft would, looked for at every ball."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.advice.likelihood import Likelihood
from fitter.advice.prediction import Prediction
from fitter.advice.replay import fly_options
from fitter.advice.response import Changes
from fitter.advice.roots import SCALE
from fitter.advice.spending import boundary, rounded
from fitter.base.assumptions import current
from fitter.base.units import DEG, RPM
from fitter.physics import vectors

Floats = NDArray[np.float64]

STARTS = 4
"""Channels of the start, first of `balls.OBSERVED`: what a loft moves before air and turf have a say."""
DRAWS = 16
"""Draws from which the step of a loft is learned."""


class Suspect(NamedTuple):
    """A club whose balls do not start as its balls should.

    Parameters
    ----------
    club : str
        Code of the club that is noted.
    loft_deg : float
        By how much more loft the balls would be explained.
    z : float
        Standard errors.
    """

    club: str
    loft_deg: float
    z: float


def loft_step(prediction: Prediction) -> Floats:
    """Change of the start by one degree of loft, per degree, units of `SCALE`, shape (4,): replayed shots."""
    replay = prediction.replay.thin(max(1, len(prediction.replay.delivery) // DRAWS))
    step = current().value("belief.suspect_deg")
    n = len(replay.delivery)
    delivery = np.zeros((n, 2, vectors.CHANGE))
    delivery[..., [vectors.CLUB_SPEED, vectors.SCATTER]] = 1.0
    delivery[:, 1, vectors.LOFT] = current().value("response.loft") * step * DEG
    thin = max(1, len(prediction.replay.delivery) // DRAWS)
    heads = prediction.changes.present_head[::thin]
    club = prediction.options[0].club
    changes = Changes(
        delivery, np.stack([heads, heads], axis=1), heads, (club, club), prediction.changes.speed
    )
    out = fly_options(replay, changes, [0, 1])
    moved = np.einsum("ds,dsk->k", replay.weights, out[:, 1] - out[:, 0]) / n
    found = [
        0.0,
        moved[vectors.START_SPEED],
        moved[vectors.START_ELEVATION] / DEG,
        moved[vectors.START_SPIN] / RPM,
    ]
    return np.asarray(np.array(found) / SCALE[:STARTS] / step)


class Departure(NamedTuple):
    """How far a club's start departs along the step of a loft.

    Parameters
    ----------
    loft_deg : float
    z : float
        Standard errors, all that is not known of it among them.
    noise : float
        Variance by the balls over what no number of balls removes.
    """

    loft_deg: float
    z: float
    noise: float


def suspects(
    told: Likelihood, prior: Floats, mean: Floats, step: Floats, day: Floats, hit: Sequence[int]
) -> tuple[Suspect, ...]:
    """Clubs of which the balls say that another loft hits them.

    Every ball is a look; `spending` keeps the chance of a false alarm of a club over all of them.

    Parameters
    ----------
    told : Likelihood
    prior : ndarray, shape (7 clubs, 7 clubs)
        Covariance of the predicted effects.
    mean : ndarray, shape (7 clubs,)
    step : ndarray, shape (4,)
        See `loft_step`.
    day : ndarray, shape (7, 7)
        Covariance of a club's own day against the present club's.
    hit : sequence of int
        Balls with each club.
    """
    found = []
    for k, (club, balls) in enumerate(zip(told.clubs, hit, strict=True)):
        d = departure(told, prior, mean, step, day, k)
        if d is not None and abs(d.z) >= boundary(balls, rounded(d.noise * balls)):
            found.append(Suspect(club, d.loft_deg, d.z))
    return tuple(found)


def departure(
    told: Likelihood, prior: Floats, mean: Floats, step: Floats, day: Floats, k: int
) -> Departure | None:
    """Project the start's distance from what is predicted on the step of a loft, by all that is not known.

    That is prediction, misfit, the club's own day and the scatter of its balls. None where no channel of the
    start was measured that a loft moves.
    """
    covariance, estimate = told.of_club(k, prior, mean)
    first = k * len(SCALE)
    seen = np.flatnonzero(np.isfinite(np.diag(covariance)[:STARTS]))
    here = prior[np.ix_(first + seen, first + seen)]
    moved = step[seen]
    if not moved.any():
        return None
    direction = np.linalg.solve(here + covariance[np.ix_(seen, seen)], moved)
    power = float(direction @ moved)
    loft = float(direction @ (estimate[seen] - mean[first + seen])) / power
    lasting = here + day[np.ix_(seen, seen)]
    least = 1.0 / float(moved @ np.linalg.solve(lasting, moved))
    return Departure(loft, loft * float(np.sqrt(power)), max(1.0 / power / least - 1.0, 0.0))
