"""The club as a body: mass, balance point, swing weight, inertia about the butt, and the parts they tell of.

Functions take scalars or arrays that broadcast, so that a whole set of options is one call.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitter.base.assumptions import current
from fitter.base.units import INCH, OUNCE
from fitter.kit.figures import Figure, Joint

Floats = NDArray[np.float64]

GRADES = "ABCDEFG"
POINTS_A_GRADE = 10
PARTS = ("head_mass_g", "shaft_mass_g", "balance_pct", "grip_mass_g")
"""Head with its weights, cut shaft, mass centre of the cut shaft from its butt, grip."""
WHOLE = ("total_mass_g", "balance_mm", "swing_weight_points")
"""What can be measured on a whole club."""


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
    tip_kg : array_like
        Weight in the tip of the shaft, kg.

    Returns
    -------
    ClubBody
        Shapes broadcast.

    Notes
    -----
    Parallel axes; the judged numbers ``[club]`` say where head, shaft and grip sit. The shaft's own inertia
    is that of a uniform rod; the head's is ``club.head_own_inertia_kgcm2``.
    """
    known = current()
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
    moment = swing_moment(mass, balance_m)
    return ClubBody(mass, np.asarray(balance_m), moment, swing_points(moment), np.asarray(moi * 1e4))


def head_beyond_tip() -> float:
    """Distance from the tip of the shaft to the head's mass centre, along the shaft, m."""
    known = current()
    return (known.value("club.shaft_short_mm") - known.value("club.head_short_mm")) / 1e3


def swing_moment(mass_kg: ArrayLike, balance_m: ArrayLike) -> Floats:
    """Moment about the swing-weight fulcrum, oz in: ``S = m (x_cg - 14 in)``.

    Parameters
    ----------
    mass_kg, balance_m : array_like
        Total mass, kg; mass centre from the butt, m.
    """
    arm = np.asarray(balance_m, dtype=np.float64) / INCH - current().value("club.fulcrum_in")
    return np.asarray(np.asarray(mass_kg, dtype=np.float64) / OUNCE * arm)


def swing_points(moment_ozin: ArrayLike) -> Floats:
    """Swing weight in points above D0 of a moment in oz in."""
    known = current()
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


def swing_value(name: str) -> float:
    """Points above D0 of a letter and a number.

    Raises
    ------
    ValueError
        If it is no such name.

    Examples
    --------
    >>> swing_value("D3.5"), swing_value("c9")
    (3.5, -1.0)
    """
    return POINTS_A_GRADE * (GRADES.index(name[:1].upper()) - GRADES.index("D")) + float(name[1:])


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


def weigh(code: str, length_in: Figure, prior: Mapping[str, Figure], whole: Mapping[str, Figure]) -> Joint:
    """Infer the parts of a club that cannot be taken apart from what was measured on the whole.

    Parameters
    ----------
    code : str
        Of the club.
    length_in : Figure
        Club length.
    prior : mapping
        Figures of `PARTS` before weighing: stamps, measurements, or the judged spreads.
    whole : mapping
        Any of `WHOLE`.

    Returns
    -------
    Joint
        Of `PARTS`.

    Notes
    -----
    Iterated extended Kalman update (Bell & Cathey 1993, IEEE Trans. Automat. Contr. 38, 294-297) of the parts
    together with the club's length and the places of head, shaft end and grip, so that what is not known of
    these widens the masses.
    """
    known = current()
    places = [known[f"club.{p}"] for p in ("head_short_mm", "shaft_short_mm", "grip_centre_mm")]
    told = [*((prior[p].value, prior[p].sd) for p in PARTS), (length_in.value, length_in.sd)]
    mean, sd = np.array([*told, *((p.value, p.sd) for p in places)]).T
    cov = np.diag(np.maximum(sd, 1e-9) ** 2)
    names = [w for w in WHOLE if w in whole]

    def predict(rows: Floats) -> Floats:
        """Whole-club figures of parameter rows (rows, 8), shape (rows, names)."""
        head, shaft, share, grip, length, head_short, shaft_short, grip_at = rows.T
        mm = length * 25.4
        mass = head + shaft + grip
        balance = (
            head * (mm - head_short) + shaft * share / 100.0 * (mm - shaft_short) + grip * grip_at
        ) / mass
        points = swing_points(swing_moment(mass / 1e3, balance / 1e3))
        values = dict(zip(WHOLE, (mass, balance, points), strict=True))
        return np.stack([values[n] for n in names], axis=-1)

    if names:
        prior_mean, prior_cov, step = mean, cov, 1e-4
        seen, noise = np.array([whole[n][:2] for n in names]).T
        for _ in range(5):
            values = predict(np.vstack([mean, mean + step * np.eye(mean.size)]))
            slopes = ((values[1:] - values[0]) / step).T
            gain = prior_cov @ slopes.T @ np.linalg.inv(slopes @ prior_cov @ slopes.T + np.diag(noise**2))
            mean = prior_mean + gain @ (seen - values[0] - slopes @ (prior_mean - mean))
            cov = prior_cov - gain @ slopes @ prior_cov
    return Joint.of("club", code, PARTS, mean[:4], cov[:4, :4])
