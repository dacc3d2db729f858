"""Files written whole or not at all, one writer at a time, never over what is read."""

from __future__ import annotations

import errno
import hashlib
import io
import json
import os
import re
import secrets
import stat
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from filelock import FileLock, Timeout
from platformdirs import user_state_path

from fitter.base.errors import FitterError, InputError, Problem, raise_if

LEFT_OVER_S = 3600.0
"""Age from which a temporary file belongs to a writer that was killed."""
_TEMPORARY = re.compile(r"^\.(?P<name>.*)\.[0-9a-f]{32}\.fitter-part$", re.DOTALL)
_NAME_BYTES = 180
"""Bytes of the target's name in a temporary name: file systems take 255 in all."""
_WHAT_TO_DO = {
    errno.ENOSPC: "Make room on the disk, or name a file on another one.",
    errno.EDQUOT: "Make room within your quota, or name a file on another disk.",
    errno.ENOENT: "Make the folder first, or name another.",
}


@dataclass(frozen=True)
class Holder:
    """Who holds a lock: process number, purpose, and since when (local time, ISO)."""

    pid: int
    purpose: str
    since: str


class Busy(FitterError):
    """Another process holds what is asked for; ``holder`` says which, None if it left no record."""

    def __init__(self, path: Path, holder: Holder | None) -> None:
        who = f"{holder.purpose}, process {holder.pid}, since {holder.since}" if holder else "another process"
        do = "Wait until it has ended, or name another file."
        super().__init__(f"{path} is in use.", [Problem(str(path), f"held by {who}", "one at a time", do)])
        self.holder = holder


def state_folder() -> Path:
    """Folder of saved work and of locks: ``$XDG_STATE_HOME/fitter``, or where the platform keeps such."""
    return user_state_path("fitter", appauthor=False)


@contextmanager
def hold(path: Path, purpose: str) -> Iterator[None]:
    """Hold a file or folder, so that no other process that asks the same gets it.

    The lock lies in the state folder, named by a digest of the real path. It ends with the block, and with
    the process however that ends. Users with different state folders do not see each other's locks.

    Parameters
    ----------
    path : Path
        What is held. It need not exist.
    purpose : str
        What the holder does, such as 'fitter batch', told to whoever asks meanwhile.

    Raises
    ------
    Busy
        If it is held already, by another process or by this one.
    InputError
        If the state folder cannot be written.
    """
    digest = hashlib.sha256("\0".join(_place(path)).encode("utf-8", "surrogateescape")).hexdigest()
    folder = state_folder() / "locks"
    record = folder / f"{digest}.json"
    lock = FileLock(folder / f"{digest}.lock", timeout=0, thread_local=False)
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        lock.acquire()
    except Timeout:
        raise Busy(path, _read_holder(record)) from None
    except OSError as error:
        do = "Make the folder writable, or set XDG_STATE_HOME to one that is."
        problem = Problem(str(folder), _reason(error), "a folder that can be written", do)
        raise InputError(f"{path} cannot be locked.", [problem]) from None
    try:
        holder = Holder(os.getpid(), purpose, datetime.now().isoformat(" ", "seconds"))
        write_whole(record, json.dumps(asdict(holder)))
        yield
    finally:
        # The lock file itself stays: a process that waits may have it open.
        with suppress(OSError):
            record.unlink()
        lock.release()


def _read_holder(record: Path) -> Holder | None:
    try:
        return Holder(**json.loads(record.read_bytes()))
    except (OSError, ValueError, TypeError):
        return None


def write_whole(path: Path, data: bytes | str, *, tidy: bool = True) -> None:
    """Write a file; text as UTF-8. See `writing` for what holds."""
    with writing(path, tidy=tidy) as file:
        file.write(data.encode("utf-8") if isinstance(data, str) else data)


@contextmanager
def writing(path: Path, *, tidy: bool = True) -> Iterator[BinaryIO]:
    """Write a file in pieces: it is there whole after the block, or what stood there before is kept.

    The bytes go to a temporary file beside it whose name cannot be guessed. It is removed if anything fails;
    one left by a killed process is removed by a later write of the same file, see `sweep`. The mode of a
    file that is replaced is kept.

    Parameters
    ----------
    path : Path
    tidy : bool
        Whether to remove what killed writers of this file left. It costs a listing of the folder.

    Yields
    ------
    BinaryIO
        Its errors of writing are an InputError that names ``path``.

    Raises
    ------
    InputError
        If the file cannot be written, or is a link, a folder, a device or write-protected.
    """
    raise_if(unwritable(str(path), path), f"{path} cannot be written.")
    if tidy:
        sweep(path.parent, path.name)
    temporary = path.with_name(f".{_short(path.name)}.{secrets.token_hex(16)}.fitter-part")
    try:
        file = io.BufferedWriter(_Target(path, temporary))
    except OSError as error:
        raise _refusal(path, error) from None
    try:
        yield file
        file.flush()
        try:
            os.fsync(file.fileno())
            file.close()
            os.replace(temporary, path)
        except OSError as error:
            raise _refusal(path, error) from None
    except BaseException:
        with suppress(OSError, FitterError):
            file.close()
        with suppress(OSError):
            temporary.unlink()
        raise


class _Target(io.FileIO):
    """A new file whose errors of writing name the file it will become."""

    def __init__(self, path: Path, temporary: Path) -> None:
        self._path = path
        flags = (
            os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)
        )
        flags |= getattr(os, "O_BINARY", 0)
        try:
            mode = stat.S_IMODE(os.lstat(path).st_mode)
        except FileNotFoundError:
            mode = None
        handle = os.open(temporary, flags, 0o666 if mode is None else mode)
        super().__init__(handle, "wb")
        if mode is not None and hasattr(os, "fchmod"):
            os.fchmod(handle, mode)

    def write(self, data, /):  # type: ignore[no-untyped-def]
        try:
            return super().write(data)
        except OSError as error:
            raise _refusal(self._path, error) from None


def _refusal(path: Path, error: OSError) -> InputError:
    do = _WHAT_TO_DO.get(error.errno or 0, "Check the folder and its permissions, or name another file.")
    problem = Problem(str(path), _reason(error), "a file that can be written", do)
    return InputError(f"{path} cannot be written; what stood there before is kept.", [problem])


def _reason(error: OSError) -> str:
    return error.strerror or str(error)


def _short(name: str) -> str:
    return name.encode("utf-8", "surrogateescape")[:_NAME_BYTES].decode("utf-8", "ignore")


def sweep(folder: Path, name: str | None = None, older_s: float = LEFT_OVER_S) -> None:
    """Remove temporary files that killed writers left.

    Only regular files whose names are those that `writing` makes, and older than ``older_s``; what cannot be
    removed stays.

    Parameters
    ----------
    folder : Path
    name : str, optional
        Only those of the file of this name.
    older_s : float
        Age from which nobody writes them any more, s. 0 serves for what the caller holds, see `hold`.
    """
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            match = _TEMPORARY.match(entry.name)
            if match is None or (name is not None and match["name"] != _short(name)):
                continue
            with suppress(OSError):
                state = entry.stat(follow_symlinks=False)
                if stat.S_ISREG(state.st_mode) and time.time() - state.st_mtime >= older_s:
                    os.unlink(entry.path)


def unwritable(where: str, path: Path) -> list[Problem]:
    """Return what speaks against writing a file, before any work.

    A link is refused rather than followed or replaced: the reader names its target instead.

    Parameters
    ----------
    where : str
        Option of the command line, or the file.
    path : Path
    """
    found, allowed, do = "", "a file", "Name another file."
    state = None
    try:
        state = os.lstat(path)
    except (FileNotFoundError, NotADirectoryError):
        pass
    except OSError as error:
        return [Problem(where, f"{path}: {_reason(error)}", allowed, do)]
    except ValueError:
        return [Problem(where, f"{str(path)!r}, which can be no file's name", allowed, do)]
    if state is not None and stat.S_ISLNK(state.st_mode):
        target = os.path.realpath(path)
        found, do = f"{path}, a link to {target}", f"Name {target} itself if that is meant."
    elif state is not None and stat.S_ISDIR(state.st_mode):
        found, do = f"{path}, a folder", "Add the file's name."
    elif state is not None and not stat.S_ISREG(state.st_mode):
        found = f"{path}, which is no ordinary file"
    elif state is not None and not state.st_mode & 0o222:
        found, do = f"{path}, which is write-protected", "Name another file, or take the protection off."
    elif not path.parent.is_dir():
        found, allowed = f"the folder {str(path.parent)!r}, which does not exist", "a folder that exists"
        do = "Make the folder first, or name another."
    elif not os.access(path.parent, os.W_OK | os.X_OK):
        found, allowed = f"the folder {str(path.parent)!r}, which cannot be written", "a folder that can"
        do = "Change its permissions, or name another."
    return [Problem(where, found, allowed, do)] if found else []


def refuse_overwriting(outputs: Iterable[tuple[str, Path]], inputs: Iterable[tuple[str, Path]]) -> None:
    """Refuse outputs that are an input or another output, before any work.

    Paths are the same if they lead to the same file, through links, hard links and other spellings too.

    Parameters
    ----------
    outputs, inputs : iterable of (str, Path)
        What each is, such as '-o' and 'the log', and where. A path that does not exist is compared by its
        name.

    Raises
    ------
    InputError
        With every output that stands for something else as well.
    """
    taken: dict[tuple[str, ...], str] = {}
    for what, path in inputs:
        for key in _keys(path):
            taken.setdefault(key, f"{what} {path}")
    problems = []
    for what, path in outputs:
        keys = _keys(path)
        if other := next((taken[key] for key in keys if key in taken), None):
            found = f"{path}, which is {other}"
            problems.append(Problem(what, found, "a file of its own", "Name another file."))
        for key in keys:
            taken.setdefault(key, f"{what} {path}")
    raise_if(problems, "That would overwrite a file that is needed.")


def same(one: Path, other: Path) -> bool:
    """Whether two paths lead to one file or, if there is none, would."""
    return not _keys(one).isdisjoint(_keys(other))


def _keys(path: Path) -> set[tuple[str, ...]]:
    """What two paths of one file have in common: its place or, for hard links, its inode."""
    keys: set[tuple[str, ...]] = {_place(path)}
    with suppress(OSError, ValueError):
        state = os.stat(path)
        # Some file systems number no inodes.
        if state.st_ino:
            keys.add(("inode", str(state.st_dev), str(state.st_ino)))
    return keys


def _place(path: Path) -> tuple[str, ...]:
    """Real path, without the difference of capital letters where the folder makes none."""
    try:
        real = os.path.realpath(path)
    except ValueError:
        real = os.path.abspath(path)  # What no file can be called, see `unwritable`.
    folder, name = os.path.split(real)
    return os.path.normcase(folder), name.casefold() if _folds(folder) else name


def _folds(folder: str) -> bool:
    """Whether a folder takes 'A.csv' and 'a.csv' for one file, seen at a file in it."""
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            turned = os.path.join(folder, entry.name.swapcase())
            if turned != entry.path:
                return os.path.exists(turned) and os.path.samefile(entry.path, turned)
    return False
