"""A player leaves the benches and the reports of faults too."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import msgspec

from fitter.base.errors import FitterError, Problem
from fitter.base.files import Busy, hold, state_folder, write_whole
from fitter.history.records import digest

BENCH = re.compile(r"^bench-.*\.json$")


def refuse_open(player: str) -> None:
    """Refuse to erase a player who is on a bench that is open: it would remember him again when it closes.

    Raises
    ------
    FitterError
        With every such bench.
    """
    problems: list[Problem] = []
    for file in _naming(player)[0]:
        if BENCH.match(file.name):
            try:
                with hold(file, "fitter history erase"):
                    pass
            except Busy as busy:
                problems.append(_open_bench(file, busy))
    if problems:
        raise FitterError(f"Nothing of {player} is erased yet: an open bench would bring all back.", problems)


def forget(player: str) -> list[Path]:
    """Take a player out of every saved bench, and delete reports and unread files that name him.

    Parameters
    ----------
    player : str
        Code.

    Returns
    -------
    list of Path
        Files that were changed or deleted.

    Raises
    ------
    FitterError
        With every bench that is open, or file that cannot be changed; the others are cleared.
    """
    cleared: list[Path] = []
    taken_up = state_folder() / "visits" / digest(player.casefold())
    if taken_up.is_dir():
        shutil.rmtree(taken_up, ignore_errors=True)
        cleared.append(taken_up)
    files, problems = _naming(player)
    for file in files:
        try:
            if BENCH.match(file.name):
                with hold(file, "fitter history erase"):
                    _leave(file, player)
            else:
                file.unlink()
            cleared.append(file)
        except Busy as busy:
            problems.append(_open_bench(file, busy))
        except OSError as error:
            problems.append(_stuck(file, error))
    if problems:
        raise FitterError(f"{player} is erased from the history, but not from these files.", problems)
    return cleared


def _naming(player: str) -> tuple[list[Path], list[Problem]]:
    """Files of the state folder that name a player, and those that cannot be read."""
    folder = state_folder()
    word = re.compile(
        rb"(?<![0-9A-Za-z_])" + re.escape(player.encode()) + rb"(?![0-9A-Za-z_])", re.IGNORECASE
    )
    found: list[Path] = []
    problems: list[Problem] = []
    for file in sorted(folder.iterdir()) if folder.is_dir() else ():
        if not file.is_file() or file.is_symlink():
            continue
        try:
            if word.search(file.read_bytes()):
                found.append(file)
        except OSError as error:
            problems.append(_stuck(file, error))
    return found, problems


def _open_bench(file: Path, busy: Busy) -> Problem:
    do = "Close that bench, then erase again."
    return Problem(str(file), busy.problems[0].found, "a bench that is closed", do)


def _stuck(file: Path, error: OSError) -> Problem:
    return Problem(
        str(file), error.strerror or str(error), "a file that can be changed", "Delete it by hand."
    )


def _leave(file: Path, player: str) -> None:
    """Take a player out of a bench; a file that cannot be read, or is empty then, is deleted."""
    try:
        plain = msgspec.json.decode(file.read_bytes())
        benches = [b for b in plain["benches"] if str(b.get("player", "")).casefold() != player.casefold()]
    except (msgspec.DecodeError, KeyError, TypeError, AttributeError):
        os.unlink(file)
        return
    if not benches:
        os.unlink(file)
        return
    plain["benches"], plain["at"] = benches, 0
    write_whole(file, msgspec.json.format(msgspec.json.encode(plain), indent=1))
