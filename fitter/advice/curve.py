"""Distance against club speed at one delivery, draw by draw."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import LIMITS, OBJECTIVES, Goal, goal_for
from fitter.advice.options import Option
from fitter.advice.pattern import Band, Pattern, band
from fitter.advice.replay import Replay, finished
from fitter.advice.response import Changes
from fitter.base.assumptions import current
from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import MPH, YARD
from fitter.physics import engine, vectors

Floats = NDArray[np.float64]

NEAR = np.arange(0.5, 1.6, 0.05)
FAR = np.arange(1.6, 8.0, 0.1)
"""Factors on today's club speed that are flown, as far as the fastest club."""
LOW, HIGH = 0.1, 0.9
"""Ends of an 80 % interval."""


@dataclass(frozen=True)
class Aim:
    """A distance, what of the ball is measured, and which ball of how many counts.

    Parameters
    ----------
    distance_m : float
    measure : str
        'carry' or 'total'.
    balls : int or None
        None for the mean of all balls; else the longest of so many counts, and a ball outside of the width
        counts 0. The mean, not the median: it is what the ranking compares, and its parts add up.
    width_m : float
        For a set of balls only.
    """

    distance_m: float
    measure: str
    balls: int | None
    width_m: float

    @classmethod
    def read(cls, distance_m: float, measure: str, count: str, width_m: float | None) -> Aim:
        """Check what is asked; every problem at once.

        Raises
        ------
        InputError
            If something makes no sense.
        """
        problems: list[Problem] = []
        balls: int | None = None
        try:
            balls = check_count(count)
        except InputError as error:
            problems += error.problems
        if not 20.0 <= distance_m <= 500.0:
            problems.append(Problem("DISTANCE", f"{distance_m:g} m", "20 to 500 m", "Check the unit."))
        if measure not in ("carry", "total"):
            problems.append(Problem("--as", repr(measure), "carry or total", "Name one of these."))
        width = current().value("score.grid_width_yd") * YARD if width_m is None else width_m
        low, high, words, _ = LIMITS["grid_width_m"]
        if not low <= width <= high:
            problems.append(Problem("--grid", f"{width:g} m wide", words, "Check the unit."))
        raise_if(problems, "What is to be reached is not clear.")
        return cls(distance_m, measure, balls, width)

    @property
    def goal(self) -> Goal:
        """Grid of the width, open at both ends."""
        deep = LIMITS["grid_depth_m"][1]
        goal = goal_for("grid", grid_width_m=self.width_m, grid_depth_m=deep, balls=self.balls or 1)
        return replace(goal, present_m=0.0)


@dataclass(frozen=True)
class State:
    """The player's shots with one club, and the kernel that smooths sets of them.

    Parameters
    ----------
    replay : Replay
    changed : Changes
        Of one option.
    kernel : Band
        Of the present club's pattern at today's speed, whatever club is looked at.
    """

    replay: Replay
    changed: Changes
    kernel: Band

    @classmethod
    def of(cls, replay: Replay, changed: Changes, aim: Aim) -> State:
        """Present club at today's speed, whose pattern sets the kernel."""
        plain = Band(1.0, 1.0)
        pattern = cls(replay, changed, plain).pattern(np.ones(1))
        return cls(replay, changed, band(_measured(pattern, aim), "total"))

    @property
    def speeds(self) -> Floats:
        """Mean club speed of the shots in every draw, m/s, shape (draws,)."""
        own = np.einsum("ds,ds->d", self.replay.delivery[..., 0], self.replay.weights)
        return np.asarray(own * self.changed.delivery[:, 0, vectors.CLUB_SPEED])

    def pattern(self, factors: Floats, loft: float = 0.0) -> Pattern:
        """Replay at factors on the club speed, the delivered loft raised by so much, rad: one option each."""
        delivery = np.repeat(self.changed.delivery, len(factors), axis=1)
        delivery[..., vectors.CLUB_SPEED] *= factors
        delivery[..., vectors.LOFT] += loft
        head = np.repeat(self.changed.head, len(factors), axis=1)
        r = self.replay
        return finished(r, engine.strike_to_rest(r.delivery, delivery, head, r.residual, r.drawn.world))

    def values(self, aim: Aim, factors: Floats, loft: float = 0.0) -> Floats:
        """Distance that counts at each factor, m, shape (draws, factors)."""
        return worth(self.pattern(factors, loft), aim, self.kernel)

    def today(self, aim: Aim, loft: float = 0.0) -> Floats:
        """Distance that counts at today's speed, m, shape (draws,)."""
        return np.asarray(self.values(aim, np.ones(1), loft)[:, 0])

    def chance(self, aim: Aim) -> float:
        """Probability that a ball, or a set of balls, gets there at today's speed."""
        from scipy.special import ndtr

        shots = _measured(self.pattern(np.ones(1)), aim)
        smooth = shots.smooth(self.kernel, "total", "total_side")
        there = ndtr((smooth.total - aim.distance_m) / self.kernel.far)
        if aim.balls is not None:
            target = OBJECTIVES["grid"].aim(shots, aim.goal, self.kernel)
            half, side = 0.5 * aim.width_m, smooth.total_side + target[..., None]
            there = there * (ndtr((half - side) / self.kernel.side) - ndtr((-half - side) / self.kernel.side))
        one = np.einsum("dos,ds->do", there, shots.weights)[:, 0]
        return float((1.0 - (1.0 - one) ** (aim.balls or 1)).mean())


def worth(pattern: Pattern, aim: Aim, kernel: Band) -> Floats:
    """Distance that counts, m, shape (draws, options): of the mean ball, or of a set at its aim."""
    if aim.balls is None:
        return pattern.mean(aim.measure)
    shots, grid = _measured(pattern, aim), OBJECTIVES["grid"]
    return grid.worth(shots, aim.goal, kernel, grid.aim(shots, aim.goal, kernel))


def _measured(pattern: Pattern, aim: Aim) -> Pattern:
    """Pattern whose total is what is measured."""
    far, side = getattr(pattern, aim.measure), getattr(pattern, f"{aim.measure}_side")
    return Pattern(far, far, side, side, pattern.weights, pattern.unseen)


@dataclass(frozen=True)
class Speeds:
    """Club speed that a distance needs, m/s: the speed at which it is expected, and an 80 % interval.

    None where the curve does not get there; `reason` is a code that says why, '' where nothing is to be said:
    'peaked', 'beyond the model', 'open end' or 'drawn on'.
    """

    expected: float | None
    low: float | None
    high: float | None
    reason: str


@dataclass(frozen=True)
class Curve:
    """Distance by club speed with one club.

    Everything but the speed stays as delivered: attack, path, face, delivered loft and strike. That is the
    hypothesis behind every needed speed; new speed usually comes with another delivery.

    Parameters
    ----------
    factors : ndarray, shape (factors,)
        On today's speed, 1 among them.
    values : ndarray, shape (draws, factors)
        Distance that counts, m.
    speeds : ndarray, shape (draws,)
        Today's mean club speed, m/s.
    """

    factors: Floats
    values: Floats
    speeds: Floats

    @classmethod
    def of(cls, state: State, aim: Aim, loft: float = 0.0) -> Curve:
        """Fly a state at every factor that the model can answer for."""
        speeds = state.speeds
        top = current().value("reach.top_speed_mph") * MPH / float(speeds.mean())
        tried = np.concatenate([NEAR, FAR])
        factors = np.unique(np.round(np.append(tried[tried < top - 0.01], [max(top, 1.0), 1.0]), 9))
        return cls(factors, state.values(aim, factors, loft), speeds)

    def needed(self, distance_m: float) -> Speeds:
        """Speed at which the expected distance is the one asked for; the interval inverts every draw.

        The expected distance is the mean over the draws, so that today's distance needs today's speed and a
        distance beyond today's needs more, to the digit. A draw's own speed is the least at which it gets
        there, on the running maximum of its curve.
        """
        mean = self.values.mean(axis=0)
        today = float(self.speeds.mean())
        expected = float(_invert(mean, self.factors, self._now, distance_m)) * today
        own = np.array([_invert(row, self.factors, self._now, distance_m) for row in self.values])
        own = np.where(np.isnan(own), np.inf, own) * self.speeds
        low, high = (float(q) for q in np.quantile(own, [LOW, HIGH], method="nearest"))
        reason = ""
        if np.isnan(expected):
            reason = "peaked" if self.peaked else "beyond the model"
        elif not np.isfinite(high):
            reason = "open end"
        elif distance_m < mean[0]:
            reason = "drawn on"
        known = [v if np.isfinite(v) else None for v in (expected, low, high)]
        return Speeds(known[0], known[1], known[2], reason)

    @property
    def peaked(self) -> bool:
        """Whether the expected distance falls again before the fastest club."""
        return int(np.argmax(self.values.mean(axis=0))) < len(self.factors) - 1

    @property
    def longest(self) -> tuple[float, float]:
        """Speed of the longest expected distance, m/s, and that distance, m."""
        mean = self.values.mean(axis=0)
        k = int(np.argmax(mean))
        return float(self.factors[k] * self.speeds.mean()), float(mean[k])

    @property
    def today(self) -> Floats:
        """Distance at today's speed, m, shape (draws,)."""
        return np.asarray(self.values[:, self._now])

    @property
    def slope(self) -> Floats:
        """Metres that one m/s of club speed is worth at today's speed, shape (draws,)."""
        k = self._now
        low, high = max(k - 1, 0), min(k + 1, len(self.factors) - 1)
        rise = self.values[:, high] - self.values[:, low]
        return np.asarray(rise / ((self.factors[high] - self.factors[low]) * self.speeds))

    @property
    def _now(self) -> int:
        return int(np.argmin(np.abs(self.factors - 1.0)))


def _invert(values: Floats, factors: Floats, now: int, distance_m: float) -> float:
    """Factor at which a curve gets there: beyond today's distance the first faster one, else the last slower.

    NaN where no faster swing gets there. Searching from today's speed keeps the answer on its own side of
    it, even where a set of balls loses more by its spread than it gains by speed.
    """
    if values[now] < distance_m:
        over = np.flatnonzero(values[now:] >= distance_m)
        if not len(over):
            return float("nan")
        k = now + int(over[0])
    else:
        under = np.flatnonzero(values[: now + 1] < distance_m)
        k = int(under[-1]) + 1 if len(under) else 1
    rise = float(values[k] - values[k - 1])
    if rise <= 0.0:
        return float(factors[k - 1])
    t = (distance_m - float(values[k - 1])) / rise
    return max(float(factors[k - 1] + t * (factors[k] - factors[k - 1])), 0.0)


def check_count(count: str) -> int | None:
    """Balls of 'best-of-N', None for 'typical'.

    Raises
    ------
    InputError
        If it is neither.

    Examples
    --------
    >>> check_count("best-of-6"), check_count("typical")
    (6, None)
    """
    if count == "typical":
        return None
    start, _, number = count.rpartition("-")
    low, high, words, _ = LIMITS["balls"]
    if start == "best-of" and number.isascii() and number.isdigit() and low <= int(number) <= high:
        return int(number)
    allowed = f"typical, or best-of-N with N from {words}"
    raise InputError("What counts is not clear.", [Problem("--count", repr(count), allowed, "Name one.")])


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
