"""The last ball beside what was predicted for the club that hit it, as one line of large type needs it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitter.tui.answer import option_of
from fitter.tui.measured import Z80, spread_of
from fitter.tui.view import View

INSIDE, LONGER, SHORTER = "inside", "longer", "shorter"
"""Where a ball lies against what was predicted of it."""


@dataclass(frozen=True)
class LastBall:
    """The last ball.

    Parameters
    ----------
    shot : int
    build : str
        '' for the present club.
    label : str
        'total' or 'carry': what it is held against.
    measured : float or None
        Distance, m.
    side : float or None
        Side as the player sees it, right +, m.
    predicted : (float, float) or None
        What eight balls of ten with that club should reach, m: the prediction's own doubt and the scatter of
        single balls together.
    state : str
        'read', 'partly read', 'not read', 'set aside'.
    """

    shot: int
    build: str
    label: str
    measured: float | None
    side: float | None
    predicted: tuple[float, float] | None
    state: str

    @property
    def verdict(self) -> str:
        """Where it lies against the prediction, '' without both."""
        if self.measured is None or self.predicted is None or self.state == "set aside":
            return ""
        low, high = self.predicted
        return LONGER if self.measured > high else SHORTER if self.measured < low else INSIDE


def state_of(view: View) -> str:
    """Whether the last shot was read."""
    assert view.shots is not None
    session = view.shots.session
    if session.set_aside[-1]:
        return "set aside"
    needed = ("club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm")
    there = [math.isfinite(session.value(n)[-1]) for n in needed]
    return "read" if all(there) else "partly read" if any(there) else "not read"


def last_ball(view: View) -> LastBall | None:
    """The last ball of the session, None before the first."""
    if view.shots is None or not len(view.shots.session):
        return None
    reading = view.shots
    build = reading.builds[-1]
    total = view.bench.objective == "total" and bool(np.isfinite(reading.session.value("total_m")[-1]))
    name = "total_m" if total else "carry_m"
    value = float(reading.session.value(name)[-1])
    side = float(reading.seen.value("offline_m")[-1])
    option = None if view.answer is None else option_of(view.answer, build, view.kit)
    predicted = None
    if option is not None:
        middle, gain = (option.total_m, option.total_gain) if total else (option.carry_m, option.carry_gain)
        single = Z80 * spread_of(reading, name)
        if math.isfinite(single):
            # The mean of the club is not known, and a ball scatters about it: both widen.
            predicted = (
                middle - math.hypot(single, gain.mean - gain.low),
                middle + math.hypot(single, gain.high - gain.mean),
            )
    return LastBall(
        int(reading.session.shot[-1]), build, "total" if total else "carry",
        value if math.isfinite(value) else None, side if math.isfinite(side) else None, predicted,
        state_of(view),
    )  # fmt: skip
