"""Tables of separated text: rows of cells with their row numbers, and words for a value that is not there."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from fitter.base.sources import check_extent, check_lines, refuse

csv.field_size_limit(1_000_000)

_WORDS = (
    "- -- --- – — ? . ... … * x n/a na n.a. nan nm #n/a #na #value! #div/0! #ref! null none nil blank unknown"
)
MISSING = frozenset(_WORDS.split()) | {"", "no value", "not measured"}
"""Cells, in lower case, that say that nobody measured a value; the empty cell is one."""


def is_missing(cell: str) -> bool:
    """Whether a cell says that there is no value, quotation marks and brackets around it left out.

    Examples
    --------
    >>> is_missing("(N/A)"), is_missing(""), is_missing("0")
    (True, True, False)
    """
    folded = cell.strip().casefold()
    return folded in MISSING or folded.strip("\"'()[]# ") in MISSING


def in_lines(text: str, where: str) -> str:
    """Text whose lines end in a newline alone.

    Raises
    ------
    InputError
        If a line is longer than the limit.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\f", "\n").replace("\x85", "\n")
    check_lines(text, where)
    return text


def _swallowed(cell: str, delimiter: str, widest: int) -> bool:
    """Whether a cell holds whole rows: a line of it has half the separators of a row, and two at least."""
    most = max((line.count(delimiter) for line in cell.split("\n")[1:]), default=0)
    return most >= max(2, widest // 2)


def rows(text: str, delimiter: str, where: str) -> Iterator[tuple[int, list[str]]]:
    """Rows of separated text that hold something, each with the line on which it begins, from 1.

    Parameters
    ----------
    text : str
        Any kind of line ends.
    delimiter : str
    where : str
        Name of the file for messages.

    Yields
    ------
    int, list of str
        Row number and cells, blanks around a cell removed.

    Raises
    ------
    InputError
        If the text is no CSV, a quotation mark stays open, or the table is larger than the limits of
        `fitter.base.sources`.
    """
    reader = csv.reader(io.StringIO(in_lines(text, where), newline=""), delimiter=delimiter)
    start, count, cells_in_all, widest = 1, 0, 0, 0
    try:
        for raw in reader:
            cells = [c.strip() for c in raw]
            if any(cells):
                # A quotation mark that is never closed swallows the delimiters of the lines that follow.
                widest = max(widest, 0 if reader.line_num > start else len(cells))
                if reader.line_num > start and any(_swallowed(c, delimiter, widest) for c in cells):
                    place = f"{where}, rows {start} to {reader.line_num}"
                    do = "Close or remove the quotation mark."
                    raise refuse(place, "a quotation mark that is not closed", "quotation marks in pairs", do)
                count += 1
                cells_in_all += len(cells)
                check_extent(where, 1, len(cells))
                check_extent(where, count, -(-cells_in_all // count))
                yield start, cells
            start = reader.line_num + 1
    except csv.Error as error:
        place = f"{where}, row {reader.line_num}"
        raise refuse(place, str(error), "separated cells", "Mend or delete the row.") from None
