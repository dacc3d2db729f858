"""Distance against club speed at one delivery, draw by draw."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import OBJECTIVES
from fitter.advice.pattern import Pattern, band
from fitter.advice.predict import Replay, finished
from fitter.advice.response import Changes
from fitter.advice.wish import LIMITS, Wish
from fitter.assumptions import load
from fitter.errors import InputError, Problem, raise_if
from fitter.physics import engine, impact
from fitter.units import MPH, YARD

Floats = NDArray[np.float64]

SLOWEST, FASTEST, STEP = 0.7, 1.45, 0.05
"""Factors on today's club speed that are flown."""
TOP_MPS = 165.0 * MPH
"""Fastest club that the model is asked for: beyond it no ball data stand behind the laws."""


@dataclass(frozen=True)
class Aim:
    """A distance, what of the ball is measured, and which ball of how many counts."""

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
        from fitter.advice.reach import check_count

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
        width = load().value("score.grid_width_yd") * YARD if width_m is None else width_m
        low, high, words, _ = LIMITS["grid_width_m"]
        if not low <= width <= high:
            problems.append(Problem("--grid", f"{width:g} m wide", words, "Check the unit."))
        raise_if(problems, "What is to be reached is not clear.")
        return cls(distance_m, measure, balls, width)


@dataclass(frozen=True)
class State:
    """The player's shots with one club: what is replayed and what is changed (one option)."""

    replay: Replay
    changed: Changes

    @property
    def speed(self) -> float:
        """Mean club speed, m/s."""
        own = np.einsum("ds,ds->d", self.replay.delivery[..., 0], self.replay.weights)
        return float((own * self.changed.delivery[:, 0, 0]).mean())

    def pattern(self, factors: Floats, loft: float = 0.0) -> Pattern:
        """Replay at factors on the club speed, the delivered loft raised by so much, rad: one option each."""
        delivery = np.repeat(self.changed.delivery, len(factors), axis=1)
        delivery[..., impact.CLUB_SPEED] *= factors
        delivery[..., impact.LOFT] += loft
        head = np.repeat(self.changed.head, len(factors), axis=1)
        r = self.replay
        return finished(r, engine.strike_to_rest(r.delivery, delivery, head, r.residual, r.drawn.world))

    def values(self, aim: Aim, factors: Floats, loft: float = 0.0) -> Floats:
        """Distance that counts at each factor, m, shape (draws, factors)."""
        pattern = self.pattern(factors, loft)
        if aim.balls is None:
            return pattern.mean(aim.measure)
        shots, wish = _in_width(pattern, aim)
        kernel = band(shots, "total")
        grid = OBJECTIVES["grid"]
        return grid.worth(shots, wish, kernel, grid.best_aim(shots, wish, kernel))

    def chance(self, aim: Aim) -> float:
        """Probability that a ball, or a set of balls, gets there at today's speed."""
        shots, wish = _in_width(self.pattern(np.ones(1)), aim)
        kernel = band(shots, "total")
        grid = OBJECTIVES["grid"]
        target = grid.best_aim(shots, wish, kernel)
        from scipy.special import ndtr

        smooth = shots.smooth(kernel)
        there = ndtr((smooth.total - aim.distance_m) / kernel.far)
        if aim.balls is not None:
            half, side = 0.5 * aim.width_m, smooth.total_side + target[..., None]
            there = there * (ndtr((half - side) / kernel.side) - ndtr((-half - side) / kernel.side))
        one = np.einsum("dos,ds->do", there, shots.weights)[:, 0]
        return float((1.0 - (1.0 - one) ** (aim.balls or 1)).mean())


def _in_width(pattern: Pattern, aim: Aim) -> tuple[Pattern, Wish]:
    """Pattern whose total is what is measured, and a grid of the width without an end."""
    far, side = getattr(pattern, aim.measure), getattr(pattern, f"{aim.measure}_side")
    wish = Wish("grid", grid_width_m=aim.width_m, grid_depth_m=2.0, balls=aim.balls or 1, present_m=1.0)
    return Pattern(far, far, side, side, pattern.weights), wish


@dataclass(frozen=True)
class Curve:
    """Distance by club speed: values (draws, factors), rising in the factors."""

    factors: Floats
    values: Floats
    speed: float

    @classmethod
    def of(cls, state: State, aim: Aim, loft: float = 0.0) -> Curve:
        """Fly a state at every factor that the model can answer for."""
        top = min(FASTEST, TOP_MPS / state.speed)
        factors = np.append(np.arange(SLOWEST, top - 1e-9, STEP), max(top, 1.0))
        factors = np.unique(np.append(factors, 1.0))
        values = np.maximum.accumulate(state.values(aim, factors, loft), axis=1)
        return cls(factors, values, state.speed)

    @property
    def top_mps(self) -> float:
        """Fastest club flown."""
        return float(self.factors[-1] * self.speed)

    def factor(self, distance_m: float) -> Floats:
        """Factor on the club speed that a distance needs, NaN where it lies beyond the curve, (draws,).

        Below the slowest club the curve is drawn on in a straight line.
        """
        found = np.empty(len(self.values))
        for d, row in enumerate(self.values):
            # Ties of the running maximum would make the inverse ambiguous.
            rising = row + 1e-9 * np.arange(len(row))
            found[d] = np.interp(distance_m, rising, self.factors, right=np.nan)
            if distance_m < rising[0]:
                slope = (self.factors[1] - self.factors[0]) / (rising[1] - rising[0])
                found[d] = max(self.factors[0] + (distance_m - rising[0]) * slope, 0.05)
        return found

    def today(self) -> float:
        """Mean distance at today's speed, m."""
        return float(self.values[:, self._now].mean())

    def slope(self) -> float:
        """Metres that one m/s of club speed is worth at today's speed."""
        k = self._now
        low, high = max(k - 1, 0), min(k + 1, len(self.factors) - 1)
        rise = (self.values[:, high] - self.values[:, low]).mean()
        return float(rise / ((self.factors[high] - self.factors[low]) * self.speed))

    @property
    def _now(self) -> int:
        return int(np.argmin(np.abs(self.factors - 1.0)))
