"""The player's own shots as the prediction needs them: deliveries, starts, finishes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.response import Swing
from fitter.assumptions import load
from fitter.errors import DataError, Problem
from fitter.shots.channels import Session, require
from fitter.units import DEG, RPM

Floats = NDArray[np.float64]

NEEDED = ("club_speed_mps", "attack_deg", "dynamic_loft_deg", "ball_speed_mps", "launch_deg", "spin_rpm")
"""Channels without which no shot can be replayed."""


@dataclass(frozen=True)
class Baseline:
    """Kept shots of the present club, right-handed frame.

    Parameters
    ----------
    delivery : ndarray, shape (shots, 7)
        See `impact.DELIVERY`; missing values filled from the other shots.
    start : ndarray, shape (shots, 5)
        Measured start (m/s, rad, rad, rad/s, rad), NaN where missing.
    carry, total, side : ndarray, shape (shots,)
        Measured finish, m, NaN where missing; side right +.
    shot : ndarray of int, shape (shots,)
        Shot numbers of the log.
    notes : tuple of str
        What was filled.
    """

    delivery: Floats
    start: Floats
    carry: Floats
    total: Floats
    side: Floats
    shot: NDArray[np.int64]
    notes: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.delivery)

    @property
    def swing(self) -> Swing:
        """Mean delivery."""
        speed, attack, path, face, loft = self.delivery[:, :5].mean(axis=0)
        return Swing(float(speed), float(attack), float(path), float(face), float(loft))

    @property
    def has_direction(self) -> bool:
        """Whether anything measured tells the ball's direction."""
        return bool(np.isfinite(self.start[:, 2]).any() or np.isfinite(self.side).any())


def baseline(session: Session) -> Baseline:
    """Take the kept shots of a session as the baseline.

    Raises
    ------
    InputError
        If a needed channel was not measured at all.
    DataError
        If too few shots are left to carry a ranking.
    """
    require(session, NEEDED)
    kept = session.kept()
    least = int(load().value("verdict.least_shots"))
    if len(kept) < least:
        found = f"{len(kept)} kept of {len(session)}"
        do = "Hit more balls with the present club; ten to fifteen make a baseline."
        problem = Problem(session.source, found, f"at least {least} shots", do)
        raise DataError("Too few shots to rank anything.", [problem])
    notes: list[str] = []
    delivery = np.zeros((len(kept), 7))
    direction = kept.value("direction_deg")
    delivery[:, 0] = _filled(kept, "club_speed_mps", notes)
    delivery[:, 1] = _filled(kept, "attack_deg", notes) * DEG
    path, face = kept.value("path_deg"), kept.value("face_deg")
    # The ball starts near the face: direction stands in for a face that was not measured, else for both.
    face = np.where(np.isfinite(face), face, np.where(np.isfinite(direction), direction, np.nan))
    path = np.where(np.isfinite(path), path, face)
    delivery[:, 2] = _or_mean(path) * DEG
    delivery[:, 3] = _or_mean(face) * DEG
    delivery[:, 4] = _filled(kept, "dynamic_loft_deg", notes) * DEG
    delivery[:, 5] = np.nan_to_num(kept.value("strike_toe_mm")) * 1e-3
    delivery[:, 6] = np.nan_to_num(kept.value("strike_high_mm")) * 1e-3
    start = np.stack(
        [
            kept.value("ball_speed_mps"),
            kept.value("launch_deg") * DEG,
            direction * DEG,
            kept.value("spin_rpm") * RPM,
            kept.value("spin_axis_deg") * DEG,
        ],
        axis=1,
    )
    for name in ("ball_speed_mps", "launch_deg", "spin_rpm"):
        missing = int(np.isnan(kept.value(name)).sum())
        if missing:
            notes.append(f"{name}: {missing} of {len(kept)} missing, predicted from the delivery")
    return Baseline(
        delivery, start, kept.value("carry_m"), kept.value("total_m"), kept.value("offline_m"), kept.shot,
        tuple(notes),
    )  # fmt: skip


def _or_mean(values: Floats) -> Floats:
    known = values[np.isfinite(values)]
    return np.where(np.isfinite(values), values, known.mean() if len(known) else 0.0)


def _filled(session: Session, channel: str, notes: list[str]) -> Floats:
    values = session.value(channel)
    missing = int(np.isnan(values).sum())
    if missing:
        notes.append(f"{channel}: {missing} of {len(values)} missing, taken as the mean of the others")
    return _or_mean(values)
