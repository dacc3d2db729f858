"""Bounce and roll: from the landing to rest.

Bounce by Biber, Jones, Champneys, Green & Szalai 2023, Sports Eng. 26(1), doi 10.1007/s12283-023-00442-4: the
ball meets a plane that is tilted up towards it; with slip velocity q = v_t + omega x (-r n) it slides if
|q| > 3.5 mu (1 + e) v_n (change of v_t: mu (1 + e) v_n against q), otherwise it grips (change -2/7 q). The
paper's plane form is written here with vectors, so that side spin turns the run. The tilt belongs to the
first landing alone: with the tilt on every bounce total distance has no best loft. Then the ball rolls to
rest at a constant deceleration.
"""

from __future__ import annotations

import math

from fitter.physics.air import GRAVITY
from fitter.physics.ball import RADIUS
from fitter.physics.compiled import inlined

TILT, RESTITUTION, GRIP, ROLLING, RUN_FACTOR = 0, 1, 2, 3, 4
TURF = 5
"""Turf of a draw: tilt at the first landing (rad), normal restitution, friction, rolling deceleration over g,
and a factor on the whole run for what no source tells."""
SLOWEST = 0.3
"""A bounce slower than this (m/s) hops less than 5 mm: from there the ball rolls."""


@inlined
def _bounce(u, v, w, a, b, c, nx, ny, nz, e, mu):
    """Velocity and spin after one bounce on a plane of unit normal n."""
    into = -(u * nx + v * ny + w * nz)
    tx, ty, tz = u + into * nx, v + into * ny, w + into * nz
    qx = tx - RADIUS * (b * nz - c * ny)
    qy = ty - RADIUS * (c * nx - a * nz)
    qz = tz - RADIUS * (a * ny - b * nx)
    slip = math.sqrt(qx * qx + qy * qy + qz * qz)
    limit = mu * (1.0 + e) * into
    f = -limit / slip if slip > 3.5 * limit else -2.0 / 7.0
    dx, dy, dz = f * qx, f * qy, f * qz
    k = -2.5 / RADIUS
    a += k * (ny * dz - nz * dy)
    b += k * (nz * dx - nx * dz)
    c += k * (nx * dy - ny * dx)
    up = e * into
    return tx + dx + up * nx, ty + dy + up * ny, tz + dz + up * nz, a, b, c


@inlined
def run_out(u, v, w, a, b, c, turf):
    """Where a ball comes to rest, counted from its landing: (along x, along y left), m."""
    level = math.sqrt(u * u + v * v)
    if w >= 0.0 or level < 1e-9:
        return 0.0, 0.0
    e, mu = turf[1], turf[2]
    ct, st = math.cos(turf[0]), math.sin(turf[0])
    u, v, w, a, b, c = _bounce(u, v, w, a, b, c, -st * u / level, -st * v / level, ct, e, mu)
    x, y = 0.0, 0.0
    for _ in range(40):
        if w < SLOWEST:
            break
        air = 2.0 * w / GRAVITY
        x += u * air
        y += v * air
        u, v, w, a, b, c = _bounce(u, v, -w, a, b, c, 0.0, 0.0, 1.0, e, mu)
    # A last grip makes spin and speed agree, then the ball rolls.
    gx, gy = u - RADIUS * b, v + RADIUS * a
    u -= 2.0 / 7.0 * gx
    v -= 2.0 / 7.0 * gy
    speed = math.sqrt(u * u + v * v)
    far = speed / (2.0 * turf[3] * GRAVITY)
    return turf[4] * (x + u * far), turf[4] * (y + v * far)
