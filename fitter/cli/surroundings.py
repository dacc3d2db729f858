"""Options for air, wind, turf and ball law, the same for every command."""

from __future__ import annotations

import argparse
import shlex
from typing import Any

from fitter.conditions import TURFS, Conditions
from fitter.errors import FitterError, InputError, Problem, raise_if
from fitter.units import parse_quantity

# option, kind of quantity, limits in the core's unit, what people write
_NUMBERS: dict[str, tuple[str, float, float, str]] = {
    "temperature": ("temperature", -30.0, 55.0, "-30 to 55 C"),
    "pressure": ("pressure", 50_000.0, 110_000.0, "500 to 1100 hPa"),
    "pressure_at_sea_level": ("pressure", 87_000.0, 109_000.0, "870 to 1090 hPa"),
    "altitude": ("altitude", -430.0, 5000.0, "-430 to 5000 m"),
    "humidity": ("share", 0.0, 1.0, "0 to 100 %"),
    "wind": ("speed", 0.0, 30.0, "0 to 30 m/s"),
    "wind_from": ("angle", -360.0, 360.0, "-360 to 360 deg"),
    "wind_height": ("height", 0.5, 100.0, "0.5 to 100 m"),
    "landing_height": ("height", -60.0, 60.0, "-60 to 60 m"),
    "slope_along": ("share", -0.3, 0.3, "-30 to 30 %"),
    "slope_right": ("share", -0.3, 0.3, "-30 to 30 %"),
}
_HELP = {
    "temperature": "air, such as 24C or 75F (standard 25C)",
    "pressure": "station pressure, such as 1013hPa",
    "pressure_at_sea_level": "what weather services print; needs --altitude",
    "altitude": "of the place; sets the pressure unless one is given",
    "humidity": "relative, such as 50%%",
    "wind": "speed",
    "wind_from": "0 in the face, 90 from the right",
    "wind_height": "where the wind was told: 10m (weather services, standard) or 2m (by hand)",
    "landing_height": "of the landing area over the tee",
    "slope_along": "of the landing area, uphill positive, such as 3%%",
    "slope_right": "of the landing area, rising to the right",
}


def add(parser: argparse.ArgumentParser) -> None:
    """Add the options for surroundings to a command."""
    group = parser.add_argument_group("conditions, where the answer applies")
    for name in _NUMBERS:
        group.add_argument("--" + name.replace("_", "-"), metavar="X", help=_HELP[name])
    group.add_argument("--turf", metavar="NAME", help=", ".join(TURFS))
    group.add_argument(
        "--terrain", metavar="NAME", help="what the wind blows over: open, coast, inhabited, uniform"
    )
    group.add_argument(
        "--law", metavar="NAME", help="one aerodynamic law (standard: the blend of the modern ones)"
    )
    group.add_argument("--face-state", metavar="NAME", help="face and ball at the strike: dry or wet (worn)")
    group.add_argument(
        "--measured-in",
        metavar="'KEY=VALUE ...'",
        help="the session's own air, such as 'temperature=12C altitude=900ft' (standard: the same)",
    )


def read(args: argparse.Namespace) -> Conditions:
    """Conditions of a command; every problem at once.

    Raises
    ------
    InputError
        If a quantity does not read or is out of its limits.
    """
    return _build(
        {n: getattr(args, n) for n in (*_NUMBERS, "turf", "terrain", "law", "face_state")}, args.units, "--"
    )


def measured_in(args: argparse.Namespace) -> Conditions | None:
    """Conditions of the session, or None when they are the same."""
    if args.measured_in is None:
        return None
    known = (*_NUMBERS, "turf", "terrain", "law", "face_state")
    given: dict[str, Any] = dict.fromkeys(known)
    problems: list[Problem] = []
    for word in shlex.split(args.measured_in):
        key, equals, value = word.partition("=")
        name = key.strip("-").replace("-", "_")
        if not equals or name not in known:
            allowed = ", ".join(k.replace("_", "-") for k in known)
            problems.append(
                Problem("--measured-in", repr(word), f"KEY=VALUE with {allowed}", "Mend the pair.")
            )
        else:
            given[name] = value
    raise_if(problems, "--measured-in cannot be understood.")
    return _build(given, args.units, "--measured-in ")


def _build(given: dict[str, Any], units: str, prefix: str) -> Conditions:
    problems: list[Problem] = []
    values: dict[str, float] = {}
    for name, (kind, low, high, words) in _NUMBERS.items():
        text = given[name]
        if text is None:
            continue
        where = prefix + name.replace("_", "-")
        try:
            value = parse_quantity(text, "altitude" if kind == "height" else kind, units, where)
        except InputError as error:
            problems += error.problems
            continue
        if not low <= value <= high:
            problems.append(Problem(where, text, words, "Check the number and its unit."))
        values[name] = value
    words_given = {n: given[n] for n in ("turf", "terrain", "law", "face_state") if given[n] is not None}
    problems += _words(words_given, prefix)
    if "pressure" in values and "pressure_at_sea_level" in values:
        problems.append(Problem(prefix + "pressure", "two pressures", "one of the two", "Leave one out."))
    if "pressure_at_sea_level" in values and "altitude" not in values:
        do = "Say the place's --altitude, or give the station's own pressure with --pressure."
        problems.append(Problem(prefix + "pressure-at-sea-level", "no altitude", "both", do))
    raise_if(problems, "The conditions cannot be used.")
    return _conditions(values, words_given)


def _words(given: dict[str, str], prefix: str) -> list[Problem]:
    """Complain of names that are not known."""
    from dataclasses import replace

    from fitter import world

    problems: list[Problem] = []
    checks = {
        "turf": lambda c: world.turfs(c.turf),
        "law": world.law_names,
        "terrain": world.air_of,
        "face_state": lambda c: world.strike_models(face=c.face),
    }
    for name, text in given.items():
        field = "face" if name == "face_state" else name
        try:
            # A wind makes the terrain count.
            checks[name](replace(Conditions(wind_mps=1.0), **{field: text}))  # type: ignore[arg-type, no-untyped-call]
        except FitterError as error:
            problems += [
                Problem(prefix + name.replace("_", "-"), p.found, p.allowed, p.do) for p in error.problems
            ]
    return problems


def _conditions(values: dict[str, float], words: dict[str, str]) -> Conditions:
    from fitter.physics import air

    fields: dict[str, Any] = dict(words)
    if "face_state" in fields:
        fields["face"] = fields.pop("face_state")
    names = {
        "temperature": "temperature_c",
        "humidity": "humidity",
        "wind": "wind_mps",
        "wind_from": "wind_from_deg",
        "wind_height": "wind_height_m",
        "landing_height": "landing_height_m",
        "slope_along": "slope_along",
        "slope_right": "slope_right",
    }
    fields |= {names[n]: v for n, v in values.items() if n in names}
    if "pressure" in values:
        fields["pressure_pa"] = values["pressure"]
    elif "altitude" in values:
        sea = values.get("pressure_at_sea_level", Conditions().pressure_pa)
        fields["pressure_pa"] = float(air.station_pressure(values["altitude"], sea))
    return Conditions(**fields)
