"""Flight of a block of balls: drag, lift, wind and spin decay, fourth-order Runge-Kutta in 64 lanes.

State of a lane: place (m), velocity (m/s), spin rate (rad/s) about an axis that keeps its direction.
Axes: x to the target, y left, z up. The spin torque is 1/2 rho A r C_M v^2 with C_M = c S, that is
d omega/dt = -rho A c / (2 k m) omega v with k = I/(m r^2) (torque form; Smits & Smith 1994, Science and
Golf II, 340-347; Tavares et al. 1999).
"""

from __future__ import annotations

import math

import numpy as np

from fitter.physics.air import GRAVITY, PROFILE_SCALE
from fitter.physics.ball import INERTIA_FACTOR, MASS, RADIUS, drag_lift
from fitter.physics.compiled import LANES, inlined, kernel

# Launch of a lane.
SPEED, ELEVATION, AZIMUTH, SPIN, TILT = 0, 1, 2, 3, 4
LAUNCH = 5
"""Columns of a launch: m/s, rad, rad (right +), rad/s, rad (curves right +)."""

# Air of a call.
RHO, NU, WIND_X, WIND_Y, LAND_Z, WINDY = 0, 1, 2, 3, 4, 5
PROFILE = 6
LONG_STEP = 12
AIR = 13
"""Length of the air's vector: density, kinematic viscosity, wind at the reference height along x and y
(m/s, where it blows to), height of the landing, 0.0 in calm air, 1.0 in uniform wind, 2.0 in wind that
changes with height, the wind profile as a polynomial of degree 5 in z/(z + 20 m), and the longest step
(s)."""

# What a flight returns.
CARRY, SIDE, TIME, APEX, VX, VY, VZ, SPIN_END, S_PEAK, RE_LOW = range(10)
FLIGHT = 10
"""Columns of a flight: carry along the target line and side (right +) in m, time, apex, velocity at the
landing (x, y left, z), spin there (rad/s), highest S, lowest Re (1e5)."""

STEP = 0.25
"""Longest step, s; see reference/ for the work-precision study."""
LOW_STEP, STEP_PER_METRE = 0.5, 0.1
"""In wind that changes with height a step is this share of the longest at the ground, and grows by so much
per metre of height: the profile bends most near the ground."""
LONGEST = 40.0
"""A flight is given up after this many seconds; no launch inside the limits comes near."""

_L = LANES
_AREA = math.pi * RADIUS**2


@inlined
def _wind_share(z, air):
    """Wind at height z over wind at the reference height."""
    high = max(z, 0.0)
    q = high / (high + PROFILE_SCALE)
    return air[6] + q * (air[7] + q * (air[8] + q * (air[9] + q * (air[10] + q * air[11]))))


@inlined
def _rates(z, u, v, w, om, ax, ay, az, c, air, windy):
    """Accelerations, spin rate's change, and the S and Re they came from."""
    if windy:
        share = _wind_share(z, air)
        u = u - air[2] * share
        v = v - air[3] * share
    v2 = u * u + v * v + w * w + 1e-12
    inv = 1.0 / math.sqrt(v2)
    speed = v2 * inv
    s = om * RADIUS * inv
    re_of = air[13]
    re = speed * re_of
    inv_re = inv * air[14]
    cd, cl = drag_lift(s, re, inv_re * inv_re, c)
    kd = air[15] * cd * speed
    kl = air[15] * cl * speed
    du = kl * (ay * w - az * v) - kd * u
    dv = kl * (az * u - ax * w) - kd * v
    dw = kl * (ax * v - ay * u) - kd * w - GRAVITY
    dom = -air[16] * om * speed
    return du, dv, dw, dom, s, re


@inlined
def _advance(b, c, air, windy):
    """One Runge-Kutta step of all lanes, from the present state to the next."""
    for i in range(_L):
        h = b[i + 20 * _L]
        hh = 0.5 * h
        z0 = b[i + 2 * _L]
        u0 = b[i + 3 * _L]
        v0 = b[i + 4 * _L]
        w0 = b[i + 5 * _L]
        o0 = b[i + 6 * _L]
        ax = b[i + 7 * _L]
        ay = b[i + 8 * _L]
        az = b[i + 9 * _L]
        a1, b1, c1, d1, s, re = _rates(z0, u0, v0, w0, o0, ax, ay, az, c, air, windy)
        b[i + 18 * _L] = max(b[i + 18 * _L], s)
        b[i + 19 * _L] = min(b[i + 19 * _L], re)
        u, v, w, o = u0 + hh * a1, v0 + hh * b1, w0 + hh * c1, o0 + hh * d1
        a2, b2, c2, d2, s, re = _rates(z0 + hh * w0, u, v, w, o, ax, ay, az, c, air, windy)
        u, v, w, o = u0 + hh * a2, v0 + hh * b2, w0 + hh * c2, o0 + hh * d2
        z = z0 + hh * (w0 + hh * c1)
        a3, b3, c3, d3, s, re = _rates(z, u, v, w, o, ax, ay, az, c, air, windy)
        u, v, w, o = u0 + h * a3, v0 + h * b3, w0 + h * c3, o0 + h * d3
        z = z0 + h * (w0 + hh * c2)
        a4, b4, c4, d4, s, re = _rates(z, u, v, w, o, ax, ay, az, c, air, windy)
        k = h / 6.0
        b[i + 10 * _L] = b[i] + h * (u0 + k * (a1 + a2 + a3))
        b[i + 11 * _L] = b[i + _L] + h * (v0 + k * (b1 + b2 + b3))
        b[i + 12 * _L] = z0 + h * (w0 + k * (c1 + c2 + c3))
        b[i + 13 * _L] = u0 + k * (a1 + 2.0 * (a2 + a3) + a4)
        b[i + 14 * _L] = v0 + k * (b1 + 2.0 * (b2 + b3) + b4)
        b[i + 15 * _L] = w0 + k * (c1 + 2.0 * (c2 + c3) + c4)
        b[i + 16 * _L] = o0 + k * (d1 + 2.0 * (d2 + d3) + d4)


@inlined
def _hermite(f0, g0, f1, g1, h, t):
    """Cubic through two values and slopes, at the share t of a step h."""
    d = f1 - f0
    return f0 + t * (h * g0 + t * (3.0 * d - h * (2.0 * g0 + g1) + t * (h * (g0 + g1) - 2.0 * d)))


@inlined
def _turn(f0, g0, f1, g1, h):
    """Where a cubic that rises at its start and not at its end has its top: a root of its slope."""
    d = f1 - f0
    c = h * g0
    b = 2.0 * (3.0 * d - h * (2.0 * g0 + g1))
    a = 3.0 * (h * (g0 + g1) - 2.0 * d)
    under = math.sqrt(max(b * b - 4.0 * a * c, 0.0)) - b
    # A climb of nothing has its top at the start of the step.
    top = 2.0 * c / under if under > 0.0 else 0.0
    return top if 0.0 <= top <= 1.0 else 0.0


@inlined
def _root(f0, g0, f1, g1, h, target, low):
    """Where a cubic that falls through `target` between `low` and 1 meets it, by safeguarded Newton steps."""
    high = 1.0
    t = min(1.0, max(low, (f0 - target) / (f0 - f1 + 1e-300)))
    if low > 0.0:
        t = 0.5 * (low + 1.0)
    for _ in range(12):
        d = f1 - f0
        a2 = 3.0 * d - h * (2.0 * g0 + g1)
        a3 = h * (g0 + g1) - 2.0 * d
        f = f0 - target + t * (h * g0 + t * (a2 + t * a3))
        if f > 0.0:
            low = t
        else:
            high = t
        slope = h * g0 + t * (2.0 * a2 + 3.0 * t * a3)
        t_next = t - f / slope if slope != 0.0 else 0.5 * (low + high)
        if not (low <= t_next <= high):
            t_next = 0.5 * (low + high)
        if abs(t_next - t) < 1e-14:
            return t_next
        t = t_next
    return t


@inlined
def _settle(b, done, left, land_z, t_now, out):
    """Record apex and landing of lanes that passed them in this step; returns the lanes still up."""
    for i in range(_L):
        if done[i]:
            continue
        h = b[i + 20 * _L]
        z0, z1 = b[i + 2 * _L], b[i + 12 * _L]
        w0, w1 = b[i + 5 * _L], b[i + 15 * _L]
        low = 0.0
        if w0 > 0.0 and w1 <= 0.0:
            low = _turn(z0, w0, z1, w1, h)
            out[i, 3] = max(out[i, 3], _hermite(z0, w0, z1, w1, h, low))
        if z1 <= land_z and w1 < 0.0:
            done[i] = True
            left -= 1
            if out[i, 3] <= land_z and land_z > 0.0:
                continue
            t = _root(z0, w0, z1, w1, h, land_z, low)
            out[i, 0] = _hermite(b[i], b[i + 3 * _L], b[i + 10 * _L], b[i + 13 * _L], h, t)
            out[i, 1] = -_hermite(b[i + _L], b[i + 4 * _L], b[i + 11 * _L], b[i + 14 * _L], h, t)
            out[i, 2] = t_now[i] + t * h
            for k in range(4):
                before, after = b[i + (3 + k) * _L], b[i + (13 + k) * _L]
                out[i, 4 + k] = before + t * (after - before)
            out[i, 8] = b[i + 18 * _L]
            out[i, 9] = b[i + 19 * _L]
    return left


@kernel
def flight_block(launch, law, air, b, done, t_now, out):
    """Fly 64 balls to the ground.

    Parameters
    ----------
    launch : float64[64, 5]
        See `LAUNCH`.
    law : float64[SIZE]
        One ball law; one block belongs to one law.
    air : float64[AIR]
        See `AIR`.
    b : float64[21 * 64]
    done : bool[64]
    t_now : float64[64]
        Scratch, so that nothing is allocated here.
    out : float64[64, 10]
        See `FLIGHT`; carry 0 and time 0 for a ball that never rises, or never to the landing's height.
    """
    c = (
        law[0],
        law[1],
        law[2],
        law[3],
        law[4],
        law[5],
        law[6],
        law[7],
        law[8],
        law[9],
        law[10],
        law[11],
        law[12],
        law[13],
        law[14],
        law[15],
        law[16],
        law[17],
        law[18],
        law[19],
        law[20],
    )
    half = 0.5 * air[0] * _AREA / MASS
    re_of = 2.0 * RADIUS / air[1] * 1e-5
    a = (
        air[0],
        air[1],
        air[2],
        air[3],
        air[4],
        air[5],
        air[6],
        air[7],
        air[8],
        air[9],
        air[10],
        air[11],
        air[12],
        re_of,
        1.0 / re_of,
        half,
        half * law[21] / INERTIA_FACTOR,
    )
    windy = air[5] != 0.0
    sheared = air[5] > 1.5
    land_z, longest = air[4], air[12]
    at_ground = LOW_STEP * longest if sheared else longest
    left = _L
    for i in range(_L):
        speed, up, right = launch[i, 0], launch[i, 1], launch[i, 2]
        cos_r, sin_r = math.cos(right), math.sin(right)
        level = speed * math.cos(up)
        b[i] = 0.0
        b[i + _L] = 0.0
        b[i + 2 * _L] = 0.0
        b[i + 3 * _L] = level * cos_r
        b[i + 4 * _L] = -level * sin_r
        b[i + 5 * _L] = speed * math.sin(up)
        b[i + 6 * _L] = launch[i, 3]
        cos_t = math.cos(launch[i, 4])
        b[i + 7 * _L] = -sin_r * cos_t
        b[i + 8 * _L] = -cos_r * cos_t
        b[i + 9 * _L] = -math.sin(launch[i, 4])
        b[i + 18 * _L] = 0.0
        b[i + 19 * _L] = 1e9
        b[i + 20 * _L] = at_ground
        t_now[i] = 0.0
        for k in range(FLIGHT):
            out[i, k] = 0.0
        out[i, 4] = b[i + 3 * _L]
        out[i, 5] = b[i + 4 * _L]
        out[i, 6] = b[i + 5 * _L]
        out[i, 7] = launch[i, 3]
        done[i] = not (b[i + 5 * _L] > 0.0)
        if done[i]:
            left -= 1
    steps = 0
    while left > 0 and steps * at_ground < LONGEST:
        if windy:
            _advance(b, c, a, True)
        else:
            _advance(b, c, a, False)
        left = _settle(b, done, left, land_z, t_now, out)
        for i in range(_L):
            t_now[i] += b[i + 20 * _L]
        for k in range(7):
            for i in range(_L):
                b[i + k * _L] = b[i + (10 + k) * _L]
        if sheared:
            for i in range(_L):
                share = LOW_STEP + STEP_PER_METRE * max(b[i + 2 * _L], 0.0)
                b[i + 20 * _L] = longest * min(1.0, share)
        steps += 1


def scratch() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Buffers for `flight_block`."""
    return np.empty(21 * LANES), np.empty(LANES, dtype=np.bool_), np.empty(LANES)
