"""Pose of a club head: loft, face and lie when the head is turned about its shaft or leant by a bent one.

Axes forward (to the target), left, up; the shaft stands in the plane across the target line at its lie.
Angles in radians, right-handed player: face right +, closing turns to the left. Arrays broadcast.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def face_normal(loft: ArrayLike, face: ArrayLike) -> Floats:
    """Face normal of a loft and a face angle, shape (3, ...)."""
    lo, fa = np.broadcast_arrays(np.asarray(loft, dtype=np.float64), np.asarray(face, dtype=np.float64))
    return np.stack([np.cos(lo) * np.cos(fa), -np.cos(lo) * np.sin(fa), np.sin(lo)])


def loft_and_face(normal: Floats) -> tuple[Floats, Floats]:
    """Loft and face angle of a face normal, rad."""
    return np.arcsin(np.clip(normal[2], -1.0, 1.0)), np.asarray(-np.arctan2(normal[1], normal[0]))


def turn(v: Floats, axis: Floats, angle: ArrayLike) -> Floats:
    """Turn vectors about unit axes by the right-hand rule, all (3, ...) (Rodrigues' formula)."""
    a = np.asarray(angle, dtype=np.float64)
    axis, v = np.broadcast_arrays(_stretch(axis, v), _stretch(v, axis))
    across = np.cross(axis, v, axis=0)
    along = axis * (axis * v).sum(axis=0)
    return np.asarray(v * np.cos(a) + across * np.sin(a) + along * (1.0 - np.cos(a)))


def shaft_up(lie: ArrayLike) -> Floats:
    """Unit vector from the head up the shaft, shape (3, ...)."""
    at = np.asarray(lie, dtype=np.float64)
    return np.stack([np.zeros_like(at), np.cos(at), np.sin(at)])


def close_about_shaft(
    loft: ArrayLike, face: ArrayLike, lie: ArrayLike, closing: ArrayLike
) -> tuple[Floats, Floats]:
    """Loft and face of a head that is turned closed about its shaft.

    Parameters
    ----------
    loft, face, lie : array_like
        Before the turn, rad.
    closing : array_like
        Angle of the turn, rad; closed +.

    Returns
    -------
    loft, face : ndarray
        rad. Small turns: loft falls by ``closing cos(lie)``, the face goes left by ``closing sin(lie)``.
    """
    normal = face_normal(*np.broadcast_arrays(loft, face, lie, closing)[:2])
    return loft_and_face(turn(normal, shaft_up(lie), closing))


def squared_loft(loft: ArrayLike, face: ArrayLike, lie: ArrayLike) -> Floats:
    """Loft of a soled head when the player turns it about the shaft until the face is square.

    Notes
    -----
    The turn keeps the angle between face normal and shaft: ``sin L' = sin L - cos L sin(face) / tan(lie)``.
    A closed face gains loft.
    """
    lo, fa, li = (np.asarray(x, dtype=np.float64) for x in (loft, face, lie))
    return np.asarray(np.arcsin(np.clip(np.sin(lo) - np.cos(lo) * np.sin(fa) / np.tan(li), -1.0, 1.0)))


def soled_loft(squared: ArrayLike, face: ArrayLike, lie: ArrayLike) -> Floats:
    """Loft as soled of a head whose square-face loft was gauged: the inverse of `squared_loft`."""
    sq, fa, li = (np.asarray(x, dtype=np.float64) for x in (squared, face, lie))
    b = np.sin(fa) / np.tan(li)
    return np.asarray(np.arcsin(np.clip(np.sin(sq) / np.hypot(1.0, b), -1.0, 1.0)) + np.arctan(b))


def soled_face(squared: ArrayLike, soled: ArrayLike, lie: ArrayLike) -> Floats:
    """Face angle as soled of a head with this square-face loft and this loft as soled, rad, right +."""
    sq, so, li = (np.asarray(x, dtype=np.float64) for x in (squared, soled, lie))
    return np.asarray(np.arcsin(np.clip((np.sin(so) - np.sin(sq)) * np.tan(li) / np.cos(so), -1.0, 1.0)))


def lean(
    loft: ArrayLike, face: ArrayLike, lie: ArrayLike, lead: ArrayLike, droop: ArrayLike
) -> tuple[Floats, Floats]:
    """Loft and face of a head on a bent shaft.

    Parameters
    ----------
    loft, face, lie : array_like
        On a straight shaft, rad.
    lead, droop : array_like
        Slopes at the tip: forward in the plane of shaft and target line, and toe down, rad.

    Returns
    -------
    loft, face : ndarray
        rad. Small slopes: the lead adds ``lead sin(lie)`` of loft to the ground and closes the face by
        ``lead cos(lie)``; the droop opens it by ``droop tan(loft)``.
    """
    lo, fa, li, le, dr = np.broadcast_arrays(
        *(np.asarray(x, np.float64) for x in (loft, face, lie, lead, droop))
    )
    zero = np.zeros_like(li)
    across = np.stack([zero, -np.sin(li), np.cos(li)])
    forward = np.stack([zero + 1.0, zero, zero])
    return loft_and_face(turn(turn(face_normal(lo, fa), across, le), forward, dr))


def face_of_lie(loft: ArrayLike, upright: ArrayLike) -> Floats:
    """Change of the face when the lie turns upright, rad, right +: ``-atan(tan(loft) sin(upright))``.

    The start of the ball follows it: 0.19 deg per degree of lie at 10.5 deg of loft.
    """
    lo, up = np.asarray(loft, dtype=np.float64), np.asarray(upright, dtype=np.float64)
    return np.asarray(-np.arctan(np.tan(lo) * np.sin(up)))


def _stretch(a: Floats, like: Floats) -> Floats:
    """Give (3,) vectors the trailing axes that broadcasting against (3, ...) needs."""
    return a.reshape(*a.shape, *(1,) * (like.ndim - a.ndim)) if a.ndim < like.ndim else a
