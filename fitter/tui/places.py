"""Where logs and kits lie: what can be stepped through, guessed and completed."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from pathlib import Path

from fitter.base.files import state_folder
from fitter.kit.inventory import kit_files

LOGS = (".csv", ".tsv", ".txt", ".json", ".jsonl", ".xlsx", ".parquet")
NO_LOGS = tuple(file.name for file in kit_files("."))
MOST = 200
"""Names that are offered; nobody steps through more."""


def _inside(folder: str) -> list[Path]:
    try:
        return sorted(Path(folder).iterdir())
    except OSError:
        return []


def under(folder: str) -> list[str]:
    """A folder and the folders right in it, hidden ones aside."""
    found = [p for p in _inside(folder)[:MOST] if not p.name.startswith(".") and p.is_dir()]
    return [folder, *map(str, found)]


def _changed(file: Path) -> float:
    try:
        return file.stat().st_mtime
    except OSError:
        return 0.0


def logs_near(log: str = "", kit: str = "") -> list[str]:
    """Logs beside the present one, else in the working folder, those in it and the kit's; newest first.

    A visit out of the shop's memory lies beside nothing of the user's.
    """
    laid_out = bool(log) and Path(log).is_relative_to(state_folder())
    folders = (
        [str(Path(log).parent)]
        if log and not laid_out
        else [*under(str(Path.cwd())), *([kit] if kit else [])]
    )
    found = [p for folder in dict.fromkeys(folders) for p in _inside(folder) if is_log(p)]
    return [str(p) for p in sorted(found, key=lambda p: (-_changed(p), str(p)))[:MOST]]


def is_log(file: Path) -> bool:
    """Whether a file may be a session's log, by its name."""
    return file.suffix.casefold() in LOGS and file.name not in NO_LOGS and not file.name.startswith(".")


def is_kit(folder: str) -> bool:
    """Whether a folder holds heads and shafts."""
    return {file.stem for file in kit_files(folder) if file.is_file()} == {"heads", "shafts"}


def kit_near(*folders: str) -> str:
    """First of some folders, and of those in the first, that holds a kit; '' if none does."""
    every = [*(under(folders[0]) if folders else ()), *folders]
    return next((f for f in dict.fromkeys(every) if is_kit(f)), "")


def beginning(found: Iterable[str], text: str) -> list[str]:
    """Words that begin so, whatever the case."""
    return [w for w in found if w.casefold().startswith(text.casefold())]


def paths(text: str, suffixes: Sequence[str] = ()) -> list[str]:
    """Folders, and files of some suffixes, that begin so, whatever the case; folders end in a separator.

    Examples
    --------
    >>> paths("/nowhere/at/all")
    []
    """
    whole = Path(text).expanduser()
    folder, begun = (whole, "") if text.endswith(("/", os.sep)) or not text else (whole.parent, whole.name)
    shown = text[: len(text) - len(begun)] if not text.startswith("~") else f"{folder}{os.sep}"
    inside = [p for p in _inside(str(folder)) if begun.startswith(".") or not p.name.startswith(".")]
    exact = [p for p in inside if p.name.startswith(begun)]
    found = []
    for p in exact or [p for p in inside if p.name.casefold().startswith(begun.casefold())]:
        if p.is_dir():
            found.append(f"{shown}{p.name}{os.sep}")
        elif p.suffix.casefold() in suffixes and p.name not in NO_LOGS:
            found.append(f"{shown}{p.name}")
    return found[:MOST]
