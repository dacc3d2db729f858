"""The club as a body: mass, balance point, swing weight and moment of inertia about the butt.

Functions take scalars or arrays that broadcast, so that a whole set of options is one call.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitter.base.assumptions import Assumptions, current
from fitter.base.units import INCH, OUNCE

Floats = NDArray[np.float64]

GRADES = "ABCDEFG"
POINTS_A_GRADE = 10


class ClubBody(NamedTuple):
    """Assembled clubs, all of one broadcast shape.

    Parameters
    ----------
    mass_kg : ndarray
        Total mass.
    balance_m : ndarray
        Mass centre from the butt.
    moment_ozin : ndarray
        Moment about the swing-weight fulcrum, oz in.
    points : ndarray
        Swing weight in points above D0.
    moi_kgcm2 : ndarray
        Moment of inertia about the butt, kg cm2.
    """

    mass_kg: Floats
    balance_m: Floats
    moment_ozin: Floats
    points: Floats
    moi_kgcm2: Floats


def assemble(
    length_m: ArrayLike,
    head_kg: ArrayLike,
    shaft_kg: ArrayLike,
    balance: ArrayLike,
    grip_kg: ArrayLike,
    assumptions: Assumptions | None = None,
    tip_kg: ArrayLike = 0.0,
) -> ClubBody:
    """Mass, balance, swing weight and inertia of clubs.

    Parameters
    ----------
    length_m : array_like
        Club length, m.
    head_kg, shaft_kg, grip_kg : array_like
        Masses of head (with all weights), cut shaft and grip, kg.
    balance : array_like
        Mass centre of the cut shaft from the butt as a share of its length, 0 to 1.
    assumptions : Assumptions, optional
        Where head, shaft and grip sit, from ``[club]``; the package's own when silent.
    tip_kg : array_like
        Weight in the tip of the shaft, kg.

    Returns
    -------
    ClubBody
        Shapes broadcast.

    Notes
    -----
    Parallel axes. The shaft's own inertia is that of a uniform rod; the head's mass centre lies
    ``club.head_short_mm`` nearer than the club is long and carries ``club.head_own_inertia_kgcm2``.
    """
    known = current() if assumptions is None else assumptions
    length, head, shaft, share, grip, tip = (
        np.asarray(a, dtype=np.float64) for a in (length_m, head_kg, shaft_kg, balance, grip_kg, tip_kg)
    )
    head_at = length - known.value("club.head_short_mm") / 1000.0
    rod = length - known.value("club.shaft_short_mm") / 1000.0
    grip_at = known.value("club.grip_centre_mm") / 1000.0
    grip_long = known.value("club.grip_length_mm") / 1000.0
    mass = head + shaft + grip + tip
    balance_m = (head * head_at + shaft * share * rod + grip * grip_at + tip * rod) / mass
    moi = (
        head * head_at**2
        + known.value("club.head_own_inertia_kgcm2") * 1e-4
        + shaft * rod**2 * (1.0 / 12.0 + share**2)
        + grip * (grip_long**2 / 12.0 + grip_at**2)
        + tip * rod**2
    )
    moment = swing_moment(mass, balance_m, known)
    return ClubBody(mass, np.asarray(balance_m), moment, swing_points(moment, known), np.asarray(moi * 1e4))


def swing_moment(mass_kg: ArrayLike, balance_m: ArrayLike, assumptions: Assumptions | None = None) -> Floats:
    """Moment about the swing-weight fulcrum, oz in: ``S = m (x_cg - 14 in)``.

    Parameters
    ----------
    mass_kg, balance_m : array_like
        Total mass, kg; mass centre from the butt, m.
    assumptions : Assumptions, optional
        For ``club.fulcrum_in``.
    """
    known = current() if assumptions is None else assumptions
    arm = np.asarray(balance_m, dtype=np.float64) / INCH - known.value("club.fulcrum_in")
    return np.asarray(np.asarray(mass_kg, dtype=np.float64) / OUNCE * arm)


def swing_points(moment_ozin: ArrayLike, assumptions: Assumptions | None = None) -> Floats:
    """Swing weight in points above D0 of a moment in oz in."""
    known = current() if assumptions is None else assumptions
    excess = np.asarray(moment_ozin, dtype=np.float64) - known.value("club.swing_weight_d0_ozin")
    return np.asarray(excess / known.value("club.swing_weight_point_ozin"))


def swing_name(points: float, digits: int = 1) -> str:
    """Letter and number of the swing-weight scale.

    Examples
    --------
    >>> swing_name(7.9), swing_name(-1.5), swing_name(12.0)
    ('D7.9', 'C8.5', 'E2.0')
    """
    rounded = round(points, digits) + POINTS_A_GRADE * GRADES.index("D")
    grade = min(max(int(rounded // POINTS_A_GRADE), 0), len(GRADES) - 1)
    return f"{GRADES[grade]}{rounded - POINTS_A_GRADE * grade:.{digits}f}"


def cut_shaft(
    mass_kg: ArrayLike, balance: ArrayLike, length_m: ArrayLike, butt_m: ArrayLike, tip_m: ArrayLike = 0.0
) -> tuple[Floats, Floats, Floats]:
    """Cut a raw shaft at its butt and tip.

    Parameters
    ----------
    mass_kg, balance, length_m : array_like
        Raw shaft: kg, mass centre from the butt as a share of its length, m.
    butt_m, tip_m : array_like
        Cut off at each end, m; a negative butt is an extension of the same mass per length.

    Returns
    -------
    mass_kg, balance, length_m : ndarray
        Of the cut shaft.

    Notes
    -----
    Mass per length is linear, ``mu(s) = m/L [1 + 12 (b - 1/2)(s - 1/2)]`` with s from butt to tip, which has
    the mass m and the balance b.
    """
    m, b, length, butt, tip = (
        np.asarray(x, dtype=np.float64) for x in (mass_kg, balance, length_m, butt_m, tip_m)
    )
    tilt = 12.0 * (b - 0.5)
    s0, s1 = butt / length, 1.0 - tip / length

    def moments(s: Floats) -> tuple[Floats, Floats]:
        zeroth = s + tilt * (s**2 / 2.0 - s / 2.0)
        first = s**2 / 2.0 + tilt * (s**3 / 3.0 - s**2 / 4.0)
        return zeroth, first

    (a0, a1), (b0, b1) = moments(s0), moments(s1)
    left = length - butt - tip
    share = ((b1 - a1) / (b0 - a0) - s0) / (s1 - s0)
    return np.asarray(m * (b0 - a0)), np.asarray(share), np.asarray(left)


def point_tensor(mass: ArrayLike, place: Floats) -> Floats:
    """Inertia of a point mass about the origin, shape (..., 6).

    Parameters
    ----------
    mass : array_like, shape (...)
        kg; negative takes a mass away.
    place : ndarray, shape (..., 3)
        m.
    """
    m = np.asarray(mass, dtype=np.float64)
    x, y, z = np.moveaxis(place, -1, 0)
    terms = np.stack([y * y + z * z, x * x + z * z, x * x + y * y, -x * y, -x * z, -y * z], axis=-1)
    return np.asarray(m[..., None] * terms)


def move(
    mass: ArrayLike,
    centre: Floats,
    tensor: Floats,
    weight: ArrayLike,
    before: Floats,
    after: Floats,
    swap: ArrayLike = 0.0,
) -> tuple[Floats, Floats, Floats]:
    """Move a weight in a head, and change it for another one.

    Parameters
    ----------
    mass : array_like, shape (...)
        Head with the weight, kg.
    centre : ndarray, shape (..., 3)
        Mass centre of the head with the weight at ``before``, m.
    tensor : ndarray, shape (..., 6)
        At that mass centre, kg m2.
    weight : array_like, shape (...)
        The weight that moves, kg.
    before, after : ndarray, shape (..., 3)
        Its places, m.
    swap : array_like, shape (...)
        Change of mass at ``after``, kg.

    Returns
    -------
    mass, centre, tensor : ndarray
        Of the changed head, tensor at its own mass centre.

    Notes
    -----
    Parallel axes (Steiner): tensors about the face centre add up.
    """
    m, w, s = (np.asarray(x, dtype=np.float64) for x in (mass, weight, swap))
    total = m + s
    moved = (m[..., None] * centre + w[..., None] * (after - before) + s[..., None] * after) / total[
        ..., None
    ]
    about = tensor + point_tensor(m, centre) - point_tensor(w, before) + point_tensor(w + s, after)
    return np.asarray(total), np.asarray(moved), np.asarray(about - point_tensor(total, moved))
