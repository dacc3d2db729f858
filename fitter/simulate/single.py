"""One flight and one strike, with the spread of what is not known: the answers behind `fly` and `strike`."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, RPM
from fitter.physics import ball, engine, flight, impact

Floats = NDArray[np.float64]

DRAWS = 512
LOW, HIGH = 0.1, 0.9
"""Ends of an 80 % interval."""


@dataclass(frozen=True)
class LawFlight:
    """One law's flight: distances in m, angle in deg, weight in the blend, and where it was held."""

    carry_m: float
    total_m: float
    apex_m: float
    descent_deg: float
    weight: float
    era: str
    held: str


@dataclass(frozen=True)
class Flight:
    """One flight: the blend of the laws in play, with an 80 % interval of the carry and the total.

    Units stand in the names; side is right positive.
    """

    carry_m: float
    carry_low_m: float
    carry_high_m: float
    total_m: float
    total_low_m: float
    total_high_m: float
    offline_m: float
    apex_m: float
    time_s: float
    descent_deg: float
    landing_speed_mps: float
    landing_spin_rpm: float
    air_density_kgm3: float
    laws: dict[str, LawFlight]
    notes: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values under the keys of the contract."""
        return asdict(self) | {"notes": list(self.notes)}


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

    def as_dict(self) -> dict[str, Any]:
        """Plain values under the keys of the contract."""
        return asdict(self) | {"notes": list(self.notes)}


def launch_row(ball_speed_mps: float, launch_deg: float, spin_rpm: float, direction_deg: float = 0.0,
               axis_deg: float = 0.0) -> Floats:  # fmt: skip
    """Start of one ball as the kernels take it, shape (1, 5)."""
    angles = launch_deg * DEG, direction_deg * DEG
    return np.array([[ball_speed_mps, *angles, spin_rpm * RPM, axis_deg * DEG]])


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


def spin_ratio(speed_mps: Floats, spin_radps: Floats) -> Floats:
    """S = omega r / v at the start."""
    return np.asarray(spin_radps * ball.RADIUS / np.maximum(speed_mps, 1e-9))


def fly(
    ball_speed_mps: float,
    launch_deg: float,
    spin_rpm: float,
    direction_deg: float = 0.0,
    axis_deg: float = 0.0,
    conditions: Conditions | None = None,
    draws: int = DRAWS,
    seed: int = 1,
) -> Flight:
    """Fly one ball to rest.

    Parameters
    ----------
    ball_speed_mps, launch_deg, spin_rpm : float
        Start of the ball.
    direction_deg, axis_deg : float
        Start direction and tilt of the spin axis, right positive.
    conditions : Conditions, optional
        Air, wind, turf and law; standard when silent.
    draws, seed : int
        Size and seed of the interval's sample.

    Returns
    -------
    Flight
        The centre is the blend at the centre of every judgement; the interval holds 80 % of the draws over
        laws, ball factors and turf.

    Examples
    --------
    >>> flight = fly(74.66, 10.9, 2686)
    >>> flight.carry_low_m < flight.carry_m < flight.carry_high_m
    True
    """
    where = conditions or Conditions()
    row = launch_row(ball_speed_mps, launch_deg, spin_rpm, direction_deg, axis_deg)
    s = spin_ratio(row[:, flight.SPEED], row[:, flight.SPIN])
    names = worlds.law_names(where)
    weights = worlds.law_weights(names, s)
    middle = engine.fly(row, worlds.central(where).world)[:, 0]
    sample = engine.fly(row, worlds.drawn(where, draws, seed, weights).world)[:, 0]
    mean = weights @ np.ascontiguousarray(middle)
    re = ball_speed_mps * 2.0 * ball.RADIUS / worlds.air_of(where)[flight.NU] * 1e-5
    laws = {
        name: LawFlight(
            carry_m=float(r[engine.CARRY]),
            total_m=float(r[engine.TOTAL]),
            apex_m=float(r[engine.APEX]),
            descent_deg=float(r[engine.DESCENT] / DEG),
            weight=float(w),
            era=ball.LAWS[name].era,
            held=worlds.held_at_edge(
                name, float(s[0]), float(r[engine.S_PEAK]), re, float(r[engine.RE_LOW])
            ) if r[engine.TIME] > 0 else "",
        )
        for name, w, r in zip(names, weights, middle, strict=True)
    }  # fmt: skip
    low, high = np.quantile(sample[:, [engine.CARRY, engine.TOTAL]], [LOW, HIGH], axis=0)
    descent = float(mean[engine.DESCENT] / DEG)
    return Flight(
        carry_m=float(mean[engine.CARRY]),
        carry_low_m=float(min(low[0], mean[engine.CARRY])),
        carry_high_m=float(max(high[0], mean[engine.CARRY])),
        total_m=float(mean[engine.TOTAL]),
        total_low_m=float(min(low[1], mean[engine.TOTAL])),
        total_high_m=float(max(high[1], mean[engine.TOTAL])),
        offline_m=float(mean[engine.SIDE]),
        apex_m=float(mean[engine.APEX]),
        time_s=float(mean[engine.TIME]),
        descent_deg=descent,
        landing_speed_mps=float(mean[engine.LANDING_SPEED]) if mean[engine.TIME] > 0 else 0.0,
        landing_spin_rpm=float(mean[engine.LANDING_SPIN] / RPM),
        air_density_kgm3=worlds.air_density(where),
        laws=laws,
        notes=tuple(flight_notes(float(mean[engine.TIME]), descent, launch_deg, float(mean[engine.APEX]))),
    )


def flight_notes(time_s: float, descent_deg: float, launch_deg: float, apex_m: float = 0.0) -> list[str]:
    """Why a flight's numbers may not be trusted."""
    notes = []
    if time_s <= 0.0 < apex_m:
        notes.append(f"the ball never reaches the height of the landing (apex {apex_m:.0f} m): carry is 0")
        return notes
    if time_s <= 0.0:
        notes.append(f"the ball never rises (launch {launch_deg:g} deg): carry is 0")
        return notes
    if descent_deg < current().value("turf.flattest"):
        notes.append(
            f"landing angle {descent_deg:.0f} deg lies outside the turf data (25 deg): run is a guess"
        )
    return notes


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
    head : ndarray, shape (impact.HEAD,), optional
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
    turns = [flight.AZIMUTH, flight.TILT]
    sample[:, turns] = start[turns] + turn_between(sample[:, turns], start[turns])
    low, high = np.quantile(sample, [LOW, HIGH], axis=0)
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
    """Head at the centre of every judged figure, shape (impact.HEAD,)."""
    a = current()
    value = a.value
    out = np.zeros(impact.HEAD)
    out[impact.HEAD_MASS] = value("head.mass_g") * 1e-3
    out[impact.DEPTH] = value("head.cg_depth_mm") * 1e-3
    out[impact.CG_UP] = value("head.cg_up_mm") * 1e-3
    out[impact.CG_TOE] = value("head.cg_toe_mm") * 1e-3
    inertia = ("moi_normal", "moi_vertical", "moi_heel_toe", "product_normal_up", "product_normal_toe",
               "product_up_toe")  # fmt: skip
    for place, name in enumerate(inertia, start=impact.I_NORMAL):
        out[place] = value(f"head.{name}_gcm2") * 1e-7
    out[impact.BULGE] = 1e3 / value("head.bulge_mm")
    out[impact.ROLL] = 1e3 / value("head.roll_mm")
    return out
