"""Bounce and roll: from the landing to rest, on level or sloping turf.

Two forms of the bounce. Biber, Jones, Champneys, Green & Szalai 2023, Sports Eng. 26(1), doi
10.1007/s12283-023-00442-4: the ball meets a plane that is tilted up towards it; with slip velocity
q = v_t + omega x (-r n) it slides if |q| > 3.5 mu (1 + e) v_n (change of v_t: mu (1 + e) v_n against q),
otherwise it grips (change -2/7 q). Penner 2002, Can. J. Phys. 80, 931-940, doi 10.1139/p02-035: the same
plane, but its tilt grows with speed and angle, theta = 15.4 deg (v/18.6)(phi/44.4 deg), and e falls with
the normal speed, 0.510 - 0.0375 v + 0.000903 v^2 to 20 m/s, then 0.120. Both are written with vectors, so
that side spin turns the run. Biber's tilt belongs to the first landing alone, which makes the crater that
it stands for (judgement); Penner's fades by itself.

Between bounces the ball flies through the air: after a bounce that grips its surface speed equals its speed
(S about 1), so that drag slows it and lift, now of topspin, pulls it down. Leaving the air out of the hops
makes flat landings run half as far again, and then total distance has no best loft: it would send every
player to the lowest one. At last the ball rolls to rest at a constant deceleration.
"""

from __future__ import annotations

import math

from fitter.physics import vectors as at
from fitter.physics.air import GRAVITY
from fitter.physics.ball import MASS, RADIUS, drag_lift
from fitter.physics.compiled import inlined

SLOWEST = 0.3
"""A bounce slower than this (m/s) hops less than 5 mm: from there the ball rolls."""
_PENNER_SPEED, _PENNER_ANGLE = 18.6, math.radians(44.4)
_AREA_OVER_MASS = math.pi * RADIUS * RADIUS / MASS


@inlined
def penner_restitution(into):
    """Penner's restitution at a normal speed (m/s), held at 0.120 from 20 m/s on."""
    return 0.510 + into * (-0.0375 + 0.000903 * into) if into < 20.0 else 0.120


@inlined
def _bounce(u, v, w, a, b, c, nx, ny, nz, e, mu):
    """Velocity and spin after one bounce on a plane of unit normal n."""
    into = -(u * nx + v * ny + w * nz)
    tx, ty, tz = u + into * nx, v + into * ny, w + into * nz
    qx = tx - RADIUS * (b * nz - c * ny)
    qy = ty - RADIUS * (c * nx - a * nz)
    qz = tz - RADIUS * (a * ny - b * nx)
    slip = math.sqrt(qx * qx + qy * qy + qz * qz)
    # Slides if |q| > 3.5 mu (1 + e) v_n, else grips: change of v_t -2/7 q (Biber et al. 2023).
    limit = mu * (1.0 + e) * into
    f = -limit / slip if slip > 3.5 * limit else -2.0 / 7.0
    dx, dy, dz = f * qx, f * qy, f * qz
    # d omega = (5/2) (r n x dv) / r^2 of a solid sphere.
    k = -2.5 / RADIUS
    a += k * (ny * dz - nz * dy)
    b += k * (nz * dx - nx * dz)
    c += k * (nx * dy - ny * dx)
    up = e * into
    return tx + dx + up * nx, ty + dy + up * ny, tz + dz + up * nz, a, b, c


@inlined
def _land_on(u, v, w, a, b, c, tilt, e, mu, penner):
    """Bounce on turf that tilts up towards the ball by `tilt`, level across its way."""
    level = math.sqrt(u * u + v * v)
    if penner:
        speed = math.sqrt(level * level + w * w)
        # theta = theta_0 (v / 18.6)(phi / 44.4 deg) (Penner 2002).
        tilt *= speed / _PENNER_SPEED * math.atan2(-w, level) / _PENNER_ANGLE
        tilt = min(tilt, 0.6)
    if level < 1e-9:
        tilt, level = 0.0, 1.0
    ct, st = math.cos(tilt), math.sin(tilt)
    nx, ny = -st * u / level, -st * v / level
    if penner:
        e *= penner_restitution(-(u * nx + v * ny + w * ct))
    return _bounce(u, v, w, a, b, c, nx, ny, ct, e, mu)


@inlined
def _pull(u, v, w, a, b, c, k, law):
    """Acceleration by drag and lift of a ball that spins about any axis; k = rho A / (2 m)."""
    v2 = u * u + v * v + w * w + 1e-12
    speed = math.sqrt(v2)
    om = math.sqrt(a * a + b * b + c * c) + 1e-12
    # Re below every law's range on the ground: the laws are held there.
    cd, cl = drag_lift(om * RADIUS / speed, 0.75, 1.0 / (0.75 * 0.75), law)
    kd, kl = k * cd * speed, k * cl * speed / om
    return (
        kl * (b * w - c * v) - kd * u,
        kl * (c * u - a * w) - kd * v,
        kl * (a * v - b * u) - kd * w,
    )


@inlined
def _hop(u, v, w, a, b, c, gx, gy, gz, k, law, first):
    """Way and landing velocity of one hop over a plane, gravity g in its axes.

    Constant acceleration: for the first hop that of its middle, for the short later ones that of their start.
    """
    px, py, pz = _pull(u, v, w, a, b, c, k, law)
    down = max(-(gz + pz), 0.3 * GRAVITY)
    if first:
        half = w / down
        px, py, pz = _pull(u + half * (gx + px), v + half * (gy + py), 0.0, a, b, c, k, law)
        down = max(-(gz + pz), 0.3 * GRAVITY)
    time = 2.0 * w / down
    ax, ay = gx + px, gy + py
    return time * (u + 0.5 * time * ax), time * (v + 0.5 * time * ay), u + time * ax, v + time * ay, -w


@inlined
def run_out(u, v, w, a, b, c, turf, law, density):
    """Where a ball comes to rest, counted from its landing: (along x, along y left), m.

    Velocity (m/s) and spin (rad/s) at the landing, in the axes of flight; turf and law as vectors or tuples;
    density of the air in kg/m3.
    """
    if w >= 0.0 or u * u + v * v < 1e-18:
        return 0.0, 0.0
    angle = math.atan2(-w, math.sqrt(u * u + v * v))
    # Axes of the landing area: the first points along x, the third is its normal.
    sx, sy = turf[at.SLOPE_ALONG], turf[at.SLOPE_ACROSS]
    size = math.sqrt(1.0 + sx * sx + sy * sy)
    cx = math.sqrt(1.0 + sx * sx)
    n1, n2, n3 = -sx / size, -sy / size, 1.0 / size
    e1, e3 = 1.0 / cx, sx / cx
    f1, f2, f3 = n2 * e3, n3 * e1 - n1 * e3, -n2 * e1
    u, v, w = e1 * u + e3 * w, f1 * u + f2 * v + f3 * w, n1 * u + n2 * v + n3 * w
    a, b, c = e1 * a + e3 * c, f1 * a + f2 * b + f3 * c, n1 * a + n2 * b + n3 * c
    gx, gy, gz = -GRAVITY * e3, -GRAVITY * f3, -GRAVITY * n3
    x, y = 0.0, 0.0
    if w < 0.0:
        penner = turf[at.FORM] > 0.5
        k = 0.5 * density * _AREA_OVER_MASS
        u, v, w, a, b, c = _land_on(
            u, v, w, a, b, c, turf[at.TURF_TILT], turf[at.RESTITUTION], turf[at.GRIP], penner
        )
        for hop in range(40):
            if w < SLOWEST:
                break
            dx, dy, u, v, w = _hop(u, v, w, a, b, c, gx, gy, gz, k, law, hop == 0)
            x += dx
            y += dy
            later = turf[at.TURF_TILT] if penner else 0.0
            u, v, w, a, b, c = _land_on(u, v, w, a, b, c, later, turf[at.RESTITUTION], turf[at.GRIP], penner)
    # A last grip makes spin and speed agree, then the ball rolls.
    u -= 2.0 / 7.0 * (u - RADIUS * b)
    v -= 2.0 / 7.0 * (v + RADIUS * a)
    speed = math.sqrt(u * u + v * v)
    if speed > 1e-9:
        ex, ey = u / speed, v / speed
        # On a slope 5/7 of gravity's pull acts on a rolling ball (its inertia takes the rest).
        along, across = 5.0 / 7.0 * (gx * ex + gy * ey), 5.0 / 7.0 * (gy * ex - gx * ey)
        time = speed / max(turf[at.ROLLING] * -gz - along, 0.1 * GRAVITY)
        far, aside = 0.5 * speed * time, 0.5 * across * time * time
        x += far * ex - aside * ey
        y += far * ey + aside * ex
    scale = turf[at.RUN_FACTOR] * math.exp(-turf[at.RUN_STEEP] * (angle - at.RUN_ANGLE))
    x *= scale
    y *= scale
    return e1 * x + f1 * y, f2 * y
