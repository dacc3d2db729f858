"""Bytes to a grid of text cells that remember their rows."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from fitter.base.sources import check_extent, check_lines, read, refuse
from fitter.shots import headers

csv.field_size_limit(1_000_000)
KINDS = "CSV, TSV, semicolon-separated text, JSON, an xlsx workbook or Parquet"
DELIMITERS = (",", ";", "\t", "|")
_SAMPLE = 80
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f-\x84\x86-\x9f]")
_RULE = re.compile(r"^[\s:=+_|-]*$")


@dataclass(frozen=True)
class Grid:
    """Cells of a table as text.

    Parameters
    ----------
    source : str
        Name of the file for messages, with the sheet if there are several.
    rows : list of list of str
        Rows that hold something, outer blanks of cells removed.
    numbers : list of int
        Row of each in the file, from 1.
    counter : str
        What the numbers count: 'row', 'line', 'record' or 'column'.
    """

    source: str
    rows: list[list[str]]
    numbers: list[int]
    counter: str = "row"


def load(path: str | Path, what: str = "a log of shots") -> list[Grid]:
    """Read the tables of a file.

    Parameters
    ----------
    path : str or Path
        Any of `KINDS`; the content decides, not the name.
    what : str
        What it should be, for messages.

    Returns
    -------
    list of Grid
        One a sheet for a workbook, else one.

    Raises
    ------
    InputError
        If the file is missing, empty, damaged, no table, or larger than the limits of `fitter.base.sources`.
    """
    return parse(read(path, what), Path(path).name)


def parse(data: bytes, name: str) -> list[Grid]:
    """Turn the bytes of a file into grids; see `load`."""
    from fitter.shots import containers

    if not data.strip(b" \t\r\n\x00\xef\xbb\xbf\xff\xfe"):
        raise refuse(name, "an empty file", "a header row and shots", "Export the session again.")
    if data[:4] in (b"PK\x03\x04", b"\xd0\xcf\x11\xe0"):
        return containers.workbook(data, name)
    if data[:4] == b"PAR1":
        return [containers.parquet(data, name)]
    text = decode(data, name)
    if text.lstrip()[:1] in ("{", "["):
        grid = containers.json_records(text, name)
        if grid is not None:
            return [grid]
    return [delimited(text, name)]


def decode(data: bytes, name: str) -> str:
    """Decode UTF-8, UTF-16 with or without a mark, or Latin-1 (Windows) text.

    Raises
    ------
    InputError
        If the bytes are no text in any of them.
    """
    encodings = ["utf-8-sig", "cp1252", "latin-1"]
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
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
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\f", "\n").replace("\x85", "\n")
    check_lines(text, name)
    hint = re.match(r"\s*\"?sep=(.)\"?\n", text, re.IGNORECASE)
    head = "\n".join(text.split("\n", _SAMPLE)[:_SAMPLE])
    if hint and hint[1] in DELIMITERS:
        delimiter = hint[1]
        text = "\n" + text[hint.end() :]
    else:
        delimiter = max(DELIMITERS, key=lambda d: _sense(head, d))
        if _sense(head, delimiter)[0] < 2 and (aligned := _aligned(text, name)) is not None:
            return aligned
    rows, numbers = _split(text, delimiter, name)
    if not rows:
        raise refuse(name, "an empty file", "a header row and shots", "Export the session again.")
    return Grid(name, rows, numbers)


def _sense(head: str, delimiter: str) -> tuple[int, int]:
    """Known headers in the best row, and rows that share the commonest number of cells."""
    known, widths = 0, dict[int, int]()
    try:
        for cells in csv.reader(io.StringIO(head), delimiter=delimiter):
            widths[len(cells)] = widths.get(len(cells), 0) + 1
            if len(cells) < 400 and not any(c.strip().lstrip("-")[:1].isdigit() for c in cells):
                known = max(
                    known, len({headers.understand(c, False).channel for c in cells if len(c) < 60} - {""})
                )
    except csv.Error:
        return 0, 0
    widths.pop(1, None)
    return known, max(widths.values(), default=0)


def _split(text: str, delimiter: str, name: str) -> tuple[list[list[str]], list[int]]:
    rows: list[list[str]] = []
    numbers: list[int] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    start, cells_in_all = 1, 0
    try:
        for cells in reader:
            cells = [c.strip() for c in cells]
            if any(cells) and not all(_RULE.match(c) for c in cells if c):
                if reader.line_num > start and any("\n" in c and c.count(delimiter) > 1 for c in cells):
                    where = f"{name}, rows {start} to {reader.line_num}"
                    do = "Close or remove the quotation mark."
                    raise refuse(where, "a quotation mark that is not closed", "quotation marks in pairs", do)
                rows.append(_edges(cells) if delimiter == "|" else cells)
                numbers.append(start)
                cells_in_all += len(cells)
                check_extent(name, 1, len(cells))
                check_extent(name, len(rows), -(-cells_in_all // len(rows)))
            start = reader.line_num + 1
    except csv.Error as error:
        where = f"{name}, row {reader.line_num}"
        raise refuse(where, str(error), "separated cells", "Mend or delete the row.") from None
    return rows, numbers


def _edges(cells: list[str]) -> list[str]:
    """Drop the empty outer cells of a table drawn with upright bars."""
    return cells[1:-1] if len(cells) > 2 and not cells[0] and not cells[-1] else cells


def _aligned(text: str, name: str) -> Grid | None:
    """Grid of a table whose columns are aligned with blanks, if every row has as many cells as the first."""
    rows, numbers = [], []
    for i, line in enumerate(text.split("\n"), 1):
        cells = [c for c in re.split(r"\s{2,}", line.strip()) if c]
        if cells and not all(_RULE.match(c) for c in cells):
            rows.append(cells)
            numbers.append(i)
            check_extent(name, len(rows), len(rows[0]))
    if len(rows) < 2 or len(rows[0]) < 2 or any(len(r) != len(rows[0]) for r in rows):
        return None
    return Grid(name, rows, numbers)
