"""Strike and flight of the virtual range, in plain NumPy; nothing of the advisor's physics is imported.

Axes: x to the target, y left, z up. Deliveries and starts keep the golfer's signs: path, face, direction and
tilt right positive. SI and radians.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

GRAVITY = 9.80665
BALL_MASS = 0.0459
"""kg; Equipment Rules Part 4 allow 45.93 g."""
BALL_RADIUS = 0.02134
"""m; Equipment Rules Part 4 ask for 42.67 mm of diameter."""
BALL_INERTIA = 0.4 * BALL_MASS * BALL_RADIUS**2
"""kg m2 of an even sphere."""
AREA = np.pi * BALL_RADIUS**2
DENSITY = 1.184
"""kg/m3: 25 C, 1013.25 hPa, 50 % (CIPM-2007)."""
VISCOSITY = 1.84e-5
"""Pa s at 25 C (Sutherland)."""

SPEED, ATTACK, PATH, FACE, LOFT, TOE, HIGH = range(7)
"""Columns of a delivery at the face centre: m/s, rad, rad, rad, rad, m, m."""
MASS, DEPTH, UP, TOEWARD, I_NORMAL, I_UP, I_TOE, BULGE, ROLL, COR = range(10)
"""Columns of a head: kg; mass centre behind, above, toeward of the face centre, m; principal moments, kg m2;
curvatures, 1/m; restitution against the reference."""
HEAD = 10


@dataclass(frozen=True)
class Strike:
    """A world's strike.

    Parameters
    ----------
    restitution : callable
        (closing normal speed m/s, toe m, high m) -> restitution of the reference head.
    tangential : callable
        (closing tangential speed m/s, spin loft rad) -> tangential restitution; 0 leaves the ball rolling.
    shift_m : float
        The ball's mass centre below its middle, m.
    closing : float
        Turn of the head about its upright axis at the strike, rad/s: a toe strike meets a faster face.
    """

    restitution: Callable[[Floats, Floats, Floats], Floats]
    tangential: Callable[[Floats, Floats], Floats]
    shift_m: float
    closing: float


@dataclass(frozen=True)
class Air:
    """A world's aerodynamics.

    Parameters
    ----------
    coefficients : callable
        (spin ratio S, Reynolds number / 1e5) -> (C_D, C_L).
    decay : float
        k in d omega/dt = -k omega v / r.
    """

    coefficients: Callable[[Floats, Floats], tuple[Floats, Floats]]
    decay: float


def _cross(r: Floats) -> Floats:
    """Matrices of the cross product with r, shape (n, 3, 3)."""
    out = np.zeros((*r.shape[:-1], 3, 3))
    out[..., 0, 1], out[..., 0, 2] = -r[..., 2], r[..., 1]
    out[..., 1, 0], out[..., 1, 2] = r[..., 2], -r[..., 0]
    out[..., 2, 0], out[..., 2, 1] = -r[..., 1], r[..., 0]
    return out


def frames(loft: Floats, face: Floats) -> Floats:
    """Rows: face normal, up the face, toe; in world axes, shape (n, 3, 3)."""
    cl, sl, cf, sf = np.cos(loft), np.sin(loft), np.cos(face), np.sin(face)
    normal = np.stack([cl * cf, -cl * sf, sl], axis=-1)
    up = np.stack([-sl * cf, sl * sf, cl], axis=-1)
    return np.stack([normal, up, np.cross(normal, up)], axis=-2)


def collide(delivery: Floats, head: Floats, law: Strike) -> tuple[Floats, Floats, Floats]:
    """Impulse between two free rigid bodies.

    Parameters
    ----------
    delivery : ndarray, shape (n, 7)
    head : ndarray, shape (n, 10)
    law : Strike

    Returns
    -------
    impulse, velocity, spin : ndarray, shape (n, 3)
        World axes: of the ball, N s, m/s, rad/s.

    Notes
    -----
    K J = u' - u with K = (1/m + 1/M) E - [r_b] I_b^-1 [r_b] - [r_h] I_h^-1 [r_h]: standard mechanics.
    """
    toe, high = delivery[:, TOE], delivery[:, HIGH]
    frame = frames(delivery[:, LOFT], delivery[:, FACE])
    v, a, p = delivery[:, SPEED], delivery[:, ATTACK], delivery[:, PATH]
    club = np.stack([v * np.cos(a) * np.cos(p), -v * np.cos(a) * np.sin(p), v * np.sin(a)], axis=-1)
    # A closing head turns to the left about z: its toe, on the right, runs ahead.
    turning = np.stack([np.zeros_like(v), np.zeros_like(v), np.full_like(v, law.closing)], axis=-1)
    place = toe[:, None] * frame[:, 2] + high[:, None] * frame[:, 1]
    club = club + np.cross(turning, place)
    # The bulged and rolled face turns the contact's own frame.
    local = frames(delivery[:, LOFT] + high * head[:, ROLL], delivery[:, FACE] + toe * head[:, BULGE])
    sunk = 0.5 * (toe**2 * head[:, BULGE] + high**2 * head[:, ROLL])
    in_head = np.stack([head[:, DEPTH] - sunk, high - head[:, UP], toe - head[:, TOEWARD]], axis=-1)
    r_h = np.einsum("nij,ni->nj", frame, in_head)
    r_b = -BALL_RADIUS * local[:, 0] + law.shift_m * local[:, 1]
    moments = np.stack([head[:, I_NORMAL], head[:, I_UP], head[:, I_TOE]], axis=-1)
    inverse = np.einsum("nki,nk,nkj->nij", frame, 1.0 / moments, frame)
    xb, xh = _cross(r_b), _cross(r_h)
    k = -xb @ xb / BALL_INERTIA - xh @ inverse @ xh
    k += (1.0 / BALL_MASS + 1.0 / head[:, MASS])[:, None, None] * np.eye(3)
    u = -club
    closing = -(u * local[:, 0]).sum(axis=-1)
    u_n = -closing[:, None] * local[:, 0]
    u_t = u - u_n
    slip = np.linalg.norm(u_t, axis=-1)
    e = law.restitution(closing, toe, high) + head[:, COR]
    e_t = law.tangential(slip, np.arctan2(slip, closing))
    wanted = -e[:, None] * u_n - e_t[:, None] * u_t
    impulse = np.linalg.solve(k, (wanted - u)[..., None])[..., 0]
    return impulse, impulse / BALL_MASS, np.cross(r_b, impulse) / BALL_INERTIA


def strike(delivery: Floats, head: Floats, law: Strike) -> Floats:
    """Start of the ball, shape (n, 5): speed m/s, launch, direction rad, spin rad/s, tilt rad (right +).

    Spin along the flight is left out, as instruments leave it out.
    """
    _, v, w = collide(delivery, head, law)
    speed = np.linalg.norm(v, axis=-1)
    launch, left = np.arcsin(v[:, 2] / speed), np.arctan2(v[:, 1], v[:, 0])
    # Backspin turns about the axis to the left of the start: (x to the target) a ball topped backwards.
    across = np.stack([-np.sin(left), np.cos(left), np.zeros_like(left)], axis=-1)
    ahead = v / speed[:, None]
    upward = np.cross(ahead, across)
    back, side = -(w * across).sum(axis=-1), -(w * upward).sum(axis=-1)
    return np.stack([speed, launch, -left, np.hypot(back, side), np.arctan2(side, back)], axis=-1)


def axis_of(start: Floats) -> Floats:
    """Direction of the lift's axis of starts, shape (n, 3): w x v points up for backspin."""
    left = -start[:, 2]
    across = np.stack([-np.sin(left), np.cos(left), np.zeros_like(left)], axis=-1)
    ahead = heading(start)
    tilt = start[:, 4][:, None]
    return np.asarray(-(np.cos(tilt) * across + np.sin(tilt) * np.cross(ahead, across)))


def heading(start: Floats) -> Floats:
    """Unit vectors of the start, shape (n, 3)."""
    up, left = start[:, 1], -start[:, 2]
    return np.stack([np.cos(up) * np.cos(left), np.cos(up) * np.sin(left), np.sin(up)], axis=-1)


def fly(start: Floats, air: Air, drag: Floats, lift: Floats, step: float = 0.2) -> Floats:
    """Fly balls to the ground they left.

    Parameters
    ----------
    start : ndarray, shape (n, 5)
    air : Air
    drag, lift : ndarray, broadcast to (n,)
        Factors of the ball at hand.
    step : float
        s, of the classic Runge-Kutta method; the landing is found on a cubic between two steps.

    Returns
    -------
    ndarray, shape (n, 8)
        Landing x, y (m), velocity (3), spin rad/s, apex m, time s.
    """
    n = len(start)
    drag, lift = np.broadcast_to(drag, n).copy(), np.broadcast_to(lift, n).copy()
    spin_axis, spin = axis_of(start).T.copy(), start[:, 3].copy()
    state = np.concatenate([np.zeros((3, n)), start[:, 0] * heading(start).T])
    out, index, time = np.zeros((n, 8)), np.arange(n), 0.0
    apex = np.zeros(n)

    def rate(s: Floats, w: Floats) -> tuple[Floats, Floats]:
        v = s[3:]
        speed = np.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
        c_d, c_l = air.coefficients(
            w * BALL_RADIUS / speed, speed * (2e-5 * BALL_RADIUS * DENSITY / VISCOSITY)
        )
        scale = (0.5 * DENSITY * AREA / BALL_MASS) * speed
        a = spin_axis
        d, k = -scale * c_d * drag, scale * c_l * lift
        push = np.stack([
            d * v[0] + k * (a[1] * v[2] - a[2] * v[1]),
            d * v[1] + k * (a[2] * v[0] - a[0] * v[2]),
            d * v[2] + k * (a[0] * v[1] - a[1] * v[0]) - GRAVITY,
        ])  # fmt: skip
        return np.concatenate([v, push]), -(air.decay / BALL_RADIUS) * w * speed

    while len(index):
        k1, w1 = rate(state, spin)
        k2, w2 = rate(state + 0.5 * step * k1, spin + 0.5 * step * w1)
        k3, w3 = rate(state + 0.5 * step * k2, spin + 0.5 * step * w2)
        k4, w4 = rate(state + step * k3, spin + step * w3)
        after = state + (step / 6.0) * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        spun = spin + (step / 6.0) * (w1 + 2.0 * w2 + 2.0 * w3 + w4)
        apex = np.maximum(apex, after[2])
        landed = (after[2] <= 0.0) | (time > 20.0)
        if landed.any():
            at = _land(state[:, landed], after[:, landed], step)
            out[index[landed]] = np.column_stack([
                at[0][:2].T, at[0][3:].T, spun[landed], apex[landed], time + at[1] * step,
            ])  # fmt: skip
            going = ~landed
            index, spin_axis, apex = index[going], spin_axis[:, going], apex[going]
            drag, lift = drag[going], lift[going]
            after, spun = after[:, going], spun[going]
        state, spin, time = after, spun, time + step
    return out


def _land(a: Floats, b: Floats, h: float) -> tuple[Floats, Floats]:
    """State and share of the step where the cubic of the height crosses zero (Newton's method)."""

    def cubic(p0: Floats, m0: Floats, p1: Floats, m1: Floats, t: Floats) -> Floats:
        q = t - 1.0
        return np.asarray(
            (1 + 2 * t) * q * q * p0 + t * q * q * h * m0 + t * t * (3 - 2 * t) * p1 + t * t * q * h * m1
        )

    t = np.clip(a[2] / np.maximum(a[2] - b[2], 1e-12), 0.0, 1.0)
    for _ in range(6):
        slope = (cubic(a[2], a[5], b[2], b[5], t + 1e-6) - cubic(a[2], a[5], b[2], b[5], t - 1e-6)) / 2e-6
        t = np.clip(t - cubic(a[2], a[5], b[2], b[5], t) / np.where(slope == 0.0, -1.0, slope), 0.0, 1.0)
    here = a + t * (b - a)
    for i in (0, 1):
        here[i] = cubic(a[i], a[i + 3], b[i], b[i + 3], t)
    return here, t
