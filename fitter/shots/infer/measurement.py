"""What a device shows of a delivery, the measured shots in one table, and how exact each channel is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter import strike_models
from fitter.base.assumptions import current
from fitter.base.units import DEG, RPM
from fitter.physics import engine, vectors
from fitter.shots.session import Session
from fitter.shots.vocabulary import CHANNELS

Floats = NDArray[np.float64]

MEASURED = (
    "club_speed_mps", "attack_deg", "path_deg", "face_deg", "dynamic_loft_deg", "strike_toe_mm",
    "strike_high_mm", "ball_speed_mps", "launch_deg", "direction_deg", "spin_rpm", "spin_axis_deg",
)  # fmt: skip
"""Channels from which the delivery is inferred, in the order of the arrays here."""
START = 7
"""First channel of the ball's start; those before it are the delivery's own."""
SCALE = np.array([1.0, DEG, DEG, DEG, DEG, 1e-3, 1e-3, 1.0, DEG, DEG, RPM, DEG])
"""SI in one unit of each channel's name."""
SPEED, PATH, RESTITUTION, LAUNCH, SPIN, AXIS, TURN, START_LINE = range(8)
OF_SESSION = ("club_speed", "path", "restitution", "launch", "spin", "axis", "face", "direction")
"""Calibrations of a session: logarithm of a factor on the club speed, sums on the path (rad), the restitution
and the launch (rad), logarithm of a factor on the spin, sums on the spin axis, the face and the ball's
direction (rad)."""
OPEN = len(OF_SESSION)
"""First of the calibrations that are what is open about the strike, see `strike_models.opened`."""
CALIBRATIONS = (*OF_SESSION, *(name.removeprefix("strike.") for name in strike_models.OPEN))
COLUMN = {name: k for k, name in enumerate(MEASURED)}
"""Place of each channel in the arrays here."""
BELONG = {"face_point": ("face_deg", "dynamic_loft_deg"), "speed_point": ("path_deg",)}
"""Channels that belong to each point: a head's turn moves the path, and the speed hardly."""
_FACTOR = ("club_speed_mps", "ball_speed_mps")
_INDOOR = ("spin_rpm", "spin_axis_deg")
_SPIN, _AXIS = MEASURED.index("spin_rpm"), MEASURED.index("spin_axis_deg")
LOFT, FACE = MEASURED.index("dynamic_loft_deg"), MEASURED.index("face_deg")


@dataclass(frozen=True)
class Data:
    """Shots of several sessions in one table, session after session.

    Parameters
    ----------
    y, sd : ndarray, shape (n, 12)
        Measured channels and their SDs, SI; NaN where there is nothing to use.
    first : ndarray of int, shape (sessions,)
        Row at which each session begins.
    trust : ndarray, shape (n,)
        1 where a shot counts for the session's mean and calibrations, 0 where it was set aside.
    head : ndarray, shape (n, 13)
    mean, spread : ndarray, shape (sessions, C)
        Prior of the calibrations.
    ordinary : float
        Squared Mahalanobis distance from the player's mean up to which a shot is an ordinary one.
    loose : ndarray, shape (n,)
        How firmly each shot is held to the player's mean, 1 as the scatter says.
    usual : ndarray, shape (n,)
        Spin of the session's middle shot, rad/s.
    """

    y: Floats
    sd: Floats
    first: NDArray[np.int64]
    trust: Floats
    head: Floats
    mean: Floats
    spread: Floats
    ordinary: float
    loose: Floats
    usual: Floats

    def take(self, rows: NDArray[np.int64], y: Floats) -> Data:
        """Cut out some rows, in order, with other measurements y (n, 12)."""
        sessions, first = np.unique(self.owner[rows], return_index=True)
        return Data(
            y[rows], self.sd[rows], first, self.trust[rows], self.head[rows], self.mean[sessions],
            self.spread[sessions], self.ordinary, self.loose[rows],
            self.usual[rows],
        )  # fmt: skip

    @property
    def owner(self) -> NDArray[np.int64]:
        """Session of each shot, shape (n,)."""
        counts = np.diff(np.append(self.first, len(self.y)))
        return np.repeat(np.arange(len(self.first)), counts)


def is_indoor(session: Session, indoor: bool | None = None) -> NDArray[np.bool_]:
    """Whether each shot was hit indoors, shape (n,): as given, else by the channel 'place', else outdoors."""
    if indoor is not None:
        return np.full(len(session), indoor)
    return np.array([w.strip().casefold().startswith("in") for w in session.word("place")], dtype=bool)


def measured(session: Session) -> Floats:
    """Measured channels in SI, shape (n, 12), NaN where missing, impossible or left out.

    Only the channel that a flag sets aside is left out: the rest of the shot is still used.
    """
    y = np.stack([session.used(name) for name in MEASURED], axis=1) * SCALE
    at = {int(s): i for i, s in enumerate(session.shot)}
    for flag in session.flags:
        if flag.set_aside and flag.channel in MEASURED and flag.shot in at:
            y[at[flag.shot], MEASURED.index(flag.channel)] = np.nan
    # An impossible value is not used, flagged or not.
    for k, name in enumerate(MEASURED):
        y[impossible(session, name), k] = np.nan
    return np.where(np.isfinite(y), y, np.nan)


def impossible(session: Session, name: str) -> NDArray[np.bool_]:
    """Where a channel lies beyond what can be, shape (n,).

    The face ends where strikes do, so that a strike near its edge may be read beyond it: by its noise.
    """
    low, high = CHANNELS[name].limits or (-np.inf, np.inf)
    value, room = session.value(name), 0.0
    if name.startswith("strike"):
        a = current()
        room = a.value("measurement.noise_room") * a.sd("measurement.strike_mm")
    return np.asarray((value < low - room) | (value > high + room))


def spreads(session: Session, indoor: bool | None = None) -> Floats:
    """SD of each measured value in SI, shape (n, 12).

    A value that the device estimated gets `measurement.estimated_factor` times the SD of a measured one.
    """
    a = current()
    inside = is_indoor(session, indoor)
    out = np.empty((len(session), len(MEASURED)))
    for k, name in enumerate(MEASURED):
        if name in _FACTOR:
            share = a.sd(f"measurement.{CHANNELS[name].stem}_pct") / 100.0
            out[:, k] = share * np.maximum(np.nan_to_num(session.value(name), nan=1.0), 1.0)
        else:
            entry = "strike_mm" if name.startswith("strike") else name
            out[:, k] = a.sd(f"measurement.{entry}") * SCALE[k]
            if name in _INDOOR:
                out[inside, k] = a.sd(f"measurement.{name}_indoor") * SCALE[k]
        guessed = session.estimated.get(name)
        if guessed is not None:
            out[guessed, k] *= a.value("measurement.estimated_factor")
    return out


def usual_spin(session: Session) -> float:
    """Middle spin of a session, rad/s; that of an ordinary drive if none was measured."""
    told = session.used("spin_rpm")
    told = told[np.isfinite(told) & ~impossible(session, "spin_rpm")]
    return float(np.median(told) if len(told) else current().value("measurement.usual_spin_rpm")) * RPM


def open_points(session: Session, name: str) -> tuple[int, ...]:
    """Places of `vocabulary.POINTS` that a point may have: as told, else both if something belongs to it."""
    told = session.told_point(name)
    if told is not None:
        return (told,)
    return (0, 1) if any(session.has(c) for c in BELONG[name]) else (0,)


def path_offsets() -> Floats:
    """Mean and SD of what a device adds to the path of the face centre, (2, 2), rad.

    First where it measures at the face centre, then at the head's mass centre.
    """
    a = current()
    names = ("measurement.path_offset_deg", "measurement.closure_path_deg")
    return np.array([[a.value(n), a.sd(n)] for n in names]) * DEG


def calibration_prior(session: Session) -> tuple[Floats, Floats]:
    """Mean and SD of the session's calibrations before its shots are looked at, shape (C,) each.

    Where it is open to which point of the head the path belongs, both moments are those of the mixture.
    """
    a = current()
    names = ("club_speed_offset_pct", "path_offset_deg", "restitution_offset", "launch_offset_deg",
             "spin_factor_pct", "axis_offset_deg", "face_offset_deg", "direction_offset_deg")  # fmt: skip
    unit = np.array([0.01, DEG, 1.0, DEG, 0.01, DEG, DEG, DEG])
    mean = np.array([a.value(f"measurement.{n}") for n in names]) * unit
    sd = np.array([a.sd(f"measurement.{n}") for n in names]) * unit
    # The strike model's restitution and its slope are judged, so that of a slow club is less certain.
    away = _closing_speed(session) - a.value("strike.restitution_speed")
    own = a.sd("strike.restitution") ** 2 + (a.sd("strike.restitution_slope") * away) ** 2
    sd[RESTITUTION] = np.sqrt(sd[RESTITUTION] ** 2 + own)
    offsets, places = path_offsets(), open_points(session, "speed_point")
    w = np.zeros(2)
    w[list(places)] = 1.0 if len(places) == 1 else [1.0 - at_mass_centre(), at_mass_centre()]
    mean[PATH] = w @ offsets[:, 0]
    sd[PATH] = np.sqrt(w @ (offsets[:, 1] ** 2 + (offsets[:, 0] - mean[PATH]) ** 2))
    more = len(CALIBRATIONS) - OPEN
    return np.append(mean, np.zeros(more)), np.append(sd, np.ones(more))


def at_mass_centre() -> float:
    """Probability that path and speed belong to the mass centre, before anything is looked at."""
    return current().value("measurement.at_mass_centre")


def _closing_speed(session: Session) -> float:
    """Rough speed of a session's club, m/s: the strike at which its restitution is wanted."""
    for name, ratio in (("club_speed_mps", 1.0), ("ball_speed_mps", 1.45)):
        values = session.value(name)
        values = values[np.isfinite(values) & (values > 0.0)]
        if len(values):
            return float(np.median(values)) / ratio
    return current().value("player.mean_speed")


def predict(
    x: Floats,
    calibration: Floats,
    head: Floats,
    model: Floats,
    struck: NDArray[np.int64] | None = None,
    usual: Floats | None = None,
) -> Floats:
    """What a device would show of deliveries.

    Parameters
    ----------
    x : ndarray, shape (..., 7)
        Delivery at the face centre with the logarithm of the speed first: log m/s, rad, m.
    calibration : ndarray, shape (..., C)
        See `CALIBRATIONS`.
    head : ndarray, shape (..., 13)
        See `vectors.HEAD`.
    model : ndarray, shape (..., 15)
        See `vectors.MODEL`.
    struck : ndarray of int, shape (k,), optional
        With x of shape (..., k, n, 7): 1 where face and loft are told where the ball was struck, else 0.
    usual : ndarray, shape (n,), optional
        Spin to which the factor on the spin is applied, rad/s; the predicted one if None. The most probable
        pair of a product has the factor too large, since it then explains the player's scatter by less
        scatter of the swing.

    Returns
    -------
    ndarray, shape (..., 12)
        In the order of `MEASURED`, SI.
    """
    deed = np.array(x)
    deed[..., 0] = np.exp(x[..., 0])
    bounce = strike_models.opened(
        model, np.broadcast_to(calibration[..., OPEN:], (*x.shape[:-1], len(CALIBRATIONS) - OPEN))
    )
    bounce[..., vectors.COR] += calibration[..., RESTITUTION]
    start = engine.strikes(deed, head, bounce)
    out = np.empty((*x.shape[:-1], len(MEASURED)))
    out[..., :START] = deed
    out[..., 0] *= np.exp(calibration[..., SPEED])
    out[..., 2] += calibration[..., PATH]
    out[..., FACE] += calibration[..., TURN]
    out[..., START:] = start
    out[..., START + 1] += calibration[..., LAUNCH]
    out[..., START + 2] += calibration[..., START_LINE]
    out[..., 10] += np.expm1(calibration[..., SPIN]) * (out[..., 10] if usual is None else usual)
    out[..., 11] += calibration[..., AXIS]
    if struck is not None and struck.any():
        there = np.flatnonzero(struck)
        at = at_strike(deed[..., there, :, :], head)
        out[..., LOFT][..., there, :] = at[..., 0]
        out[..., FACE][..., there, :] = at[..., 1] + calibration[..., TURN][..., there, :]
    return out


def aligned(shown: Floats, y: Floats) -> Floats:
    """Predictions in a form that is nearly linear in the delivery, (..., n, 12), beside measurements (n, 12).

    Where spin and axis were both measured they are compared as one vector, along and square to the measured
    one: side spin is nearly linear in the delivery, while its angle is not. At a measurement both agree.
    """
    both = np.isfinite(y[:, _SPIN]) & np.isfinite(y[:, _AXIS])
    if not both.any():
        return shown
    out = np.array(shown)
    spin, off = shown[..., both, _SPIN], shown[..., both, _AXIS] - y[both, _AXIS]
    out[..., both, _SPIN] = spin * np.cos(off)
    out[..., both, _AXIS] = y[both, _AXIS] + spin / y[both, _SPIN] * np.sin(off)
    return out


def at_strike(delivery: Floats, head: Floats) -> Floats:
    """Loft and face of the bulged and rolled face where the ball was struck.

    Parameters
    ----------
    delivery : ndarray, shape (..., 7)
        See `vectors.DELIVERY`.
    head : ndarray, shape (..., 13)
        See `vectors.HEAD`.

    Returns
    -------
    ndarray, shape (..., 2)
        Dynamic loft and face (right +), rad: the angles of the normal (1, high/roll, toe/bulge), turned by
        the delivered loft and face, as in `impact`.
    """
    face, loft = delivery[..., vectors.FACE], delivery[..., vectors.LOFT]
    up = delivery[..., vectors.HIGH] * head[..., vectors.ROLL]
    toe = delivery[..., vectors.TOE] * head[..., vectors.BULGE]
    along = np.cos(loft) - up * np.sin(loft)
    rise = np.sin(loft) + up * np.cos(loft)
    size = np.sqrt(1.0 + up * up + toe * toe)
    right = face + np.arctan2(toe, along)
    return np.stack([np.arcsin(rise / size), right], axis=-1)
