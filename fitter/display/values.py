"""Values of an objective for people: distances, balls in 100 or strokes, and gains with their intervals."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitter.advice.objectives import Objective
from fitter.advice.scored import Gain
from fitter.base.units import US, Units


@dataclass(frozen=True)
class Values:
    """How values and gains of one objective are written in one system of units.

    Examples
    --------
    >>> from fitter.advice.objectives import OBJECTIVES
    >>> carry, fairway = (Values(OBJECTIVES[name], Units()) for name in ("carry", "fairway"))
    >>> carry.full(9.144), carry.number(9.144, sign=True), carry.short(9.144), carry.at_least(9.9)
    ('10.0 yd', '+10.0', '+10', '10 yd')
    >>> fairway.full(0.52)
    '52 balls in 100'
    """

    objective: Objective
    units: Units = US

    @property
    def digits(self) -> int:
        """Digits of a value."""
        return {"m": 1, "share": 0}.get(self.objective.unit, 3)

    @property
    def unit(self) -> str:
        """Unit of the values in words."""
        return {"m": self.units.distance_unit, "share": "balls in 100"}.get(
            self.objective.unit, self.objective.unit
        )

    def shown(self, value: float) -> float:
        """A value in the unit that people read."""
        if self.objective.unit == "share":
            return value / 0.01
        return float(self.units.value(value, self.objective.unit))

    def number(self, value: float, digits: int | None = None, sign: bool = False) -> str:
        """One value without its unit."""
        return self.units.number(self.shown(value), self.digits if digits is None else digits, sign)

    def full(self, value: float, sign: bool = False) -> str:
        """One value with its unit."""
        return f"{self.number(value, sign=sign)} {self.unit}"

    def short(self, value: float) -> str:
        """One value with its sign, as short as a ladder needs it."""
        return self.number(value, 0 if self.objective.unit == "m" else None, sign=True)

    def at_least(self, value: float) -> str:
        """A bound from below, rounded down so that it stays one, with its unit."""
        size = self.shown(value)
        digits = (0 if size >= 1.0 else 1) if self.objective.unit in ("m", "share") else 3
        return f"{math.floor(size * 10**digits) / 10**digits:.{digits}f} {self.unit}"

    def ends(self, low: float, high: float) -> str:
        """Both ends of an interval of a gain."""
        return f"{self.number(low, sign=True)} to {self.number(high, sign=True)}"

    def gain(self, gain: Gain) -> str:
        """A gain and its interval, as part of a sentence."""
        unit = f" {self.unit}" if self.objective.unit == "m" else ""
        mean = self.objective.phrase.format(f"{self.number(gain.mean)}{unit}")
        low, high = self.number(gain.low, sign=True), self.number(gain.high, sign=True)
        return f"{mean}, 80 % between {low} and {high}{unit}"

    @property
    def gained(self) -> str:
        """What a gain is a gain of."""
        label = self.objective.label
        return {"share": f"more {label}", "strokes": "strokes saved"}.get(
            self.objective.unit, f"gain of {label}"
        )
