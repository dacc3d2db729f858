"""Quantities on the command line: unit suffixes, bare numbers, limits, and negatives after a space."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, ParamSpec, Protocol, TypeVar, cast

from fitter.errors import InputError, Problem, raise_if
from fitter.units import parse_quantity

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
        As for `fitter.units.parse_quantity`.
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

    What a reader returns may be used after the block only: inside, it is None if the reader complained.

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
    fitter.errors.InputError: Unusable.
      --wind: found the unit 'parsec'; ...
      --humidity: found 'much'; ...
    """
    problems: list[Problem] = []

    def gather(reader: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        try:
            return reader(*args, **kwargs)
        except InputError as error:
            if not error.problems:
                raise
            problems.extend(error.problems)
            return cast(T, None)

    yield gather
    raise_if(problems, message)


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
