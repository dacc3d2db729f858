"""Workbooks and Parquet tables to grids; how large a workbook is, is found before it is decoded."""

from __future__ import annotations

import io
import math
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from importlib import import_module
from typing import Any
from xml.parsers import expat

from fitter.base.errors import InputError
from fitter.base.sources import check_extent, limit, refuse, size

KINDS = "CSV, TSV, semicolon-separated text, JSON, an xlsx workbook or Parquet"
_CHUNK = 1 << 16
_PLACE = re.compile(r"\$?([A-Za-z]{1,7})\$?([0-9]{1,10})")
_XML = (".xml", ".rels")
_MEMBERS = 2_000
"""Files in a workbook; one of hundreds of sheets and pictures has some hundreds (J)."""


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
    sheet : str
        Name of the sheet, where a workbook has several.
    """

    source: str
    rows: list[list[str]]
    numbers: list[int]
    counter: str = "row"
    sheet: str = ""


class _Unfit(Exception):
    """What makes a workbook one that cannot be read."""


@dataclass
class Sheet:
    """Extent of the cells that hold something: rows and columns from 1, 0 where there are none yet."""

    top: int = 0
    left: int = 0
    bottom: int = 0
    right: int = 0

    def add(self, row: int, column: int) -> None:
        """Take a cell in."""
        self.top = min(self.top or row, row)
        self.left = min(self.left or column, column)
        self.bottom, self.right = max(self.bottom, row), max(self.right, column)

    @property
    def rows(self) -> int:
        """Rows from the first to the last."""
        return self.bottom - self.top + 1 if self.top else 0

    @property
    def columns(self) -> int:
        """Columns from the first to the last."""
        return self.right - self.left + 1 if self.left else 0


def check(data: bytes, name: str) -> int:
    """Refuse a workbook that would not fit, before it is decoded; give its cells.

    What the file declares is not believed: the members are unpacked piece by piece, up to the limit, and the
    places of the cells themselves are looked at. A workbook of the older binary kind is bounded by its size
    and by its 65,536 rows of 256 columns; it is let through.

    Raises
    ------
    InputError
        With the size, or with the cell that makes a sheet so large.
    """
    if not data.startswith(b"PK"):
        return 0
    cells = unpacked = 0
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            names = {m.filename.lower().replace("\\", "/") for m in members}
            # The reader would take these for workbooks of other kinds, whose extent is written otherwise.
            if "xl/workbook.xml" not in names or names & {"content.xml", "xl/workbook.bin"}:
                raise _Unfit("a packed file that is no xlsx workbook")
            if len(members) > _MEMBERS:
                raise _Unfit(f"{len(members):,} packed files")
            declared = sum(m.file_size for m in members)
            if declared > limit("unpacked_bytes"):
                raise _too_much(name, size(declared))
            for member in members:
                scan = _Scan(name, member.filename)
                for part in _unpacked(archive, member):
                    unpacked += len(part)
                    if unpacked > limit("unpacked_bytes"):
                        raise _too_much(name, f"more than {size(limit('unpacked_bytes'))}")
                    scan.feed(part)
                scan.feed(b"", True)
                cells += scan.sheet.rows * scan.sheet.columns
                if cells > limit("cells"):
                    do = "Save the sheet of shots alone as CSV."
                    found = f"sheets that span {cells:,} cells together"
                    raise refuse(name, found, f"at most {limit('cells'):,}", do)
    except (zipfile.BadZipFile, zlib.error, expat.ExpatError, _Unfit, RuntimeError, ValueError) as error:
        found = f"a damaged workbook, or one with a password ({str(error)[:80]})"
        do = "Save the workbook again without a password, or save the sheet as CSV."
        raise refuse(name, found, "a whole xlsx workbook", do) from None
    except (EOFError, OSError, NotImplementedError):
        do = "Save the workbook again, or save the sheet as CSV."
        raise refuse(name, "a damaged workbook", "a whole xlsx workbook", do) from None
    return cells


def _too_much(name: str, found: str) -> InputError:
    do = "Save the sheet of shots alone as CSV."
    return refuse(name, f"{found} when unpacked", f"at most {size(limit('unpacked_bytes'))}", do)


def _unpacked(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> Iterator[bytes]:
    """Pieces of a member up to the true end of its data, which the declared size need not tell."""
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise _Unfit("packed in an unusual way")
    member.file_size = max(member.file_size, 1 << 40)
    with archive.open(member) as stream:
        while part := stream.read(_CHUNK):
            yield part


class _Scan:
    """Follow the XML of one member and note where its cells lie."""

    def __init__(self, book: str, member: str) -> None:
        self.sheet = Sheet()
        self._where = f"{book}, {member.rpartition('/')[2]}"
        self._parser = None
        if member.lower().endswith(_XML):
            self._parser = expat.ParserCreate()
            self._parser.StartElementHandler = self._start
            self._parser.StartDoctypeDeclHandler = self._doctype
        self._row = self._column = 0
        self._inside = False

    def feed(self, part: bytes, last: bool = False) -> None:
        """Take the next piece."""
        if self._parser is not None:
            self._parser.Parse(part, last)

    def _doctype(self, *_: object) -> None:
        # No workbook has one, and entities can make a small file large.
        raise _Unfit("a document type in its XML")

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        word = tag.rpartition(":")[2]
        if word == "Relationship" and attributes.get("Type", "").endswith("/worksheet"):
            if not attributes.get("Target", "").lower().endswith(_XML):
                raise _Unfit("a sheet that is no XML")
        elif word == "sheetData":
            self._inside = True
        elif self._inside and word == "row":
            self._row = int(attributes["r"]) if "r" in attributes else self._row + 1
            self._column = 0
        elif self._inside and word == "c":
            self._cell(attributes.get("r"))
        elif self._inside and word in ("v", "is", "f"):
            # A cell with a look and no content takes no room.
            self._take()

    def _cell(self, place: str | None) -> None:
        if place is None:
            self._column += 1
            return
        match = _PLACE.fullmatch(place)
        if match is None:
            raise _Unfit(f"a cell called {place[:20]!r}")
        self._column = 0
        for letter in match[1].upper():
            self._column = 26 * self._column + ord(letter) - 64
        self._row = int(match[2])

    def _take(self) -> None:
        sheet, before = self.sheet, (self.sheet.rows, self.sheet.columns)
        sheet.add(self._row, self._column)
        if (sheet.rows, sheet.columns) != before:
            place = f"{_letters(self._column)}{self._row}"
            why = f", since something stands in cell {place}"
            do = f"Delete what does not belong to the table, such as cell {place}, or save the table as CSV."
            check_extent(self._where, sheet.rows, sheet.columns, why, do)


def _letters(column: int) -> str:
    text = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text


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


def sheets(data: bytes, name: str) -> list[Grid]:
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
    check(data, name)
    grids = []
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        for sheet in book.sheet_names:
            table = book.get_sheet_by_name(sheet)
            check_extent(f"{name} [{sheet}]", table.height, table.width)
            first = (table.start or (0, 0))[0]
            cells = [[text_of(c) for c in row] for row in table.to_python(skip_empty_area=True)]
            kept = [(i, row) for i, row in enumerate(cells, first + 1) if any(row)]
            if kept:
                several = len(book.sheet_names) > 1
                label = f"{name} [{sheet}]" if several else name
                rows, numbers = [r for _, r in kept], [i for i, _ in kept]
                grids.append(Grid(label, rows, numbers, sheet=sheet if several else ""))
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
