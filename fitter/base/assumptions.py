"""Every judged number with its spread, unit, source and standing, read from assumptions.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from fitter.base.errors import InputError, Problem, raise_if

LETTERS = {
    "R": "read in the source",
    "Q": "quoted from the named source",
    "M": "from memory, not verified",
    "C": "computed from stated inputs",
    "T": "common practice, no source",
    "J": "judgement of this project",
}
_KEYS = {"value", "sd", "unit", "source", "letter", "note"}


@dataclass(frozen=True)
class Assumption:
    """One judged number.

    Parameters
    ----------
    name : str
        Dotted name, such as 'strike.restitution'.
    value, sd : float
        Centre and standard deviation, in ``unit``; an SD of 0 means that it is never drawn.
    unit, source : str
        Unit and where the number comes from.
    letter : str
        Standing: R, Q, M, C, T as in the reference tables, J for a judgement of this project.
    note : str
        What a reader should know about it.
    """

    name: str
    value: float
    sd: float
    unit: str
    source: str
    letter: str
    note: str = ""


class Assumptions(Mapping[str, Assumption]):
    """Judged numbers by dotted name; ``a["strike.restitution"].value``."""

    def __init__(self, entries: Mapping[str, Assumption]) -> None:
        self._entries = MappingProxyType(dict(entries))

    def __reduce__(self) -> tuple[Any, ...]:
        # Read-only mappings cannot be pickled, and judged numbers travel to other processes.
        return Assumptions, (dict(self._entries),)

    def __getitem__(self, name: str) -> Assumption:
        return self._entries[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def value(self, name: str) -> float:
        """Centre of an assumption."""
        return self._entries[name].value

    def sd(self, name: str) -> float:
        """Standard deviation of an assumption."""
        return self._entries[name].sd


def parse(text: str, where: str = "assumptions.toml") -> Assumptions:
    """Read assumptions from TOML text.

    Raises
    ------
    InputError
        With every entry that lacks a number, a unit, a source or a known letter.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        problem = Problem(where, str(error), "TOML", "Mend the syntax at that place.")
        raise InputError(f"{where} cannot be read.", [problem]) from error
    entries: dict[str, Assumption] = {}
    problems: list[Problem] = []
    for section, table in raw.items():
        for key, entry in table.items():
            name = f"{section}.{key}"
            found = _fault(entry)
            if found:
                problems.append(
                    Problem(f"{where} [{name}]", found, f"keys {sorted(_KEYS)}", "Complete the entry.")
                )
                continue
            entry = entry | {"value": float(entry["value"]), "sd": float(entry["sd"])}
            entries[name] = Assumption(name=name, **entry)
    raise_if(problems, f"{where} has entries that are not complete.")
    return Assumptions(entries)


def _fault(entry: Any) -> str:
    if not isinstance(entry, dict):
        return f"{entry!r} in place of a table"
    missing = _KEYS - {"note"} - entry.keys()
    if missing:
        return f"no {', '.join(sorted(missing))}"
    if entry.keys() - _KEYS:
        return f"unknown {', '.join(sorted(entry.keys() - _KEYS))}"
    if not all(isinstance(entry[k], int | float) for k in ("value", "sd")) or entry["sd"] < 0:
        return f"value {entry['value']!r}, sd {entry['sd']!r}"
    return "" if entry["letter"] in LETTERS else f"letter {entry['letter']!r}"


@lru_cache(maxsize=1)
def defaults() -> Assumptions:
    """Judged numbers that come with the package."""
    return parse(resources.files("fitter.base").joinpath("assumptions.toml").read_text(encoding="utf-8"))


_IN_FORCE: ContextVar[Assumptions | None] = ContextVar("judged numbers in force", default=None)


def current() -> Assumptions:
    """Judged numbers in force: those of the innermost `using`, else the defaults."""
    return _IN_FORCE.get() or defaults()


@contextmanager
def using(assumptions: Assumptions) -> Iterator[Assumptions]:
    """Put judged numbers in force for what is computed inside, in this thread or task alone."""
    token = _IN_FORCE.set(assumptions)
    try:
        yield assumptions
    finally:
        _IN_FORCE.reset(token)
