"""One strike, with the spread of what is not known about it: the answer behind `strike`."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.base.draws import interval
from fitter.base.units import DEG, RPM
from fitter.physics import engine, vectors

Floats = NDArray[np.float64]

DRAWS = 512


@dataclass(frozen=True)
class Strike:
    """One strike: the leading spin hypothesis, with 80 % intervals over both and the restitution.

    Units stand in the names; direction and axis are right positive. Ends of intervals of angles go on
    beyond 180 deg, so that the value lies between them.
    """

    ball_speed_mps: float
    launch_deg: float
    direction_deg: float
    spin_rpm: float
    spin_axis_deg: float
    speed_ratio: float
    spin_loft_deg: float
    intervals: dict[str, tuple[float, float]]
    notes: tuple[str, ...]


def turn_between(new: Floats, old: Floats) -> Floats:
    """Difference of two angles the short way round, rad: from -179 to 179 deg it is -2, not 358.

    Parameters
    ----------
    new, old : ndarray
        Angles, rad, of shapes that broadcast.
    """
    apart = np.asarray(new - old)
    # Small differences are left as they are, to the last bit.
    return np.where(np.abs(apart) > math.pi, np.remainder(apart + math.pi, 2.0 * math.pi) - math.pi, apart)


def strike(
    club_speed_mps: float,
    attack_deg: float,
    loft_deg: float,
    path_deg: float = 0.0,
    face_deg: float = 0.0,
    toe_mm: float = 0.0,
    high_mm: float = 0.0,
    head: Floats | None = None,
    draws: int = DRAWS,
    seed: int = 1,
) -> Strike:
    """Strike one ball.

    Parameters
    ----------
    club_speed_mps, attack_deg, loft_deg : float
        Delivery at the face centre; loft is the dynamic loft.
    path_deg, face_deg : float
        Right positive.
    toe_mm, high_mm : float
        Strike place on the face: toe and up positive.
    head : ndarray, shape (vectors.HEAD,), optional
        The club head; an ordinary one when silent.
    draws, seed : int
        Size and seed of the intervals' sample.

    Returns
    -------
    Strike
    """
    angles = np.array([attack_deg, path_deg, face_deg, loft_deg]) * DEG
    deed = np.array([club_speed_mps, *angles, toe_mm * 1e-3, high_mm * 1e-3])
    club = ordinary_head() if head is None else head
    central = worlds.strike_models()[0]
    start = engine.strikes(deed, club, central)
    sample = engine.strikes(deed, club, worlds.strike_models(draws, seed))
    turns = [vectors.AZIMUTH, vectors.TILT]
    sample[:, turns] = start[turns] + turn_between(sample[:, turns], start[turns])
    low, high = interval(sample)
    scale = np.array([1.0, 1.0 / DEG, 1.0 / DEG, 1.0 / RPM, 1.0 / DEG])
    names = ("ball_speed_mps", "launch_deg", "direction_deg", "spin_rpm", "spin_axis_deg")
    values = dict(zip(names, (float(v) for v in start * scale), strict=True))
    intervals = {
        name: (float(min(a, values[name])), float(max(b, values[name])))
        for name, a, b in zip(names, low * scale, high * scale, strict=True)
    }
    body = engine.bodies(deed, club, central)
    notes = ["the ball slides on the face: friction is the limit"] if body[21] else []
    return Strike(
        **values,
        speed_ratio=values["ball_speed_mps"] / club_speed_mps,
        spin_loft_deg=spin_loft(attack_deg, loft_deg, path_deg, face_deg),
        intervals=intervals,
        notes=tuple(notes),
    )


def spin_loft(attack_deg: float, loft_deg: float, path_deg: float = 0.0, face_deg: float = 0.0) -> float:
    """Angle between the face normal and the club's velocity at the face centre, deg."""
    a, l, turn = attack_deg * DEG, loft_deg * DEG, (face_deg - path_deg) * DEG
    cosine = np.cos(a) * np.cos(l) * np.cos(turn) + np.sin(a) * np.sin(l)
    return math.degrees(math.acos(min(1.0, max(-1.0, cosine))))


def ordinary_head() -> Floats:
    """Head at the centre of every judged figure, shape (vectors.HEAD,)."""
    a = current()
    value = a.value
    out = np.zeros(vectors.HEAD)
    out[vectors.HEAD_MASS] = value("head.mass_g") * 1e-3
    out[vectors.DEPTH] = value("head.cg_depth_mm") * 1e-3
    out[vectors.CG_UP] = value("head.cg_up_mm") * 1e-3
    out[vectors.CG_TOE] = value("head.cg_toe_mm") * 1e-3
    inertia = ("moi_normal", "moi_vertical", "moi_heel_toe", "product_normal_up", "product_normal_toe",
               "product_up_toe")  # fmt: skip
    for place, name in enumerate(inertia, start=vectors.I_NORMAL):
        out[place] = value(f"head.{name}_gcm2") * 1e-7
    out[vectors.BULGE] = 1e3 / value("head.bulge_mm")
    out[vectors.ROLL] = 1e3 / value("head.roll_mm")
    return out
