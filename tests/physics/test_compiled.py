"""The cache of kernels: damaged, full or unsafe, it costs a compilation and nothing else."""

from __future__ import annotations

import errno
import hashlib
import importlib.util
import os
import stat
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fitter.physics import compiled

pytestmark = pytest.mark.skipif(os.environ.get("NUMBA_DISABLE_JIT") == "1", reason="nothing is compiled")
Build = Callable[[], tuple[float, int]]


@pytest.fixture
def build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Build]:
    """Decorate a small function as a new process would; give its value and the hits in the cache."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    source = tmp_path / "small.py"
    source.write_text("def twice(x, out):\n    out[0] = 2.0 * x[0]\n", encoding="utf-8")

    def once() -> tuple[float, int]:
        compiled.cache_folder.cache_clear()
        spec = importlib.util.spec_from_file_location("small", source)
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        twice: Any = compiled.kernel(module.twice)
        out = np.empty(1)
        twice(np.array([4.0]), out)
        return float(out[0]), twice.loaded

    yield once
    monkeypatch.undo()
    compiled.cache_folder.cache_clear()


def entries(tmp_path: Path) -> list[Path]:
    return sorted((tmp_path / "cache").rglob("*.kernel"))


def folder(tmp_path: Path) -> Path:
    return entries(tmp_path)[0].parent


def damaged(path: Path, kind: str) -> None:
    whole = path.read_bytes()
    if kind == "folder":
        path.unlink()
        path.mkdir()
        (path / "x").touch()
        return
    flipped = bytes([whole[len(whole) // 2] ^ 1])
    path.write_bytes(
        {
            "empty": b"",
            "garbage": b"\x00\xff garbage" * 50,
            "half": whole[: len(whole) // 2],
            "bit": whole[: len(whole) // 2] + flipped + whole[len(whole) // 2 + 1 :],
        }[kind]
    )


@pytest.mark.parametrize("kind", ["empty", "garbage", "half", "bit", "folder"])
def test_a_damaged_entry_is_compiled_anew_and_heals(build: Build, tmp_path: Path, kind: str) -> None:
    assert build() == (8.0, 0)
    assert compiled.cached()
    assert build() == (8.0, 1)
    (entry,) = entries(tmp_path)
    damaged(entry, kind)
    assert build() == (8.0, 0)
    assert build() == (8.0, 1)


def test_an_entry_that_is_whole_and_of_another_make_is_compiled_anew(build: Build, tmp_path: Path) -> None:
    build()
    (entry,) = entries(tmp_path)
    code = b"twice\0not machine code"
    entry.write_bytes(hashlib.sha256(code).digest() + code)
    assert build() == (8.0, 0)
    assert build() == (8.0, 1)


def test_a_full_disk_leaves_nothing_behind(
    build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(compiled.os, "replace", full)
        assert build() == (8.0, 0)
        patch.setattr(compiled.tempfile, "mkstemp", full)
        assert build() == (8.0, 0)
    assert [p for p in (tmp_path / "cache").rglob("*") if p.is_file()] == []
    assert build() == (8.0, 0)
    assert build() == (8.0, 1)


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="needs owners of files")
@pytest.mark.parametrize("mode", [0o777, 0o770, 0o500, 0o000])
def test_a_folder_with_wrong_rights_gets_the_right_ones(build: Build, tmp_path: Path, mode: int) -> None:
    """What others could have written there is not run."""
    build()
    where = folder(tmp_path)
    where.chmod(mode)
    assert build() == (8.0, 0)
    assert stat.S_IMODE(where.stat().st_mode) == 0o700
    assert build() == (8.0, 1)


def test_a_file_in_the_place_of_the_folder_goes_and_one_above_it_stays(
    build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build()
    where = folder(tmp_path)
    (entry,) = entries(tmp_path)
    entry.unlink()
    for rest in sorted(where.rglob("*"), reverse=True):
        rest.rmdir()
    where.rmdir()
    where.write_text("in the way", encoding="utf-8")
    assert build() == (8.0, 0)
    assert build() == (8.0, 1)
    above = tmp_path / "other"
    above.write_text("a file of somebody", encoding="utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(above))
    assert build() == (8.0, 0)
    assert compiled.cache_folder() is None
    assert above.read_text(encoding="utf-8") == "a file of somebody"
