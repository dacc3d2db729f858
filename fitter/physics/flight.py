"""Flight of a block of balls: drag, lift, wind and spin decay, fourth-order Runge-Kutta in 64 lanes.

State of a lane: place (m), velocity (m/s), spin rate (rad/s) about an axis that keeps its direction.
Axes: x to the target, y left, z up. The spin torque is 1/2 rho A r C_M v^2 with C_M = c S, that is
d omega/dt = -rho A c / (2 k m) omega v with k = I/(m r^2) (torque form; Smits & Smith 1994, Science and
Golf II, 340-347; Tavares et al. 1999).
"""

from __future__ import annotations

import math

import numpy as np

from fitter.physics import vectors as at
from fitter.physics.air import GRAVITY, PROFILE_SCALE
from fitter.physics.ball import INERTIA_FACTOR, MASS, RADIUS, drag_lift
from fitter.physics.compiled import inlined, kernel

STEP = 0.25
"""Longest step, s; see reference/ for the work-precision study."""
LOW_STEP, STEP_PER_METRE = 0.5, 0.1
"""In wind that changes with height a step is this share of the longest at the ground, and grows by so much
per metre of height: the profile bends most near the ground."""
LONGEST = 40.0
"""A flight is given up after this many seconds; no launch inside the limits comes near."""

_AREA = math.pi * RADIUS**2


@inlined
def _wind_share(z, air):
    """Wind at height z over wind at the reference height."""
    high = max(z, 0.0)
    q = high / (high + PROFILE_SCALE)
    return air[at.P0] + q * (
        air[at.P1] + q * (air[at.P2] + q * (air[at.P3] + q * (air[at.P4] + q * air[at.P5])))
    )


@inlined
def _rates(z, u, v, w, om, ax, ay, az, c, air, windy):
    """Accelerations, spin rate's change, and the S and Re they came from."""
    if windy:
        share = _wind_share(z, air)
        u = u - air[at.WIND_X] * share
        v = v - air[at.WIND_Y] * share
    v2 = u * u + v * v + w * w + 1e-12
    inv = 1.0 / math.sqrt(v2)
    speed = v2 * inv
    s = om * RADIUS * inv
    re_of = air[at.RE_OF]
    re = speed * re_of
    inv_re = inv * air[at.OVER_RE_OF]
    cd, cl = drag_lift(s, re, inv_re * inv_re, c)
    # a = rho A/(2 m) v^2 (C_D along -v, C_L along axis x v) + g (Smits & Smith 1994).
    kd = air[at.FORCE] * cd * speed
    kl = air[at.FORCE] * cl * speed
    du = kl * (ay * w - az * v) - kd * u
    dv = kl * (az * u - ax * w) - kd * v
    dw = kl * (ax * v - ay * u) - kd * w - GRAVITY
    # d omega/dt = -rho A c/(2 k m) omega v: the torque form with C_M = c S.
    dom = -air[at.TORQUE] * om * speed
    return du, dv, dw, dom, s, re


@inlined
def _advance(b, c, air, windy):
    """One Runge-Kutta step of all lanes, from the present state to the next."""
    for i in range(at.LANES):
        h = b[at.STEP_NOW + i]
        hh = 0.5 * h
        z0 = b[at.Z + i]
        u0 = b[at.U + i]
        v0 = b[at.V + i]
        w0 = b[at.W + i]
        o0 = b[at.OM + i]
        ax = b[at.AX + i]
        ay = b[at.AY + i]
        az = b[at.AZ + i]
        a1, b1, c1, d1, s, re = _rates(z0, u0, v0, w0, o0, ax, ay, az, c, air, windy)
        b[at.S_HIGHEST + i] = max(b[at.S_HIGHEST + i], s)
        b[at.RE_LOWEST + i] = min(b[at.RE_LOWEST + i], re)
        u, v, w, o = u0 + hh * a1, v0 + hh * b1, w0 + hh * c1, o0 + hh * d1
        a2, b2, c2, d2, s, re = _rates(z0 + hh * w0, u, v, w, o, ax, ay, az, c, air, windy)
        u, v, w, o = u0 + hh * a2, v0 + hh * b2, w0 + hh * c2, o0 + hh * d2
        z = z0 + hh * (w0 + hh * c1)
        a3, b3, c3, d3, s, re = _rates(z, u, v, w, o, ax, ay, az, c, air, windy)
        u, v, w, o = u0 + h * a3, v0 + h * b3, w0 + h * c3, o0 + h * d3
        z = z0 + h * (w0 + hh * c2)
        a4, b4, c4, d4, s, re = _rates(z, u, v, w, o, ax, ay, az, c, air, windy)
        # Classical fourth-order Runge-Kutta; a position is the integral of its velocity.
        k = h / 6.0
        b[at.X1 + i] = b[at.X + i] + h * (u0 + k * (a1 + a2 + a3))
        b[at.Y1 + i] = b[at.Y + i] + h * (v0 + k * (b1 + b2 + b3))
        b[at.Z1 + i] = z0 + h * (w0 + k * (c1 + c2 + c3))
        b[at.U1 + i] = u0 + k * (a1 + 2.0 * (a2 + a3) + a4)
        b[at.V1 + i] = v0 + k * (b1 + 2.0 * (b2 + b3) + b4)
        b[at.W1 + i] = w0 + k * (c1 + 2.0 * (c2 + c3) + c4)
        b[at.OM1 + i] = o0 + k * (d1 + 2.0 * (d2 + d3) + d4)


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
    for i in range(at.LANES):
        if done[i]:
            continue
        h = b[at.STEP_NOW + i]
        z0, z1 = b[at.Z + i], b[at.Z1 + i]
        w0, w1 = b[at.W + i], b[at.W1 + i]
        low = 0.0
        if w0 > 0.0 and w1 <= 0.0:
            low = _turn(z0, w0, z1, w1, h)
            out[i, at.END_APEX] = max(out[i, at.END_APEX], _hermite(z0, w0, z1, w1, h, low))
        if z1 <= land_z and w1 < 0.0:
            done[i] = True
            left -= 1
            if out[i, at.END_APEX] <= land_z and land_z > 0.0:
                continue
            t = _root(z0, w0, z1, w1, h, land_z, low)
            out[i, at.END_CARRY] = _hermite(b[at.X + i], b[at.U + i], b[at.X1 + i], b[at.U1 + i], h, t)
            out[i, at.END_SIDE] = -_hermite(b[at.Y + i], b[at.V + i], b[at.Y1 + i], b[at.V1 + i], h, t)
            out[i, at.END_TIME] = t_now[i] + t * h
            for k in range(4):
                before, after = b[at.U + k * at.LANES + i], b[at.U1 + k * at.LANES + i]
                out[i, at.END_U + k] = before + t * (after - before)
            out[i, at.END_S_PEAK] = b[at.S_HIGHEST + i]
            out[i, at.END_RE_LOW] = b[at.RE_LOWEST + i]
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
    # Local copies in tuples stay in registers.
    c = (
        law[at.D0], law[at.D1], law[at.D2], law[at.D3], law[at.D4],
        law[at.R1], law[at.R2], law[at.R3], law[at.R4],
        law[at.L0], law[at.L1], law[at.L2], law[at.L3], law[at.L4], law[at.Q],
        law[at.S_MIN], law[at.S_MAX], law[at.RE_MIN], law[at.RE_MAX],
        law[at.LOW_DRAG], law[at.LOW_LIFT],
    )  # fmt: skip
    half = 0.5 * air[at.RHO] * _AREA / MASS
    re_of = 2.0 * RADIUS / air[at.NU] * 1e-5
    a = (
        air[at.RHO], air[at.NU], air[at.WIND_X], air[at.WIND_Y], air[at.LAND_Z], air[at.WINDY],
        air[at.P0], air[at.P1], air[at.P2], air[at.P3], air[at.P4], air[at.P5],
        air[at.LONG_STEP], re_of, 1.0 / re_of, half, half * law[at.DECAY] / INERTIA_FACTOR,
    )  # fmt: skip
    windy = air[at.WINDY] != 0.0
    sheared = air[at.WINDY] > 1.5
    land_z, longest = air[at.LAND_Z], air[at.LONG_STEP]
    at_ground = LOW_STEP * longest if sheared else longest
    left = at.LANES
    for i in range(at.LANES):
        speed, up, right = launch[i, at.SPEED], launch[i, at.ELEVATION], launch[i, at.AZIMUTH]
        cos_r, sin_r = math.cos(right), math.sin(right)
        level = speed * math.cos(up)
        b[at.X + i] = 0.0
        b[at.Y + i] = 0.0
        b[at.Z + i] = 0.0
        b[at.U + i] = level * cos_r
        b[at.V + i] = -level * sin_r
        b[at.W + i] = speed * math.sin(up)
        b[at.OM + i] = launch[i, at.SPIN]
        cos_t = math.cos(launch[i, at.TILT])
        b[at.AX + i] = -sin_r * cos_t
        b[at.AY + i] = -cos_r * cos_t
        b[at.AZ + i] = -math.sin(launch[i, at.TILT])
        b[at.S_HIGHEST + i] = 0.0
        b[at.RE_LOWEST + i] = 1e9
        b[at.STEP_NOW + i] = at_ground
        t_now[i] = 0.0
        for k in range(at.LANDING):
            out[i, k] = 0.0
        out[i, at.END_U] = b[at.U + i]
        out[i, at.END_V] = b[at.V + i]
        out[i, at.END_W] = b[at.W + i]
        out[i, at.END_SPIN] = launch[i, at.SPIN]
        done[i] = not (b[at.W + i] > 0.0)
        if done[i]:
            left -= 1
    steps = 0
    while left > 0 and steps * at_ground < LONGEST:
        if windy:
            _advance(b, c, a, True)
        else:
            _advance(b, c, a, False)
        left = _settle(b, done, left, land_z, t_now, out)
        for i in range(at.LANES):
            t_now[i] += b[at.STEP_NOW + i]
        for k in range(7):
            for i in range(at.LANES):
                b[at.X + k * at.LANES + i] = b[at.NEXT + k * at.LANES + i]
        if sheared:
            for i in range(at.LANES):
                share = LOW_STEP + STEP_PER_METRE * max(b[at.Z + i], 0.0)
                b[at.STEP_NOW + i] = longest * min(1.0, share)
        steps += 1


def scratch() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Buffers for `flight_block`."""
    return np.empty(at.STATE), np.empty(at.LANES, dtype=np.bool_), np.empty(at.LANES)
