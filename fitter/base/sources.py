"""What comes from outside, within limits: bytes, lines, rows and columns are refused early beyond `limit`."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from pathlib import Path
from typing import Any, BinaryIO

from fitter.base.assumptions import Assumptions, current, laid
from fitter.base.errors import InputError, Problem

_CHUNK = 1 << 20
_STREAM = re.compile(r"/dev/stdin|(/dev|/proc/self)/fd/\d+")
"""Names under which a shell hands over a pipe that somebody writes; another pipe may be silent for ever."""
_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a named pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def limit(name: str) -> int:
    """Judged limit of this name: ``limit.<name>`` of assumptions.toml."""
    return int(current().value(f"limit.{name}"))


def size(count: int) -> str:
    """Bytes in words.

    Examples
    --------
    >>> size(32_000_000), size(900)
    ('32 MB', '900 bytes')
    """
    return f"{count / 1e6:.0f} MB" if count >= 1_000_000 else f"{count:,} bytes"


def refuse(where: str, found: str, allowed: str, do: str) -> InputError:
    """Return an error with one problem about a whole file."""
    return InputError(f"{where} cannot be read.", [Problem(where, found, allowed, do)])


def read(path: str | Path, what: str = "a file", most: str = "file_bytes") -> bytes:
    """Bytes of a file, or of a pipe that the shell hands over.

    Parameters
    ----------
    path : str or Path
    what : str
        What it should be, for messages.
    most : str
        Name of the limit.

    Raises
    ------
    InputError
        If there is no such file, it is no file, or is larger than the limit; it is not opened then.
    """
    try:
        state = os.stat(path)
        pipe = bool(_STREAM.fullmatch(str(path))) and not stat.S_ISCHR(state.st_mode)
        if not pipe and not stat.S_ISREG(state.st_mode):
            kind = next((word for test, word in _KINDS if test(state.st_mode)), "no ordinary file")
            raise refuse(
                str(path), kind, what, "Check the path; save what comes from elsewhere as a file first."
            )
        if stat.S_ISREG(state.st_mode) and state.st_size > limit(most):
            raise _too_large(str(path), size(state.st_size), most)
        with open(path, "rb") as stream:
            return take(stream, str(path), most)
    except FileNotFoundError:
        raise refuse(str(path), "no such file", what, "Check the path. Name an existing file.") from None
    except (OSError, ValueError) as error:
        found = getattr(error, "strerror", None) or str(error)
        raise refuse(str(path), found, what, "Check the path and its permissions.") from None


def take(stream: BinaryIO, where: str, most: str = "file_bytes") -> bytes:
    """Bytes of a stream whose size is not known beforehand; see `read`."""
    allowed, parts, taken = limit(most), list[bytes](), 0
    while part := stream.read(min(_CHUNK, allowed + 1 - taken)):
        parts.append(part)
        taken += len(part)
        if taken > allowed:
            raise _too_large(where, f"more than {size(allowed)}", most)
    return b"".join(parts)


def _too_large(where: str, found: str, most: str) -> InputError:
    do = "Split it, or take out what is not needed."
    return refuse(where, found, f"at most {size(limit(most))}", do)


def toml(path: str | Path, what: str) -> dict[str, Any]:
    """Read a file of settings in TOML.

    Raises
    ------
    InputError
        As `read` does, and if it is no TOML in UTF-8.
    """
    try:
        return tomllib.loads(read(path, what, "settings_bytes").decode("utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        found = str(error)
    except RecursionError:
        found = "brackets nested too deep"
    raise refuse(Path(path).name, found, "TOML in UTF-8", "Mend the syntax at that place.")


def layered(below: Assumptions, file: str | Path) -> Assumptions:
    """Lay a shop's own file of judged numbers over others; see `assumptions.laid`.

    Parameters
    ----------
    below : Assumptions
        What they lie over: nearly always `assumptions.defaults()`.
    file : str or Path
        TOML as in assumptions.toml, with the entries alone that differ.

    Raises
    ------
    InputError
        If the file cannot be read, and with every entry that is not complete, is not known, or has another
        unit.
    """
    return laid(toml(file, "a file of judged numbers"), Path(file).name, below)


def check_lines(text: str, where: str) -> None:
    """Refuse text with a line that is longer than any table's; its lines end in a newline.

    Raises
    ------
    InputError
        With the first such line.
    """
    most, start = limit("line_characters"), 0
    while len(text) - start > most:
        # The last end of a line within reach: all lines before it are short enough.
        end = text.rfind("\n", start, start + most + 1)
        if end < 0:
            end = text.find("\n", start)
            length = (len(text) if end < 0 else end) - start
            line = f"{where}, line {text.count(chr(10), 0, start) + 1}"
            do = "Check that the file is a table with one row a line."
            raise refuse(line, f"{length:,} characters", f"at most {most:,} in a line", do)
        start = end + 1


def check_extent(where: str, rows: int, columns: int, why: str = "", do: str = "Split the table.") -> None:
    """Refuse a table with too many rows, columns or cells in all.

    Parameters
    ----------
    where : str
        File, with the sheet.
    rows, columns : int
        Its extent so far.
    why : str
        What makes it so large, for the message.
    do : str
        What to do.

    Raises
    ------
    InputError
        With the limits.
    """
    most = limit("rows"), limit("columns"), limit("cells")
    if rows > most[0] or columns > most[1] or rows * columns > most[2]:
        # Reading stops at the first row too many: how many there are, nobody counts.
        count = f"more than {most[0]:,}" if rows == most[0] + 1 else f"{rows:,}"
        found = f"{count} row{'s' * (rows != 1)} and {columns:,} columns{why}"
        allowed = f"at most {most[0]:,} rows, {most[1]:,} columns and {most[2]:,} cells"
        raise refuse(where, found, allowed, do)
