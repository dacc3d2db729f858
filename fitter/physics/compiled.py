"""The only place that knows numba and llvmlite: decorators of kernels, their cache, one pool of threads.

numba's own cache watches a single file, so an edit of one physics module would leave its callers stale, and
it needs all of numba to load an entry. So machine code is kept here, in a folder that is named by a hash of
every file of this package and of numba's version. The cache never costs a command: an entry that cannot be
used is dropped and compiled anew, and without a folder nothing is kept.
"""

from __future__ import annotations

import ctypes
import hashlib
import os
import shutil
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import cache, cached_property, lru_cache, update_wrapper
from importlib.util import find_spec
from pathlib import Path
from threading import Lock
from types import FunctionType
from typing import Any

import numpy as np

_OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": {"contract", "nsz", "arcp"}}
"""Reordering that keeps NaN and infinity honest; full fastmath makes isnan(nan) false."""


def _stamp() -> str:
    digest = hashlib.sha256(f"{np.__version__} {sys.version}".encode())
    # The version of numba is read without importing it.
    spec = find_spec("numba")
    digest.update(Path(spec.origin or "").with_name("_version.py").read_bytes() if spec else b"none")
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


_LIBRARY = {
    "acos",
    "asin",
    "atan",
    "atan2",
    "cos",
    "exp",
    "log",
    "memcpy",
    "memset",
    "pow",
    "sin",
    "sqrt",
    "tan",
}
"""Functions of the C library that compiled code may call: every process has them."""
_NEVER = {"NRT_MemInfo_call_dtor", "NRT_Free"}
"""Functions that would release an array that the compiled code owns: it owns none."""
_MAKE = b"kernel 1: name, machine code\0"
"""Begins every entry after its digest."""
_DONE = (0, -2)
"""What a compiled function of numba returns when it has done its work."""


def plain() -> bool:
    """Whether kernels run as plain Python, to step through them: NUMBA_DISABLE_JIT=1."""
    return os.environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0")


class Kernel:
    """A compiled function of arrays and whole numbers that writes its results into arrays.

    The machine code of each signature is kept in a file. Later processes load it with llvmlite alone, so that
    numba, which takes longer to import than most commands take in all, is imported where something has to be
    compiled and nowhere else.
    """

    def __init__(self, function: Callable[..., Any]) -> None:
        self.py_func = function
        self.__name__ = function.__name__
        self.__doc__ = function.__doc__
        self.signatures: dict[tuple[Any, ...], Callable[..., int]] = {}
        self.loaded = 0
        self._lock = Lock()

    def __call__(self, *args: Any) -> None:
        """Run without the interpreter lock; arrays are taken as they are, never copied."""
        if plain():
            self.py_func(*args)
            return
        # As numba passes an array: owner, its object, items, bytes of one, data, shape, strides. First stands
        # the place of the result, which is nothing, and that of an error, which there is none.
        nothing = ctypes.c_void_p()
        flat: list[Any] = [ctypes.addressof(nothing), ctypes.addressof(nothing)]
        signature: list[Any] = []
        for value in args:
            if isinstance(value, np.ndarray):
                flags = value.flags
                order = "C" if flags.c_contiguous else "F" if flags.f_contiguous else "A"
                signature.append((value.dtype.char, value.ndim, order, flags.writeable))
                flat += (0, 0, value.size, value.itemsize, value.ctypes.data, *value.shape, *value.strides)
            else:
                signature.append(int)
                flat.append(value)
        key = tuple(signature)
        call = self.signatures.get(key) or self._ready(key, args, len(flat))
        status = call(*flat)
        if status not in _DONE:
            raise RuntimeError(f"{self.__name__} ended with status {status}")

    @cached_property
    def dispatcher(self) -> Any:
        """The function as numba compiles it, with those that it calls."""
        import numba

        njit: Any = numba.njit
        return njit(**_OPTIONS, no_cpython_wrapper=True, no_cfunc_wrapper=True)(_linked(self.py_func))

    def _ready(self, key: tuple[Any, ...], args: tuple[Any, ...], numbers: int) -> Callable[..., int]:
        """Machine code of a signature: from the cache, else compiled and kept."""
        with self._lock:
            if key not in self.signatures:
                entry = self._read(key)
                try:
                    found = None if entry is None else _load(*entry, numbers)
                except (OSError, RuntimeError):
                    found = None
                if found is None:
                    name, code = self._compile(args)
                    self._keep(key, name, code)
                    found = _load(name, code, numbers)
                else:
                    self.loaded += 1
                self.signatures[key] = found
            return self.signatures[key]

    def _place(self, key: tuple[Any, ...]) -> Path | None:
        folder = cache_folder()
        if folder is None:
            return None
        digest = hashlib.sha256(repr((self.py_func.__module__, key, _processor())).encode()).hexdigest()[:20]
        return folder / f"{self.__name__}-{digest}.kernel"

    def _read(self, key: tuple[Any, ...]) -> tuple[str, bytes] | None:
        """Name and machine code from the cache; an entry that is damaged is dropped."""
        place = self._place(key)
        try:
            whole = b"" if place is None else place.read_bytes()
        except FileNotFoundError:
            return None
        except OSError:
            whole = b""
        if place is None:
            return None
        name, mark, code = whole[32:].removeprefix(_MAKE).partition(b"\0")
        if whole[32:].startswith(_MAKE) and mark and hashlib.sha256(whole[32:]).digest() == whole[:32]:
            return name.decode(), code
        _drop(place)
        return None

    def _keep(self, key: tuple[Any, ...], name: str, code: bytes) -> None:
        """Keep machine code, whole or not at all; where that fails, the next process compiles again."""
        place, new = self._place(key), ""
        if place is None:
            return
        try:
            handle, new = tempfile.mkstemp(dir=place.parent, suffix=".new")
            body = _MAKE + name.encode() + b"\0" + code
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(body).digest() + body)
            os.replace(new, place)
        except OSError:
            if new:
                _drop(Path(new))

    def _compile(self, args: tuple[Any, ...]) -> tuple[str, bytes]:
        import numba

        typeof: Any = numba.typeof
        types = tuple(typeof(a) for a in args)
        self.dispatcher.compile(types)
        result = self.dispatcher.overloads[types]
        module = result.library._final_module
        calls = {f.name for f in module.functions if f.is_declaration and not f.name.startswith("llvm.")}
        if foreign := calls - _LIBRARY - _NEVER:
            raise RuntimeError(f"a kernel may not call {', '.join(sorted(foreign))}: {self.__name__}")
        return result.fndesc.llvm_func_name, result.library.serialize_using_object_code()[2][0]


class Inlined:
    """A small function that kernels call inside their loops; called from Python it is compiled by itself."""

    def __init__(self, function: Callable[..., Any]) -> None:
        self.py_func = function
        self.__name__ = function.__name__
        self.__doc__ = function.__doc__

    def __call__(self, *args: Any) -> Any:
        """Call it by itself, as tests and pictures do."""
        return self.py_func(*args) if plain() else self.dispatcher(*args)

    @cached_property
    def dispatcher(self) -> Any:
        """The function as numba compiles it, with those that it calls."""
        import numba

        return numba.njit(**_OPTIONS, inline="always")(_linked(self.py_func))


def kernel(function: Callable[..., Any]) -> Any:
    """Decorate a function of arrays: compiled on first use, loaded where an earlier process kept it."""
    return Kernel(function)


def inlined(function: Callable[..., Any]) -> Any:
    """Decorate a small function that is compiled into its callers."""
    return Inlined(function)


def _linked(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return a copy of a function in which numba sees its own kind of what the function calls."""
    known = function.__globals__
    called = {n: known[n] for n in function.__code__.co_names if isinstance(known.get(n), Kernel | Inlined)}
    ours = {name: value.dispatcher for name, value in called.items()}
    copy = FunctionType(function.__code__, {**known, **ours}, function.__name__, function.__defaults__)
    return update_wrapper(copy, function)


@lru_cache(maxsize=1)
def _processor() -> str:
    """Processor and its features: machine code of another one is not run."""
    llvm = _llvm()
    return f"{llvm.get_process_triple()} {llvm.get_host_cpu_name()} {llvm.get_host_cpu_features().flatten()}"


@lru_cache(maxsize=1)
def _llvm() -> Any:
    import llvmlite.binding as llvm

    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    abort = ctypes.cast(ctypes.CDLL(None).abort, ctypes.c_void_p).value
    for name in _NEVER:
        if llvm.address_of_symbol(name) is None:
            llvm.add_symbol(name, abort)
    return llvm


@cache
def _engine(code: bytes) -> Any:
    """Memory that holds machine code; it is kept for the life of the process, as numba does."""
    llvm = _llvm()
    machine = llvm.Target.from_default_triple().create_target_machine(jit=True)
    engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), machine)
    engine.add_object_file(llvm.ObjectFileRef.from_data(code))
    engine.finalize_object()
    return engine


def _load(name: str, code: bytes, numbers: int) -> Callable[..., int]:
    """Function of machine code that takes so many whole numbers of 64 bits and gives a status."""
    address = _engine(code).get_function_address(name)
    if not address:
        raise RuntimeError(f"no function {name}")
    return ctypes.CFUNCTYPE(ctypes.c_int32, *[ctypes.c_int64] * numbers)(address)


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
