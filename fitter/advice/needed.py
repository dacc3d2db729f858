"""What a distance needs with one club: the speed, today's distance, the worth of speed, the chance today."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.curve import HIGH, LOW, Aim, Curve, Speeds, State
from fitter.advice.options import Option

Floats = NDArray[np.float64]
Span = tuple[float, float, float]
"""Mean and ends of an 80 % interval."""


def span(values: Floats) -> Span:
    """Mean and 80 % interval of draws (draws,)."""
    low, high = np.quantile(values, [LOW, HIGH])
    return float(values.mean()), float(low), float(high)


@dataclass(frozen=True)
class Needed:
    """What a distance needs with one club.

    Parameters
    ----------
    option : str
    known : bool
        False for a club whose figures nobody knows.
    speed_now_mps : float
        Today's mean club speed with this club.
    speed : Speeds
        Club speed that the distance needs.
    now_m : Span
        Distance that counts today, m.
    m_per_mps : Span
        Metres that one m/s of club speed is worth at this delivery.
    p_today : float
        Probability that one ball, or one set of balls, gets there at today's speed.
    longest : (float, float) or None
        Where it cannot be reached: the speed of the longest expected distance, m/s, and that distance, m.
    """

    option: str
    known: bool
    speed_now_mps: float
    speed: Speeds
    now_m: Span
    m_per_mps: Span
    p_today: float
    longest: tuple[float, float] | None

    @classmethod
    def of(cls, option: Option, state: State, aim: Aim) -> Needed:
        """Fly one club at every speed and read off what is asked."""
        curve = Curve.of(state, aim)
        speed = curve.needed(aim.distance_m)
        return cls(
            option=option.id,
            known=option.club.known,
            speed_now_mps=float(curve.speeds.mean()),
            speed=speed,
            now_m=span(curve.today),
            m_per_mps=span(curve.slope),
            p_today=state.chance(aim),
            longest=curve.longest if speed.expected is None else None,
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values."""
        now, low, high = self.now_m
        per, per_low, per_high = self.m_per_mps
        far = self.longest or (None, None)
        return {
            "option": self.option,
            "club_speed_mps": self.speed_now_mps,
            "needed_club_speed_mps": self.speed.expected,
            "needed_club_speed_low_mps": self.speed.low,
            "needed_club_speed_high_mps": self.speed.high,
            "reason": self.speed.reason,
            "longest_club_speed_mps": far[0],
            "longest_m": far[1],
            "now_m": now,
            "now_low_m": low,
            "now_high_m": high,
            "m_per_mps": per,
            "m_per_mps_low": per_low,
            "m_per_mps_high": per_high,
            "p_reach_today": self.p_today,
        }
