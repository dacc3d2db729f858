"""Bounce and roll of the virtual range, and where a ball ends; SI and radians."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from reference.virtual_range.engine import BALL_RADIUS, GRAVITY, Floats


@dataclass(frozen=True)
class Turf:
    """A world's ground.

    Parameters
    ----------
    tilt : callable
        (speed m/s, angle rad) of a landing -> tilt of the plane that it meets, rad.
    restitution : callable
        Normal speed, m/s -> restitution.
    friction : float
    level_after : bool
        Whether only the first landing makes a dent.
    rolling : float
        Deceleration of the roll, g.
    """

    tilt: Callable[[Floats, Floats], Floats]
    restitution: Callable[[Floats], Floats]
    friction: float
    level_after: bool
    rolling: float


def run(velocity: Floats, backspin: Floats, turf: Turf, hops: int = 4) -> Floats:
    """Run after the landing along its heading, m, shape (n,): hops without air, then a roll.

    Parameters
    ----------
    velocity : ndarray, shape (n, 3)
        Of the landing.
    backspin : ndarray, shape (n,)
        rad/s.
    turf : Turf
    hops : int
        Bounces before the ball counts as rolling.
    """
    ahead, down = np.hypot(velocity[:, 0], velocity[:, 1]), -velocity[:, 2]
    surface = backspin * BALL_RADIUS
    gone = np.zeros(len(ahead))
    for hop in range(hops):
        speed, angle = np.hypot(ahead, down), np.arctan2(down, np.maximum(ahead, 1e-9))
        tilt = np.zeros_like(ahead) if hop and turf.level_after else turf.tilt(speed, angle)
        c, s = np.cos(tilt), np.sin(tilt)
        # The plane faces the ball: part of the forward speed meets it squarely.
        along, into = ahead * c - down * s, ahead * s + down * c
        e = turf.restitution(into)
        # A sphere grips when friction can stop the contact: 2/7 of the slip is lost (rolling without slip).
        slip = along + surface
        lost = np.sign(slip) * np.minimum(2.0 / 7.0 * np.abs(slip), turf.friction * (1.0 + e) * into)
        along, surface, out = along - lost, surface - 2.5 * lost, e * into
        ahead, rise = along * c - out * s, along * s + out * c
        rise = np.maximum(rise, 0.0)
        gone += ahead * 2.0 * rise / GRAVITY
        down = rise
    rolling = (5.0 * ahead - 2.0 * surface) / 7.0
    return np.asarray(gone + np.sign(rolling) * rolling**2 / (2.0 * turf.rolling * GRAVITY))


def finish(landing: Floats, tilt: Floats, turf: Turf) -> Floats:
    """Carry, side, total and side of the total, m, shape (n, 4): along the target line, and right +."""
    ahead = np.hypot(landing[:, 2], landing[:, 3])
    further = run(landing[:, 2:5], landing[:, 5] * np.cos(tilt), turf)
    x, y = landing[:, 2] / ahead, landing[:, 3] / ahead
    return np.stack(
        [landing[:, 0], -landing[:, 1], landing[:, 0] + further * x, -(landing[:, 1] + further * y)], axis=-1
    )
