"""Points and scales of the pictures, in the units in force: finishes from above, ellipses, strikes, ticks."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fitter.advice.pattern import Ellipse, of_covariance
from fitter.advice.pattern import ellipse as fitted_ellipse
from fitter.advice.scored import Scored
from fitter.base.units import DEG, Units
from fitter.shots.session import Session

Floats = NDArray[np.float64]

FACE_MM = (52.0, 27.0)
"""Half width and half height of the face that is drawn, mm: about a driver's."""
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


def outline(hand: str, points: int = 96) -> Floats:
    """Outline of an ordinary face seen from the front, (n, 2): mm; higher at the toe than at the heel."""
    t = np.linspace(0.0, 2.0 * np.pi, points)
    c, s = np.cos(t), np.sin(t)
    # A superellipse: flatter than an ellipse above and below, as faces are.
    x, y = (np.sign(v) * np.abs(v) ** 0.75 for v in (c, s))
    return np.stack([front(hand) * FACE_MM[0] * x, FACE_MM[1] * y * (1.0 + 0.14 * x)], axis=-1)


def flight(launch_deg: float, apex: float, landing_deg: float, carry: float, points: int = 80) -> Floats:
    """Flight from the side, (n, 2): distance and height, drawn through its launch, apex and landing.

    Two cubics that meet at the apex with one curvature: the picture holds the very figures that stand beside
    it, and of one ball within a few per cent of the apex the path between them. All NaN where a figure
    lacks.

    Parameters
    ----------
    launch_deg, landing_deg : float
        Above the horizon at the tee, below it where the ball comes down.
    apex, carry : float
        In one unit, whichever.
    """
    up, down = math.tan(launch_deg * DEG), math.tan(landing_deg * DEG)
    if not all(map(math.isfinite, (up, down, apex, carry))) or min(apex, carry) <= 0.0:
        return np.full((points, 2), np.nan)

    def bend(at: float) -> float:
        """Difference of the curvatures before and after an apex at a distance."""
        left, rest = at, carry - at
        return (2.0 * up / left - 6.0 * apex / left**2) - (2.0 * down / rest - 6.0 * apex / rest**2)

    low, high = 0.2 * carry, 0.9 * carry
    if bend(low) * bend(high) > 0.0:
        low = high = 0.62 * carry
    for _ in range(50):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if bend(mid) * bend(low) > 0.0 else (low, mid)
    top = 0.5 * (low + high)
    x = np.linspace(0.0, carry, points)
    before, rest = x / top, (x - top) / (carry - top)
    rise = apex * before**2 * (3.0 - 2.0 * before) + up * top * before * (1.0 - before) ** 2
    fall = apex * (1.0 - rest) ** 2 * (1.0 + 2.0 * rest) + down * (carry - top) * rest**2 * (1.0 - rest)
    return np.stack([x, np.where(x <= top, rise, fall)], axis=-1)


def ring(s: Scored, side: str, level: float, hand: str, units: Units) -> Ellipse | None:
    """Ellipse of an option at its aim where its balls are not kept: by its SDs across and along.

    Parameters
    ----------
    s : Scored
    side : {'carry', 'total'}
        Distance of its middle.
    level : float
        Share of the balls that it holds.
    hand : str
        A left-hander's sides are mirrored back.
    units : Units
    """
    if s.across is None or s.along is None or s.offline_mean_m is None:
        return None
    turn = -1.0 if hand == "left" else 1.0
    middle = turn * (s.offline_mean_m + (s.aim_shift_m or 0.0))
    far = s.total_m if side == "total" else s.carry_m
    x, y, across, along = (float(units.value(v, "m")) for v in (middle, far, s.across.mid, s.along.mid))
    # A share of a bivariate normal lies within this squared distance.
    square = -2.0 * math.log(1.0 - level)
    return of_covariance(np.diag([across**2, along**2]), square, (x, y), level)


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
