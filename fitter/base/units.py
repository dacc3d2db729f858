"""Every conversion lives here: SI inside, the unit in the name at the edges."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

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
    "krpm": Unit("spin", 1000.0),
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


def counted(n: int, one: str, many: str = "") -> str:
    """Write a number with its noun.

    Examples
    --------
    >>> counted(1, "shot"), counted(2, "shot")
    ('1 shot', '2 shots')
    """
    return f"{n} {one if n == 1 else many or one + 's'}"


def strike_place(toe_mm: float, high_mm: float) -> str:
    """Strike place in words.

    Examples
    --------
    >>> strike_place(-12.2, 4.0), strike_place(0.0, 0.0)
    ('12 heel 4 high', 'centre')
    """
    words = []
    for value, (low, high) in ((toe_mm, ("heel", "toe")), (high_mm, ("low", "high"))):
        if math.isfinite(value) and abs(value) >= 0.5:
            words.append(f"{abs(value):.0f} {high if value > 0 else low}")
    return " ".join(words) or "centre"


def open_or_closed(face_deg: float, digits: int = 2) -> str:
    """Face angle at address in words, without its unit.

    Examples
    --------
    >>> open_or_closed(-1.5), open_or_closed(0.001)
    ('1.50 closed', '0.00')
    """
    size = f"{abs(face_deg):.{digits}f}"
    return size if float(size) == 0.0 else f"{size} {'open' if face_deg > 0 else 'closed'}"


_KIND_OF = {"m": "length", "mps": "speed", "m/s": "speed", "C": "temperature"}
"""Units of the core that people read in the units in force."""


@dataclass(frozen=True)
class Units:
    """Quantities as people read them, in one system of units; what comes in is in the core's units.

    A value that is None or not finite shows as '-', a value that rounds to nought has no sign.

    Parameters
    ----------
    system : {'us', 'metric'}
    minus : str
        Minus sign; print has a longer one than terminals.
    degree : str
        Sign before the unit of a temperature, which terminals leave out.

    Examples
    --------
    >>> us, metric = Units(), Units("metric")
    >>> us.distance(250.0), metric.distance(250.0, 0), us.distance(None)
    ('273.4 yd', '250 m', '-')
    >>> us.speed(50.0), metric.speed(50.0)
    ('112 mph', '50.0 m/s')
    >>> us.across(-9.144), us.change(-0.01), us.change(9.144), us.temperature(25.0)
    ('10 yd L', '0.0 yd', '+10.0 yd', '77 F')
    """

    system: str = "us"
    minus: str = "-"
    degree: str = ""

    @property
    def metric(self) -> bool:
        """Whether metres stand in place of yards."""
        return self.system == "metric"

    def unit(self, core: str) -> str:
        """Name of the unit that stands in place of the core's 'm', 'mps', 'm/s' or 'C'; others stay."""
        return SYSTEMS[self.system][_KIND_OF[core]] if core in _KIND_OF else core

    def value(self, value: Any, core: str) -> Any:
        """A number or array of the core's unit in `unit`."""
        return from_si(value, self.unit(core)) if core in _KIND_OF else value

    @property
    def distance_unit(self) -> str:
        """Unit of distances."""
        return self.unit("m")

    @property
    def speed_unit(self) -> str:
        """Unit of speeds."""
        return self.unit("mps")

    def number(self, value: float | None, digits: int = 0, sign: bool = False) -> str:
        """One number without a unit.

        Examples
        --------
        >>> Units().number(-0.04, 1), Units().number(3.26, 1, sign=True), Units(minus="\u2212").number(-2.0)
        ('0.0', '+3.3', '\u22122')
        """
        if value is None or not math.isfinite(value):
            return "-"
        size = f"{abs(value):.{digits}f}"
        if float(size) == 0.0:
            return size
        return (self.minus if value < 0 else "+" if sign else "") + size

    def quantity(
        self, value: float | None, core: str, digits: int = 0, sign: bool = False, unit: bool = True
    ) -> str:
        """A value of a unit of the core, with the unit in force unless ``unit`` is False."""
        shown = self.number(None if value is None else self.value(value, core), digits, sign)
        name = self.unit(core) if unit and shown != "-" else ""
        return f"{shown} {name}".rstrip()

    def distance(self, metres: float | None, digits: int = 1) -> str:
        """Distance with its unit."""
        return self.quantity(metres, "m", digits)

    def change(self, metres: float | None, digits: int = 1) -> str:
        """Change of a distance, signed, with its unit."""
        return self.quantity(metres, "m", digits, sign=True)

    def speed(self, mps: float | None, digits: int | None = None) -> str:
        """Speed with its unit; whole mph and tenths of m/s unless ``digits`` says otherwise."""
        return self.quantity(mps, "mps", int(self.metric) if digits is None else digits)

    def temperature(self, celsius: float) -> str:
        """Temperature with its unit."""
        return f"{self.quantity(celsius, 'C', unit=False)} {self.degree}{self.unit('C')}"

    def side(self, value: float | None, unit: str = "", digits: int = 1) -> str:
        """Size of an angle or a distance, and L or R: people never read signs.

        Examples
        --------
        >>> u = Units()
        >>> u.side(-3.24, "deg"), u.side(12.0, "yd", 0), u.side(0.01, "deg"), u.side(-3.24)
        ('3.2 deg L', '12 yd R', '0.0 deg', '3.2 L')
        """
        if value is None or not math.isfinite(value):
            return "-"
        size = f"{abs(value):.{digits}f}"
        hand = "" if float(size) == 0.0 else "R" if value > 0 else "L"
        return " ".join(word for word in (size, unit, hand) if word)

    def across(self, metres: float | None, digits: int = 0, unit: bool = True) -> str:
        """Sideways distance in the units in force, L or R."""
        if metres is None:
            return "-"
        return self.side(self.value(metres, "m"), self.distance_unit if unit else "", digits)


US = Units("us")
METRIC = Units("metric")


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
    if match[2] and re.match(r",\s*\d", match[2]):
        # '8,4' and '2,750' are meant by different people: nobody guesses.
        problem = Problem(where, f"a comma in {text!r}", "a point before decimals, nothing at thousands",
                          "Write 8.4, or 2750.")  # fmt: skip
        raise InputError(f"{where} is not clear.", [problem])
    unit = find_unit(match[2] or bare)
    if unit is None or unit.quantity != dimension:
        problem = Problem(where, f"the unit {match[2]!r}", allowed, "Use one of these units.")
        raise InputError(f"{where} has a unit that does not fit.", [problem])
    return to_si(float(match[1]), unit)
