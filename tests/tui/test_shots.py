"""Shots: decisions with a reason and undo, builds, strike marks, typed shots, a log that grows."""

from __future__ import annotations

import asyncio
import os
import threading
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fitter.advice.baseline import Note
from fitter.tui import desk, reading
from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from fitter.tui.reading import mine, unfinished
from tests.tui.support import press, run, screen, settle, write


def aside(app: FitterApp, shot: int) -> bool:
    assert app.view.reading is not None
    session = app.view.reading.session
    return bool(session.set_aside[np.flatnonzero(session.shot == shot)[0]])


def test_a_shot_is_set_aside_with_a_reason_and_restored(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "2")
        assert not aside(app, 18)
        await press(app, pilot, "space", "2")
        assert aside(app, 18)
        assert "set aside by hand, slipped" in screen(app)
        assert app.view.answer is not None
        assert app.view.answer.ranking.counts["set_aside"] == 3
        await press(app, pilot, "u")
        assert not aside(app, 18)
        # Shot 12 is a misread of the spin: a person may bring it back, and the ranking takes it.
        app.pane.lines("shots-table").cursor = "12"
        await press(app, pilot, "space")
        assert not aside(app, 12)
        assert app.view.answer is not None
        assert app.view.answer.ranking.counts["set_aside"] == 1

    run(play, work=one)


def test_shots_go_to_another_build_and_back(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4", "b")
        assert app.bench.in_hand == "H1-1/S2 45.25in"
        await press(app, pilot, "2", "e", "2")
        assert app.bench.builds == ((18, "H1-1/S2 45.25in"),)
        assert "hit with head H1, sleeve -1" in screen(app)
        await press(app, pilot, "4")
        assert "predicted" in screen(app)
        assert "◆" in screen(app)
        await press(app, pilot, "u", "u")
        assert not app.bench.builds
        assert not app.bench.in_hand

    run(play, work=one)


def test_a_log_that_grows_is_read_and_new_shots_take_the_build_in_hand(one: Work, shop: Path) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4", "b")
        log = shop / "P1.csv"
        before = app.view.answer
        with log.open("a", encoding="utf-8") as stream:
            stream.write("19,P1,right,130.1,6.2,1.0,0.3,16.9,187.9,14.3,0.2,2390,-3.1,309,321,-5.2,3,4\n")
        app.poll()
        await settle(app, pilot)
        assert app.bench.build_of(19) == "H1-1/S2 45.25in"
        shown = screen(app)
        assert "Shot 19 came in, with H1-1/S2." in shown
        assert "total measured 321 (1 ball) | predicted" in shown
        # The present club's shots are what they were: the ranking stands.
        assert app.view.answer is before

    run(play, work=one)


def test_a_log_that_is_being_written_leaves_the_last_shots_standing(one: Work, shop: Path) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "2")
        log = shop / "P1.csv"
        whole = log.read_text(encoding="utf-8")
        log.write_text("", encoding="utf-8")
        app.poll()
        await settle(app, pilot)
        assert app.view.reading is not None
        assert len(app.view.reading.session) == 18
        assert "P1.csv" in app.view.problem("log")
        log.write_text(whole, encoding="utf-8")
        app.poll()
        await settle(app, pilot)
        assert app.view.problem("log") == ""

    run(play, work=one)


def test_a_log_that_contradicts_itself_is_mended_by_a_key(one: Work, shop: Path) -> None:
    log = shop / "P1.csv"
    text = (
        log.read_text(encoding="utf-8")
        .replace("launch (deg)", "X")
        .replace("dynamic loft (deg)", "launch (deg)")
    )
    log.write_text(text.replace("X", "dynamic loft (deg)"), encoding="utf-8")

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "2")
        assert app.view.answer is not None
        assert app.view.answer.ranking.verdict.withheld == (Note("exchanged"),)
        shown = " ".join(screen(app).split())
        assert "look exchanged" in shown
        assert "y mend" in shown
        await press(app, pilot, "y")
        assert dict(app.bench.maps) == {
            "launch (deg)": "dynamic_loft_deg",
            "dynamic loft (deg)": "launch_deg",
        }
        assert app.view.reading is not None
        assert app.view.reading.session.doubts == ()
        assert app.view.answer is not None, (app.view.trouble, app.view.busy)
        assert app.view.answer.ranking.verdict.withheld == ()
        assert "look exchanged" not in screen(app)
        await press(app, pilot, "u", "n")
        assert set(dict(app.bench.maps)) == {"dynamic loft (deg)"}

    run(play, work=one)


def test_a_line_without_an_end_waits_while_the_log_is_written(shop: Path) -> None:
    log = shop / "P1.csv"
    with log.open("a", encoding="utf-8") as stream:
        stream.write("19,P1,right,130.1,6.2,1.0,0.3,16.9,187.9,14.3,0.2,2390,-3.1,309,321,-1")
    assert unfinished(str(log))
    session, _, problem = mine(str(log), "P1", "right", live=True)
    assert problem == ""
    assert session is not None
    assert len(session) == 18
    # Nobody writes any more: the last line is all there will be, and it is short.
    os.utime(log, (0, 0))
    assert not unfinished(str(log))
    session, _, _ = mine(str(log), "P1", "right")
    assert session is not None
    assert len(session) == 18
    assert any("too few" in n for n in session.notices)


def test_a_strike_is_marked_by_arrows_and_by_the_mouse(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "2", "m")
        # Seen from the front a right-hander's toe is to the left. Shot 18 starts at heel 4, low 5.
        await press(app, pilot, "left", "left", "up", "enter")
        assert app.bench.strikes == ((18, -2.0, -4.0),)
        await press(app, pilot, "m")
        await pilot.click("#shots-picture", offset=(3, 2))
        await settle(app, pilot)
        toe, high = app.bench.strikes[0][1:]
        assert toe > 20
        assert high > 10
        await press(app, pilot, "m", "up", "escape")
        assert app.bench.strikes[0][1:] == (toe, high)

    run(play, work=one)


def test_typed_shots_and_their_errors(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "2", "t")
        await write(app, pilot, "club 131 ball fast side 5")
        shown = screen(app)
        assert "This shot cannot be read." in shown
        assert "'fast'" in shown
        assert "a number with L or R" in shown
        assert len(app.bench.typed) == 0
        await write(app, pilot, "club 131 ball 188 launch 14 spin 2400 carry 310 side 5L")
        assert len(app.bench.typed) == 1
        assert app.view.reading is not None
        assert len(app.view.reading.session) == 19
        assert "5 L" in next(r for r in screen(app).splitlines() if r.split()[:1] == ["19"])
        await press(app, pilot, "u")
        assert len(app.view.reading.session) == 18

    run(play, work=one)


def test_two_looks_at_one_log_never_lose_its_shots(one: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second look begins before the first is over, and stands still until it is."""
    at_the_file, kept = threading.Event(), threading.Event()

    async def play(app: FitterApp, pilot: Any) -> None:
        looks, real, took = iter("12"), reading.stamp, app.got_log

        def slow(path: str) -> reading.Stamp:
            if threading.current_thread() is not threading.main_thread():
                match next(looks, ""):
                    case "1":
                        app.call_from_thread(app.read)
                        assert at_the_file.wait(20.0)
                    case "2":
                        at_the_file.set()
                        assert kept.wait(20.0)
            return real(path)

        def taken(*said: Any) -> bool:
            found = took(*said)
            kept.set()
            return found

        monkeypatch.setattr(reading, "stamp", slow)
        monkeypatch.setattr(app, "got_log", taken)
        app.change("corrections", maps=(("side spin", ""),))
        await settle(app, pilot)
        assert kept.is_set()
        assert app.view.reading is not None
        assert len(app.view.reading.session) == 18
        assert app.view.answer is not None

    run(play, work=one)


def test_a_new_shot_stands_in_the_table_before_it_is_worked_out(
    one: Work, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on = threading.Event()

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "2")
        real = desk.understand

        def slow(*asked: Any) -> reading.Reading:
            assert go_on.wait(20.0)
            return real(*asked)

        monkeypatch.setattr(desk, "understand", slow)
        with (shop / "P1.csv").open("a", encoding="utf-8") as stream:
            stream.write("19,P1,right,130.1,6.2,1.0,0.3,16.9,187.9,14.3,0.2,2390,-3.1,309,321,-5.2,3,4\n")
        app.poll()
        try:
            while app.view.arriving is None:
                await asyncio.sleep(0.01)
            while app.pane.due:
                await pilot.pause()
            assert next(r for r in screen(app).splitlines() if r.split()[:1] == ["+"]).split()[1] == "19"
            assert "being worked out" in screen(app)
            # The misreads that physics alone can tell stay set aside meanwhile.
            assert app.view.shots is not None
            assert app.view.reading is not None
            before = app.view.reading.session.set_aside
            assert list(app.view.shots.session.set_aside) == [*before, False]
        finally:
            go_on.set()
        await settle(app, pilot)
        assert app.view.arriving is None
        assert len(app.view.reading.session) == 19

    run(play, work=one)
