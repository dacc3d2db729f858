"""While the figures are computed: a rough order, marked as such, and nothing that looks like a figure."""

from __future__ import annotations

import asyncio
import re
import threading
from dataclasses import replace
from typing import Any

import pytest

from fitter.advice.options import enumerate_options
from fitter.advice.question import Question
from fitter.advice.race import RoughOrder
from fitter.advice.result import Ranking
from fitter.tui import answer, reading
from fitter.tui.answer import match
from fitter.tui.app import FitterApp
from fitter.tui.bench import Choice, Work
from tests.support import GUARD_S
from tests.tui.conftest import remembered
from tests.tui.support import press, run, screen, settle


def test_a_rough_order_stands_until_the_answer_is_there(one: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    told, go_on = threading.Event(), threading.Event()

    def held(question: Question, *, progress: Any, first: Any) -> Ranking:
        """Rank; the rough order is told, and the ranking held back until the test has looked."""
        assert question.kit is not None
        first(RoughOrder(enumerate_options(question.kit, question.present)[1:]))
        told.set()
        assert go_on.wait(GUARD_S)
        return remembered(question, progress=progress, first=first)

    monkeypatch.setattr(answer, "rank", held)

    async def body() -> None:
        app = FitterApp(one, None, first="options")
        async with app.run_test(size=(120, 40)) as pilot:
            assert await asyncio.to_thread(told.wait, GUARD_S)
            try:
                await pilot.pause()
                while app.pane.due:
                    await pilot.pause()
                early = screen(app)
                assert app.view.answer is None
                assert not app.view.settled
            finally:
                go_on.set()
            await settle(app, pilot)
            late = screen(app)
        assert "rough order, still computing" in early
        assert "H1" in early
        for sign in ("80 %", "P>0", ">.99", "●", "├", "Change to", "gain yd"):
            assert sign not in early, sign
        assert not re.search(r"[+-]\d+\.\d\s", early.partition("rough order")[2].partition("bench")[0])
        assert "rough order" not in late
        assert "P>0" in late
        assert app.view.rough is None

    asyncio.run(body())


def test_what_a_person_takes_an_interest_in_is_computed_in_full(
    one: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Build in hand, as a log words it, pins and the choice are named, from the first ranking on."""
    asked = []

    def noted(question: Question, *, progress: Any, first: Any) -> Ranking:
        asked.append(question.named)
        return remembered(question, progress=progress, first=first)

    monkeypatch.setattr(answer, "rank", noted)
    chosen = Choice("H2/S2 45.25in", "", "keep", "looks")
    bench = replace(one.bench, in_hand="H1/S7", pins=("H4/S7 45.25in", "nothing"), chosen=chosen)

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4")
        assert app.view.answer is not None
        assert app.view.kit is not None
        options = [s.option for s in app.view.answer.ranking.options]
        assert match("H1/S7", options, app.view.kit) is not None

    run(play, work=replace(one, benches=(bench,)))
    assert set(asked[0]) == {"H1/S7 45.25in", "H4/S7 45.25in", "H2/S2 45.25in"}


def test_a_log_that_is_being_read_is_not_called_missing(one: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    known, asked, go_on = reading.mine, threading.Event(), threading.Event()

    def held(*source: Any, **how: Any) -> Any:
        asked.set()
        assert go_on.wait(120)
        return known(*source, **how)

    monkeypatch.setattr(reading, "mine", held)

    async def body() -> None:
        app = FitterApp(one, None, first="options")
        async with app.run_test(size=(120, 40)) as pilot:
            assert await asyncio.to_thread(asked.wait, 120)
            try:
                await pilot.pause()
                while app.pane.due:
                    await pilot.pause()
                early = screen(app)
            finally:
                go_on.set()
            await settle(app, pilot)
        assert "The log is being read." in early
        assert "shots, kit and present club are needed" not in early

    asyncio.run(body())
