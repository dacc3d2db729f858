"""Turns of a club head that the program does not need: about its shaft, and a lie that turns upright.

Angles in radians, right-handed player: face right +, closing turns to the left. Arrays broadcast.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitter.physics.geometry import face_normal, loft_and_face, turn

Floats = NDArray[np.float64]


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


def face_of_lie(loft: ArrayLike, upright: ArrayLike) -> Floats:
    """Change of the face when the lie turns upright, rad, right +: ``-atan(tan(loft) sin(upright))``.

    The start of the ball follows it: 0.19 deg per degree of lie at 10.5 deg of loft.
    """
    lo, up = np.asarray(loft, dtype=np.float64), np.asarray(upright, dtype=np.float64)
    return np.asarray(-np.arctan(np.tan(lo) * np.sin(up)))
