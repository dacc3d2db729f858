"""A log that would take all memory is told at the bench, and the next one in its place is read."""

from __future__ import annotations

import os
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

from fitter import demo
from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from tests.base import hostile
from tests.tui.support import run, screen, settle


def test_the_watcher_survives_a_hostile_log(one: Work, shop: Path) -> None:
    log = shop / "today.csv"
    log.write_bytes(hostile.stray())
    work = Work((replace(one.bench, log=str(log)),))

    async def play(app: FitterApp, pilot: Any) -> None:
        assert "XFD1048576" in dict(app.view.trouble)["log"]
        log.unlink()
        os.mkfifo(log)
        app.poll()
        await settle(app, pilot)
        assert "a named pipe" in dict(app.view.trouble)["log"]
        log.unlink()
        shutil.copy(demo.folder() / "P1.csv", log)
        app.poll()
        await settle(app, pilot)
        assert "log" not in dict(app.view.trouble)
        assert app.view.reading is not None
        assert len(app.view.reading.session) == 18
        assert "18 shots" in screen(app)

    run(play, work=work)
