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

from fitter.physics import vectors as at
from fitter.physics.ball import INERTIA_FACTOR, MASS, RADIUS
from fitter.physics.compiled import inlined, kernel

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
def _club_velocity(d):
    """Velocity of the face centre in the head's frame."""
    level = d[at.CLUB_SPEED] * math.cos(d[at.ATTACK])
    along, left = level * math.cos(d[at.PATH]), -level * math.sin(d[at.PATH])
    return _to_head(along, left, d[at.CLUB_SPEED] * math.sin(d[at.ATTACK]), d[at.LOFT], d[at.FACE])


@inlined
def _collide(d, h, m):
    """Impulse on the ball and both arms, in the head's frame; returns J, r_b, r_c and 1.0 if it slid."""
    u1, u2, u3 = _club_velocity(d)
    toe, high = d[at.TOE], d[at.HIGH]
    n2, n3 = high * h[at.ROLL], toe * h[at.BULGE]
    size = 1.0 / math.sqrt(1.0 + n2 * n2 + n3 * n3)
    n1 = size
    n2 *= size
    n3 *= size
    un = u1 * n1 + u2 * n2 + u3 * n3
    t1, t2, t3 = u1 - un * n1, u2 - un * n2, u3 - un * n3
    ut = math.sqrt(t1 * t1 + t2 * t2 + t3 * t3)
    loft = math.atan2(ut, un)
    # Restitution by normal speed, head and place on the face; held between 0 and 1.
    e = (
        m[at.COR]
        + m[at.COR_SLOPE] * (un - m[at.COR_SPEED])
        + h[at.COR_OFFSET]
        - m[at.FALL_TOE] * toe * toe
        - m[at.FALL_HIGH] * high * high
    )
    e = min(max(e, 0.0), 1.0)
    et = m[at.ET] + m[at.ET_RISE] * min(max((loft - m[at.ET_FROM]) / m[at.ET_OVER], 0.0), 1.0)
    # The shift takes (d/r)(1+e)/(1+e_t)/tan(spin loft) of the spin: planar form, checked in the tests.
    share = m[at.SHIFT_DOWN] / RADIUS * (1.0 + e) / (1.0 + et) * un
    keep = min(1.0, m[at.SHIFT_CAP] * ut / share) if share > m[at.SHIFT_CAP] * ut else 1.0
    down, heel = m[at.SHIFT_DOWN] * keep, m[at.SHIFT_HEEL] * keep
    b1 = -RADIUS * n1 - down * n2
    b2 = -RADIUS * n2 + down * n1
    b3 = -RADIUS * n3 + heel
    # Arm on the head, from its mass centre to the point of contact on the bulged and rolled face.
    c1 = h[at.DEPTH] - 0.5 * (h[at.BULGE] * toe * toe + h[at.ROLL] * high * high)
    c2 = high - h[at.CG_UP]
    c3 = toe - h[at.CG_TOE]
    ia, ib, ic, id_, ie, if_ = _inverse(
        h[at.I_NORMAL], h[at.I_UP], h[at.I_TOE], h[at.I_NORMAL_UP], h[at.I_NORMAL_TOE], h[at.I_UP_TOE]
    )
    k11, k22, k33, k12, k13, k23 = _arm(c1, c2, c3, ia, ib, ic, id_, ie, if_)
    # K = (1/m + 1/M) E - [r_b]x I_b^-1 [r_b]x - [r_c]x I_c^-1 [r_c]x (Winfield & Tan 1994).
    linear = 1.0 / MASS + 1.0 / (h[at.HEAD_MASS] + m[at.ADDED_MASS])
    bb = b1 * b1 + b2 * b2 + b3 * b3
    k11 += linear + (bb - b1 * b1) / _IB
    k22 += linear + (bb - b2 * b2) / _IB
    k33 += linear + (bb - b3 * b3) / _IB
    k12 -= b1 * b2 / _IB
    k13 -= b1 * b3 / _IB
    k23 -= b2 * b3 / _IB
    # K J = u0 + e u_n n + e_t u_t, sticking contact.
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
    if math.sqrt(q1 * q1 + q2 * q2 + q3 * q3) > m[at.FRICTION] * pn and ut > 0.0:
        # Sliding: J = J_n (n + mu t), so that n K (n + mu t) J_n = (1 + e) u_n.
        slid = 1.0
        f1 = n1 + m[at.FRICTION] * t1 / ut
        f2 = n2 + m[at.FRICTION] * t2 / ut
        f3 = n3 + m[at.FRICTION] * t3 / ut
        kn = (
            n1 * (k11 * f1 + k12 * f2 + k13 * f3)
            + n2 * (k12 * f1 + k22 * f2 + k23 * f3)
            + n3 * (k13 * f1 + k23 * f2 + k33 * f3)
        )
        size = g / kn
        p1, p2, p3 = size * f1, size * f2, size * f3
    elif m[at.GEAR] != 0.0:
        # Gear effect beyond the rigid bodies': a high strike drags the ball up the face, which costs spin.
        push = m[at.GEAR] * high * pn
        p1 -= push * n2 * n1
        p2 += push * (1.0 - n2 * n2)
        p3 -= push * n2 * n3
    return p1, p2, p3, b1, b2, b3, c1, c2, c3, slid


@inlined
def strike(d, h, m, out):
    """Start of one ball from a delivery, a head and a strike model; writes a launch."""
    p1, p2, p3, b1, b2, b3, _c1, _c2, _c3, _slid = _collide(d, h, m)
    u, v, w = _to_world(p1 / MASS, p2 / MASS, p3 / MASS, d[at.LOFT], d[at.FACE])
    a, b, c = _to_world(
        (b2 * p3 - b3 * p2) / _IB,
        (b3 * p1 - b1 * p3) / _IB,
        (b1 * p2 - b2 * p1) / _IB,
        d[at.LOFT],
        d[at.FACE],
    )
    level = math.sqrt(u * u + v * v)
    out[at.SPEED] = math.sqrt(level * level + w * w)
    out[at.ELEVATION] = math.atan2(w, level)
    out[at.AZIMUTH] = math.atan2(-v, u)
    out[at.SPIN] = math.sqrt(a * a + b * b + c * c)
    # Backspin about the horizontal axis square to the start direction; tilt is the fall of that axis.
    out[at.TILT] = math.atan2(-c, (a * v - b * u) / level) if level > 0.0 else 0.0


@kernel
def strike_batch(delivery, head, model, out):
    """Starts of n strikes: delivery (n, 7), head (n, 13), model (n, 15) -> out (n, 5)."""
    for i in range(delivery.shape[0]):
        strike(delivery[i], head[i], model[i], out[i])


@kernel
def bodies_batch(delivery, head, model, out):
    """Both bodies after n strikes, for balances and tests: out (n, 22), see `vectors.BODIES`."""
    for i in range(delivery.shape[0]):
        d, h = delivery[i], head[i]
        p1, p2, p3, b1, b2, b3, c1, c2, c3, slid = _collide(d, h, model[i])
        u1, u2, u3 = _club_velocity(d)
        mass = h[at.HEAD_MASS] + model[i][at.ADDED_MASS]
        row = (
            p1, p2, p3, b1, b2, b3, c1, c2, c3, u1, u2, u3, p1 / MASS, p2 / MASS, p3 / MASS,
            (b2 * p3 - b3 * p2) / _IB, (b3 * p1 - b1 * p3) / _IB, (b1 * p2 - b2 * p1) / _IB,
            u1 - p1 / mass, u2 - p2 / mass, u3 - p3 / mass, slid,
        )  # fmt: skip
        for k in range(at.BODIES):
            out[i, k] = row[k]
