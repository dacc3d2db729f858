"""The app on a small kit, with few draws, a fixed day, and a state folder of its own."""

from __future__ import annotations

import pickle
import shutil
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fitter import demo
from fitter.advice import flips
from fitter.advice.question import Question
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.physics import compiled
from fitter.shots.session import Session
from fitter.trial import course
from fitter.trial.course import Start, start
from fitter.tui import answer, desk, reading
from fitter.tui.bench import READ, Bench, Work
from fitter.tui.saved import demo_work
from fitter.tui.screens import sheet
from tests.tui.support import small_kit

_KNOWN: dict[bytes, Ranking] = {}
_BEGUN: dict[bytes, Start] = {}
_READ: dict[bytes, reading.Reading] = {}


def remembered(question: Question, *, progress: Any = None, first: Any = None) -> Ranking:
    """Rank, once for each question: most tests begin with the same session."""
    session, kit = replace(question.session, source=""), question.kit and replace(question.kit, source="")
    key = pickle.dumps(replace(question, session=session, kit=kit))
    if key not in _KNOWN:
        _KNOWN[key] = rank(question, progress=progress, first=first)
    progress(1, 1)
    return _KNOWN[key]


def begun(question: Question, clubs: Sequence[str] = ()) -> Start:
    """Begin a trial, once for each question."""
    session, kit = replace(question.session, source=""), question.kit and replace(question.kit, source="")
    key = pickle.dumps([replace(question, session=session, kit=kit), clubs])
    if key not in _BEGUN:
        _BEGUN[key] = start(question, clubs)
    return _BEGUN[key]


def understood(bench: Bench, logged: Session | None) -> reading.Reading:
    """Understand the shots, once for each log and what was decided on it."""
    decided = [getattr(bench, name) for name in READ if name != "log"]
    key = pickle.dumps([decided, logged and replace(logged, source="")])
    if key not in _READ:
        _READ[key] = reading.understand(bench, logged)
    known = _READ[key]
    # The log lies in another folder in each test.
    return replace(known, session=replace(known.session, source=logged.source)) if logged else known


@pytest.fixture(autouse=True)
def _small_world(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr(answer, "DRAWS", 48)
    monkeypatch.setattr(flips, "DRAWS", 16)
    # Whether the kernels are compiled yet is the machine's matter, and would be told on the screens.
    monkeypatch.setattr(compiled, "cached", lambda: True)
    monkeypatch.setattr(answer, "rank", remembered)
    monkeypatch.setattr(desk, "understand", understood)
    monkeypatch.setattr(course, "start", begun)
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
    return Work((one.bench, replace(left, kit=str(shop), log=str(shop / "P3.csv"), present="H4/S7")))
