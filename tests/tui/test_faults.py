"""A fault of the program is a sentence at its place and a report; the session goes on, work is saved."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fitter.base import files
from fitter.base.errors import InputError
from fitter.tui import desk, reading, saved
from fitter.tui.app import FitterApp
from fitter.tui.bench import Steps, Work
from fitter.tui.faults import Ended
from fitter.tui.lines import Lines
from fitter.tui.screens import sheet
from fitter.tui.screens.options import OptionsPane
from fitter.tui.screens.why import WhyPane
from tests.tui.support import press, run, screen, settle, write


def failing(error: BaseException) -> Any:
    def fail(*_: Any, **__: Any) -> Any:
        raise error

    return fail


def reports() -> list[Path]:
    return sorted(files.state_folder().glob("report-*.txt"))


@pytest.mark.parametrize(
    ("name", "place", "error"),
    [
        ("ask", "rank", np.linalg.LinAlgError("Singular matrix")),
        ("understand", "log", MemoryError()),
        ("mine", "log", RuntimeError("[/] no markup")),
    ],
)
def test_a_worker_that_fails_is_said_at_its_place(
    one: Work, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, place: str, error: BaseException
) -> None:
    monkeypatch.setattr(reading if name == "mine" else desk, name, failing(error))

    async def play(app: FitterApp, pilot: Any) -> None:
        said = app.view.problem(place)
        assert type(error).__name__ in said
        assert len(reports()) == 1
        assert str(reports()[0]) in said
        await press(app, pilot, "4" if place == "rank" else "2")
        assert f"failed ({type(error).__name__}" in screen(app)
        app.change("face", sets_face="eye")
        await settle(app, pilot)
        kept = saved.load(tmp_path / "bench.json").work
        assert kept is not None
        assert kept.bench.sets_face == "eye"

    run(play, work=one, file=tmp_path / "bench.json", faults=True)
    text = reports()[0].read_text(encoding="utf-8")
    for words in ("Traceback", type(error).__name__, "Python 3", "numpy", "wish"):
        assert words in text
    assert "P1" not in text.partition("Traceback")[0]


def test_the_bench_that_fails_is_said_and_the_ranking_stands(
    one: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk, "ask_bench", failing(ZeroDivisionError("by zero")))

    async def play(app: FitterApp, pilot: Any) -> None:
        app.change("step", steps=Steps(length_in=-0.5))
        await settle(app, pilot)
        assert "ZeroDivisionError: by zero" in app.view.problem("bench")
        assert app.view.answer is not None

    run(play, work=one, faults=True)


def test_a_sheet_that_fails_is_said_under_the_line(one: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet, "write", failing(RecursionError("too deep")))

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "5", "w")
        await write(app, pilot)
        assert "Printing failed (RecursionError: too deep)." in screen(app)

    run(play, work=one, faults=True)


def test_a_handler_and_a_drawing_that_fail_cost_no_session(
    one: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        monkeypatch.setattr(OptionsPane, "pin", failing(KeyError("pin")))
        monkeypatch.setattr(Lines, "action_move", failing(KeyError("move")))
        monkeypatch.setattr(WhyPane, "draw", failing(KeyError("why")))
        await press(app, pilot, "4", "p")
        assert "failed (KeyError: 'pin')" in screen(app)
        await press(app, pilot, "3")
        assert "Drawing this screen failed (KeyError: 'why')" in screen(app)
        await press(app, pilot, "4", "down")
        assert "failed (KeyError: 'move')" in screen(app)
        monkeypatch.undo()
        await press(app, pilot, "down", "b", "s")
        assert app.bench.every_set_up
        assert len(app.faults) >= 3

    run(play, work=one, faults=True)


def test_a_program_that_only_fails_ends_with_a_sentence(one: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not for ever, and not with a trace that shows the player's shots."""

    async def play(app: FitterApp, pilot: Any) -> None:
        monkeypatch.setattr(OptionsPane, "pin", failing(KeyError("pin")))
        await press(app, pilot, "4", *["p"] * desk.FAULTS)

    with pytest.raises(Ended, match=r"failed \(KeyError: 'pin'\). A report to send to the makers"):
        run(play, work=one, faults=True)


def test_a_report_that_cannot_be_written_is_said_too(one: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        monkeypatch.setattr(files, "write_whole", failing(InputError("The disk is full.")))
        monkeypatch.setattr(OptionsPane, "pin", failing(KeyError("pin")))
        await press(app, pilot, "4", "p")
        assert "No report could be written: The disk is full." in screen(app)

    run(play, work=one, faults=True)
