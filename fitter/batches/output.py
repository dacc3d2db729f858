"""What a batch leaves on disk: tables whole or not at all, finished jobs kept meanwhile, printed sheets."""

from __future__ import annotations

import csv
import io
import json
import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, fields
from importlib import import_module
from pathlib import Path
from typing import Any, BinaryIO, Self, get_type_hints

import msgspec

from fitter.base.errors import Problem, raise_if
from fitter.base.files import sweep, unwritable, write_whole, writing
from fitter.base.units import US
from fitter.batches.rows import OptionRow, Outcome, PlayerRow

GROUP = 20_000
"""Rows of a row group of Parquet."""
LONGEST = 100_000
"""Characters of a line that are read to tell whether a batch wrote it."""
_FORMULA = re.compile(r"(^\s*|[;|\t]\s*)(?=[=+\-@＝＋－＠'\t\r\n])")
_FINISHED = re.compile(r"^[0-9a-f]{64}\.json$")
_IN_FORCE = ("m", "mps")
"""Units that a table in yards and mph has in other units."""
_GAINS = {f"{stem}{end}" for stem in ("gain", "best_gain", "best_a_gain") for end in ("", "_low", "_high")}
_BY_GAIN_UNIT = _GAINS | {"threshold"}
"""Columns in the unit of 'gain_unit'."""


def safe_text(words: str) -> str:
    """Text that a spreadsheet takes as text.

    A cell that begins with one of ``= + - @`` (of any width), a tab, a line end or an apostrophe gets an
    apostrophe before it, and so does what begins like that after a semicolon, a bar or a tab, where a
    spreadsheet of another country would begin a new cell. To undo it, take the apostrophe away from in
    front of such a character. Numbers are never changed: a negative one stays a number.

    Examples
    --------
    >>> safe_text("=1+1"), safe_text("P1"), safe_text("a;@b"), safe_text("-"), safe_text("1-2")
    ("'=1+1", 'P1', "a;'@b", "'-", '1-2')
    """
    return _FORMULA.sub(r"\g<1>'", words)


def cell(value: Any) -> str:
    """One CSV cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return safe_text(value) if isinstance(value, str) else repr(value)


@dataclass(frozen=True)
class Column:
    """One column of a table: its header, its type, and how its value is taken from a row."""

    header: str
    kind: type
    take: Callable[[Any], Any]


def columns(cls: type, metric: bool) -> list[Column]:
    """Columns of a class of rows in the units in force; each header carries its unit.

    Yards and mph in place of metres and m/s, unless ``metric``; the verdict's sentence is the one in those
    units, under 'text'.
    """
    hints = get_type_hints(cls)
    return [_column(f.name, hints[f.name], metric) for f in fields(cls) if f.name != "text_metric"]


def _column(name: str, hint: Any, metric: bool) -> Column:
    types = getattr(hint, "__args__", None) or (hint,)
    kind = next(t for t in (str, bool, int, float) if t in types)
    if metric:
        source = "text_metric" if name == "text" else name
        return Column(name, kind, lambda row: getattr(row, source))
    stem, _, unit = name.rpartition("_")
    if unit in _IN_FORCE:
        return Column(f"{stem}_{US.unit(unit)}", kind, lambda row: _in_us(getattr(row, name), unit))
    if name == "gain_unit":
        return Column(name, kind, lambda row: US.unit(row.gain_unit))
    if name in _BY_GAIN_UNIT:
        return Column(name, kind, lambda row: _in_us(getattr(row, name), row.gain_unit))
    return Column(name, kind, lambda row: getattr(row, name))


def _in_us(value: float | None, unit: str) -> float | None:
    """Value of a unit of the core in yards or mph; others as they are."""
    return value if value is None or unit not in _IN_FORCE else round(US.value(value, unit), 3) + 0.0


class _Csv:
    def __init__(self, file: BinaryIO, cols: list[Column]) -> None:
        self._file = io.TextIOWrapper(file, encoding="utf-8", newline="")
        self._cols = cols
        self.begin()

    def begin(self) -> None:
        csv.writer(self._file, lineterminator="\n").writerow([c.header for c in self._cols])

    def add(self, rows: Iterable[Any]) -> None:
        writer = csv.writer(self._file, lineterminator="\n")
        writer.writerows([cell(c.take(row)) for c in self._cols] for row in rows)

    def close(self) -> None:
        self._file.flush()
        self._file.detach()


class _Lines(_Csv):
    def begin(self) -> None:
        """Every line names its values itself."""

    def add(self, rows: Iterable[Any]) -> None:
        for row in rows:
            record = {c.header: c.take(row) for c in self._cols}
            self._file.write(json.dumps(record, ensure_ascii=False, allow_nan=False) + "\n")


class _Parquet:
    def __init__(self, file: BinaryIO, cols: list[Column]) -> None:
        self._pa = pa = import_module("pyarrow")
        kinds = {str: pa.string(), bool: pa.bool_(), int: pa.int64(), float: pa.float64()}
        self._schema = pa.schema([(c.header, kinds[c.kind]) for c in cols])
        self._out = import_module("pyarrow.parquet").ParquetWriter(file, self._schema)
        self._cols, self._rows = cols, list[dict[str, Any]]()

    def add(self, rows: Iterable[Any]) -> None:
        for row in rows:
            self._rows.append({c.header: c.take(row) for c in self._cols})
            if len(self._rows) >= GROUP:
                self._flush()

    def _flush(self) -> None:
        if self._rows:
            self._out.write_table(self._pa.Table.from_pylist(self._rows, schema=self._schema))
            self._rows = []

    def close(self) -> None:
        self._flush()
        self._out.close()


Sink = _Csv | _Parquet
"""Takes rows of one class with `add`, ends with `close`; the file stays open."""
KINDS: dict[str, type[Sink]] = {".csv": _Csv, ".jsonl": _Lines, ".ndjson": _Lines, ".parquet": _Parquet}
"""Writers by suffix."""


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
        sink = KINDS[path.suffix.casefold()](file, columns(cls, metric))
        try:
            yield sink
        except BaseException:
            with suppress(Exception):
                sink.close()
            raise
        sink.close()


def options_path(out: Path) -> Path:
    """File of the option rows beside the file of players.

    Examples
    --------
    >>> str(options_path(Path("night.csv")))
    'night.options.csv'
    """
    return out.with_name(f"{out.stem}.options{out.suffix}")


def outputs(out: Path | None) -> list[tuple[str, Path]]:
    """Files that a batch writes beside its sheets, and what each is."""
    return [] if out is None else [("-o", out), ("the options of -o", options_path(out))]


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


@dataclass(frozen=True)
class _Kept:
    """What is kept of an outcome: its sheet and its records are on disk before it."""

    row: PlayerRow
    options: tuple[OptionRow, ...] = ()


class Journal:
    """Finished jobs on disk, one file each and named by their keys: a batch that was stopped skips them.

    It belongs to a batch that holds its output, see `fitter.base.files.hold`; nothing else in the folder is
    touched.

    Parameters
    ----------
    folder : Path
        Made when the first job is kept.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @classmethod
    def of(cls, out: Path) -> Self:
        """Journal of a batch, beside its output."""
        return cls(out.with_name(f"{out.name}.part"))

    def load(self, key: str) -> Outcome | None:
        """Outcome of a finished job, without its sheet; None if it is not there or not whole."""
        try:
            done = msgspec.json.decode((self.folder / f"{key}.json").read_bytes(), type=_Kept)
            return Outcome(done.row, done.options)
        except (OSError, msgspec.DecodeError):
            return None

    def keep(self, key: str, outcome: Outcome) -> None:
        """Write an outcome without its sheet; it is there as a whole or not at all."""
        self.folder.mkdir(parents=True, exist_ok=True)
        data = {"row": outcome.row, "options": outcome.options}
        write_whole(self.folder / f"{key}.json", msgspec.json.encode(data), tidy=False)

    def __len__(self) -> int:
        """Finished jobs in the folder."""
        return len(self._files())

    def remove(self) -> None:
        """Remove the finished jobs, and the folder if nothing else is in it."""
        sweep(self.folder, older_s=0.0)
        for file in self._files():
            file.unlink(missing_ok=True)
        with suppress(OSError):
            self.folder.rmdir()

    def _files(self) -> list[Path]:
        if not self.folder.is_dir():
            return []
        return [f for f in self.folder.iterdir() if _FINISHED.match(f.name)]
