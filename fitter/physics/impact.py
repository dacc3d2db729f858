"""The strike: two free rigid bodies in three dimensions, with a bulged and rolled face.

Impulse J at the contact: K J = u0 + e u_n n + e_t u_t with
K = (1/m + 1/M) E - [r_b]x I_b^-1 [r_b]x - [r_c]x I_c^-1 [r_c]x (standard mechanics of rigid bodies; Winfield
& Tan 1994, Computers & Structures 53(1) 19-25 use the same kind of model). If the tangential impulse would
exceed mu times the normal one, the ball slides along the face. Rigid sticking contact over-predicts backspin
by a quarter; two rival repairs are arguments: a shift of the ball's mass centre (Danaei, McNally, Henrikson &
McPhee 2020, Proceedings 49(1) 47) and a tangential restitution.

Everything is solved in the head's frame: face normal, up the face, toward the toe (right-handed for a
right-handed club). Deliveries belong to the face centre.
"""

from __future__ import annotations

import math

from fitter.physics.ball import INERTIA_FACTOR, MASS, RADIUS
from fitter.physics.compiled import inlined, kernel

# Delivery of a lane.
CLUB_SPEED, ATTACK, PATH, FACE, LOFT, TOE, HIGH = range(7)
DELIVERY = 7
"""Columns of a delivery: m/s, rad (up +), rad (right +), rad (right +), rad, m (toe +), m (up +)."""

# Head of a lane.
HEAD_MASS, DEPTH, CG_UP, CG_TOE = 0, 1, 2, 3
I_NORMAL, I_UP, I_TOE, I_NORMAL_UP, I_NORMAL_TOE, I_UP_TOE = 4, 5, 6, 7, 8, 9
BULGE, ROLL, COR_OFFSET = 10, 11, 12
HEAD = 13
"""Columns of a head: kg; mass centre behind, above and toeward of the face centre, m; inertia tensor at the
mass centre, kg m2, axes face normal, up, toe; curvature of bulge and roll, 1/m; restitution against the
reference head."""

# Strike model of a draw.
COR, COR_SLOPE, COR_SPEED, FALL_TOE, FALL_HIGH = 0, 1, 2, 3, 4
ET, ET_RISE, ET_FROM, ET_OVER = 5, 6, 7, 8
SHIFT_DOWN, SHIFT_HEEL, SHIFT_CAP, FRICTION, ADDED_MASS = 9, 10, 11, 12, 13
MODEL = 14
"""Columns of a strike model: restitution at COR_SPEED (m/s, normal), its slope per m/s, its fall per m2 of
miss across and up; tangential restitution, its rise at high spin loft, where the rise starts and over what
span (rad); the ball's mass centre down and to the heel (m) and the largest share of the spin that this may
take; friction; mass added to the head (kg)."""

START = 5
"""Columns of the result: speed m/s, launch rad, direction rad (right +), spin rad/s, tilt rad (right +)."""

_IB = INERTIA_FACTOR * MASS * RADIUS * RADIUS


@inlined
def _inverse(a, b, c, d, e, f):
    """Inverse of the symmetric matrix [[a, d, e], [d, b, f], [e, f, c]], in the same order."""
    ia = b * c - f * f
    id_ = e * f - d * c
    ie = d * f - e * b
    det = a * ia + d * id_ + e * ie
    s = 1.0 / det
    return ia * s, (a * c - e * e) * s, (a * b - d * d) * s, id_ * s, ie * s, (d * e - a * f) * s


@inlined
def _arm(x, y, z, a, b, c, d, e, f):
    """-[r]x S [r]x for r = (x, y, z) and the symmetric S = (a, b, c, d, e, f): six numbers, as above."""
    k11 = z * z * b - 2.0 * (y * z * f) + y * y * c
    k22 = z * z * a - 2.0 * (x * z * e) + x * x * c
    k33 = y * y * a - 2.0 * (x * y * d) + x * x * b
    k12 = y * z * e + x * z * f - z * z * d - x * y * c
    k13 = y * z * d + x * y * f - y * y * e - x * z * b
    k23 = x * z * d + x * y * e - x * x * f - y * z * a
    return k11, k22, k33, k12, k13, k23


@inlined
def _to_head(u, v, w, loft, face):
    """World (target, left, up) to head (normal, up the face, toe)."""
    cl, sl, cf, sf = math.cos(loft), math.sin(loft), math.cos(face), math.sin(face)
    along = u * cf - v * sf
    return along * cl + w * sl, w * cl - along * sl, -u * sf - v * cf


@inlined
def _to_world(n, up, toe, loft, face):
    """Head (normal, up the face, toe) to world (target, left, up)."""
    cl, sl, cf, sf = math.cos(loft), math.sin(loft), math.cos(face), math.sin(face)
    along = n * cl - up * sl
    return along * cf - toe * sf, -along * sf - toe * cf, n * sl + up * cl


@inlined
def _collide(d, h, m):
    """Impulse on the ball and both arms, in the head's frame; returns J, r_b, r_c and 1.0 if it slid."""
    level = d[0] * math.cos(d[1])
    u1, u2, u3 = _to_head(level * math.cos(d[2]), -level * math.sin(d[2]), d[0] * math.sin(d[1]), d[4], d[3])
    toe, high = d[5], d[6]
    n2, n3 = high * h[11], toe * h[10]
    size = 1.0 / math.sqrt(1.0 + n2 * n2 + n3 * n3)
    n1 = size
    n2 *= size
    n3 *= size
    un = u1 * n1 + u2 * n2 + u3 * n3
    t1, t2, t3 = u1 - un * n1, u2 - un * n2, u3 - un * n3
    ut = math.sqrt(t1 * t1 + t2 * t2 + t3 * t3)
    loft = math.atan2(ut, un)
    e = m[0] + m[1] * (un - m[2]) + h[12] - m[3] * toe * toe - m[4] * high * high
    e = min(max(e, 0.0), 1.0)
    et = m[5] + m[6] * min(max((loft - m[7]) / m[8], 0.0), 1.0)
    # The shift takes (d/r)(1+e)/(1+e_t)/tan(spin loft) of the spin: planar form, checked in the tests.
    share = m[9] / RADIUS * (1.0 + e) / (1.0 + et) * un
    keep = min(1.0, m[11] * ut / share) if share > m[11] * ut else 1.0
    down, heel = m[9] * keep, m[10] * keep
    b1 = -RADIUS * n1 - down * n2
    b2 = -RADIUS * n2 + down * n1
    b3 = -RADIUS * n3 + heel
    c1 = h[1] - 0.5 * (h[10] * toe * toe + h[11] * high * high)
    c2 = high - h[2]
    c3 = toe - h[3]
    ia, ib, ic, id_, ie, if_ = _inverse(h[4], h[5], h[6], h[7], h[8], h[9])
    k11, k22, k33, k12, k13, k23 = _arm(c1, c2, c3, ia, ib, ic, id_, ie, if_)
    linear = 1.0 / MASS + 1.0 / (h[0] + m[13])
    bb = b1 * b1 + b2 * b2 + b3 * b3
    k11 += linear + (bb - b1 * b1) / _IB
    k22 += linear + (bb - b2 * b2) / _IB
    k33 += linear + (bb - b3 * b3) / _IB
    k12 -= b1 * b2 / _IB
    k13 -= b1 * b3 / _IB
    k23 -= b2 * b3 / _IB
    g = (1.0 + e) * un
    q = 1.0 + et
    r1, r2, r3 = g * n1 + q * t1, g * n2 + q * t2, g * n3 + q * t3
    j11, j22, j33, j12, j13, j23 = _inverse(k11, k22, k33, k12, k13, k23)
    p1 = j11 * r1 + j12 * r2 + j13 * r3
    p2 = j12 * r1 + j22 * r2 + j23 * r3
    p3 = j13 * r1 + j23 * r2 + j33 * r3
    pn = p1 * n1 + p2 * n2 + p3 * n3
    q1, q2, q3 = p1 - pn * n1, p2 - pn * n2, p3 - pn * n3
    slid = 0.0
    if math.sqrt(q1 * q1 + q2 * q2 + q3 * q3) > m[12] * pn and ut > 0.0:
        slid = 1.0
        f1 = n1 + m[12] * t1 / ut
        f2 = n2 + m[12] * t2 / ut
        f3 = n3 + m[12] * t3 / ut
        kn = (
            n1 * (k11 * f1 + k12 * f2 + k13 * f3)
            + n2 * (k12 * f1 + k22 * f2 + k23 * f3)
            + n3 * (k13 * f1 + k23 * f2 + k33 * f3)
        )
        size = g / kn
        p1, p2, p3 = size * f1, size * f2, size * f3
    return p1, p2, p3, b1, b2, b3, c1, c2, c3, slid


@inlined
def strike(d, h, m, out):
    """Start of one ball from a delivery, a head and a strike model; writes `START` numbers."""
    p1, p2, p3, b1, b2, b3, _c1, _c2, _c3, _slid = _collide(d, h, m)
    u, v, w = _to_world(p1 / MASS, p2 / MASS, p3 / MASS, d[4], d[3])
    a, b, c = _to_world(
        (b2 * p3 - b3 * p2) / _IB, (b3 * p1 - b1 * p3) / _IB, (b1 * p2 - b2 * p1) / _IB, d[4], d[3]
    )
    level = math.sqrt(u * u + v * v)
    out[0] = math.sqrt(level * level + w * w)
    out[1] = math.atan2(w, level)
    out[2] = math.atan2(-v, u)
    out[3] = math.sqrt(a * a + b * b + c * c)
    # Backspin about the horizontal axis square to the start direction; tilt is the fall of that axis.
    out[4] = math.atan2(-c, (a * v - b * u) / level) if level > 0.0 else 0.0


@kernel
def strike_batch(delivery, head, model, out):
    """Starts of n strikes: delivery (n, 7), head (n, 13), model (n, 14) -> out (n, 5)."""
    for i in range(delivery.shape[0]):
        strike(delivery[i], head[i], model[i], out[i])


@kernel
def bodies_batch(delivery, head, model, out):
    """Both bodies after n strikes, in the head's frame, for balances and tests.

    out (n, 22): impulse, arm on the ball, arm on the head, club velocity before, ball velocity after, ball
    spin, head velocity after - three numbers each - and 1.0 where the ball slid.
    """
    for i in range(delivery.shape[0]):
        d, h = delivery[i], head[i]
        p1, p2, p3, b1, b2, b3, c1, c2, c3, slid = _collide(d, h, model[i])
        level = d[0] * math.cos(d[1])
        u1, u2, u3 = _to_head(
            level * math.cos(d[2]), -level * math.sin(d[2]), d[0] * math.sin(d[1]), d[4], d[3]
        )
        mass = h[0] + model[i][13]
        row = (
            p1,
            p2,
            p3,
            b1,
            b2,
            b3,
            c1,
            c2,
            c3,
            u1,
            u2,
            u3,
            p1 / MASS,
            p2 / MASS,
            p3 / MASS,
            (b2 * p3 - b3 * p2) / _IB,
            (b3 * p1 - b1 * p3) / _IB,
            (b1 * p2 - b2 * p1) / _IB,
            u1 - p1 / mass,
            u2 - p2 / mass,
            u3 - p3 / mass,
            slid,
        )
        for k in range(22):
            out[i, k] = row[k]
