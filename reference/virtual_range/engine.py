"""Strike, flight and run in plain NumPy, a second hand: nothing here comes from the package's own engine.

Right-handed axes: x to the target, y left, z up. Angles in rad; path, face, direction and tilt right
positive.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

GRAVITY = 9.81
BALL_MASS, BALL_RADIUS = 0.04593, 0.02135
BALL_INERTIA = 0.4 * BALL_MASS * BALL_RADIUS**2
STEP = 0.05


@dataclass(frozen=True)
class Ball:
    """Coefficients over the spin ratio S, read between knots, and how drag rises at low Reynolds number."""

    knots: Floats
    drag: Floats
    lift: Floats
    low_re: float = 0.0
    spin_decay: float = 0.03
    """Share of spin lost in a second."""


@dataclass(frozen=True)
class Impact:
    """Restitution and friction of a strike.

    Parameters
    ----------
    restitution : float
        At the face centre.
    fall_across, fall_up : float
        Fall of restitution a square metre of miss.
    tangential : float
        Restitution of the sliding part of the contact.
    spin_share : float
        Share of the rigid body's spin that the ball takes along.
    lower : float
        How far below the geometric contact the force acts, m.
    """

    restitution: float
    fall_across: float
    fall_up: float
    tangential: float
    spin_share: float
    lower: float


def face_normal(loft: Floats, face: Floats) -> Floats:
    """Unit normals of faces, shape (..., 3)."""
    return np.stack([np.cos(loft) * np.cos(face), -np.cos(loft) * np.sin(face), np.sin(loft)], axis=-1)


def strike(deed: Floats, head: dict[str, float], impact: Impact) -> Floats:
    """Start of balls (n, 5): speed, elevation, direction, spin, tilt.

    Parameters
    ----------
    deed : ndarray, shape (n, 7)
        Club speed m/s; attack, path, face, dynamic loft at the face centre; strike to the toe and up, m.
    head : dict
        mass_kg, depth_m, up_m, inertia_up, inertia_toe (kg m2), bulge_m, roll_m, restitution (offset).

    Notes
    -----
    One impulse between two free bodies (Goldsmith 1960, Impact, ch. 1): ``K J = -(1 + e) u`` with the normal
    and the sliding parts of the relative velocity reversed by their own restitution.
    """
    speed, attack, path, face, loft, toe, high = deed.T
    loft = loft + high / head["roll_m"]
    face = face + toe / head["bulge_m"]
    n = face_normal(loft, face)
    up = face_normal(loft + 0.5 * np.pi, face)
    to_toe = np.cross(up, n)
    club = speed[:, None] * np.stack(
        [np.cos(attack) * np.cos(path), -np.cos(attack) * np.sin(path), np.sin(attack)], axis=-1
    )
    # From the head's mass centre to the contact.
    arm = head["depth_m"] * n + (high - head["up_m"] - impact.lower)[:, None] * up + toe[:, None] * to_toe
    identity = np.eye(3)
    ball_arm = -BALL_RADIUS * n
    k = (1.0 / BALL_MASS + 1.0 / head["mass_kg"]) * identity[None]
    k = k + _turning(ball_arm, identity[None] / BALL_INERTIA)
    axes = np.stack([n, up, to_toe], axis=-2)
    inverse = np.diag(1.0 / np.array([head["inertia_up"] * 0.6, head["inertia_up"], head["inertia_toe"]]))
    k = k + _turning(arm, np.einsum("nia,ij,njb->nab", axes, inverse, axes))
    closing = np.einsum("ni,ni->n", club, n)
    slide = club - closing[:, None] * n
    e = impact.restitution + head["restitution"]
    e = e - impact.fall_across * toe**2 - impact.fall_up * high**2
    change = ((1.0 + e) * closing)[:, None] * n + (1.0 + impact.tangential) * slide
    pushed = np.linalg.solve(k, change[..., None])[..., 0]
    velocity = pushed / BALL_MASS
    spin = np.cross(ball_arm, pushed) / BALL_INERTIA * impact.spin_share
    total = np.linalg.norm(velocity, axis=-1)
    elevation = np.arcsin(velocity[:, 2] / total)
    direction = -np.arctan2(velocity[:, 1], velocity[:, 0])
    level = np.stack([np.sin(direction), np.cos(direction), np.zeros_like(total)], axis=-1)
    back = -np.einsum("ni,ni->n", spin, level)
    side = -spin[:, 2]
    return np.stack([total, elevation, direction, np.hypot(back, side), np.arctan2(side, back)], axis=-1)


def _turning(arm: Floats, inverse: Floats) -> Floats:
    """Share of turning in the mobility at a contact: -[r] I^-1 [r]."""
    x, y, z = arm[..., 0], arm[..., 1], arm[..., 2]
    zero = np.zeros_like(x)
    cross = np.stack(
        [np.stack([zero, -z, y], -1), np.stack([z, zero, -x], -1), np.stack([-y, x, zero], -1)], axis=-2
    )
    return -cross @ inverse @ cross


def fly(start: Floats, ball: Ball, density: float = 1.19, step: float = STEP) -> Floats:
    """Carry, side (right +), landing speed and landing angle (rad), shape (n, 4); Runge-Kutta of order 4."""
    speed, elevation, direction, spin, tilt = start.T
    level = np.cos(elevation)
    v = speed[:, None] * np.stack(
        [level * np.cos(direction), -level * np.sin(direction), np.sin(elevation)], axis=-1
    )
    axis = np.stack(
        [-np.cos(tilt) * np.sin(direction), -np.cos(tilt) * np.cos(direction), -np.sin(tilt)], axis=-1
    )
    x = np.zeros_like(v)
    half = 0.5 * density * np.pi * BALL_RADIUS**2 / BALL_MASS

    def pull(v: Floats, spin: Floats) -> Floats:
        size = np.linalg.norm(v, axis=-1)
        s = spin * BALL_RADIUS / size
        drag = np.interp(s, ball.knots, ball.drag)
        drag = drag * (1.0 + ball.low_re * np.maximum(0.0, 1.0 - size / 45.0))
        lift = np.interp(s, ball.knots, ball.lift)
        across = np.cross(axis, v)
        out = half * size[:, None] * (lift[:, None] * across - drag[:, None] * v)
        out[:, 2] -= GRAVITY
        return out

    landed = np.zeros((len(v), 4))
    flying = np.ones(len(v), dtype=bool)
    for _ in range(int(15.0 / step)):
        k1 = pull(v, spin)
        k2 = pull(v + 0.5 * step * k1, spin)
        k3 = pull(v + 0.5 * step * k2, spin)
        k4 = pull(v + step * k3, spin)
        new_v = v + step / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        new_x = x + step * v + step**2 / 6.0 * (k1 + k2 + k3)
        down = flying & (new_x[:, 2] <= 0.0)
        if down.any():
            share = (x[down, 2] / (x[down, 2] - new_x[down, 2]))[:, None]
            at, how = x[down] + share * (new_x[down] - x[down]), v[down] + share * (new_v[down] - v[down])
            fast = np.linalg.norm(how, axis=-1)
            angle = np.arcsin(-how[:, 2] / fast)
            landed[down] = np.stack([at[:, 0], -at[:, 1], fast, angle], axis=-1)
            flying &= ~down
        if not flying.any():
            break
        x, v, spin = new_x, new_v, spin * np.exp(-ball.spin_decay * step)
    return landed


def run(landed: Floats, spin: Floats, firm: float) -> Floats:
    """Run after the landing, m: a share of the level speed's way, less for steep and spinning balls."""
    level = landed[:, 2] * np.cos(landed[:, 3])
    flat = np.clip(1.0 - np.degrees(landed[:, 3]) / 62.0, 0.05, 1.0)
    grip = np.clip(1.0 - (spin - 250.0) / 900.0, 0.2, 1.2)
    return np.asarray(firm * 0.085 * level**2 / GRAVITY * flat * grip * 4.0)
