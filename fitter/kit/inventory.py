"""What the shop has: heads and shafts as measured, read from heads.csv and shafts.csv, every fault told."""

from __future__ import annotations

import difflib
import math
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from fitter.base import sources, tables
from fitter.base.errors import InputError, Problem, raise_if
from fitter.kit.figures import Reading, fill
from fitter.kit.parts import Column, Head, Place, Shaft, columns

FILES = "heads.csv and shafts.csv (or .toml)"
"""What a folder of a kit holds."""

Part = TypeVar("Part")


class Row(NamedTuple):
    """A row: where it stands, for messages, and its cells, or what they mean, by column."""

    place: str
    values: dict[str, Any]


@dataclass(frozen=True)
class Kit:
    """Heads and shafts of a shop, in the order of its files."""

    heads: tuple[Head, ...]
    shafts: tuple[Shaft, ...]
    source: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "heads", _pooled(self.heads))

    @classmethod
    def load(cls, folder: str | Path) -> Kit:
        """Read heads and shafts of a folder, each a CSV or a TOML file; one of the two may be absent.

        Raises
        ------
        InputError
            With every fault of both files.
        """
        base = Path(folder)
        problems: list[Problem] = []
        heads_file, shafts_file = (_find(base, name, problems) for name in ("heads", "shafts"))
        if heads_file is None and shafts_file is None and not problems:
            found = "no such folder" if not base.is_dir() else "neither of the two"
            problems.append(Problem(str(base), found, FILES, "Name the folder of the kit."))
        heads = [_head(row, problems) for row in _rows(heads_file, Head, "head", problems)]
        shafts = [_shaft(row, problems) for row in _rows(shafts_file, Shaft, "shaft", problems)]
        raise_if(problems, f"The kit in {base} has {len(problems)} fault{'s' * (len(problems) != 1)}.")
        return cls(tuple(heads), tuple(shafts), str(base))

    def head(self, code: str) -> Head:
        """Head of a code.

        Raises
        ------
        InputError
            Naming the codes that are there and the nearest.
        """
        return _pick(code, {h.head: h for h in self.heads}, "head", self.source)

    def shaft(self, code: str) -> Shaft:
        """Shaft of a code; raises as `head` does."""
        return _pick(code, {s.shaft: s for s in self.shafts}, "shaft", self.source)


def _pooled(heads: Iterable[Head]) -> tuple[Head, ...]:
    """Heads of one shop, each knowing how far the shop's gauged heads are from their stamps."""
    kept = tuple(heads)
    errors = []
    for h in kept:
        if h.stamped_loft_deg is not None and h.loft_deg is not None:
            gauged = fill("head", "loft_deg", h.loft_deg)
            errors.append(Reading(gauged.value - h.stamped_loft_deg.value, gauged.sd))
    return tuple(replace(h, stamp_errors=tuple(errors)) for h in kept)


def kit_files(folder: str | Path) -> list[Path]:
    """Files that a folder of a kit may have."""
    return [Path(folder) / f"{name}{kind}" for name in ("heads", "shafts") for kind in (".csv", ".toml")]


def _find(base: Path, name: str, problems: list[Problem]) -> Path | None:
    """The file of heads or shafts, CSV or TOML but not both."""
    # What is there and no file is refused when it is read: a pipe or a broken link is no empty half of a kit.
    there = [file for file in kit_files(base) if file.stem == name and os.path.lexists(file)]
    if len(there) > 1:
        problems.append(Problem(str(base), f"{name}.csv and {name}.toml", "one of the two", "Remove one."))
    return there[0] if there else None


def _rows(path: Path | None, part: type, key: str, problems: list[Problem]) -> list[Row]:
    if path is None:
        return []
    try:
        rows = _csv_rows(path, problems) if path.suffix == ".csv" else _toml_rows(path, key)
    except InputError as error:
        problems += error.problems
        return []
    return parse_rows(rows, columns(part), key, problems)


def _csv_rows(path: Path, problems: list[Problem]) -> list[Row]:
    """Cells of a CSV file by header, with the place of each row; comma or semicolon."""
    try:
        text = sources.read(path, "a table of parts").decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise sources.refuse(path.name, "bytes that are no text", "CSV in UTF-8", "Save the table as CSV.")
    first, *_ = text.lstrip().splitlines() or [""]
    header: list[str] = []
    rows: list[Row] = []
    for line, row in tables.rows(text, ";" if first.count(";") > first.count(",") else ",", path.name):
        place = f"{path.name}, row {line}"
        if row[0].startswith("#"):
            continue
        if not header:
            header = [cell.casefold().replace(" ", "_") for cell in row]
            for name in sorted({h for h in header if h and header.count(h) > 1}):
                problems.append(Problem(place, f"column {name!r} twice", "each column once", "Remove one."))
        elif any(row[len(header) :]):
            do = "Put a cell that holds commas in quotation marks."
            problems.append(Problem(place, f"{len(row)} cells", f"{len(header)} cells", do))
        else:
            rows.append(Row(place, dict(zip(header, row, strict=False))))
    if not rows:
        found, allowed = "no rows" if header else "an empty file", "a header and at least one row"
        raise sources.refuse(path.name, found, allowed, "Add the rows, or remove the file.")
    return rows


def _toml_rows(path: Path, key: str) -> list[Row]:
    """Cells of a TOML file of tables ``[[head]]`` or ``[[shaft]]``, as a CSV file would hold them."""
    data = sources.toml(path, "a table of parts")
    parts = data.get(key)
    if set(data) != {key} or not isinstance(parts, list) or not all(isinstance(t, dict) for t in parts):
        found = ", ".join(map(repr, data)) or "an empty file"
        raise sources.refuse(path.name, found, f"tables [[{key}]] alone", f"Write [[{key}]] over each part.")
    return [Row(f"{path.name}, row {i}", cells_of(table)) for i, table in enumerate(parts, 1)]


def _pick(code: str, known: Mapping[str, Part], what: str, source: str) -> Part:
    if code in known:
        return known[code]
    do = _nearest(code.upper(), known, "Use one of these codes.", 0.4)
    problem = Problem(f"{what} in {source or 'the kit'}", repr(code), ", ".join(known) or "none", do)
    raise InputError(f"There is no {what} {code!r}.", [problem])


def _head(row: Row, problems: list[Problem]) -> Head:
    values = dict(row.values)
    settings = tuple(values.pop("settings", ())) or (0.0,)
    lies = tuple(values.pop("lies", ()))
    if lies and len(lies) != len(settings):
        where = f"{row.place}, column 'lies'"
        found, allowed = f"{len(lies)} lies", f"one for each of the {len(settings)} settings"
        problems.append(Problem(where, found, allowed, "Complete the list, or leave the cell blank."))
        lies = ()
    pairs = sorted({(0.0, 0.0), *zip(settings, lies or [0.0] * len(settings), strict=True)})
    values["settings"] = tuple(s for s, _ in pairs)
    if lies:
        values["lies"] = tuple(lie for _, lie in pairs)
    if "weights" in values:
        values["weights"] = read_places(values["weights"], row.place, problems)
        if "weight_g" not in values:
            where = f"{row.place}, column 'weights'"
            problems.append(Problem(where, "no weight_g", "both columns", "Give the weight that moves."))
    if "loft_deg" not in values and "stamped_loft_deg" not in values:
        do = "Give the stamp, or better gauge the loft."
        problems.append(Problem(row.place, "no loft", "loft_deg or stamped_loft_deg", do))
    return Head(**values)


def read_places(words: Sequence[str], place: str, problems: list[Problem]) -> tuple[Place, ...]:
    """Read 'heel:-40/-15/60 toe:40/-15/60': name, then toeward, upward and backward mm."""
    found = []
    for word in words:
        name, _, text = word.partition(":")
        try:
            toe, up, back = (float(x) for x in text.split("/"))
        except ValueError:
            allowed = "NAME:TOE/UP/BACK in mm, such as heel:-40/-15/60"
            do = "Write each place like that, separated by spaces."
            problems.append(Problem(f"{place}, column 'weights'", repr(word), allowed, do))
            continue
        found.append(Place(name, toe, up, back))
    return tuple(found)


def _shaft(row: Row, problems: list[Problem]) -> Shaft:
    values = row.values
    if "balance_mm" in values and "length_in" not in values:
        where = f"{row.place}, column 'balance_mm'"
        problems.append(Problem(where, "no length_in", "both or balance_pct", "Give the shaft's length."))
    return Shaft(**values)


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


def parse_rows(rows: Sequence[Row], kinds: Sequence[Column], key: str, problems: list[Problem]) -> list[Row]:
    """Turn cells into values, without those that nobody measured; rows without a code are left out.

    Parameters
    ----------
    rows : sequence of Row
        Cells by header.
    kinds : sequence of Column
        Columns that may be there.
    key : str
        Column of the code, which must be there and different in each row.
    problems : list of Problem
        Every fault is appended to it.
    """
    known = {c.name: c for c in kinds}
    sds = {c.sd_name for c in kinds if c.kind == "figure"}
    headers = list(dict.fromkeys(h for row in rows for h in row.values if h))
    file = rows[0].place.split(", row")[0] if rows else ""
    for name in headers:
        if name not in known and name not in sds:
            do = _nearest(name, [*known, *sds], "Rename or remove the column.")
            problems.append(Problem(f"{file}, column {name!r}", "an unknown column", ", ".join(known), do))
    if rows and key not in headers:
        do = "Add the column of codes."
        problems.append(Problem(file, f"no column {key!r}", f"one code a row in {key!r}", do))
    seen: dict[str, str] = {}
    read: list[Row] = []
    for place, cells in rows:
        found = {n: _value(place, c, cells, problems) for n, c in known.items() if n in headers}
        code = found.get(key) or ""
        if key in headers and not code:
            problems.append(Problem(f"{place}, column {key!r}", "no code", "a code", "Give the row a code."))
        elif code in seen:
            do = "Rename one of the two."
            again = f"{code!r} again (first in {seen[code]})"
            problems.append(Problem(f"{place}, column {key!r}", again, "each once", do))
        elif code:
            seen[code] = place
            read.append(Row(place, {n: v for n, v in found.items() if v is not None}))
    return read


def not_measured(text: str) -> bool:
    """Whether a cell says that nobody knows the figure; 'X' does in logs, but here it is a flex or a slip."""
    return tables.is_missing(text) and text.strip().casefold() != "x"


def _value(place: str, column: Column, cells: Mapping[str, str], problems: list[Problem]) -> Any:
    text = cells.get(column.name, "")
    if not_measured(text):
        return None
    if column.kind in ("text", "words"):
        if column.choices and text.casefold() not in column.choices:
            do = _nearest(text.casefold(), column.choices, "Use one of these.")
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
    if not_measured(sd_text):
        return Reading(number)
    sd = _number(place, Column(column.sd_name, "number", 0.0), sd_text, problems)
    return Reading(number, sd)


def _nearest(word: str, known: Iterable[str], otherwise: str, likeness: float = 0.5) -> str:
    """What to do about a word that is not known."""
    near = difflib.get_close_matches(word, known, 1, likeness)
    return f"Did you mean {near[0]!r}?" if near else otherwise


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")


def _number(place: str, column: Column, text: str, problems: list[Problem]) -> float | None:
    where = f"{place}, column {column.name!r}"
    try:
        number = float(text)
    except ValueError:
        comma = text.count(",") == 1 and text.replace(",", "").lstrip("+-").isdigit()
        do = "Write the bare number; the header has the unit."
        if comma:
            do = "Write a point for the decimal comma."
        problems.append(Problem(where, _short(text), column.allowed, do))
        return None
    if not math.isfinite(number) or not column.low <= number <= column.high:
        unit = column.name.rpartition("_")[2]
        do = f"Check the figure and its unit ({unit}); leave the cell blank if it is not known."
        problems.append(Problem(where, _short(text)[1:-1], column.allowed, do))
        return None
    return number
