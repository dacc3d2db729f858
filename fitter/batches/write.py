"""Rows to files: CSV, JSON lines or Parquet by the suffix, whole or not at all, one row at a time."""

from __future__ import annotations

import csv
import json
import os
from collections.abc import Iterable
from importlib import import_module
from pathlib import Path
from types import TracebackType
from typing import Any, Protocol, Self

from fitter.batches.cells import Column, cell, columns
from fitter.errors import InputError, Problem, raise_if

GROUP = 20_000
"""Rows of a row group of Parquet."""


class _Sink(Protocol):
    def add(self, row: Any) -> None: ...
    def close(self) -> None: ...


class _Csv:
    def __init__(self, path: Path, cols: list[Column]) -> None:
        self._file = path.open("w", encoding="utf-8", newline="")
        self._cols = cols
        self._out = csv.writer(self._file, lineterminator="\n")
        self._out.writerow([c.header for c in cols])

    def add(self, row: Any) -> None:
        self._out.writerow([cell(c.take(row)) for c in self._cols])

    def close(self) -> None:
        self._file.close()


class _Lines:
    def __init__(self, path: Path, cols: list[Column]) -> None:
        self._file = path.open("w", encoding="utf-8", newline="")
        self._cols = cols

    def add(self, row: Any) -> None:
        record = {c.header: c.take(row) for c in self._cols}
        self._file.write(json.dumps(record, ensure_ascii=False, allow_nan=False) + "\n")

    def close(self) -> None:
        self._file.close()


class _Parquet:
    def __init__(self, path: Path, cols: list[Column]) -> None:
        self._pa = import_module("pyarrow")
        pa = self._pa
        kinds = {str: pa.string(), bool: pa.bool_(), int: pa.int64(), float: pa.float64()}
        self._schema = pa.schema([(c.header, kinds[c.kind]) for c in cols])
        self._out = import_module("pyarrow.parquet").ParquetWriter(str(path), self._schema)
        self._cols, self._rows = cols, list[list[Any]]()

    def add(self, row: Any) -> None:
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
    if out.is_dir():
        problems.append(Problem("-o", f"{out} is a folder", "a file", "Name a file."))
    elif not out.parent.is_dir() or not os.access(out.parent, os.W_OK):
        found = f"no folder {out.parent} that can be written"
        problems.append(Problem("-o", found, "a file in a folder that is there", "Make the folder first."))
    if suffix == ".parquet":
        try:
            import_module("pyarrow.parquet")
        except ImportError:
            do = "Install it: pip install 'fitter-advisor[parquet]', or write CSV."
            problems.append(Problem("-o", "Parquet, and no pyarrow", ", ".join(KINDS), do))
    raise_if(problems, "The output cannot be written there.")


class Table:
    """A file of rows that appears when it is whole.

    Used as a context: an error inside leaves what stood there before.

    Parameters
    ----------
    path : Path
    cls : type
        Class of the rows.
    metric : bool
        Metres and m/s in place of yards and mph.
    """

    def __init__(self, path: Path, cls: type, metric: bool) -> None:
        self.path, self._beside = path, path.with_name(f"{path.name}.writing")
        try:
            self._sink: _Sink = KINDS[path.suffix.casefold()](self._beside, columns(cls, metric))
        except OSError as error:
            found, do = error.strerror or str(error), "Check the folder and the room on the disk."
            raise InputError(
                "The output cannot be written.", [Problem(str(path), found, "a file", do)]
            ) from None

    def add(self, rows: Iterable[Any]) -> None:
        """Append rows."""
        for row in rows:
            self._sink.add(row)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._sink.close()
        if kind is None:
            os.replace(self._beside, self.path)
        else:
            self._beside.unlink(missing_ok=True)
