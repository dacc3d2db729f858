"""Pose of a club head: loft, face and lie when the head is turned about its shaft or leant by a bent one.

Axes forward (to the target), left, up; the shaft stands in the plane across the target line at its lie.
Angles in radians, right-handed player: face right +, closing turns to the left. Arrays broadcast.
"""

from __future__ import annotations

from typing import NamedTuple

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


def soled_loft(squared: ArrayLike, face: ArrayLike, lie: ArrayLike) -> Floats:
    """Loft as soled of a head whose square-face loft was gauged.

    The inverse of ``sin L' = sin L - cos L sin(face) / tan(lie)``: turning the head about the shaft until the
    face is square keeps the angle between face normal and shaft, and a closed face gains loft.
    """
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


def _stretch(a: Floats, like: Floats) -> Floats:
    """Give (3,) vectors the trailing axes that broadcasting against (3, ...) needs."""
    return a.reshape(*a.shape, *(1,) * (like.ndim - a.ndim)) if a.ndim < like.ndim else a


class Change(NamedTuple):
    """What a moved ball changes when the swing stays the same; all of one broadcast shape.

    Parameters
    ----------
    attack, path, face, loft : ndarray
        Changes of attack, path, face and dynamic loft, rad.
    rise, inward : ndarray
        How much higher and how much nearer to the player the club passes there, m.
    time : ndarray
        How much later it passes, s.
    """

    attack: Floats
    path: Floats
    face: Floats
    loft: Floats
    rise: Floats
    inward: Floats
    time: Floats


def plane_direction(attack: ArrayLike, path: ArrayLike, plane: ArrayLike) -> Floats:
    """Horizontal direction of the swing plane, rad, right +.

    Parameters
    ----------
    attack, path : array_like
        Attack and path of the club, rad.
    plane : array_like
        Inclination theta of the plane to the ground, rad.

    Notes
    -----
    ``path - direction = -asin(tan(attack) / tan(theta))``: the geometry of an inclined circle (Jorgensen,
    The Physics of Golf, 2nd ed.).
    """
    att, pat, theta = (np.asarray(a, dtype=np.float64) for a in (attack, path, plane))
    return np.asarray(pat + np.arcsin(np.clip(np.tan(att) / np.tan(theta), -1.0, 1.0)))


def forward(
    ball_forward_m: ArrayLike,
    attack_rad: ArrayLike,
    path_rad: ArrayLike,
    face_rad: ArrayLike,
    loft_rad: ArrayLike,
    speed: ArrayLike,
    radius: ArrayLike,
    plane_rad: ArrayLike,
    closure_radps: ArrayLike,
    rotation_radius: ArrayLike,
) -> Change:
    """Move the ball along the target line and leave the swing as it is.

    Parameters
    ----------
    ball_forward_m : array_like
        How far the ball moves to the target, m.
    attack_rad, path_rad, face_rad, loft_rad : array_like
        Delivery at the present place, rad; loft is the dynamic loft.
    speed : array_like
        Club speed, m/s.
    radius : array_like
        Radius R of the path of the face about low point, m: it sets how attack and path change.
    plane_rad : array_like
        Inclination theta of the swing plane to the ground, rad.
    closure_radps : array_like
        Rate at which the face turns closed about the vertical, rad/s.
    rotation_radius : array_like
        Club speed over the club's own rate of rotation in the plane, m. The club turns faster than its path
        bends (rotation_radius < radius), since the hands move on an arc of their own.

    Returns
    -------
    Change
        Shapes broadcast.

    Notes
    -----
    In-plane angle phi past low point: ``sin(attack) = sin(phi) sin(theta)``; the place along the target
    line is ``R [sin(phi) cos D + (1 - cos(phi)) cos(theta) sin D]`` with the plane's direction D, solved
    for phi in closed form. Face and loft follow the club as a rigid body that turns at
    ``Omega = V / rotation_radius`` about the normal of the plane and at
    ``roll = (closure - Omega cos(theta)) / sin(theta)`` about its shaft, so that the loft's rate is
    ``Omega sin(theta) - roll cos(theta)`` at low point.
    """
    d, att, pat, fac, lof, v, r, theta, clo, rot = np.broadcast_arrays(
        *(
            np.asarray(a, dtype=np.float64)
            for a in (
                ball_forward_m,
                attack_rad,
                path_rad,
                face_rad,
                loft_rad,
                speed,
                radius,
                plane_rad,
                closure_radps,
                rotation_radius,
            )
        )
    )
    cos_t, sin_t = np.cos(theta), np.sin(theta)
    phi0 = np.arcsin(np.clip(np.sin(att) / sin_t, -1.0, 1.0))
    direction = plane_direction(att, pat, theta)
    phi1 = _advance(phi0, d / r, np.cos(direction), cos_t * np.sin(direction))
    attack = np.arcsin(np.sin(phi1) * sin_t)
    path = direction - np.arcsin(np.clip(np.tan(attack) / np.tan(theta), -1.0, 1.0))

    time = (phi1 - phi0) * r / v
    omega = v / rot
    roll = (clo - omega * cos_t) / sin_t
    # Axes along the plane, left, up. The club rolls about its own shaft, then the swing carries it round.
    up_shaft = np.stack([-np.sin(phi0), np.cos(phi0) * cos_t, np.cos(phi0) * sin_t])
    plane_normal = np.stack([np.zeros_like(cos_t), -sin_t, cos_t])
    rolled = turn(face_normal(lof, fac - direction), up_shaft, roll * time)
    loft, face = loft_and_face(turn(rolled, plane_normal, omega * time))
    face = face + direction
    drop = np.cos(phi0) - np.cos(phi1)
    return Change(attack - att, path - pat, face - fac, loft - lof, r * drop * sin_t, r * drop * cos_t, time)


def strike_height(tee_higher_m: ArrayLike, loft_rad: ArrayLike) -> Floats:
    """How much higher on the face a ball is struck that is teed higher, the swing unchanged.

    Parameters
    ----------
    tee_higher_m : array_like
        m.
    loft_rad : array_like
        Dynamic loft, rad.

    Returns
    -------
    ndarray
        Change of the strike's height along the face, m, up +.

    Notes
    -----
    A vertical shift h of the ball's centre moves the contact by ``h cos(loft)`` along a flat face that is
    leant back by the loft.
    """
    return np.asarray(
        np.asarray(tee_higher_m, dtype=np.float64) * np.cos(np.asarray(loft_rad, dtype=np.float64))
    )


def _advance(phi: Floats, shift: Floats, a: Floats, b: Floats) -> Floats:
    """Angle where ``a sin(phi) - b cos(phi)`` has grown by shift (closed form)."""
    size, lag = np.hypot(a, b), np.arctan2(b, a)
    return np.asarray(lag + np.arcsin(np.clip(np.sin(phi - lag) + shift / size, -1.0, 1.0)))
