"""Strike, flight and run of the virtual range, shot by shot; nothing of the advisor's physics is imported.

Axes: x to the target, y left, z up. Deliveries and starts keep the golfer's signs: path, face, direction and
tilt right positive. SI and radians. Laws are vectors of numbers and tables: every player can have his own.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]

GRAVITY = 9.80665
BALL_MASS = 0.0459
"""kg; Equipment Rules Part 4 allow 45.93 g."""
BALL_RADIUS = 0.02134
"""m; Equipment Rules Part 4 ask for 42.67 mm of diameter."""
BALL_INERTIA = 0.4 * BALL_MASS * BALL_RADIUS**2
"""kg m2 of an even sphere."""
DENSITY = 1.184
"""kg/m3: 25 C, 1013.25 hPa, 50 % (CIPM-2007)."""
VISCOSITY = 1.84e-5
"""Pa s at 25 C (Sutherland)."""
PUSH = 0.5 * DENSITY * np.pi * BALL_RADIUS**2 / BALL_MASS
"""1/m: acceleration over C v^2."""
REYNOLDS = 2e-5 * BALL_RADIUS * DENSITY / VISCOSITY
"""Reynolds number / 1e5 over speed, s/m."""

SPEED, ATTACK, PATH, FACE, LOFT, TOE, HIGH = range(7)
"""Columns of a delivery at the face centre: m/s, rad, rad, rad, rad, m, m."""
DELIVERY = 7
MASS, DEPTH, UP, TOEWARD, I_NORMAL, I_UP, I_TOE, BULGE, ROLL, COR = range(10)
"""Columns of a head: kg; mass centre behind, above, toeward of the face centre, m; principal moments, kg m2;
curvatures, 1/m; restitution against the reference."""
HEAD = 10
E, E_SPEED, FALL_TOE, FALL_HIGH, FALL_POWER, BEST_HIGH, SHIFT, ET, ET_LOFT, ET_SLIP, CLOSING = range(11)
"""A law of the strike: restitution at 53.6 m/s, its change per m/s; its fall at 20 mm across and 16 mm up,
the power of that fall, its best point above the centre, m; the ball's mass centre below its middle, m;
tangential restitution at a spin loft of 13 deg, its change per rad of spin loft and per doubling of the slip;
turn of the head about its upright axis, rad/s."""
LAW = 11
TILT, TILT_SPEED, TILT_ANGLE, BOUNCE, BOUNCE_SPEED, GRIP, DENTS, ROLLING, SIZE, STEEP = range(10)
"""A turf: tilt of the plane that a landing of 18.6 m/s at 44.4 deg meets, rad; the powers of speed and angle
in it; restitution at rest and its loss per m/s, friction; bounces that dent; deceleration of the roll, g;
factor on the run; its steepness over the landing angle, 1/rad."""
TURF = 10
X, Y, TOTAL_X, TOTAL_Y, DESCENT, APEX, TIME = range(7)
"""Columns of a finish: carry and total along the target line and to the right, m; landing angle, rad; m;
s."""
FINISH = 7

SLIP = 44.704 * np.sin(np.radians(13.0))
"""m/s: slip of a centred strike at 100 mph and a spin loft of 13 deg."""
S_TOP, RE_TOP = 0.8, 3.0
S_CELLS, RE_CELLS = 80, 60
"""Cells of a table of drag or lift over spin ratio and Reynolds number / 1e5."""


@njit(cache=True, fastmath=True)
def _dot(a: Floats, b: Floats) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@njit(cache=True, fastmath=True)
def _cross(a: Floats, b: Floats) -> Floats:
    """Cross product."""
    out = np.empty(3)
    out[0], out[1] = a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2]
    out[2] = a[0] * b[1] - a[1] * b[0]
    return out


@njit(cache=True, fastmath=True)
def _solve(k: Floats, b: Floats) -> Floats:
    """Solve a symmetric 3 x 3 system (Cramer's rule)."""
    c = _cross(k[1], k[2])
    det = k[0, 0] * c[0] + k[0, 1] * c[1] + k[0, 2] * c[2]
    return (b[0] * c + b[1] * _cross(k[2], k[0]) + b[2] * _cross(k[0], k[1])) / det


@njit(cache=True, fastmath=True)
def _frame(loft: float, face: float) -> Floats:
    """Rows: face normal, up the face, toe; world axes."""
    cl, sl, cf, sf = np.cos(loft), np.sin(loft), np.cos(face), np.sin(face)
    f = np.empty((3, 3))
    f[0] = cl * cf, -cl * sf, sl
    f[1] = -sl * cf, sl * sf, cl
    f[2] = _cross(f[0], f[1])
    return f


@njit(cache=True, fastmath=True)
def restitution(law: Floats, closing: float, toe: float, high: float) -> float:
    """Normal restitution of the reference head: falls with speed and with the miss, held below 0.85."""
    miss = np.abs(toe / 0.020) ** law[FALL_POWER] * law[FALL_TOE]
    miss += np.abs((high - law[BEST_HIGH]) / 0.016) ** law[FALL_POWER] * law[FALL_HIGH]
    return max(min(law[E] + law[E_SPEED] * (closing - 53.6), 0.85) - miss, 0.4)


@njit(cache=True, fastmath=True)
def tangential(law: Floats, slip: float, spin_loft: float) -> float:
    """Tangential restitution: 0 leaves the ball rolling, a compliant ball gives slip back or keeps it."""
    e = law[ET] + law[ET_LOFT] * (spin_loft - 0.22689280275926285)
    e += law[ET_SLIP] * np.log2(max(slip, 0.5) / SLIP)
    return max(min(e, 0.45), -0.75)


@njit(cache=True, fastmath=True)
def collide(delivery: Floats, head: Floats, law: Floats) -> tuple[Floats, Floats, Floats]:
    """Impulse between two free rigid bodies: (impulse N s, velocity m/s, spin rad/s) of the ball, each (3,).

    ``K J = u' - u`` with ``K = (1/m + 1/M) E - [r_b] I_b^-1 [r_b] - [r_h] I_h^-1 [r_h]``: standard mechanics.
    """
    toe, high = delivery[TOE], delivery[HIGH]
    frame = _frame(delivery[LOFT], delivery[FACE])
    v, a, p = delivery[SPEED], delivery[ATTACK], delivery[PATH]
    place = toe * frame[2] + high * frame[1]
    # A closing head turns to the left about z: its toe, on the right, runs ahead.
    club = np.array([
        v * np.cos(a) * np.cos(p) - law[CLOSING] * place[1],
        -v * np.cos(a) * np.sin(p) + law[CLOSING] * place[0],
        v * np.sin(a),
    ])  # fmt: skip
    # The bulged and rolled face turns the contact's own frame.
    local = _frame(delivery[LOFT] + high * head[ROLL], delivery[FACE] + toe * head[BULGE])
    sunk = 0.5 * (toe**2 * head[BULGE] + high**2 * head[ROLL])
    r_h = (head[DEPTH] - sunk) * frame[0] + (high - head[UP]) * frame[1] + (toe - head[TOEWARD]) * frame[2]
    r_b = -BALL_RADIUS * local[0] + law[SHIFT] * local[1]
    # K: what a unit impulse along each axis changes of the contact's velocity.
    k = np.empty((3, 3))
    for i in range(3):
        unit = np.zeros(3)
        unit[i] = 1.0
        twist = _cross(r_h, unit)
        spun = np.zeros(3)
        for j in range(3):
            spun += frame[j] * (_dot(frame[j], twist) / head[I_NORMAL + j])
        k[i] = _cross(_cross(r_b, unit), r_b) / BALL_INERTIA + _cross(spun, r_h)
        k[i, i] += 1.0 / BALL_MASS + 1.0 / head[MASS]
    closing = _dot(club, local[0])
    u_n = -closing * local[0]
    u_t = -club - u_n
    slip = np.sqrt(_dot(u_t, u_t))
    e = restitution(law, closing, toe, high) + head[COR]
    e_t = tangential(law, slip, np.arctan2(slip, closing))
    impulse = _solve(k, club - e * u_n - e_t * u_t)
    return impulse, impulse / BALL_MASS, _cross(r_b, impulse) / BALL_INERTIA


@njit(cache=True, fastmath=True)
def strike(deliveries: Floats, heads: Floats, law: Floats) -> Floats:
    """Starts of balls, shape (n, 5): speed m/s, launch, direction rad, spin rad/s, tilt rad (right +).

    Parameters
    ----------
    deliveries : ndarray, shape (n, 7)
    heads : ndarray, shape (n, 10)
    law : ndarray, shape (11,)

    Notes
    -----
    Spin along the flight is left out, as instruments leave it out.
    """
    out = np.empty((len(deliveries), 5))
    for i in range(len(deliveries)):
        _, v, w = collide(deliveries[i], heads[i], law)
        speed = np.sqrt(_dot(v, v))
        left = np.arctan2(v[1], v[0])
        # Backspin turns about the axis to the left of the start: a ball topped backwards.
        across = np.array([-np.sin(left), np.cos(left), 0.0])
        upward = _cross(v / speed, across)
        back, side = -_dot(w, across), -_dot(w, upward)
        out[i] = speed, np.arcsin(v[2] / speed), -left, np.hypot(back, side), np.arctan2(side, back)
    return out


@njit(cache=True, fastmath=True)
def _rate(
    x: float, y: float, z: float, spin: float, axis: Floats, air: Floats, ball: tuple[float, float, float]
) -> tuple[float, float, float, float]:
    """Rates of velocity and spin: quadratic drag, lift along axis x velocity, gravity, a spin that decays."""
    v = np.sqrt(x * x + y * y + z * z)
    at_s = min(spin * BALL_RADIUS / v * (S_CELLS / S_TOP), S_CELLS - 1e-9)
    at_re = min(v * REYNOLDS * (RE_CELLS / RE_TOP), RE_CELLS - 1e-9)
    i, j = int(at_s), int(at_re)
    p, q = at_s - i, at_re - j
    a, b, c, d = (1 - p) * (1 - q), p * (1 - q), (1 - p) * q, p * q
    c_d = a * air[0, i, j] + b * air[0, i + 1, j] + c * air[0, i, j + 1] + d * air[0, i + 1, j + 1]
    c_l = a * air[1, i, j] + b * air[1, i + 1, j] + c * air[1, i, j + 1] + d * air[1, i + 1, j + 1]
    k_d, k_l = -PUSH * v * c_d * ball[0], PUSH * v * c_l * ball[1]
    return (
        k_d * x + k_l * (axis[1] * z - axis[2] * y),
        k_d * y + k_l * (axis[2] * x - axis[0] * z),
        k_d * z + k_l * (axis[0] * y - axis[1] * x) - GRAVITY,
        -(ball[2] / BALL_RADIUS) * spin * v,
    )


@njit(cache=True, fastmath=True)
def _run(ahead: float, down: float, surface: float, turf: Floats) -> float:
    """Run after a landing, m: four hops without air, then a roll."""
    landing, gone = np.arctan2(down, max(ahead, 1e-9)), 0.0
    for hop in range(4):
        speed, angle = np.hypot(ahead, down), np.arctan2(down, max(ahead, 1e-9))
        tilt = 0.0
        if hop < turf[DENTS]:
            tilt = turf[TILT] * (speed / 18.6) ** turf[TILT_SPEED] * (angle / 0.775) ** turf[TILT_ANGLE]
        c, s = np.cos(tilt), np.sin(tilt)
        # The plane faces the ball: part of the forward speed meets it squarely.
        along, into = ahead * c - down * s, ahead * s + down * c
        e = min(max(turf[BOUNCE] - turf[BOUNCE_SPEED] * into, 0.1), 0.5)
        # A sphere grips when friction can stop the contact: 2/7 of the slip is lost (rolling without slip).
        slip = along + surface
        lost = np.sign(slip) * min(2.0 / 7.0 * abs(slip), turf[GRIP] * (1.0 + e) * into)
        along, surface, up = along - lost, surface - 2.5 * lost, e * into
        ahead, down = along * c - up * s, max(along * s + up * c, 0.0)
        gone += ahead * 2.0 * down / GRAVITY
    rolling = (5.0 * ahead - 2.0 * surface) / 7.0
    gone += np.sign(rolling) * rolling**2 / (2.0 * turf[ROLLING] * GRAVITY)
    # No turf that was measured makes a flat landing run more than twice as far as these bounces do.
    steep = min(max(-turf[STEEP] * (landing - 0.6632251157578453), -0.7), 0.7)
    return gone * turf[SIZE] * np.exp(steep)


@njit(cache=True, fastmath=True)
def fly(
    starts: Floats, air: Floats, ball: tuple[float, float, float], turf: Floats, h: float = 0.3
) -> Floats:
    """Fly balls to the ground they left, and let them run, shape (n, 7): see `X` and what follows.

    Parameters
    ----------
    starts : ndarray, shape (n, 5)
    air : ndarray, shape (2, 81, 61)
        Drag, lift by spin ratio and Reynolds number.
    ball : tuple of float
        Factors on drag and lift of the ball at hand, k in ``d omega/dt = -k omega v / r``.
    turf : ndarray, shape (10,)
    h : float
        s, step of the classic Runge-Kutta method; the landing lies on a cubic between two steps.
    """
    out = np.empty((len(starts), FINISH))
    for n in range(len(starts)):
        speed, launch, right, spin, tilt = starts[n]
        ahead = np.array([np.cos(launch) * np.cos(right), -np.cos(launch) * np.sin(right), np.sin(launch)])
        across = np.array([np.sin(right), np.cos(right), 0.0])
        axis = -(np.cos(tilt) * across + np.sin(tilt) * _cross(ahead, across))
        u, v, w = speed * ahead[0], speed * ahead[1], speed * ahead[2]
        x, y, z, apex, time = 0.0, 0.0, 0.0, 0.0, 0.0
        while True:
            a1, b1, c1, d1 = _rate(u, v, w, spin, axis, air, ball)
            g = 0.5 * h
            a2, b2, c2, d2 = _rate(u + g * a1, v + g * b1, w + g * c1, spin + g * d1, axis, air, ball)
            a3, b3, c3, d3 = _rate(u + g * a2, v + g * b2, w + g * c2, spin + g * d2, axis, air, ball)
            a4, b4, c4, d4 = _rate(u + h * a3, v + h * b3, w + h * c3, spin + h * d3, axis, air, ball)
            g = h / 6.0
            u1, v1 = u + g * (a1 + 2 * a2 + 2 * a3 + a4), v + g * (b1 + 2 * b2 + 2 * b3 + b4)
            w1, spun = w + g * (c1 + 2 * c2 + 2 * c3 + c4), spin + g * (d1 + 2 * d2 + 2 * d3 + d4)
            # The place integrates the velocity by the same stages.
            g *= h
            x1, y1 = x + h * u + g * (a1 + a2 + a3), y + h * v + g * (b1 + b2 + b3)
            z1 = z + h * w + g * (c1 + c2 + c3)
            apex = max(apex, z1)
            if z1 <= 0.0 or time > 20.0:
                t = _landing(z, w, z1, w1, h)
                q = t - 1.0
                m0, m1 = t * q * q * h, t * t * q * h
                x += t * t * (3 - 2 * t) * (x1 - x) + m0 * u + m1 * u1
                y += t * t * (3 - 2 * t) * (y1 - y) + m0 * v + m1 * v1
                u, v, w, spin = u + t * (u1 - u), v + t * (v1 - v), w + t * (w1 - w), spin + t * (spun - spin)
                level = np.hypot(u, v)
                # A topped ball lands where it started, still rising.
                far = _run(level, max(-w, 0.0), spin * np.cos(tilt) * BALL_RADIUS, turf) / level
                out[n] = x, -y, x + far * u, -(y + far * v), np.arctan2(-w, level), apex, time + t * h
                break
            u, v, w, spin, x, y, z, time = u1, v1, w1, spun, x1, y1, z1, time + h
    return out


@njit(cache=True, fastmath=True)
def _landing(z0: float, m0: float, z1: float, m1: float, h: float) -> float:
    """Share of the step where the cubic of the height crosses zero (Newton's method)."""
    t = min(max(z0 / max(z0 - z1, 1e-12), 0.0), 1.0)
    for _ in range(8):
        q = t - 1.0
        z = (1 + 2 * t) * q * q * z0 + t * q * q * h * m0 + t * t * (3 - 2 * t) * z1 + t * t * q * h * m1
        slope = 6 * t * q * z0 + (3 * t - 1) * q * h * m0 - 6 * t * q * z1 + t * (3 * t - 2) * h * m1
        t = min(max(t - z / min(slope, -1e-9), 0.0), 1.0)
    return t
