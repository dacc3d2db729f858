"""Numbers as people read them on paper: in the units in force, sides as L and R."""

from __future__ import annotations

from dataclasses import dataclass

from fitter.advice.objectives import Objective
from fitter.advice.verdict import Say
from fitter.base.units import MPH, YARD, from_si

MINUS = "−"


class Printed(Say):
    """Values with a minus as print has it."""

    def plain(self, value: float, sign: bool = False) -> str:
        """One value without its unit."""
        text = super().plain(value, sign)
        return text.lstrip("+-") if float(text) == 0.0 else text.replace("-", MINUS)


@dataclass(frozen=True)
class Numbers:
    """Formats in one system of units; what comes in is SI.

    Parameters
    ----------
    metric : bool
        Metres in place of yards and miles per hour.
    """

    metric: bool = False

    @property
    def length(self) -> str:
        """Unit of distances."""
        return "m" if self.metric else "yd"

    @property
    def scale(self) -> float:
        """Metres in one unit of distance."""
        return 1.0 if self.metric else YARD

    @property
    def speed_unit(self) -> str:
        """Unit of speeds."""
        return "m/s" if self.metric else "mph"

    def say(self, objective: Objective) -> Say:
        """How values of an objective are said."""
        return Printed(objective, self.length, self.scale)

    def scaled(self, metres: float) -> float:
        """Metres as a plain number in the unit of distances."""
        return metres / self.scale

    def fast(self, mps: float) -> float:
        """Metres per second as a plain number in the unit of speeds."""
        return mps if self.metric else mps / MPH

    def far(self, metres: float, digits: int = 0) -> str:
        """Distance with its unit."""
        return f"{plain(self.scaled(metres), digits)} {self.length}"

    def speed(self, mps: float, digits: int | None = None) -> str:
        """Speed with its unit."""
        at = (1 if self.metric else 0) if digits is None else digits
        return f"{plain(self.fast(mps), at)} {self.speed_unit}"

    def side(self, metres: float | None, digits: int = 0) -> str:
        """Sideways distance: L or R, never a sign."""
        return "not measured" if metres is None else side(self.scaled(metres), self.length, digits)

    def wider(self, change: float | None) -> str:
        """Change of the side spread in words."""
        if change is None:
            return "not measured"
        size = plain(abs(self.scaled(change)), 1)
        if float(size) == 0.0:
            return "the same"
        return f"{size} {self.length} {'wider' if change > 0 else 'narrower'}"

    def temperature(self, celsius: float) -> str:
        """Temperature with its unit."""
        unit = "C" if self.metric else "F"
        return f"{plain(from_si(celsius, unit), 0)} °{unit}"


def plain(value: float, digits: int = 0, sign: bool = False) -> str:
    """One number with a printed minus; no minus before a zero.

    Examples
    --------
    >>> plain(-0.04, 1), plain(3.26, 1, sign=True)
    ('0.0', '+3.3')
    """
    text = f"{abs(value):.{digits}f}"
    if float(text) == 0.0:
        return text
    return (MINUS if value < 0 else "+" if sign else "") + text


def side(value: float, unit: str, digits: int = 1) -> str:
    """One side in a unit.

    Examples
    --------
    >>> side(-3.24, "deg"), side(0.01, "deg")
    ('3.2 deg L', '0.0 deg')
    """
    size = plain(abs(value), digits)
    return f"{size} {unit}" + ("" if float(size) == 0.0 else " R" if value > 0 else " L")


def counted(n: int, one: str, many: str = "") -> str:
    """A number with its noun.

    Examples
    --------
    >>> counted(1, "shot"), counted(2, "shot")
    ('1 shot', '2 shots')
    """
    return f"{n} {one if n == 1 else many or one + 's'}"
