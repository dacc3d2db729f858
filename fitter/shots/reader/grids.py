"""Bytes of a log to a grid of text cells that remember their rows."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from fitter.base.sources import check_extent, limit, read, refuse
from fitter.base.tables import in_lines, rows
from fitter.shots.reader import headers, workbooks
from fitter.shots.reader.workbooks import KINDS, Grid, text_of

DELIMITERS = (",", ";", "\t", "|")
_SAMPLE = 80
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f-\x84\x86-\x9f]")
_HINT = re.compile(r"\s*\"?sep=(.)\"?\n", re.IGNORECASE)
_RULE = re.compile(r"^[\s:=+_|-]*$")


def load(path: str | Path, what: str = "a log of shots", live: bool = False) -> list[Grid]:
    """Read the tables of a file.

    Parameters
    ----------
    path : str or Path
        Any of `KINDS`; the content decides, not the name.
    what : str
        What it should be, for messages.
    live : bool
        Whether somebody may still be writing it: text without an end of line at its end is not read yet.

    Returns
    -------
    list of Grid
        One a sheet for a workbook, else one.

    Raises
    ------
    InputError
        If the file is missing, empty, damaged, no table, or larger than the limits of `fitter.base.sources`.
    """
    return parse(read(path, what), Path(path).name, live)


def parse(data: bytes, name: str, live: bool = False) -> list[Grid]:
    """Turn the bytes of a file into grids; see `load`."""
    if not data.strip(b" \t\r\n\x00\xef\xbb\xbf\xff\xfe"):
        raise refuse(name, "an empty file", "a header row and shots", "Export the session again.")
    if data[:4] in (b"PK\x03\x04", b"\xd0\xcf\x11\xe0"):
        return workbooks.sheets(data, name)
    if data[:4] == b"PAR1":
        return [workbooks.parquet(data, name)]
    text = decode(data, name)
    if live:
        text = text[: max(text.rfind("\n"), text.rfind("\r")) + 1] or text
    if text.lstrip()[:1] in ("{", "["):
        grid = json_records(text, name)
        if grid is not None:
            return [grid]
    return [delimited(text, name)]


def decode(data: bytes, name: str) -> str:
    """Decode UTF-8, UTF-16 and UTF-32 with or without a mark, or Latin-1 (Windows) text.

    Raises
    ------
    InputError
        If the bytes are no text in any of them.
    """
    encodings = ["utf-8-sig", "cp1252", "latin-1"]
    wide = (
        [data[k:400:4].count(0) > 0.9 * len(data[k:400:4]) for k in range(4)]
        if len(data) > 7
        else [False] * 4
    )
    if data[:4] in (b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff"):
        encodings = ["utf-32"]
    elif wide in ([False, True, True, True], [True, True, True, False]):
        encodings = ["utf-32-be" if wide[0] else "utf-32-le"]
    elif data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encodings = ["utf-16"]
    elif len(data) > 3 and (data[1:200:2].count(0) > 0.4 * len(data[1:200:2])):
        encodings = ["utf-16-le"]
    elif len(data) > 3 and (data[0:200:2].count(0) > 0.4 * len(data[0:200:2])):
        encodings = ["utf-16-be"]
    for encoding in encodings:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        control = _CONTROL.search(text)
        if control is None:
            return text
    raise refuse(name, "binary data", f"{KINDS}", "Export the session as CSV.")


def delimited(text: str, name: str) -> Grid:
    """Turn text into a grid under the delimiter that makes most sense of it."""
    text = in_lines(text, name)
    hint = _HINT.match(text)
    if hint and hint[1] in DELIMITERS:
        delimiter = hint[1]
        # The line of the hint stays, empty, so that rows keep their numbers.
        text = "\n" + text[hint.end() :]
    else:
        head = "\n".join(text.split("\n", _SAMPLE)[:_SAMPLE])
        delimiter = max(DELIMITERS, key=lambda d: _sense(head, d))
        if _sense(head, delimiter)[0] < 2 and (aligned := _aligned(text, name)) is not None:
            return aligned
    found = [(i, cells) for i, cells in rows(text, delimiter, name) if not _is_rule(cells)]
    if not found:
        raise refuse(name, "an empty file", "a header row and shots", "Export the session again.")
    return Grid(name, [_edges(c) if delimiter == "|" else c for _, c in found], [i for i, _ in found])


def _is_rule(cells: list[str]) -> bool:
    """Whether a row only draws a line across a table."""
    return all(_RULE.match(c) for c in cells if c)


def _sense(head: str, delimiter: str) -> tuple[int, int]:
    """Known headers in the best row, and rows that share the commonest number of cells."""
    known, widths = 0, Counter[int]()
    try:
        for cells in csv.reader(io.StringIO(head), delimiter=delimiter):
            widths[len(cells)] += 1
            if len(cells) < 400 and not any(c.strip().lstrip("-")[:1].isdigit() for c in cells):
                words = {headers.understand(c, False).channel for c in cells if len(c) < 60}
                known = max(known, len(words - {""}))
    except csv.Error:
        return 0, 0
    widths.pop(1, None)
    return known, max(widths.values(), default=0)


def _edges(cells: list[str]) -> list[str]:
    """Drop the empty outer cells of a table drawn with upright bars."""
    return cells[1:-1] if len(cells) > 2 and not cells[0] and not cells[-1] else cells


def _aligned(text: str, name: str) -> Grid | None:
    """Grid of a table whose columns are aligned with blanks, if every row has as many cells as the first."""
    rows, numbers = [], []
    for i, line in enumerate(text.split("\n"), 1):
        cells = [c for c in re.split(r"\s{2,}", line.strip()) if c]
        if not _is_rule(cells):
            rows.append(cells)
            numbers.append(i)
            check_extent(name, len(rows), len(rows[0]))
    if len(rows) < 2 or len(rows[0]) < 2 or any(len(r) != len(rows[0]) for r in rows):
        return None
    return Grid(name, rows, numbers)


DEEPEST = 8
"""Levels of nesting in JSON that a record may have (J)."""


def json_records(text: str, name: str) -> Grid | None:
    """Read JSON lines, an array of records, or an object that holds one; None if it is no JSON at all.

    Nested records become words in a row, ``{"club": {"speed": 100}}`` the column 'club speed'; a record of a
    value and a unit becomes a column with that unit.

    Raises
    ------
    InputError
        With every line that is broken, or if there are too many parts.
    """
    lines = [(i, line) for i, line in enumerate(text.split("\n"), 1) if line.strip()]
    parts = text.count("{") + text.count("[")
    if parts > limit("cells"):
        allowed = f"at most {limit('cells'):,}"
        raise refuse(name, f"JSON of {parts:,} records and arrays", allowed, "Split the file.")
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError):
        whole = None
    if whole is not None:
        records = _records(whole, name)
        if not records:
            raise refuse(name, "JSON without records", "an array of shots", "Export the session again.")
        return _grid(list(enumerate(records, 1)), name, "record")
    parsed, bad = [], []
    for i, line in lines:
        try:
            parsed.append((i, json.loads(line)))
        except (ValueError, RecursionError):
            bad.append(i)
    if not bad and all(isinstance(r, dict) for _, r in parsed):
        return _grid(parsed, name, "line")
    if text.lstrip().startswith("[") and len(parsed) < len(bad):
        # '[' also opens the units of a header row or a remark.
        return None if any(d in lines[0][1] for d in ",;\t") and '"' not in text[:200] else _broken(name, bad)
    return _broken(name, bad or [i for i, r in parsed if not isinstance(r, dict)])


def _broken(name: str, lines: list[int]) -> Grid:
    shown = ", ".join(map(str, lines[:5])) + (f" and {len(lines) - 5} more" if len(lines) > 5 else "")
    do = "Export the session again, or mend the line."
    raise refuse(f"{name}, line {shown}", "broken JSON", "one whole record a line, or one array", do)


def _records(
    whole: Any, name: str, beside: dict[str, Any] | None = None, depth: int = 0
) -> list[dict[str, Any]]:
    """Find the records in a document; what stands beside an array is repeated in each of its records."""
    if isinstance(whole, list):
        found: list[dict[str, Any]] = []
        for item in whole:
            if isinstance(item, dict):
                found += _records(item, name, beside, depth)
                # Each record takes in what stands beside the array.
                check_extent(name, len(found), len(beside or {}))
        return found
    if not isinstance(whole, dict) or depth > DEEPEST:
        return []
    outer = dict(beside or {})
    arrays = [k for k, v in whole.items() if _holds_records(v, depth)]
    outer |= {k: v for k, v in whole.items() if k not in arrays}
    inner = [_records(whole[k], name, outer, depth + 1) for k in arrays]
    return max(inner, key=len) if inner else [outer]


def _holds_records(value: Any, depth: int) -> bool:
    if isinstance(value, dict):
        return depth < DEEPEST and any(_holds_records(v, depth + 1) for v in value.values())
    return isinstance(value, list) and any(isinstance(v, dict) for v in value)


def _flat(record: Any, words: str = "", depth: int = 0) -> Iterable[tuple[str, str]]:
    if isinstance(record, dict) and depth < DEEPEST:
        lowered = {str(k).casefold(): v for k, v in record.items()}
        if set(lowered) in ({"value", "unit"}, {"value", "units"}):
            unit = lowered.get("unit", lowered.get("units"))
            yield f"{words} ({unit})" if unit else words, text_of(lowered["value"])
            return
        for key, value in record.items():
            yield from _flat(value, f"{words} {key}".strip(), depth + 1)
    elif isinstance(record, list):
        yield words, ", ".join(text_of(v) for v in record if not isinstance(v, list | dict))
    else:
        yield words, text_of(record)


def _grid(records: list[tuple[int, dict[str, Any]]], name: str, counter: str) -> Grid:
    names: dict[str, int] = {}
    rows = []
    for _, record in records:
        row = dict(_flat(record))
        for key in row:
            names.setdefault(key, len(names))
        check_extent(name, len(records), len(names))
        rows.append(row)
    table = [[row.get(key, "") for key in names] for row in rows]
    return Grid(name, [list(names), *table], [0, *(i for i, _ in records)], counter)
