"""Which files a batch reads: files, folders and patterns, each file once."""

from __future__ import annotations

import glob
import os
from collections import Counter
from collections.abc import Collection, Iterable
from pathlib import Path

from fitter.errors import Problem, raise_if

SUFFIXES = (
    ".csv", ".tsv", ".txt", ".json", ".jsonl", ".ndjson", ".xlsx", ".xlsm", ".xls", ".parquet",
)  # fmt: skip
"""What is taken from a folder; a file that is named itself may have any."""


def find(paths: Iterable[str | Path], leave: Collection[Path] = ()) -> list[tuple[str, Path]]:
    """Files of a batch with the labels under which the result names them.

    Parameters
    ----------
    paths : iterable of str or Path
        Files; folders, searched to the bottom; patterns with ``*``, ``?``, ``**``.
    leave : collection of Path
        Files that are no logs: taken only if named themselves.

    Returns
    -------
    list of (str, Path)
        In the order given, inside a folder by name. The label is the path inside the folder, or the name,
        and the whole path where two would be the same.

    Raises
    ------
    InputError
        With every path that leads to no file.
    """
    left = {_real(p) for p in leave}
    problems: list[Problem] = []
    found: dict[Path, tuple[str, Path]] = {}
    for given in paths:
        path = Path(given)
        if path.is_dir():
            inside = [(f.relative_to(path).as_posix(), f) for f in _walk(path) if _real(f) not in left]
        elif path.exists():
            inside = [(path.name, path)]
        else:
            matches = [Path(m) for m in sorted(glob.glob(str(given), recursive=True))]
            every = [f for m in matches for f in (_walk(m) if m.is_dir() else [m])]
            inside = [(f.name, f) for f in every if _real(f) not in left]
        if not inside:
            what = "a folder without logs" if path.is_dir() else "no such file"
            do = f"Check the path; logs in a folder end in {', '.join(SUFFIXES)}."
            problems.append(Problem("PATHS", f"{str(given)!r}: {what}", "files, folders or patterns", do))
        for label, file in inside:
            found.setdefault(_real(file), (label, file))
    if not problems and not found:
        problems.append(Problem("PATHS", "nothing", "files, folders or patterns", "Name the logs."))
    raise_if(problems, "These logs cannot be found.")
    labels = Counter(label for label, _ in found.values())
    return [(x if labels[x] == 1 else f.as_posix(), f) for x, f in found.values()]


def _real(path: Path) -> Path:
    return Path(os.path.realpath(path))


def _walk(folder: Path) -> list[Path]:
    """Files of a folder that can be logs; hidden ones, links to folders and unfinished work are left out."""
    out = []
    for base, folders, files in os.walk(folder):
        folders[:] = sorted(f for f in folders if not f.startswith(".") and not f.endswith(".part"))
        out += [
            Path(base, f)
            for f in files
            if not f.startswith((".", "~$"))
            and Path(f).suffix.casefold() in SUFFIXES
            and os.path.isfile(os.path.join(base, f))
        ]
    return sorted(out, key=lambda f: (f.as_posix().casefold(), f.as_posix()))
