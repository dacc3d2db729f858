"""What the channels of a shot say of each other: strike, flight and plain order, with the noise of each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, RPM
from fitter.physics import engine, vectors
from fitter.shots.session import Floats
from fitter.simulate.flight import spin_ratio

Values = Mapping[str, Floats]
"""Channels in the units of their names, shape (n,) each, right-handed frame."""

DELIVERED = (
    "club_speed_mps", "attack_deg", "path_deg", "face_deg", "dynamic_loft_deg", "strike_toe_mm",
    "strike_high_mm",
)  # fmt: skip
"""Channels of a delivery in the kernels' order."""
_TO_SI = np.array([1.0, DEG, DEG, DEG, DEG, 1e-3, 1e-3])
BEYOND = 100.0
"""Residual of what no strike and no flight can be, in noises."""
POINTS = ("centre", "strike")
"""Where on the face a device may take face and loft."""


@dataclass(frozen=True)
class Relation:
    """One statement about every shot.

    Parameters
    ----------
    name : str
        Channel of which the others speak.
    channels : tuple of str
        Channels that it joins.
    residual : ndarray, shape (n,)
        Found less expected, NaN where a shot does not tell; in the unit of ``noise``.
    noise, offset : float
        SDs of the relation itself: from shot to shot, and of a whole session, as of a device's alignment.
    found, expected : ndarray, shape (n,)
        The same in the channel's unit, for people.
    """

    name: str
    channels: tuple[str, ...]
    residual: Floats
    noise: float
    offset: float
    found: Floats
    expected: Floats


class Surroundings:
    """Head and air of a session, and what was reckoned in them: the same arrays are flown once.

    Parameters
    ----------
    head : ndarray, shape (13,)
        See `vectors.HEAD`.
    air : Conditions
        Where the shots were measured, in the frame of the values.
    """

    def __init__(self, head: Floats, air: Conditions) -> None:
        self.head = head
        self.drawn = worlds.central(air)
        self._known: dict[tuple[Any, ...], tuple[Any, Any]] = {}

    def once(self, what: str, call: Callable[..., Any], *arrays: Floats | None) -> Any:
        """Result of a call on arrays, kept for the same arrays."""
        key = (what, *map(id, arrays))
        if key not in self._known:
            # The arrays are kept too, so that no other takes over their place in memory.
            self._known[key] = arrays, call(*arrays)
        return self._known[key][1]


def relations(values: Values, at: Surroundings, point: str) -> list[Relation]:
    """Every relation that the channels allow.

    Parameters
    ----------
    values : mapping of str to ndarray, shape (n,)
    at : Surroundings
    point : str
        One of `POINTS`.
    """
    return [*_strike(values, at.head, point), *_ratio(values), *_finish(values, at)]


def _told(values: Values, *names: str) -> bool:
    return all(name in values for name in names)


def _noise(name: str) -> tuple[float, float]:
    """SDs of a relation from shot to shot and of a session."""
    entry = current()[f"contradiction.{name}"]
    return entry.value, entry.sd


def _strike(values: Values, head: Floats, point: str) -> list[Relation]:
    """Start of the ball out of the delivery; what was not measured of path, face and strike is nought."""
    if not _told(values, "dynamic_loft_deg", "attack_deg") and not _told(values, "face_deg"):
        return []
    shown = next(iter(values.values()))
    table = np.stack([values.get(n, np.zeros(len(shown))) for n in DELIVERED], axis=1) * _TO_SI
    whole = _told(values, "dynamic_loft_deg", "attack_deg")
    ordinary = (current().value("contradiction.speed_mps"), 3.0 * DEG, 0.0, 0.0, 15.0 * DEG, 0.0, 0.0)
    for k, name in enumerate(DELIVERED):
        if name not in values:
            table[:, k] = ordinary[k]
    if point == "strike":
        table[:, vectors.LOFT] -= table[:, vectors.HIGH] * head[vectors.ROLL]
        table[:, vectors.FACE] -= table[:, vectors.TOE] * head[vectors.BULGE]
    good = np.isfinite(table).all(axis=1) & _possible(table)
    start = np.full((len(table), vectors.LAUNCH), np.nan)
    if good.any():
        start[good] = engine.strikes(table[good], head, worlds.strike_models()[0])
    speed, up, side, spin, tilt = start.T
    out = []
    swing = ("attack_deg", "dynamic_loft_deg")
    if whole and _told(values, "club_speed_mps", "ball_speed_mps"):
        ball = values["ball_speed_mps"]
        out.append(
            _relative(
                "ball_speed_mps", ("club_speed_mps", *swing, "strike_toe_mm"), ball, speed, "speed", values
            )
        )
    if whole and _told(values, "launch_deg"):
        found, expected = values["launch_deg"], up / DEG
        out.append(_sum("launch_deg", (*swing, "strike_high_mm"), found, expected, "launch_deg", values))
    if whole and _told(values, "spin_rpm", "club_speed_mps"):
        found = values["spin_rpm"]
        out.append(
            _relative(
                "spin_rpm", ("club_speed_mps", *swing, "strike_high_mm"), found, spin / RPM, "spin", values
            )
        )
    if _told(values, "direction_deg", "face_deg"):
        joined = ("path_deg", "face_deg", "strike_toe_mm")
        out.append(
            _sum("direction_deg", joined, values["direction_deg"], side / DEG, "direction_deg", values)
        )
    if _told(values, "spin_axis_deg", "face_deg", "path_deg"):
        joined = ("path_deg", "face_deg", "strike_toe_mm")
        out.append(_sum("spin_axis_deg", joined, values["spin_axis_deg"], tilt / DEG, "axis_deg", values))
    return out


def _possible(table: Floats) -> NDArray[np.bool_]:
    """Deliveries with which the strike can be reckoned."""
    speed, loft = table[:, vectors.CLUB_SPEED], table[:, vectors.LOFT]
    angles = np.abs(table[:, vectors.ATTACK : vectors.LOFT + 1]).max(axis=1)
    near = np.abs(table[:, vectors.TOE :]).max(axis=1) < 0.06
    good: NDArray[np.bool_] = (speed > 5.0) & (speed < 500.0) & (angles < 1.2) & (loft > -0.3) & near
    return good


def _relative(
    name: str, joined: tuple[str, ...], found: Floats, expected: Floats, noise: str, values: Values
) -> Relation:
    with np.errstate(invalid="ignore", divide="ignore"):
        residual = np.log(np.where(found > 0.0, found, np.nan) / np.where(expected > 0.0, expected, np.nan))
    every, (scatter, offset) = _there(name, joined, values), _noise(noise)
    return Relation(name, every, _whole(residual, every, values, scatter), scatter, offset, found, expected)


def _sum(
    name: str, joined: tuple[str, ...], found: Floats, expected: Floats, noise: str, values: Values
) -> Relation:
    every, (scatter, offset) = _there(name, joined, values), _noise(noise)
    residual = _whole(found - expected, every, values, scatter)
    return Relation(name, every, residual, scatter, offset, found, expected)


def _whole(residual: Floats, joined: tuple[str, ...], values: Values, noise: float) -> Floats:
    """Residuals; one that cannot be reckoned though all its channels are there counts as far off."""
    all_there = np.all([np.isfinite(values[n]) for n in joined], axis=0)
    return np.where(all_there & ~np.isfinite(residual), BEYOND * noise, residual)


def _there(name: str, joined: tuple[str, ...], values: Values) -> tuple[str, ...]:
    return (name, *(n for n in joined if n in values))


def _ratio(values: Values) -> list[Relation]:
    """Ball speed against club speed where the delivery does not say more."""
    if not _told(values, "club_speed_mps", "ball_speed_mps"):
        return []
    club, ball = values["club_speed_mps"], values["ball_speed_mps"]
    low, high = current().value("limit.ratio_warn_low"), current().value("limit.ratio_warn_high")
    expected = np.clip(ball, low * club, high * club)
    return [_relative("ball_speed_mps", ("club_speed_mps",), ball, expected, "speed", values)]


def _finish(values: Values, around: Surroundings) -> list[Relation]:
    """Carry, side, apex and descent against the flight of the measured start; total against carry."""
    out = []
    start = ("ball_speed_mps", "launch_deg", "spin_rpm")
    ends = [n for n in ("carry_m", "total_m", "offline_m", "apex_m", "descent_deg") if n in values]
    if _told(values, *start) and ends:
        flown = _flown(values, around)
        low, high = flown.min(axis=0), flown.max(axis=0)
        middle = flown.mean(axis=0)
        for name, at, noise in (("carry_m", vectors.CARRY, "carry"), ("apex_m", vectors.APEX, "apex")):
            if name in values:
                expected = np.clip(values[name], low[:, at], high[:, at])
                out.append(_relative(name, start, values[name], expected, noise, values))
        if "descent_deg" in values:
            down = middle[:, vectors.DESCENT] / DEG
            out.append(_sum("descent_deg", start, values["descent_deg"], down, "descent_deg", values))
        if "offline_m" in values and _told(values, "direction_deg"):
            far = np.where(middle[:, vectors.CARRY] > 20.0, middle[:, vectors.CARRY], np.nan)
            # A side is printed at the landing or at rest: the run carries on along the last direction.
            at_rest = middle[:, vectors.TOTAL_SIDE]
            expected = _nearest(values["offline_m"], middle[:, vectors.SIDE], at_rest)
            residual = (values["offline_m"] - expected) / far
            joined = ("offline_m", "direction_deg", *(n for n in ("spin_axis_deg",) if n in values))
            wide = 1.0 if "spin_axis_deg" in values else 3.0
            scatter, offset = (wide * part for part in _noise("side"))
            out.append(
                Relation("offline_m", joined, residual, scatter, offset, values["offline_m"], expected)
            )
        if "total_m" in values and "carry_m" not in values:
            far = flown[..., vectors.CARRY].min(axis=0)
            expected = np.clip(values["total_m"], far, 1.35 * flown[..., vectors.CARRY].max(axis=0))
            out.append(_relative("total_m", start, values["total_m"], expected, "carry", values))
    if _told(values, "carry_m", "total_m"):
        carry, total = values["carry_m"], values["total_m"]
        back, run = current().value("contradiction.back_m"), current().value("contradiction.run_share")
        expected = np.clip(total, carry - back, (1.0 + run) * carry)
        out.append(_relative("total_m", ("carry_m",), total, expected, "run", values))
    return out


def _nearest(found: Floats, one: Floats, other: Floats) -> Floats:
    return np.asarray(np.clip(found, np.minimum(one, other), np.maximum(one, other)))


_START = ("ball_speed_mps", "launch_deg", "spin_rpm", "direction_deg", "spin_axis_deg")


def _flown(values: Values, around: Surroundings) -> Floats:
    """Flights by every law that has a say, shape (laws, n, 16), NaN where a start is not complete."""

    def fly(
        speed: Floats, launch: Floats, spin: Floats, direction: Floats | None, axis: Floats | None
    ) -> Floats:
        nothing = np.zeros(len(launch))
        side, tilt = (nothing if x is None else np.nan_to_num(x) for x in (direction, axis))
        rows = np.column_stack([speed, launch * DEG, side * DEG, spin * RPM, tilt * DEG])
        good = np.isfinite(rows).all(axis=1) & (rows[:, 0] > 5.0) & (rows[:, 0] < 130.0)
        good &= (np.abs(rows[:, 1:3]) < 1.2).all(axis=1) & (rows[:, 3] > 1.0) & (rows[:, 3] < 2000.0)
        drawn = around.drawn
        flown = np.full((len(drawn.names), len(rows), vectors.RESULT), np.nan)
        if good.any():
            flown[:, good] = engine.fly(rows[good], drawn.world)
            ratio = spin_ratio(rows[good, vectors.SPEED], rows[good, vectors.SPIN])
            flown = flown[worlds.law_weights(drawn.names, ratio) > 0.0]
        return flown

    found: Floats = around.once("flight", fly, *(values.get(name) for name in _START))
    return found
