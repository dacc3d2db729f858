"""The player's own shots as the prediction needs them: deliveries, starts, finishes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.response import Swing
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import DataError, Problem
from fitter.base.units import DEG, RPM
from fitter.shots.infer.delivery import Delivery
from fitter.shots.infer.infer import infer
from fitter.shots.screen import screen_physics
from fitter.shots.session import Session, require

Floats = NDArray[np.float64]

NEEDED = ("club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm")
"""Channels without which no shot can be replayed; the rest of the delivery is inferred."""
INFERRED = {"attack_deg": "attack", "dynamic_loft_deg": "delivered loft", "strike_toe_mm": "strike place"}
"""Channels whose absence the reader should know of."""


@dataclass(frozen=True)
class Baseline:
    """Kept shots of the present club, right-handed frame.

    Parameters
    ----------
    delivery : Delivery
        Posterior of the kept shots: what was not measured is inferred, with its doubt.
    start : ndarray, shape (shots, 5)
        Measured start (m/s, rad, rad, rad/s, rad), NaN where missing.
    carry, total, side : ndarray, shape (shots,)
        Measured finish, m, NaN where missing; side right +.
    shot : ndarray of int, shape (shots,)
        Shot numbers of the log.
    notes : tuple of str
        What was filled.
    """

    delivery: Delivery
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
        speed, attack, path, face, loft = self.delivery.mean[:, :5].mean(axis=0)
        return Swing(float(speed), float(attack), float(path), float(face), float(loft))

    def draw(self, n: int, seed: int, rival: NDArray[np.bool_]) -> Floats:
        """Draw deliveries, (n, shots, 7), each under the repair of the spin that its draw believes in."""
        rng = draws.generator(seed, "delivery", len(self))
        return self.delivery.sample(n, rng, rival.astype(np.int64))

    @property
    def has_direction(self) -> bool:
        """Whether anything measured tells the ball's direction."""
        return bool(np.isfinite(self.start[:, 2]).any() or np.isfinite(self.side).any())


def screened(session: Session, head: Floats, measured_in: Conditions | None = None) -> Session:
    """Set aside the shots whose channels contradict each other, given the present club's head (13,).

    The air in which they were measured is in the frame of the session's values; standard when silent.
    """
    require(session, NEEDED)
    return screen_physics(session, infer(session, head), measured_in)


def baseline(session: Session, head: Floats) -> Baseline:
    """Take the kept shots of a session as the baseline.

    Parameters
    ----------
    session : Session
        Screened.
    head : ndarray, shape (13,)
        The present club's, see `impact.HEAD`.

    Raises
    ------
    InputError
        If a needed channel was not measured at all.
    DataError
        If too few shots are left to carry a ranking.
    """
    require(session, NEEDED)
    kept = session.kept()
    least = int(current().value("verdict.least_shots"))
    if len(kept) < least:
        found = f"{len(kept)} kept of {len(session)}"
        do = "Hit more balls with the present club; ten to fifteen make a baseline."
        problem = Problem(session.source, found, f"at least {least} shots", do)
        raise DataError("Too few shots to rank anything.", [problem])
    delivery = infer(kept, head)
    notes = [
        f"{label}: not measured in {missing} of {len(kept)} shots, inferred"
        for name, label in INFERRED.items()
        if (missing := int(np.isnan(kept.value(name)).sum()))
    ]
    direction = kept.value("direction_deg")
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
