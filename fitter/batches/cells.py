"""Text cells that no spreadsheet runs, and numbers in the units in force."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any, get_type_hints

from fitter.units import MPH, YARD

_RUNS = re.compile(r"(^\s*|[;|\t]\s*)(?=[=+\-@＝＋－＠'\t\r\n])")


def safe_text(words: str) -> str:
    """Text that a spreadsheet takes as text.

    A cell that begins with one of ``= + - @`` (of any width), a tab, a line end or an apostrophe gets an
    apostrophe before it, and so does what begins like that after a semicolon, a bar or a tab, where a
    spreadsheet of another country would begin a new cell. To undo it, take the apostrophe away from in
    front of such a character. Numbers are never changed: a negative one stays a number.

    Examples
    --------
    >>> safe_text("=1+1"), safe_text("P1"), safe_text("a;@b"), safe_text("-"), safe_text("1-2")
    ("'=1+1", 'P1', "a;'@b", "'-", '1-2')
    """
    return _RUNS.sub(r"\g<1>'", words)


def cell(value: Any) -> str:
    """One CSV cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return safe_text(value) if isinstance(value, str) else repr(value)


@dataclass(frozen=True)
class Column:
    """One column of a result: its header, its type, and how its value is taken from a row."""

    header: str
    kind: type
    take: Callable[[Any], Any]


_US = {"m": (YARD, "yd"), "mps": (MPH, "mph")}


def columns(cls: type, metric: bool) -> list[Column]:
    """Columns of a class of rows in the units in force; each header carries its unit.

    Yards and mph in place of metres and m/s, unless ``metric``; the verdict's sentence is the one in those
    units, under 'text'.
    """
    hints = get_type_hints(cls)
    out = []
    for field in fields(cls):
        name, kind = field.name, next(t for t in (str, bool, int, float) if t in _types(hints[field.name]))
        stem, _, unit = name.rpartition("_")
        if name == "text_metric":
            continue
        if name == "text" and metric:
            out.append(Column("text", str, lambda row: row.text_metric))
        elif unit in _US and not metric:
            factor, shown = _US[unit]
            out.append(Column(f"{stem}_{shown}", float, _scaled(name, factor)))
        elif name == "gain_unit" and not metric:
            out.append(Column(name, str, lambda row: "yd" if row.gain_unit == "m" else row.gain_unit))
        elif (name in GAINS or name == "threshold") and not metric:
            out.append(Column(name, float, _gain(name)))
        else:
            out.append(Column(name, kind, _plain(name)))
    return out


GAINS = {f"{stem}{end}" for stem in ("gain", "best_gain", "best_a_gain") for end in ("", "_low", "_high")}
"""Columns in the unit of 'gain_unit'."""


def _types(hint: Any) -> tuple[type, ...]:
    return getattr(hint, "__args__", None) or (hint,)


def _plain(name: str) -> Callable[[Any], Any]:
    return lambda row: getattr(row, name)


def _scaled(name: str, factor: float) -> Callable[[Any], Any]:
    def take(row: Any) -> Any:
        value = getattr(row, name)
        return None if value is None else round(value / factor, 3) + 0.0

    return take


def _gain(name: str) -> Callable[[Any], Any]:
    in_yards, as_it_is = _scaled(name, YARD), _plain(name)
    return lambda row: in_yards(row) if row.gain_unit == "m" else as_it_is(row)
