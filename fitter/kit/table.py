"""Rows of a kit file with every fault found: unknown columns, bad numbers, missing and repeated codes."""

from __future__ import annotations

import csv
import difflib
import io
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from fitter.base import sources
from fitter.base.errors import InputError, Problem
from fitter.kit.figures import Reading

MISSING = frozenset({"", "-", "--", "?", "n/a", "na", "nan", "none", "null", "unknown"})
"""Spellings of a figure that nobody measured, in any case."""


@dataclass(frozen=True)
class Column:
    """What may stand in one column.

    Parameters
    ----------
    name : str
        Header; the unit is its last part.
    kind : {'figure', 'number', 'text', 'numbers', 'words'}
        A figure is a number that may have an SD in a column ``<stem>_sd_<unit>``.
    low, high : float
        Limits of a number; outside them the unit is probably another one.
    choices : tuple of str
        What a text may be; empty for anything.
    """

    name: str
    kind: Literal["figure", "number", "text", "numbers", "words"]
    low: float = -math.inf
    high: float = math.inf
    choices: tuple[str, ...] = ()

    @property
    def sd_name(self) -> str:
        """Header of the SD of a figure: ``loft_sd_deg`` for ``loft_deg``."""
        stem, _, unit = self.name.rpartition("_")
        return f"{stem}_sd_{unit}"

    @property
    def allowed(self) -> str:
        """What may stand there, for messages."""
        if self.choices:
            return ", ".join(self.choices)
        if self.kind in ("text", "words"):
            return "text"
        span = f" from {self.low:g} to {self.high:g}" if math.isfinite(self.high) else ""
        return ("numbers separated by spaces" if self.kind == "numbers" else "a number") + f"{span}, or blank"


Value = str | float | Reading | tuple[float, ...] | tuple[str, ...] | None


@dataclass
class Row:
    """One row, read: ``place`` names file and row in messages."""

    place: str
    values: dict[str, Value] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """Text of a column, '' when blank."""
        value = self.values.get(name)
        return value if isinstance(value, str) else ""


def read_rows(path: Path, problems: list[Problem]) -> list[tuple[str, dict[str, str]]]:
    """Cells of a CSV file by header, with the place of each row; comma or semicolon.

    Faults of the file itself go to ``problems``.
    """
    try:
        text = sources.read(path, "a table of parts").decode("utf-8-sig")
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        sources.check_lines(text, path.name)
    except InputError as error:
        problems += error.problems
        return []
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        problems.append(
            Problem(path.name, "bytes that are no text", "CSV in UTF-8", "Save the table as CSV.")
        )
        return []
    head, _, _ = text.lstrip().partition("\n")
    cells = csv.reader(io.StringIO(text), delimiter=";" if head.count(";") > head.count(",") else ",")
    header: list[str] = []
    rows: list[tuple[str, dict[str, str]]] = []
    for row in _cells(cells, path.name, problems):
        row = [cell.strip() for cell in row]
        place = f"{path.name}, row {cells.line_num}"
        if not any(row) or row[0].startswith("#"):
            continue
        if not header:
            header = [cell.casefold().replace(" ", "_") for cell in row]
            repeated = sorted({h for h in header if h and header.count(h) > 1})
            for name in repeated:
                problems.append(Problem(place, f"column {name!r} twice", "each column once", "Remove one."))
            continue
        if len(row) > len(header) and any(row[len(header) :]):
            do = "Put a cell that holds commas in quotation marks."
            problems.append(Problem(place, f"{len(row)} cells", f"{len(header)} cells", do))
            continue
        rows.append((place, dict(zip(header, row, strict=False))))
        try:
            sources.check_extent(path.name, len(rows), len(header))
        except InputError as error:
            problems += error.problems
            return []
    if not rows:
        found = "no rows" if header else "an empty file"
        problems.append(
            Problem(path.name, found, "a header and at least one row", "Add the rows, or remove the file.")
        )
    return rows


def _cells(reader: Iterator[list[str]], name: str, problems: list[Problem]) -> Iterator[list[str]]:
    """Rows until the file stops being CSV."""
    try:
        yield from reader
    except csv.Error as error:
        problems.append(Problem(name, str(error), "CSV", "Save the table as CSV anew."))


def read_toml(path: Path, key: str, problems: list[Problem]) -> list[tuple[str, dict[str, str]]]:
    """Cells of a TOML file of tables ``[[head]]`` or ``[[shaft]]``, as `read_rows` gives them.

    A figure is a number or ``{ value = 10.2, sd = 0.3 }``, a list a list of numbers or words.
    """
    try:
        data = sources.toml(path, "a table of parts")
    except InputError as error:
        problems += error.problems
        return []
    tables = data.get(key)
    if set(data) != {key} or not isinstance(tables, list) or not all(isinstance(t, dict) for t in tables):
        found = ", ".join(map(repr, data)) or "an empty file"
        problems.append(
            Problem(path.name, found, f"tables [[{key}]] alone", f"Write [[{key}]] over each part.")
        )
        return []
    return [(f"{path.name}, row {i}", cells_of(table)) for i, table in enumerate(tables, 1)]


def cells_of(table: Mapping[str, object]) -> dict[str, str]:
    """Cells of one TOML table, as the CSV file would hold them."""
    cells: dict[str, str] = {}
    for name, value in table.items():
        if isinstance(value, Mapping) and "value" in value and set(value) <= {"value", "sd"}:
            cells[name] = str(value["value"])
            if "sd" in value:
                cells[Column(name, "figure").sd_name] = str(value["sd"])
        elif isinstance(value, list):
            cells[name] = " ".join(map(str, value))
        else:
            cells[name] = str(value)
    return cells


def parse_rows(
    rows: Sequence[tuple[str, Mapping[str, str]]],
    columns: Sequence[Column],
    key: str,
    problems: list[Problem],
) -> list[Row]:
    """Turn cells into values; every fault goes to ``problems``, rows without a code are left out.

    Parameters
    ----------
    rows : sequence of (place, cells by header)
    columns : sequence of Column
    key : str
        Column of the code, which must be there and different in each row.
    problems : list of Problem
        Appended to.
    """
    known = {c.name: c for c in columns}
    sds = {c.sd_name for c in columns if c.kind == "figure"}
    headers = list(dict.fromkeys(h for _, cells in rows for h in cells if h))
    file = rows[0][0].split(", row")[0] if rows else ""
    for name in headers:
        if name not in known and name not in sds:
            near = difflib.get_close_matches(name, [*known, *sds], 1, 0.5)
            do = f"Did you mean {near[0]!r}?" if near else "Rename or remove the column."
            problems.append(Problem(f"{file}, column {name!r}", "an unknown column", ", ".join(known), do))
    if rows and key not in headers:
        do = "Add the column of codes."
        problems.append(Problem(file, f"no column {key!r}", f"one code a row in {key!r}", do))
    seen: dict[str, str] = {}
    read: list[Row] = []
    for place, cells in rows:
        row = Row(place, {n: _value(place, c, cells, problems) for n, c in known.items() if n in headers})
        code = row.text(key)
        if key in headers and not code:
            problems.append(Problem(f"{place}, column {key!r}", "no code", "a code", "Give the row a code."))
        elif code in seen:
            do = "Rename one of the two."
            problems.append(
                Problem(
                    f"{place}, column {key!r}", f"{code!r} again (first in {seen[code]})", "each once", do
                )
            )
        elif code:
            seen[code] = place
            read.append(row)
    return read


def _value(place: str, column: Column, cells: Mapping[str, str], problems: list[Problem]) -> Value:
    text = cells.get(column.name, "")
    if text.casefold() in MISSING:
        return None
    if column.kind in ("text", "words"):
        if column.choices and text.casefold() not in column.choices:
            near = difflib.get_close_matches(text.casefold(), column.choices, 1, 0.5)
            do = f"Did you mean {near[0]!r}?" if near else "Use one of these."
            problems.append(Problem(f"{place}, column {column.name!r}", _short(text), column.allowed, do))
            return None
        if column.kind == "text":
            return text.casefold() if column.choices else text
        return tuple(text.replace(";", " ").replace(",", " ").split())
    if column.kind == "numbers":
        parts = [_number(place, column, p, problems) for p in text.replace(";", " ").split()]
        return tuple(p for p in parts if p is not None)
    number = _number(place, column, text, problems)
    if number is None or column.kind == "number":
        return number
    sd_text = cells.get(column.sd_name, "")
    if sd_text.casefold() in MISSING:
        return Reading(number)
    sd = _number(place, Column(column.sd_name, "number", 0.0), sd_text, problems)
    return Reading(number, sd)


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")


def _number(place: str, column: Column, text: str, problems: list[Problem]) -> float | None:
    where = f"{place}, column {column.name!r}"
    try:
        number = float(text)
    except ValueError:
        comma = text.count(",") == 1 and text.replace(",", "").lstrip("+-").isdigit()
        do = (
            "Write a point for the decimal comma."
            if comma
            else "Write the bare number; the header has the unit."
        )
        problems.append(Problem(where, _short(text), column.allowed, do))
        return None
    if not math.isfinite(number) or not column.low <= number <= column.high:
        unit = column.name.rpartition("_")[2]
        do = f"Check the figure and its unit ({unit}); leave the cell blank if it is not known."
        problems.append(Problem(where, _short(text)[1:-1], column.allowed, do))
        return None
    return number
