"""How the app is opened: on a terminal alone, and a real one at that."""

from __future__ import annotations

import io
import os
import select
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot

import fitter.tui
from fitter import demo
from fitter.base.assumptions import Assumptions, current, using
from fitter.cli import main as cli
from fitter.cli.main import main
from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from tests.support import GUARD_S
from tests.tui.support import run, settle


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str | None, bool]]:
    """What the app was opened with."""
    seen: list[tuple[str | None, bool]] = []

    def note(demo_player: str | None = None, demo: bool = False) -> int:
        seen.append((demo_player, demo))
        return 0

    monkeypatch.setattr(fitter.tui, "open_app", note)
    return seen


def test_on_a_terminal_the_app_opens(
    opened: list[tuple[str | None, bool]], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(cli, "on_terminal", lambda: True)
    monkeypatch.setattr("fitter.cli.demo.on_terminal", lambda: True)
    assert main([]) == 0
    assert main(["demo", "--player", "P2"]) == 0
    assert opened == [(None, False), ("P2", True)]
    assert main(["demo", "--print"]) == 0
    assert "Player P1" in capsys.readouterr().out
    assert len(opened) == 2


def test_without_a_terminal_it_prints_and_helps(
    opened: list[tuple[str | None, bool]], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([]) == 2
    assert "usage: fitter" in capsys.readouterr().err
    assert not opened


def test_where_the_screen_would_be_drawn_into_a_file_nobody_sits(monkeypatch: pytest.MonkeyPatch) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    for name in ("stdin", "stdout", "stderr"):
        monkeypatch.setattr(sys, name, Terminal())
    assert cli.on_terminal()
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    assert not cli.on_terminal()


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_in_a_pseudo_terminal_it_draws_and_quits(tmp_path: Path) -> None:
    import pty

    ours, theirs = pty.openpty()
    environment = {**os.environ, "PYTHONPATH": str(demo.folder().parent), "XDG_STATE_HOME": str(tmp_path),
                   "TERM": "xterm-256color", "COLUMNS": "100", "LINES": "30"}  # fmt: skip
    process = subprocess.Popen(
        [sys.executable, "-m", "fitter", "demo"], stdin=theirs, stdout=theirs, stderr=theirs, env=environment
    )
    os.close(theirs)
    seen = b""

    def heard() -> bytes:
        """What it draws next; nothing once it has gone."""
        assert select.select([ours], [], [], GUARD_S)[0]
        try:
            return os.read(ours, 65536)
        except OSError:
            return b""

    try:
        while b"present club" not in seen and (part := heard()):
            seen += part
        os.write(ours, b"q")
        while part := heard():
            seen += part
        assert process.wait(GUARD_S) == 0
    finally:
        process.kill()
        process.wait()
        os.close(ours)
    assert b"present club" in seen
    assert b"Traceback" not in seen
    assert list((tmp_path / "fitter").glob("bench-demo.json"))


def test_threads_of_the_app_compute_with_the_judged_numbers_that_it_was_opened_with() -> None:
    usual = current()["score.width_yd"]
    ours = Assumptions({**current(), usual.name: replace(usual, value=20.0)})
    seen: list[float] = []

    async def play(app: FitterApp, pilot: Pilot[None]) -> None:
        app.run_worker(lambda: seen.append(current().value("score.width_yd")), thread=True)
        await settle(app, pilot)

    with using(ours):
        run(play, work=Work())
    assert seen == [20.0]
