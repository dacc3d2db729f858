"""Workbooks, JSON and Parquet to grids of text cells."""

from __future__ import annotations

import io
import json
import math
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from importlib import import_module
from typing import Any

from fitter.base.sources import check_extent, limit, refuse, size
from fitter.errors import InputError
from fitter.shots import workbooks
from fitter.shots.dialects import KINDS, Grid

DEEPEST = 8
"""Levels of nesting in JSON that a record may have (J)."""


def text_of(value: Any) -> str:
    """Text of a typed cell, the shortest that reads back equal."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return str(value)
    if isinstance(value, float):
        if math.isnan(value):
            return ""
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, timedelta):
        return str(value)
    return str(value).strip()


def workbook(data: bytes, name: str) -> list[Grid]:
    """Read the sheets of a workbook that hold something.

    Raises
    ------
    InputError
        If the reader of workbooks is not installed, or the file is damaged or too large.
    """
    try:
        from python_calamine import CalamineWorkbook
    except ImportError:
        do = "Install the extra: pip install 'fitter-advisor[xlsx]', or save the sheet as CSV."
        raise refuse(name, "a workbook, and nothing installed that reads it", KINDS, do) from None
    workbooks.check(data, name)
    grids = []
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        sheets = list(book.sheet_names)
        for sheet in sheets:
            table = book.get_sheet_by_name(sheet)
            check_extent(f"{name} [{sheet}]", table.height, table.width)
            first = (table.start or (0, 0))[0]
            cells = [[text_of(c) for c in row] for row in table.to_python(skip_empty_area=True)]
            kept = [(i, row) for i, row in enumerate(cells, first + 1) if any(row)]
            if kept:
                label = name if len(sheets) == 1 else f"{name} [{sheet}]"
                grids.append(Grid(label, [r for _, r in kept], [i for i, _ in kept]))
    except (KeyboardInterrupt, SystemExit, MemoryError, InputError):
        raise
    # The reader is compiled code: on a damaged file it may also raise a panic, which is no Exception.
    except BaseException as error:
        found = f"a damaged workbook ({str(error).splitlines()[0][:80] if str(error) else 'unreadable'})"
        raise refuse(
            name, found, "a whole workbook", "Save the workbook again, or save the sheet as CSV."
        ) from None
    if not grids:
        raise refuse(name, "a workbook without cells", "a header row and shots", "Export the session again.")
    return grids


def parquet(data: bytes, name: str) -> Grid:
    """Read a Parquet table.

    Raises
    ------
    InputError
        If pyarrow is not installed, or the file is damaged.
    """
    try:
        pyarrow = import_module("pyarrow")
        parquet_file = import_module("pyarrow.parquet").ParquetFile
    except ImportError:
        do = "Install pyarrow: pip install 'fitter-advisor[parquet]', or export as CSV."
        raise refuse(name, "Parquet, and nothing installed that reads it", KINDS, do) from None
    try:
        file = parquet_file(io.BytesIO(data))
        known = file.metadata
        check_extent(name, known.num_rows, known.num_columns)
        unpacked = sum(known.row_group(k).total_byte_size for k in range(known.num_row_groups))
        if unpacked > limit("unpacked_bytes"):
            allowed = f"at most {size(limit('unpacked_bytes'))} when unpacked"
            raise refuse(name, size(unpacked), allowed, "Split the table.")
        table = file.read()
        names = [str(c) for c in table.column_names]
        columns = [[text_of(v) for v in column.to_pylist()] for column in table.columns]
    except (pyarrow.ArrowException, OSError, ValueError, TypeError) as error:
        found = f"damaged Parquet ({str(error).splitlines()[0][:80]})"
        raise refuse(name, found, "a whole file", "Export the session again.") from None
    rows = [list(r) for r in zip(*columns, strict=True)] if columns else []
    return Grid(name, [names, *rows], list(range(len(rows) + 1)), "record")


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
