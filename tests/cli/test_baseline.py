"""`rank` on a log of two builds: shots of --present or of --baseline; a question where neither tells."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fitter import demo
from fitter.cli.main import main


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's P4 with a build beside each shot: nine of the card's club, the rest of H1/S5."""
    path = tmp_path_factory.mktemp("logs") / "two.csv"
    head, *rows = (demo.folder() / "P4.csv").read_text().splitlines()
    named = [f"{row},{'P4' if i < 9 else 'H1/S5'}" for i, row in enumerate(rows)]
    path.write_text("\n".join([f"{head},build", *named]) + "\n")
    return path


def told(capsys: pytest.CaptureFixture[str], log: Path, *more: str) -> dict[str, Any]:
    folder = str(demo.folder())
    code = main(["rank", str(log), "--kit", folder, *more, "--draws", "32", "--tiers", "A", "--json"])
    out = capsys.readouterr()
    assert code == 0, out.err
    found: dict[str, Any] = json.loads(out.out)
    return found


def test_the_present_clubs_shots_are_the_baseline(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, log, "--present", str(demo.folder() / "card.toml"))
    assert found["session"]["shots"] == 9
    assert "H1/S5 45.25in (7)" in " ".join(found["session"]["notes"])


def test_a_build_can_be_named(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, log, "--present", "unknown", "--baseline", "h1/s5")
    assert found["session"]["shots"] == 7
    assert "P4 (9)" in " ".join(found["session"]["notes"])


def test_it_is_asked_where_nothing_tells(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["rank", str(log), "--kit", str(demo.folder()), "--present", "H2/S2"])
    assert code == 2
    words = capsys.readouterr().err
    assert "P4 (9), H1/S5 (7)" in words
    assert "--baseline" in words
