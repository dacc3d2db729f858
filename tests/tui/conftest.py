"""The app on a small kit, with few draws, a fixed day, and a state folder of its own."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from fitter import demo
from fitter.tui import answer, sheet
from fitter.tui.bench import Work
from fitter.tui.start import demo_work
from tests.tui.support import small_kit


@pytest.fixture(autouse=True)
def _small_world(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr(answer, "DRAWS", 48)
    monkeypatch.setattr(sheet, "today", lambda: "2026-05-01")
    (tmp_path / "shop").mkdir()
    small_kit(tmp_path / "shop")
    for name in ("P1", "P3"):
        shutil.copy(demo.folder() / f"{name}.csv", tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Folder with the small kit and two logs."""
    return tmp_path / "shop"


@pytest.fixture
def one(shop: Path) -> Work:
    """P1 at the bench, alone."""
    bench = demo_work("P1").bench
    return Work((replace(bench, kit=str(shop), log=str(shop / "P1.csv")),))


@pytest.fixture
def two(shop: Path, one: Work) -> Work:
    """P1 and the left-handed P3."""
    left = demo_work("P3").bench
    return Work((one.bench, replace(left, kit=str(shop), log=str(shop / "P3.csv"), present="H4/S3")))
