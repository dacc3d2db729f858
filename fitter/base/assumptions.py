"""Every judged number with its spread, unit, source and standing, read from assumptions.toml."""

from __future__ import annotations

import difflib
import hashlib
import math
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
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
    """Judged numbers by dotted name; ``a["strike.restitution"].value``.

    Equal, and of one hash, where every entry is equal; they may be pickled.
    """

    def __init__(self, entries: Mapping[str, Assumption]) -> None:
        self._entries = MappingProxyType(dict(entries))

    def __getitem__(self, name: str) -> Assumption:
        return self._entries[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Assumptions):
            return NotImplemented
        return self is other or self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)

    def __reduce__(self) -> tuple[type[Assumptions], tuple[dict[str, Assumption]]]:
        return Assumptions, (dict(self._entries),)

    @cached_property
    def key(self) -> str:
        """Digest of all entries, for the keys of caches; the same in every process."""
        told = "\x1f".join(repr(self._entries[name]) for name in sorted(self._entries))
        return hashlib.blake2b(told.encode(), digest_size=16).hexdigest()

    def value(self, name: str) -> float:
        """Centre of an assumption."""
        return self._entries[name].value

    def sd(self, name: str) -> float:
        """Standard deviation of an assumption."""
        return self._entries[name].sd

    def changed(self, over: Assumptions | None = None) -> dict[str, tuple[Assumption, Assumption]]:
        """Entries that differ, as pairs (there, here) by name.

        Parameters
        ----------
        over : Assumptions, optional
            What to compare with; the defaults when None.
        """
        there = defaults() if over is None else over
        return {
            name: (there[name], here) for name, here in self.items() if name in there and there[name] != here
        }


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
    entries, problems = _read(raw, where)
    raise_if(problems, f"{where} has entries that are not complete.")
    return Assumptions(entries)


def laid(raw: Mapping[str, Any], where: str, below: Assumptions) -> Assumptions:
    """Lay the entries of a TOML file over others: an entry replaces the one of the same name.

    Parameters
    ----------
    raw : mapping of str to Any
        Sections and entries as in assumptions.toml. Each entry is complete, so that a changed number has a
        source and a standing of its own; it keeps the unit, and the note where it gives none.
    where : str
        Name of the file, for messages.
    below : Assumptions
        What they lie over.

    Raises
    ------
    InputError
        With every entry that is not complete, has no such name, or another unit.
    """
    entries, problems = _read(raw, where)
    for name, entry in entries.items():
        at = f"{where} [{name}]"
        if name not in below:
            near = difflib.get_close_matches(name, below, 3) or sorted({n.split(".")[0] for n in below})
            do = "`fitter assumptions` prints all names; take one of them."
            problems.append(Problem(at, "no such judged number", f"for example {', '.join(near)}", do))
        elif entry.unit != below[name].unit:
            do = "Convert the number to this unit."
            problems.append(Problem(at, f"unit {entry.unit!r}", repr(below[name].unit), do))
    raise_if(problems, f"{where} cannot be laid over the judged numbers.")
    kept = {name: replace(e, note=e.note or below[name].note) for name, e in entries.items()}
    return Assumptions({**below, **kept})


def _read(raw: Mapping[str, Any], where: str) -> tuple[dict[str, Assumption], list[Problem]]:
    """Every complete entry by dotted name, and a problem for each of the others."""
    entries: dict[str, Assumption] = {}
    problems: list[Problem] = []
    allowed = f"value, sd, unit, source, letter and perhaps note; letters {', '.join(LETTERS)}"
    for section, table in raw.items():
        if not isinstance(table, dict):
            problems.append(Problem(f"{where} [{section}]", repr(table), "a section", "Put it in one."))
            continue
        for key, entry in table.items():
            name = f"{section}.{key}"
            found = _fault(entry)
            if found:
                problems.append(Problem(f"{where} [{name}]", found, allowed, "Complete the entry."))
                continue
            entry = entry | {"value": float(entry["value"]), "sd": float(entry["sd"])}
            entries[name] = Assumption(name=name, **entry)
    return entries, problems


def _fault(entry: Any) -> str:
    """Everything that is wrong with one entry, in words; empty where it is complete."""
    if not isinstance(entry, dict):
        return f"{entry!r} in place of a table"
    found = []
    missing, unknown = sorted(_KEYS - {"note"} - entry.keys()), sorted(entry.keys() - _KEYS)
    if missing:
        found.append(f"no {', '.join(missing)}")
    if unknown:
        found.append(f"unknown {', '.join(unknown)}")
    for key in ("value", "sd"):
        number = entry.get(key, 0.0)
        right = isinstance(number, int | float) and not isinstance(number, bool) and math.isfinite(number)
        if not right or (key == "sd" and number < 0):
            found.append(f"{key} {number!r}")
    for key in ("unit", "source", "note"):
        text = entry.get(key, "-")
        if not isinstance(text, str) or not (text.strip() or key == "note"):
            found.append(f"{key} {text!r}")
    letter = entry.get("letter", "J")
    if not isinstance(letter, str) or letter not in LETTERS:
        found.append(f"letter {letter!r}")
    return ", ".join(found)


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
