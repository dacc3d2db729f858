"""One flight, with the spread of what is not known about it: the answer behind `fly`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.draws import interval
from fitter.base.units import DEG, RPM
from fitter.physics import ball, engine, vectors

Floats = NDArray[np.float64]

DRAWS = 512


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


def launch_row(ball_speed_mps: float, launch_deg: float, spin_rpm: float, direction_deg: float = 0.0,
               axis_deg: float = 0.0) -> Floats:  # fmt: skip
    """Start of one ball as the kernels take it, shape (1, 5)."""
    angles = launch_deg * DEG, direction_deg * DEG
    return np.array([[ball_speed_mps, *angles, spin_rpm * RPM, axis_deg * DEG]])


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
    s = spin_ratio(row[:, vectors.SPEED], row[:, vectors.SPIN])
    names = worlds.law_names(where)
    weights = worlds.law_weights(names, s)
    middle = engine.fly(row, worlds.central(where).world)[:, 0]
    sample = engine.fly(row, worlds.drawn(where, draws, seed, weights).world)[:, 0]
    mean = weights @ np.ascontiguousarray(middle)
    re = ball_speed_mps * 2.0 * ball.RADIUS / worlds.air_of(where)[vectors.NU] * 1e-5
    laws = {
        name: LawFlight(
            carry_m=float(r[vectors.CARRY]),
            total_m=float(r[vectors.TOTAL]),
            apex_m=float(r[vectors.APEX]),
            descent_deg=float(r[vectors.DESCENT] / DEG),
            weight=float(w),
            era=ball.LAWS[name].era,
            held=worlds.held_at_edge(
                name, float(s[0]), float(r[vectors.S_PEAK]), re, float(r[vectors.RE_LOW])
            ) if r[vectors.TIME] > 0 else "",
        )
        for name, w, r in zip(names, weights, middle, strict=True)
    }  # fmt: skip
    low, high = interval(sample[:, [vectors.CARRY, vectors.TOTAL]])
    descent = float(mean[vectors.DESCENT] / DEG)
    return Flight(
        carry_m=float(mean[vectors.CARRY]),
        carry_low_m=float(min(low[0], mean[vectors.CARRY])),
        carry_high_m=float(max(high[0], mean[vectors.CARRY])),
        total_m=float(mean[vectors.TOTAL]),
        total_low_m=float(min(low[1], mean[vectors.TOTAL])),
        total_high_m=float(max(high[1], mean[vectors.TOTAL])),
        offline_m=float(mean[vectors.SIDE]),
        apex_m=float(mean[vectors.APEX]),
        time_s=float(mean[vectors.TIME]),
        descent_deg=descent,
        landing_speed_mps=float(mean[vectors.LANDING_SPEED]) if mean[vectors.TIME] > 0 else 0.0,
        landing_spin_rpm=float(mean[vectors.LANDING_SPIN] / RPM),
        air_density_kgm3=worlds.air_density(where),
        laws=laws,
        notes=tuple(flight_notes(float(mean[vectors.TIME]), descent, launch_deg, float(mean[vectors.APEX]))),
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
