"""Values of an objective for people: distances, balls in 100 or strokes, and gains with their intervals."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fitter.advice.objectives import Objective
from fitter.advice.result import Ranking
from fitter.advice.scored import Gain
from fitter.base.units import US, YARD, Units
from fitter.display.words import named


@dataclass(frozen=True)
class Values:
    """How values and gains of one objective are written in one system of units.

    Parameters
    ----------
    objective : Objective
    units : Units
    yard : float or None
        Strokes that a yard is worth, where strokes are told in yards.
    names : mapping of str to str
        Options in words by their id.

    Examples
    --------
    >>> from fitter.advice.objectives import OBJECTIVES
    >>> carry, fairway = (Values(OBJECTIVES[name], Units()) for name in ("carry", "fairway"))
    >>> carry.full(9.144), carry.number(9.144, sign=True), carry.short(9.144), carry.at_least(9.9)
    ('10.0 yd', '+10.0', '+10', '10 yd')
    >>> fairway.full(0.52)
    '52 balls in 100'
    >>> Values(OBJECTIVES["play"], Units(), yard=0.004).full(0.05, sign=True)
    '+12.5 yd of play'
    """

    objective: Objective
    units: Units = US
    yard: float | None = None
    names: Mapping[str, str] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(cls, ranking: Ranking, units: Units = US) -> Values:
        """Values of a ranking's objective."""
        present = ranking.present.option.club
        options = (s.option for s in (ranking.present, *ranking.options, *ranking.breaches))
        names = {o.id: named(o, present) for o in options}
        return cls(ranking.objective, units, ranking.yard_of_play, names)

    def name(self, option: str | None) -> str:
        """An option in words; its id where the ranking did not compute it in full."""
        return "the present club" if option is None else self.names.get(option, option)

    @property
    def in_distance(self) -> bool:
        """Whether gains are told as a distance."""
        return self.objective.unit == "m" or self.yard is not None

    @property
    def digits(self) -> int:
        """Digits of a gain."""
        return 1 if self.in_distance else {"share": 0}.get(self.objective.unit, 3)

    @property
    def unit(self) -> str:
        """Unit of the gains in words."""
        far = self.units.distance_unit
        if self.yard is not None:
            return f"{far} of play"
        return {"m": far, "share": "balls in 100"}.get(self.objective.unit, self.objective.unit)

    @property
    def short_unit(self) -> str:
        """The same where there is little room."""
        return self.units.distance_unit if self.in_distance else self.unit

    def shown(self, gain: float) -> float:
        """A gain in the unit that people read."""
        if self.yard is not None:
            return float(self.units.value(gain / self.yard * YARD, "m"))
        if self.objective.unit == "share":
            return gain / 0.01
        return float(self.units.value(gain, self.objective.unit))

    def absolute(self, value: float) -> str:
        """A value that is no gain, with its unit: strokes stay strokes."""
        return replace(self, yard=None).full(value)

    def number(self, gain: float, digits: int | None = None, sign: bool = False) -> str:
        """One gain without its unit."""
        return self.units.number(self.shown(gain), self.digits if digits is None else digits, sign)

    def full(self, gain: float, sign: bool = False) -> str:
        """One gain with its unit."""
        return f"{self.number(gain, sign=sign)} {self.unit}"

    def short(self, gain: float) -> str:
        """One gain with its sign, as short as a ladder needs it."""
        return self.number(gain, 0 if self.in_distance else None, sign=True)

    def at_least(self, gain: float) -> str:
        """A bound from below, rounded down so that it stays one, with its unit."""
        size = self.shown(gain)
        digits = (0 if size >= 1.0 else 1) if self.in_distance or self.objective.unit == "share" else 3
        return f"{math.floor(size * 10**digits) / 10**digits:.{digits}f} {self.unit}"

    def ends(self, low: float, high: float) -> str:
        """Both ends of an interval of a gain."""
        return f"{self.number(low, sign=True)} to {self.number(high, sign=True)}"

    def gain(self, gain: Gain) -> str:
        """A gain and its interval, as part of a sentence."""
        unit = f" {self.short_unit}" if self.in_distance else ""
        low, high = self.number(gain.low, sign=True), self.number(gain.high, sign=True)
        return f"{self._mean(gain.mean)}, 80 % between {low} and {high}{unit}"

    def _mean(self, mean: float) -> str:
        if self.yard is not None:
            return f"{self.full(mean)} ({self.units.number(mean, 3)} strokes a hole)"
        unit = f" {self.unit}" if self.objective.unit == "m" else ""
        return self.objective.phrase.format(f"{self.number(mean)}{unit}")

    @property
    def gained(self) -> str:
        """What a gain is a gain of."""
        label = self.objective.label
        if self.objective.unit == "strokes" and self.yard is None:
            return "strokes saved a hole"
        return f"more {label}" if self.objective.unit == "share" else f"gain of {label}"
