"""The only place that knows numba: one decorator, one cache folder, one pool of threads.

numba's own cache watches a single file, so an edit of one physics module would leave its callers stale.
The cache folder is therefore named by a hash of every file here and of numba's version. The cache never costs
a command: an entry that cannot be used is dropped and compiled anew, and without a folder nothing is kept.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import shutil
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

import numba
import numpy as np
from numba.core.caching import FunctionCache
from numba.core.serialize import dumps

FASTMATH = {"contract", "nsz", "arcp"}
"""Reordering that keeps NaN and infinity honest; full fastmath makes isnan(nan) false."""


def _stamp() -> str:
    digest = hashlib.sha256(f"{numba.__version__} {np.__version__} {sys.version}".encode())
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:20]


def _private(folder: Path) -> bool:
    """Make a folder that only this user can write, or say that there is none.

    What others may have written is dropped, since a kernel is code that will be run.
    """
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if not hasattr(os, "getuid"):
        return True
    info = folder.stat()
    if info.st_uid != os.getuid():
        return False
    if stat.S_IMODE(info.st_mode) & 0o722 != 0o700:
        folder.chmod(0o700)
        for path in folder.glob("*.kernel"):
            _drop(path)
    return True


def _drop(path: Path) -> None:
    """Remove what stands in the place of a cache entry, whatever it is, if that can be done."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
        return
    with suppress(OSError):
        path.unlink()


@lru_cache(maxsize=1)
def cache_folder() -> Path | None:
    """Folder of compiled kernels, or None where no private one can be written."""
    base = os.environ.get("XDG_CACHE_HOME")
    try:
        root = Path(base) if base else Path.home() / ".cache"
        folder = root / "fitter" / f"kernels-{_stamp()}"
        if not _private(folder.parent):
            return None
        if not folder.is_dir():
            _drop(folder)
        return folder if _private(folder) else None
    except (OSError, RuntimeError):
        return None


def cached() -> bool:
    """Whether an earlier process left compiled kernels, so that the start is quick."""
    folder = cache_folder()
    return folder is not None and any(folder.glob("*.kernel"))


class KernelCache(FunctionCache):
    """Compiled code of one function: a file for each signature, which begins with a digest of the rest.

    numba's own files carry no digest, so that half a file or a flipped bit ends the process or worse.
    """

    def __init__(self, function: Callable[..., Any], folder: Path) -> None:
        config: Any = numba.config
        before, config.CACHE_DIR = config.CACHE_DIR, str(folder)
        try:
            super().__init__(function)  # type: ignore[no-untyped-call]
        finally:
            config.CACHE_DIR = before
        self._folder = folder
        self._source = self._impl.locator.get_source_stamp()

    def _place(self, signature: Any, codegen: Any) -> Path:
        index = self._index_key(signature, codegen)  # type: ignore[no-untyped-call]
        key = repr((self._source, index))
        return (
            self._folder
            / f"{self._impl.filename_base}-{hashlib.sha256(key.encode()).hexdigest()[:20]}.kernel"
        )

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """Compiled code from the cache, None where there is none that can be used."""
        target_context.refresh()
        place = self._place(sig, target_context.codegen())
        try:
            whole = place.read_bytes()
            if hashlib.sha256(whole[32:]).digest() != whole[:32]:
                raise ValueError("damaged")
            return self._impl.rebuild(target_context, pickle.loads(whole[32:]))
        except FileNotFoundError:
            return None
        # Whatever an old or damaged entry raises, compiling it anew is the cure.
        except Exception:
            _drop(place)
            return None

    def save_overload(self, sig: Any, data: Any) -> None:
        """Keep compiled code, whole or not at all; where that fails, the next process compiles again."""
        name = ""
        try:
            if not self._impl.check_cachable(data):
                return
            place = self._place(sig, data.codegen)
            code = dumps(self._impl.reduce(data))  # type: ignore[no-untyped-call]
            handle, name = tempfile.mkstemp(dir=self._folder, suffix=".new")
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(code).digest() + code)
            os.replace(name, place)
        except (OSError, pickle.PicklingError):
            if name:
                _drop(Path(name))


def kernel(function: Callable[..., Any]) -> Any:
    """Compile a function without the interpreter lock, cached where that is safe."""
    config: Any = numba.config
    compiled: Any = numba.njit(nogil=True, error_model="numpy", fastmath=FASTMATH)(function)
    folder = cache_folder()
    if folder is not None and not config.DISABLE_JIT:
        # numba raises either where it finds no place for its own files.
        with suppress(OSError, RuntimeError):
            compiled._cache = KernelCache(function, folder)
    return compiled


def inlined(function: Callable[..., Any]) -> Any:
    """Compile a small function that kernels call inside their loops."""
    return numba.njit(nogil=True, error_model="numpy", fastmath=FASTMATH, inline="always")(function)


def threads() -> int:
    """Threads that serve one computation: all cores, or FITTER_THREADS."""
    wanted = os.environ.get("FITTER_THREADS", "")
    return max(1, int(wanted)) if wanted.isdigit() else (os.cpu_count() or 1)


def spread(work: Callable[[int, int], None], count: int, task: int) -> Iterator[int]:
    """Run ``work(start, stop)`` over ``range(count)`` in tasks on a thread pool.

    Yields the number done after each task, so that a caller can show progress or stop by closing the
    generator. Every task writes its own part of the output, so order and thread count change nothing.
    """
    starts = range(0, count, max(1, task))
    if threads() == 1 or len(starts) <= 1:
        for start in starts:
            stop = min(start + task, count)
            work(start, stop)
            yield stop
        return
    with ThreadPoolExecutor(threads()) as pool:
        futures = [pool.submit(work, start, min(start + task, count)) for start in starts]
        try:
            for k, future in enumerate(futures):
                future.result()
                yield min((k + 1) * task, count)
        finally:
            for future in futures:
                future.cancel()
