"""Is this the club? Balls that start as those of another loft would, looked for at every ball."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.advice.likelihood import Likelihood
from fitter.advice.prediction import Prediction
from fitter.advice.replay import fly_options
from fitter.advice.response import Changes
from fitter.advice.roots import SCALE
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


def suspects(told: Likelihood, prior: Floats, mean: Floats, step: Floats) -> tuple[Suspect, ...]:
    """Clubs of which the balls say that another loft hits them.

    The start's distance from what is predicted is projected on the step of a loft, weighted by all that is
    not known: prediction, misfit, own day, the scatter of balls. The boundary is one constant for all looks
    (Pocock 1977, Biometrika 64, 191-199), so that a look at every ball is paid for.

    Parameters
    ----------
    told : Likelihood
    prior : ndarray, shape (7 clubs, 7 clubs)
        Covariance of the predicted effects.
    mean : ndarray, shape (7 clubs,)
    step : ndarray, shape (4,)
        See `loft_step`.
    """
    found = []
    boundary = current().value("belief.suspect_z")
    for k, club in enumerate(told.clubs):
        z, loft = departure(told, prior, mean, step, k)
        if abs(z) >= boundary:
            found.append(Suspect(club, loft, z))
    return tuple(found)


def departure(told: Likelihood, prior: Floats, mean: Floats, step: Floats, k: int) -> tuple[float, float]:
    """Standard errors by which a club's start departs along the step of a loft, and that loft, deg."""
    covariance, estimate = told.of_club(k, prior, mean)
    size = len(SCALE)
    here = slice(k * size, k * size + STARTS)
    seen = np.flatnonzero(np.isfinite(np.diag(covariance)[:STARTS]))
    if not len(seen):
        return 0.0, 0.0
    total = prior[here, here][np.ix_(seen, seen)] + covariance[np.ix_(seen, seen)]
    direction = np.linalg.solve(total, step[seen])
    power = float(direction @ step[seen])
    if power <= 0.0:
        return 0.0, 0.0
    loft = float(direction @ (estimate[seen] - mean[here][seen])) / power
    return loft * float(np.sqrt(power)), loft
