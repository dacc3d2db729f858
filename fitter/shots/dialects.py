"""Bytes to a grid of text cells that remember their rows."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path

from fitter.errors import InputError, Problem

csv.field_size_limit(1_000_000)


@dataclass(frozen=True)
class Grid:
    """Cells of a file as text.

    Parameters
    ----------
    source : str
        Name of the file for messages.
    rows : list of list of str
        Rows that hold something.
    numbers : list of int
        Row of each in the file, from 1.
    """

    source: str
    rows: list[list[str]]
    numbers: list[int]


def refuse(where: str, found: str, allowed: str, do: str) -> InputError:
    """Error with one problem about a whole file."""
    return InputError(f"{where} cannot be read.", [Problem(where, found, allowed, do)])


def load(path: str | Path) -> Grid:
    """Read a file of shots into a grid.

    Raises
    ------
    InputError
        If the file is missing, empty, or no table of text.
    """
    path = Path(path)
    name = path.name
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise refuse(str(path), "no such file", "a log of shots", "Check the path.") from None
    except OSError as error:
        raise refuse(str(path), str(error.strerror or error), "a file", "Check the path.") from None
    return parse(data, name)


def parse(data: bytes, name: str) -> Grid:
    """Turn the bytes of a file into a grid."""
    if not data.strip():
        raise refuse(name, "an empty file", "a header row and shots", "Export the session again.")
    if b"\x00" in data[:4096]:
        raise refuse(name, "binary data", "a table of text (CSV)", "Export the session as CSV.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"{name}, byte {error.start + 1}"
        raise refuse(where, "bytes that are no UTF-8 text", "UTF-8", "Export the session as CSV.") from None
    return _grid(text, name)


def _grid(text: str, name: str) -> Grid:
    rows: list[list[str]] = []
    numbers: list[int] = []
    reader = csv.reader(io.StringIO(text, newline=""))
    start = 1
    try:
        for cells in reader:
            cells = [c.strip() for c in cells]
            if any(cells):
                rows.append(cells)
                numbers.append(start)
            start = reader.line_num + 1
    except csv.Error as error:
        where = f"{name}, row {reader.line_num}"
        raise refuse(where, str(error), "comma-separated cells", "Mend or delete the row.") from None
    return Grid(name, rows, numbers)
