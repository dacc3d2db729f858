"""Rows to files: CSV, JSON lines or Parquet by the suffix, whole or not at all, one row at a time."""

from __future__ import annotations

import csv
import io
import json
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import fields
from importlib import import_module
from pathlib import Path
from typing import Any, BinaryIO, Protocol

from fitter.base.errors import Problem, raise_if
from fitter.base.files import unwritable, writing
from fitter.batches.journal import Journal
from fitter.batches.rows import Column, OptionRow, PlayerRow, cell, columns

GROUP = 20_000
"""Rows of a row group of Parquet."""
LONGEST = 100_000
"""Characters of a line that are read to tell whether a batch wrote it."""


class Sink(Protocol):
    """Takes rows of one class and writes them to an open file."""

    def add(self, rows: Iterable[Any]) -> None:
        """Append rows."""

    def close(self) -> None:
        """Write what is left; the file stays open."""


class _Text:
    """Rows as lines of text."""

    def __init__(self, file: BinaryIO, cols: list[Column]) -> None:
        self._file = io.TextIOWrapper(file, encoding="utf-8", newline="")
        self._cols = cols

    def close(self) -> None:
        self._file.flush()
        self._file.detach()


class _Csv(_Text):
    def __init__(self, file: BinaryIO, cols: list[Column]) -> None:
        super().__init__(file, cols)
        self._out = csv.writer(self._file, lineterminator="\n")
        self._out.writerow([c.header for c in cols])

    def add(self, rows: Iterable[Any]) -> None:
        self._out.writerows([cell(c.take(row)) for c in self._cols] for row in rows)


class _Lines(_Text):
    def add(self, rows: Iterable[Any]) -> None:
        for row in rows:
            record = {c.header: c.take(row) for c in self._cols}
            self._file.write(json.dumps(record, ensure_ascii=False, allow_nan=False) + "\n")


class _Parquet:
    def __init__(self, file: BinaryIO, cols: list[Column]) -> None:
        self._pa = import_module("pyarrow")
        pa = self._pa
        kinds = {str: pa.string(), bool: pa.bool_(), int: pa.int64(), float: pa.float64()}
        self._schema = pa.schema([(c.header, kinds[c.kind]) for c in cols])
        self._out = import_module("pyarrow.parquet").ParquetWriter(file, self._schema)
        self._cols, self._rows = cols, list[list[Any]]()

    def add(self, rows: Iterable[Any]) -> None:
        for row in rows:
            self._rows.append([c.take(row) for c in self._cols])
            if len(self._rows) >= GROUP:
                self._flush()

    def _flush(self) -> None:
        if self._rows:
            arrays = [
                self._pa.array([None if v is None else c.kind(v) for v in values], self._schema.field(k).type)
                for k, (c, values) in enumerate(zip(self._cols, zip(*self._rows, strict=True), strict=True))
            ]
            self._out.write_table(self._pa.table(arrays, schema=self._schema))
            self._rows = []

    def close(self) -> None:
        self._flush()
        self._out.close()


KINDS: dict[str, Any] = {
    ".csv": _Csv, ".jsonl": _Lines, ".ndjson": _Lines, ".parquet": _Parquet,
}  # fmt: skip
"""Writers by suffix."""


def options_path(out: Path) -> Path:
    """File of the option rows beside the file of players.

    Examples
    --------
    >>> str(options_path(Path("night.csv")))
    'night.options.csv'
    """
    return out.with_name(f"{out.stem}.options{out.suffix}")


def outputs(out: Path) -> list[tuple[str, Path]]:
    """Files that a batch writes beside its sheets, and what each is."""
    return [("-o", out), ("the options of -o", options_path(out))]


def check(out: Path) -> None:
    """Refuse an output that could not be written, before anything is scored.

    Raises
    ------
    InputError
        With everything that is wrong.
    """
    problems: list[Problem] = []
    suffix = out.suffix.casefold()
    if suffix not in KINDS:
        do = "Name a file with one of these suffixes."
        problems.append(Problem("-o", repr(out.name), ", ".join(KINDS), do))
    # What is wrong with the folder of both is said once.
    problems += next(filter(None, (unwritable(what, path) for what, path in outputs(out))), [])
    part = Journal.of(out).folder
    if os.path.lexists(part) and (part.is_symlink() or not part.is_dir()):
        do = "Move it away: finished sessions are kept there until the batch is done."
        problems.append(Problem("-o", f"{part}, which is no folder", "no such file", do))
    if suffix == ".parquet":
        try:
            import_module("pyarrow.parquet")
        except ImportError:
            do = "Install it: pip install 'fitter-advisor[parquet]', or write CSV."
            problems.append(Problem("-o", "Parquet, and no pyarrow", ", ".join(KINDS), do))
    raise_if(problems, "The output cannot be written there.")


def made_by_a_batch(path: Path) -> bool:
    """Whether a file is what a batch wrote, by the names of its first columns; an empty one counts too."""
    suffix, first = path.suffix.casefold(), slice(0, 3)
    if not path.is_file():
        return False
    try:
        if suffix == ".parquet":
            found = import_module("pyarrow.parquet").read_schema(path).names
        else:
            with path.open(encoding="utf-8") as file:
                line = file.readline(LONGEST)
            if not line:
                return True
            found = line.split(",") if suffix == ".csv" else list(json.loads(line))
    except (OSError, ValueError, TypeError, RecursionError, ImportError):
        return False
    return found[first] in [[f.name for f in fields(cls)[first]] for cls in (PlayerRow, OptionRow)]


@contextmanager
def table(path: Path, cls: type, metric: bool) -> Iterator[Sink]:
    """Write a file of rows that appears when it is whole.

    Parameters
    ----------
    path : Path
    cls : type
        Class of the rows.
    metric : bool
        Metres and m/s in place of yards and mph.

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    with writing(path, tidy=False) as file:
        sink: Sink = KINDS[path.suffix.casefold()](file, columns(cls, metric))
        try:
            yield sink
        except BaseException:
            with suppress(Exception):
                sink.close()
            raise
        sink.close()
