"""Quantities on the command line: unit suffixes, bare numbers, limits, and negatives after a space."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any, ParamSpec, Protocol, TypeVar, cast

from fitter.base.conditions import TERRAINS, TURFS, Conditions
from fitter.base.errors import FitterError, InputError, Problem, raise_if
from fitter.base.text import key_values
from fitter.base.units import parse_quantity
from fitter.cli import work

P = ParamSpec("P")
T = TypeVar("T")
_NEGATIVE = re.compile(r"^-(?:\d|\.\d)")
_PRINTED_MINUS = re.compile(r"(?:^|(?<==))\N{MINUS SIGN}(?=[\d.])")


@dataclass(frozen=True)
class Quantity:
    """An option that holds a quantity.

    Parameters
    ----------
    kind : str
        As for `fitter.base.units.parse_quantity`.
    low, high : float
        Limits in the core's unit, beyond which the number or its unit must be wrong.
    allowed : str
        The limits as people write them.
    help : str
        For the option's help.
    """

    kind: str
    low: float
    high: float
    allowed: str
    help: str = ""


class Gather(Protocol):
    """Call a reader; its complaints wait until all readers have run."""

    def __call__(self, reader: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T: ...  # noqa: D102


@contextmanager
def together(message: str) -> Iterator[Gather]:
    """Run several readers and raise what all of them complain of as one error.

    A single complaint keeps its own message. What a reader returns may be used after the block only: inside,
    it is None if the reader complained.

    Raises
    ------
    InputError
        At the end of the block, with every problem.

    Examples
    --------
    >>> with together("Unusable.") as gather:
    ...     speed = gather(parse_quantity, "5parsec", "speed", where="--wind")
    ...     share = gather(parse_quantity, "much", "share", where="--humidity")
    Traceback (most recent call last):
    ...
    fitter.base.errors.InputError: Unusable.
      --wind: found the unit 'parsec'; ...
      --humidity: found 'much'; ...
    """
    errors: list[InputError] = []

    def gather(reader: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        try:
            return reader(*args, **kwargs)
        except InputError as error:
            if not error.problems:
                raise
            errors.append(error)
            return cast(T, None)

    yield gather
    if len(errors) == 1:
        raise errors[0]
    raise_if([p for error in errors for p in error.problems], message)


def join_negatives(argv: Sequence[str]) -> list[str]:
    r"""Join '--toe -5mm' to '--toe=-5mm', which argparse would take for an option.

    A minus sign copied from a document counts as one.

    Examples
    --------
    >>> join_negatives(["strike", "--attack", "-3", "--json"])
    ['strike', '--attack=-3', '--json']
    >>> join_negatives(["--toe", "\N{MINUS SIGN}5mm", "--high=\N{MINUS SIGN}.5", "--player", "P-1"])
    ['--toe=-5mm', '--high=-.5', '--player', 'P-1']
    """
    joined: list[str] = []
    for word in (_PRINTED_MINUS.sub("-", word) for word in argv):
        last = joined[-1] if joined else ""
        if _NEGATIVE.match(word) and last.startswith("--") and "=" not in last and len(last) > 2:
            joined[-1] = f"{last}={word}"
        else:
            joined.append(word)
    return joined


def option(name: str) -> str:
    """Option of a name, such as '--ball-speed' of 'ball_speed'."""
    return "--" + name.replace("_", "-")


def add_quantities(
    parser: argparse._ActionsContainer, wanted: Mapping[str, Quantity], **settings: Any
) -> None:
    """Add an option for each quantity, with the same settings of argparse."""
    for name, q in wanted.items():
        parser.add_argument(option(name), metavar="X", help=q.help, **settings)


def quantity(args: argparse.Namespace, name: str, kind: str) -> float:
    """Read a required option of a command as a number in the core's unit."""
    return parse_quantity(getattr(args, name), kind, args.units, option(name))


def maybe(args: argparse.Namespace, name: str, kind: str) -> float | None:
    """Read an option that may be silent."""
    return None if getattr(args, name) is None else quantity(args, name, kind)


def read_all(
    given: Mapping[str, Any], wanted: Mapping[str, Quantity], units: str, prefix: str = "--"
) -> dict[str, float]:
    """Read every quantity that is given, and refuse what lies beyond its limits.

    Parameters
    ----------
    given : mapping of str to str or None
        Texts by name; None is silent.
    wanted : mapping of str to Quantity
    units : {'us', 'metric'}
    prefix : str
        Stands before the name in messages.

    Returns
    -------
    dict
        Numbers in the core's units, without the silent ones.

    Raises
    ------
    InputError
        With every problem.
    """
    values: dict[str, float] = {}
    problems: list[Problem] = []
    for name, q in wanted.items():
        text = given.get(name)
        if text is None:
            continue
        where = prefix + name.replace("_", "-")
        try:
            value = parse_quantity(str(text), q.kind, units, where)
        except InputError as error:
            problems.extend(error.problems)
            continue
        if q.low <= value <= q.high:
            values[name] = value
        else:
            problems.append(Problem(where, str(text), q.allowed, "Check the number and its unit."))
    raise_if(problems, "These quantities cannot be used.")
    return values


@dataclass(frozen=True)
class Number(Quantity):
    """A quantity of the surroundings and the field of Conditions that takes it ('' if none does)."""

    field: str = ""


@dataclass(frozen=True)
class Name:
    """A name of the surroundings: its field of Conditions, its help, and what of the world refuses it."""

    field: str
    help: str
    check: Callable[[Any, Conditions], object]


# A new number or name of Conditions is one entry here.
NUMBERS: dict[str, Number] = {
    "temperature": Number(
        "temperature", -30.0, 55.0, "-30 to 55 C", "air, such as 24C or 75F (standard 25C)", "temperature_c"
    ),
    "pressure": Number(
        "pressure", 50e3, 110e3, "500 to 1100 hPa", "station pressure, such as 1013hPa", "pressure_pa"
    ),
    "pressure_at_sea_level": Number(
        "pressure", 87e3, 109e3, "870 to 1090 hPa", "what weather services print; needs --altitude"
    ),
    "altitude": Number(
        "altitude", -430.0, 5000.0, "-430 to 5000 m", "of the place; sets the pressure unless one is given"
    ),
    "humidity": Number("share", 0.0, 1.0, "0 to 100 %", "relative, such as 50%%", "humidity"),
    "wind": Number("speed", 0.0, 30.0, "0 to 30 m/s", "speed", "wind_mps"),
    "wind_from": Number(
        "angle", -360.0, 360.0, "-360 to 360 deg", "0 in the face, 90 from the right", "wind_from_deg"
    ),
    "wind_height": Number(
        "altitude",
        0.5,
        100.0,
        "0.5 to 100 m",
        "where the wind was told: 10m (weather services, standard) or 2m (by hand)",
        "wind_height_m",
    ),
    "landing_height": Number(
        "altitude", -60.0, 60.0, "-60 to 60 m", "of the landing area over the tee", "landing_height_m"
    ),
    "slope_along": Number(
        "share", -0.3, 0.3, "-30 to 30 %", "of the landing area, uphill positive, such as 3%%", "slope_along"
    ),
    "slope_right": Number(
        "share", -0.3, 0.3, "-30 to 30 %", "of the landing area, rising to the right", "slope_right"
    ),
}
NAMES: dict[str, Name] = {
    "turf": Name("turf", ", ".join(TURFS), lambda world, c: world.turfs(c.turf)),
    "terrain": Name(
        "terrain", f"what the wind blows over: {', '.join(TERRAINS)}", lambda world, c: world.air_of(c)
    ),
    "law": Name(
        "law",
        "one aerodynamic law (standard: the blend of the modern ones)",
        lambda world, c: world.law_names(c),
    ),
}
EVERY = (*NUMBERS, *NAMES)


def add_local_length_rule(parser: argparse.ArgumentParser | argparse._ArgumentGroup) -> None:
    """Add the flag of the local rule for the length of clubs."""
    parser.add_argument(
        "--local-length-rule",
        "--local-length",
        action="store_true",
        help="the 46 in local rule (G-10) is in force",
    )


def add_conditions(parser: argparse.ArgumentParser) -> None:
    """Add the options for surroundings to a command."""
    group = parser.add_argument_group("conditions, where the answer applies")
    add_quantities(group, NUMBERS)
    for name, word in NAMES.items():
        group.add_argument(option(name), metavar="NAME", help=word.help)
    group.add_argument(
        "--measured-in",
        metavar="'KEY=VALUE ...'",
        help="the session's own air, such as 'temperature=12C altitude=900ft' (standard: the same)",
    )


def conditions(args: argparse.Namespace) -> Conditions:
    """Conditions of a command; every problem at once.

    Raises
    ------
    InputError
        If a quantity does not read or is out of its limits.
    """
    return _build({n: getattr(args, n) for n in EVERY}, args.units, "--")


def measured_in(args: argparse.Namespace) -> Conditions | None:
    """Conditions of the session, or None when they are the same; every problem at once."""
    if args.measured_in is None:
        return None
    return air(args.measured_in, args.units, "--measured-in")


def air(text: str, units: str, where: str) -> Conditions:
    """Conditions of 'KEY=VALUE ...', as after --measured-in; every problem at once.

    Parameters
    ----------
    text, units : str
    where : str
        The option or the place of a file, for messages.
    """
    with together(f"{where} cannot be understood.") as gather:
        given = gather(_pairs, text, where)
    return _build(given, units, f"{where} ")


def without_session(args: argparse.Namespace) -> None:
    """Check --measured-in where no session is read, and say that it changes nothing."""
    if measured_in(args) is not None:
        work.text.tell("Note: --measured-in changes nothing here, there is no session whose air it could be.")


def _pairs(text: str, where: str) -> dict[str, str]:
    """Read 'KEY=VALUE ...'."""
    allowed = f"KEY=VALUE with {', '.join(k.replace('_', '-') for k in EVERY)}"
    problems: list[Problem] = []
    given: dict[str, str] = {}
    for key, value in key_values(text, where, allowed, problems).items():
        name = key.strip("-").replace("-", "_")
        if name not in EVERY:
            problems.append(Problem(where, repr(f"{key}={value}"), allowed, "Mend the pair."))
        given[name] = value
    raise_if(problems, f"{where} cannot be understood.")
    return given


def _build(given: Mapping[str, str | None], units: str, prefix: str) -> Conditions:
    words = {n: text for n in NAMES if (text := given.get(n)) is not None}
    with together("The conditions cannot be used.") as gather:
        values = gather(read_all, given, NUMBERS, units, prefix)
        gather(_check_names, words, prefix)
        gather(_check_pressures, given, prefix)
    fields: dict[str, Any] = {NAMES[n].field: text for n, text in words.items()}
    fields |= {field: v for n, v in values.items() if (field := NUMBERS[n].field)}
    if "altitude" in values:
        sea = values.get("pressure_at_sea_level", Conditions().pressure_pa)
        share = float(work.air.station_pressure(values["altitude"], 1.0))
        given_pa = fields.setdefault("pressure_pa", share * sea)
        if given_pa > share * NUMBERS["pressure_at_sea_level"].high:
            work.text.tell(
                f"Note: {prefix}pressure {given['pressure']} is not possible at that altitude (usual "
                f"{share * sea / 100:.0f} hPa). If a weather service printed it, give it as "
                "pressure-at-sea-level."
            )
    return Conditions(**fields)


def _check_names(words: Mapping[str, str], prefix: str) -> None:
    """Complain of names that are not known."""
    problems: list[Problem] = []
    for name, text in words.items():
        try:
            # A wind makes the terrain count.
            NAMES[name].check(work.world, replace(Conditions(wind_mps=1.0), **{NAMES[name].field: text}))  # type: ignore[arg-type]
        except FitterError as error:
            where = prefix + name.replace("_", "-")
            problems += [Problem(where, p.found, p.allowed, p.do) for p in error.problems]
    raise_if(problems, "These names are not known.")


def _check_pressures(given: Mapping[str, str | None], prefix: str) -> None:
    """Complain of pressures that exclude one another or lack their altitude."""
    problems: list[Problem] = []
    station, sea, altitude = (
        given.get(n) is not None for n in ("pressure", "pressure_at_sea_level", "altitude")
    )
    if station and sea:
        problems.append(Problem(prefix + "pressure", "two pressures", "one of the two", "Leave one out."))
    if sea and not altitude:
        do = "Say the place's --altitude, or give the station's own pressure with --pressure."
        problems.append(Problem(prefix + "pressure-at-sea-level", "no altitude", "both", do))
    raise_if(problems, "The pressures cannot be used.")
