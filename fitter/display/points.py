"""Points and scales of the pictures, in the units in force: finishes from above, ellipses, strikes, ticks."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fitter.advice.pattern import Ellipse
from fitter.advice.pattern import ellipse as fitted_ellipse
from fitter.advice.scored import Scored
from fitter.base.units import DEG, Units
from fitter.shots.session import Session

Floats = NDArray[np.float64]

LEAST_SHOTS = 4
"""Shots from which an ellipse is drawn."""


def expected(s: Scored, side: str, hand: str, units: Units) -> Floats:
    """Where an option's balls should finish, (n, 2): side as the player sees it (right +), distance.

    Parameters
    ----------
    s : Scored
    side : {'carry', 'total'}
        Which finish counts.
    hand : str
        A left-hander's finishes are mirrored back.
    units : Units
    """
    sign = -1.0 if hand == "left" else 1.0
    if side == "total":
        rows = [(sign * f.total_side_m, f.total_m) for f in s.finish]
    else:
        rows = [(sign * f.side_m, f.carry_m) for f in s.finish]
    return _known(units.value(np.array(rows, dtype=np.float64).reshape(-1, 2), "m"))


def measured(seen: Session, side: str, units: Units) -> Floats:
    """Where the balls of a session finished, (n, 2): side (right +), distance; NaN where not measured.

    Without a measured side the start line at the carry stands for it.

    Parameters
    ----------
    seen : Session
        As the player sees it.
    side : {'carry', 'total'}
        The total falls back to the carry.
    units : Units
    """
    far = seen.value("total_m" if side == "total" and seen.has("total_m") else "carry_m")
    across = seen.value("offline_m")
    if not np.isfinite(across).any():
        across = far * np.tan(seen.value("direction_deg") * DEG)
    return np.asarray(units.value(np.stack([across, far], axis=-1), "m"))


def strikes(session: Session) -> Floats:
    """Strike marks seen from the front of the face, (n, 2): mm, right + and up +."""
    toe, high = session.value("strike_toe_mm"), session.value("strike_high_mm")
    return np.stack([front(session.hand) * toe, high], axis=-1)


def front(hand: str) -> float:
    """Sign of the toe, seen from the front: a right-hander's toe is to the left."""
    return 1.0 if hand == "left" else -1.0


def ellipse(points: Floats, level: float) -> Ellipse | None:
    """Ellipse that should hold a share of the next balls; None with fewer than four known points."""
    known = _known(points)
    return fitted_ellipse(known, level) if len(known) >= LEAST_SHOTS else None


def box(sets: Sequence[Floats], ellipses: Sequence[Ellipse | None] = ()) -> tuple[Floats, Floats]:
    """Lowest and highest coordinates of points and of the ellipses about them, each (2,)."""
    # The box of an ellipse, not of points on it: it must not change in the mirror.
    ends = [np.add(e.centre, np.outer((-1.0, 1.0), e.reach)) for e in ellipses if e is not None]
    every = np.vstack([*map(_known, sets), *ends])
    return every.min(axis=0), every.max(axis=0)


def step(rough: float) -> float:
    """Smallest of 1, 2, 5 times a power of ten that is not under a length.

    Examples
    --------
    >>> step(13.0), step(0.3)
    (20.0, 0.5)
    """
    power = 10.0 ** math.floor(math.log10(rough))
    return next(power * k for k in (1, 2, 5, 10) if power * k >= rough)


def ticks(low: float, high: float, most: int = 1, by: float | None = None) -> list[float]:
    """Round numbers between two limits, at most about so many, or with a given step.

    Examples
    --------
    >>> ticks(257.0, 312.0, 4), ticks(-3.0, 12.0, by=5.0)
    ([260.0, 280.0, 300.0], [0.0, 5.0, 10.0])
    """
    size = step(max(high - low, 1e-9) / max(most, 1)) if by is None else by
    return [round(k * size, 10) for k in range(math.ceil(low / size), math.floor(high / size) + 1)]


def _known(points: Floats) -> Floats:
    return np.asarray(points[np.isfinite(points).all(axis=1)])
