"""Every conversion lives here: SI inside, the unit in the name at the edges."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from fitter.base.errors import InputError, Problem

MPH = 0.44704
"""Metres per second in one mile per hour (exact)."""
KMH = 1.0 / 3.6
YARD = 0.9144
FOOT = 0.3048
INCH = 0.0254
RPM = 0.10471975511965977
"""Radians per second in one revolution per minute."""
DEG = 0.017453292519943295
OUNCE = 0.028349523125
"""Kilograms in one avoirdupois ounce (exact)."""


@dataclass(frozen=True)
class Unit:
    """A unit of one quantity: ``si = value * factor + offset``."""

    quantity: str
    factor: float
    offset: float = 0.0


UNITS: dict[str, Unit] = {
    "mph": Unit("speed", MPH),
    "m/s": Unit("speed", 1.0),
    "mps": Unit("speed", 1.0),
    "km/h": Unit("speed", KMH),
    "kmh": Unit("speed", KMH),
    "kph": Unit("speed", KMH),
    "yd": Unit("length", YARD),
    "yds": Unit("length", YARD),
    "yard": Unit("length", YARD),
    "yards": Unit("length", YARD),
    "m": Unit("length", 1.0),
    "metres": Unit("length", 1.0),
    "meters": Unit("length", 1.0),
    "cm": Unit("length", 0.01),
    "mm": Unit("length", 0.001),
    "in": Unit("length", INCH),
    "inch": Unit("length", INCH),
    "ft": Unit("length", FOOT),
    "feet": Unit("length", FOOT),
    "deg": Unit("angle", 1.0),
    "degrees": Unit("angle", 1.0),
    "°": Unit("angle", 1.0),
    "rad": Unit("angle", 1.0 / DEG),
    "rpm": Unit("spin", 1.0),
    "rad/s": Unit("spin", 1.0 / RPM),
    "rps": Unit("spin", 60.0),
    "s": Unit("time", 1.0),
    "C": Unit("temperature", 1.0),
    "°C": Unit("temperature", 1.0),
    "F": Unit("temperature", 5.0 / 9.0, -160.0 / 9.0),
    "°F": Unit("temperature", 5.0 / 9.0, -160.0 / 9.0),
    "Pa": Unit("pressure", 1.0),
    "hPa": Unit("pressure", 100.0),
    "mbar": Unit("pressure", 100.0),
    "kPa": Unit("pressure", 1000.0),
    "inHg": Unit("pressure", 3386.389),
    "%": Unit("share", 0.01),
    "g": Unit("mass", 0.001),
    "kg": Unit("mass", 1.0),
    "oz": Unit("mass", OUNCE),
    "cpm": Unit("frequency", 1.0),
    "Hz": Unit("frequency", 60.0),
    "us": Unit("duration", 1.0),
}
"""Unit spellings. The core keeps m/s, m, deg, rpm, s, deg C, Pa, kg, cpm and shares of one."""

_BY_CASEFOLD = {name.casefold(): unit for name, unit in reversed(UNITS.items())}
_TOO_LARGE = 1e100
"""Numbers from here on are no measurement, and overflow in other units."""
_QUANTITY = re.compile(r"^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([^\d\s].*)?$")

SYSTEMS: dict[str, dict[str, str]] = {
    "us": {"speed": "mph", "length": "yd", "club length": "in", "altitude": "ft", "temperature": "F"},
    "metric": {"speed": "m/s", "length": "m", "club length": "in", "altitude": "m", "temperature": "C"},
}
"""What a bare number means under ``--units``; strike is always mm, mass always g."""
FIXED_DEFAULTS = {
    "angle": "deg",
    "spin": "rpm",
    "strike": "mm",
    "mass": "g",
    "pressure": "hPa",
    "share": "%",
    "frequency": "cpm",
}
_DIMENSION = {"club length": "length", "altitude": "length", "strike": "length"}


def probability(p: float, short: bool = False) -> str:
    """Write a probability so that it never claims certainty.

    Parameters
    ----------
    p : float
    short : bool
        At most four characters, for a narrow column.

    Examples
    --------
    >>> [probability(p) for p in (1.0, 0.873, 0.0)]
    ['above 0.99', '0.87', 'below 0.01']
    >>> [probability(p, short=True) for p in (1.0, 0.873, 0.0)]
    ['>.99', '.87', '<.01']
    """
    if math.isnan(p):
        return "-" if short else "not known"
    if p > 0.99:
        return ">.99" if short else "above 0.99"
    if p < 0.01:
        return "<.01" if short else "below 0.01"
    return f"{p:.2f}"[1:] if short else f"{p:.2f}"


def find_unit(text: str) -> Unit | None:
    """Unit of a spelling, exact case first, then any case; None when unknown."""
    text = text.strip()
    return UNITS.get(text) or _BY_CASEFOLD.get(text.casefold())


def spellings(quantity: str) -> list[str]:
    """Every spelling that fits a quantity, for messages."""
    return [name for name, unit in UNITS.items() if unit.quantity == quantity]


def to_si(value: float, unit: Unit) -> float:
    """Convert a value of a unit to the core's unit."""
    return value * unit.factor + unit.offset


def from_si(value: float, unit_name: str) -> float:
    """Convert a core value to a named unit."""
    unit = UNITS[unit_name]
    return (value - unit.offset) / unit.factor


def parse_quantity(text: str, kind: str, system: str = "us", where: str = "value") -> float:
    """Read '170mph', '45 in' or '12' as a number in the core's unit.

    Parameters
    ----------
    text : str
        The words of the user.
    kind : str
        'speed', 'length', 'club length', 'altitude', 'angle', 'spin', 'strike', 'mass', 'temperature',
        'pressure', 'share' or 'frequency'.
    system : {'us', 'metric'}
        What a bare number means.
    where : str
        Named in the error.

    Returns
    -------
    float
        In m/s, m, deg, rpm, kg, deg C, Pa, a share of one, or cpm.

    Raises
    ------
    InputError
        If the text is no number or the unit does not fit.

    Examples
    --------
    >>> round(parse_quantity("170mph", "speed"), 3)
    75.997
    >>> round(parse_quantity("75F", "temperature"), 2)
    23.89
    """
    dimension = _DIMENSION.get(kind, kind)
    bare = SYSTEMS[system].get(kind) or FIXED_DEFAULTS[kind]
    allowed = f"a number with one of {', '.join(spellings(dimension))} (bare: {bare})"
    match = _QUANTITY.match(text)
    if match is None or not abs(float(match[1])) < _TOO_LARGE:
        problem = Problem(where, repr(text), allowed, "Write a number and its unit, such as " + f"12{bare}.")
        raise InputError(f"{where} is not a quantity.", [problem])
    unit = find_unit(match[2] or bare)
    if unit is None or unit.quantity != dimension:
        problem = Problem(where, f"the unit {match[2]!r}", allowed, "Use one of these units.")
        raise InputError(f"{where} has a unit that does not fit.", [problem])
    return to_si(float(match[1]), unit)
