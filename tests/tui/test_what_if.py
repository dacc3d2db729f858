"""What if the swing changed: a page beside the ranking, and nothing on the bench moves."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from fitter.tui.dialogs import Page, Pick
from tests.tui.support import press, run, screen, write


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_another_swing_is_answered_beside_the_ranking(one: Work, size: tuple[int, int]) -> None:
    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "3")
        before, bench = app.view.answer, app.bench
        await press(app, pilot, "=")
        assert isinstance(app.screen, Pick)
        await press(app, pilot, "1")
        assert isinstance(app.screen, Page)
        told = " ".join(screen(app).split())
        assert "attack +2 deg" in told
        assert "coach's work" in told
        assert "today" in told
        await press(app, pilot, "escape")
        assert app.view.answer is before
        assert app.bench == bench

    run(steps, size=size, work=one)


def test_a_swing_in_words_is_read_or_explained(one: Work) -> None:
    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "3", "=", "5")
        await write(app, pilot, "grip=+2")
        assert "grip=+2" in screen(app)
        assert "attack" in screen(app)
        await write(app, pilot, "speed=+3mph, strike=centred")
        assert isinstance(app.screen, Page)
        assert "club speed +3.0 mph" in " ".join(screen(app).split())

    run(steps, work=one)


def test_a_bench_without_an_answer_says_so() -> None:
    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "=")
        assert "nothing to compare with" in screen(app)

    run(steps, work=Work())
