"""Sensitivities: what one unit more of a cause does to carry, total and side, and where the laws disagree.

Central differences through the compiled path, for every modern law, and for a strike under both hypotheses of
its spin, so that the spread of a slope is the spread of what is not known about its physics.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.draws import interval
from fitter.base.units import DEG, MPH, RPM
from fitter.physics import engine, vectors
from fitter.simulate.flight import launch_row, spin_ratio
from fitter.simulate.strike import DRAWS, ordinary_head, turn_between

Floats = NDArray[np.float64]

FLIGHT_CAUSES = (
    ("ball speed", "mph", vectors.SPEED, MPH),
    ("launch", "deg", vectors.ELEVATION, DEG),
    ("spin", "100 rpm", vectors.SPIN, 100.0 * RPM),
    ("spin axis", "deg", vectors.TILT, DEG),
    ("direction", "deg", vectors.AZIMUTH, DEG),
)
STRIKE_CAUSES = (
    ("club speed", "mph", vectors.CLUB_SPEED, MPH),
    ("attack", "deg", vectors.ATTACK, DEG),
    ("dynamic loft", "deg", vectors.LOFT, DEG),
    ("path", "deg", vectors.PATH, DEG),
    ("face", "deg", vectors.FACE, DEG),
    ("strike to the toe", "mm", vectors.TOE, 1e-3),
    ("strike high", "mm", vectors.HIGH, 1e-3),
)
START_NAMES = ("ball_speed_mps", "launch_deg", "direction_deg", "spin_rpm", "spin_axis_deg")
HALF_STEP = 0.5
"""Each difference spans half a unit either side."""
SMALL_M = 0.1
"""Changes of carry under this (m) have no sign worth telling."""


@dataclass(frozen=True)
class Slope:
    """Effect of one unit more of a cause.

    Parameters
    ----------
    cause, unit : str
        What grows by how much.
    carry_m, total_m, offline_m : float
        Change of carry, total and side at the landing (right +), m, by the blend.
    carry_low_m, carry_high_m, total_low_m, total_high_m : float
        Least and greatest change over the laws (and, for a strike, over both hypotheses of the spin).
    agreed : bool
        Whether all of them have one sign of the change of carry (0.1 m aside).
    start, start_low, start_high : dict of str to float
        For a strike: change of ball_speed_mps, launch_deg, direction_deg, spin_rpm, spin_axis_deg, its mean
        and the ends of its 80 % interval over what is not known of the strike.
    """

    cause: str
    unit: str
    carry_m: float
    carry_low_m: float
    carry_high_m: float
    total_m: float
    total_low_m: float
    total_high_m: float
    offline_m: float
    agreed: bool
    start: dict[str, float]
    start_low: dict[str, float]
    start_high: dict[str, float]


@dataclass(frozen=True)
class Slopes:
    """Every slope of one flight or one strike, and in words where the laws disagree in sign."""

    slopes: tuple[Slope, ...]
    notes: tuple[str, ...]

    def __getitem__(self, cause: str) -> Slope:
        for slope in self.slopes:
            if slope.cause == cause:
                return slope
        raise KeyError(cause)


def _slope(cause: str, unit: str, change: Floats, weights: Floats, starts: Floats | None = None) -> Slope:
    """From changes (hypotheses, RESULT), weights, and changes of the start (draws, 5): m/s, deg, rpm."""
    columns = change[:, [vectors.CARRY, vectors.TOTAL, vectors.SIDE]]
    mean, low, high = weights @ columns, columns.min(axis=0), columns.max(axis=0)
    told: list[dict[str, float]] = [{}, {}, {}]
    if starts is not None:
        rows = (starts.mean(axis=0), *interval(starts))
        told = [dict(zip(START_NAMES, map(float, row), strict=True)) for row in rows]
    return Slope(
        cause=cause,
        unit=unit,
        carry_m=float(mean[0]),
        carry_low_m=float(low[0]),
        carry_high_m=float(high[0]),
        total_m=float(mean[1]),
        total_low_m=float(low[1]),
        total_high_m=float(high[1]),
        offline_m=float(mean[2]),
        agreed=not (low[0] < -SMALL_M and high[0] > SMALL_M),
        start=told[0],
        start_low=told[1],
        start_high=told[2],
    )


def _told(slopes: list[Slope]) -> Slopes:
    notes = [
        f"{s.cause}: the laws disagree in sign, {s.carry_low_m:+.2f} to {s.carry_high_m:+.2f} m of carry per "
        f"{s.unit}: a choice that rests on it is undecided"
        for s in slopes
        if not s.agreed
    ]
    return Slopes(tuple(slopes), tuple(notes))


def _thinner(world: engine.World, factor: float) -> engine.World:
    air = world.air.copy()
    air[vectors.RHO] *= factor
    return replace(world, air=air)


def fly_slopes(
    ball_speed_mps: float,
    launch_deg: float,
    spin_rpm: float,
    direction_deg: float = 0.0,
    axis_deg: float = 0.0,
    conditions: Conditions | None = None,
) -> Slopes:
    """Slopes of one flight: per mph, degree, 100 rpm and 1 % of air density.

    Parameters
    ----------
    ball_speed_mps, launch_deg, spin_rpm, direction_deg, axis_deg : float
        Start of the ball; direction and axis right positive.
    conditions : Conditions, optional
        Air, wind, turf and law; standard when silent.

    Returns
    -------
    Slopes

    Examples
    --------
    >>> slopes = fly_slopes(76.0, 10.5, 2600)
    >>> slopes["ball speed"].agreed, slopes["spin"].agreed
    (True, False)
    """
    where = conditions or Conditions()
    row = launch_row(ball_speed_mps, launch_deg, spin_rpm, direction_deg, axis_deg)
    drawn = worlds.central(where)
    weights = worlds.law_weights(drawn.names, spin_ratio(row[:, 0], row[:, 3]))
    rows = np.repeat(row, 2 * len(FLIGHT_CAUSES), axis=0)
    for k, (_, _, column, step) in enumerate(FLIGHT_CAUSES):
        rows[2 * k, column] += HALF_STEP * step
        rows[2 * k + 1, column] -= HALF_STEP * step
    out = engine.fly(rows, drawn.world)
    slopes = [
        _slope(cause, unit, out[:, 2 * k] - out[:, 2 * k + 1], weights)
        for k, (cause, unit, _, _) in enumerate(FLIGHT_CAUSES)
    ]
    more, less = (engine.fly(row, _thinner(drawn.world, f))[:, 0] for f in (1.005, 0.995))
    slopes.append(_slope("air density", "1 %", more - less, weights))
    return _told(slopes)


def strike_slopes(
    club_speed_mps: float,
    attack_deg: float,
    loft_deg: float,
    path_deg: float = 0.0,
    face_deg: float = 0.0,
    toe_mm: float = 0.0,
    high_mm: float = 0.0,
    head: Floats | None = None,
    conditions: Conditions | None = None,
) -> Slopes:
    """Slopes of one strike through its flight: per mph, degree and mm.

    Parameters
    ----------
    club_speed_mps, attack_deg, loft_deg, path_deg, face_deg, toe_mm, high_mm : float
        Delivery as for `simulate.strike`.
    head : ndarray, shape (vectors.HEAD,), optional
        The club head; an ordinary one when silent.
    conditions : Conditions, optional
        Air, wind, turf, law; standard when silent.

    Returns
    -------
    Slopes
        `start` holds the change of the ball's start over draws of the strike.
    """
    where = conditions or Conditions()
    a = current()
    angles = np.array([attack_deg, path_deg, face_deg, loft_deg]) * DEG
    deed = np.array([club_speed_mps, *angles, toe_mm * 1e-3, high_mm * 1e-3])
    deeds = np.repeat(deed[None], 2 * len(STRIKE_CAUSES), axis=0)
    for k, (_, _, column, step) in enumerate(STRIKE_CAUSES):
        deeds[2 * k, column] += HALF_STEP * step
        deeds[2 * k + 1, column] -= HALF_STEP * step
    club = ordinary_head() if head is None else head
    models = (worlds.strike_models()[0], worlds.rival_model()[0])
    drawn = worlds.central(where)
    share = a.value("strike.shift_weight")
    flights, weights = [], []
    for model, belief in zip(models, (share, 1.0 - share), strict=True):
        start = engine.strikes(deeds, club, model)
        flights.append(engine.fly(start, drawn.world))
        laws = worlds.law_weights(drawn.names, spin_ratio(start[:1, 0], start[:1, 3]))
        weights.append(belief * laws)
    out, weight = np.concatenate(flights), np.concatenate(weights)
    scale = np.array([1.0, 1.0 / DEG, 1.0 / DEG, 1.0 / RPM, 1.0 / DEG])
    turns = [vectors.AZIMUTH, vectors.TILT]
    sample = engine.strikes(deeds, club, worlds.strike_models(DRAWS, 1)[:, None])
    slopes = []
    for k, (cause, unit, _, _) in enumerate(STRIKE_CAUSES):
        more, less = sample[:, 2 * k], sample[:, 2 * k + 1]
        moved = more - less
        moved[:, turns] = turn_between(more[:, turns], less[:, turns])
        moved *= scale
        slopes.append(_slope(cause, unit, out[:, 2 * k] - out[:, 2 * k + 1], weight, moved))
    return _told(slopes)
