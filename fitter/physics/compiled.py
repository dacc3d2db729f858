"""The only place that knows numba: one decorator, one cache folder, one pool of threads.

numba's own cache watches a single file, so an edit of one physics module would leave its callers stale.
The cache folder is therefore named by a hash of every file here and of numba's version.
"""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from pathlib import Path
from typing import Any

import numba
import numpy as np

FASTMATH = {"contract", "nsz", "arcp"}
"""Reordering that keeps NaN and infinity honest; full fastmath makes isnan(nan) false."""
LANES = 64
"""Shots in one block of the kernels."""


def _stamp() -> str:
    digest = hashlib.sha256(f"{numba.__version__} {np.__version__} {sys.version}".encode())
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:20]


def _private(folder: Path) -> bool:
    """Make a folder that only this user can write, or say that there is none."""
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        info = folder.stat()
        if hasattr(os, "getuid") and (info.st_uid != os.getuid() or info.st_mode & 0o022):
            return False
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


@lru_cache(maxsize=1)
def cache_folder() -> Path | None:
    """Folder of compiled kernels, or None where no private one can be written."""
    base = os.environ.get("XDG_CACHE_HOME")
    try:
        root = Path(base) if base else Path.home() / ".cache"
    except RuntimeError:
        return None
    folder = root / "fitter" / f"kernels-{_stamp()}"
    return folder if _private(folder.parent) and _private(folder) else None


def kernel(function: Callable[..., Any]) -> Any:
    """Compile a function without the interpreter lock, cached where that is safe."""
    folder = cache_folder()
    options: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": FASTMATH}
    if folder is None:
        return numba.njit(**options)(function)
    config: Any = numba.config
    before = config.CACHE_DIR
    config.CACHE_DIR = str(folder)
    try:
        return numba.njit(cache=True, **options)(function)
    finally:
        config.CACHE_DIR = before


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
