"""A trial of twelve balls at the bench: planned, hit, asked for pain at swaps, decided, kept."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from fitter.history.records import Outcome, Trial, Tried
from fitter.history.store import Store
from fitter.tui import saved
from fitter.tui.app import FitterApp
from fitter.tui.bench import Work, answer_caution
from fitter.tui.dialogs import Pick
from fitter.tui.screens.trial import TrialScreen
from tests.tui.support import press, run, screen, settle


def trial_of(app: FitterApp) -> TrialScreen:
    found = next(s for s in app.screen_stack if isinstance(s, TrialScreen))
    assert found.course is not None
    return found


async def open_short(app: FitterApp, pilot: Pilot[None]) -> TrialScreen:
    await press(app, pilot, "4", "i")
    for _ in range(5):
        await press(app, pilot, "B")
    found = trial_of(app)
    assert found.course is not None
    assert found.course.record.planned == 12
    return found


async def ball(app: FitterApp, pilot: Pilot[None], words: str) -> None:
    await press(app, pilot, "t")
    app.screen.query(Input).first().value = words
    await press(app, pilot, "enter")
    await settle(app, pilot)


def test_twelve_balls_from_plan_to_decision(
    one: Work, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    file = tmp_path / "bench.json"

    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        found = await open_short(app, pilot)
        shown = screen(app)
        assert "MOUNT" not in shown  # it stands in large type
        assert "Order, 3 balls each: [" in shown
        assert "warm up" in shown
        swaps = 0
        for k in range(12):
            assert found.course is not None
            club = found.course.record.club_of(k)
            spin, carry = 3500 - 600 * club + 7 * k, 300 + 12 * club + k % 4
            await ball(app, pilot, f"club 131 ball 186 launch {15 - 2 * club} spin {spin} carry {carry}")
            while isinstance(app.screen, Pick):
                swaps += "Any pain" in screen(app)
                await press(app, pilot, "1")
        assert swaps == found.course.next.swaps + 2 if found.course is not None else False
        shown = screen(app)
        assert "planned balls are hit" in shown or "Enough" in shown
        assert found.course is not None
        assert found.course.outcome is not None
        assert sum(found.course.outcome.hit.values()) + found.course.outcome.aside == 12
        assert set(found.course.record.feel.values()) == {"better than mine"}
        # How his own club feels is what the other is held against.
        assert set(found.course.record.feel) == {found.course.record.codes[1]}
        await press(app, pilot, "x")
        assert not isinstance(app.screen, TrialScreen)
        assert app.bench.trial_counts
        assert app.view.answer is not None
        heard = app.view.answer.ranking.heard
        assert heard is not None
        assert heard.balls == found.course.outcome.hit[found.course.record.clubs[1]]
        # What came of its promises goes into the shop's memory with the session.
        app.keep_in_mind(replace(app.view, work=Work((replace(app.bench, scene=""),))))
        with Store(read_only=True) as store:
            (outcome,), (tried,), (trial,) = (store.entries(cls) for cls in (Outcome, Tried, Trial))
        assert (outcome.how, outcome.option) == ("trial", found.course.record.clubs[1])
        assert outcome.tried == tried.digest == trial.digest
        assert len(tried.club) == sum(found.course.outcome.hit.values())
        await press(app, pilot, "u")
        assert app.view.answer.ranking.heard is None

    run(steps, work=one, file=file)

    async def next_visit(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "4")
        assert app.view.answer is not None
        assert app.view.answer.ranking.heard is not None

    # The player's next visit: the balls of the trial are remembered and count, but not twice.
    run(next_visit, work=Work((replace(one.bench, scene=""),)))
    kept = saved.load(file).work
    assert kept is not None
    assert kept.bench.trial is not None
    assert len(kept.bench.trial.balls) == 12

    async def again(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "4", "i")
        found = trial_of(app)
        assert found.course is not None
        assert found.course.outcome is not None
        assert len(found.course.record.balls) == 12

    run(again, work=kept, file=file)


def test_pain_ends_it(one: Work) -> None:
    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        found = await open_short(app, pilot)
        await ball(app, pilot, "club 131 ball 186 launch 15 spin 3500 carry 300")
        await press(app, pilot, "exclamation_mark", "3")
        assert found.course is not None
        assert found.course.next.action == "pain"
        assert "pain is a physician's" in screen(app)
        await press(app, pilot, "t")
        assert isinstance(app.screen, TrialScreen)
        assert "No more balls today" in screen(app)
        # A new plan forgets the balls, not the pain; only the player takes that back, at Set-up.
        await press(app, pilot, "N")
        assert found.course.next.action == "pain"
        assert app.bench.caution("pain") == "yes"
        cautions = answer_caution(app.bench, "pain", "no")
        await press(app, pilot, "escape")
        app.change("pain", **cautions)
        await press(app, pilot, "i")
        assert trial_of(app).course is not None
        assert trial_of(app).course.next.action == "hit"  # type: ignore[union-attr]

    run(steps, work=one)


def test_a_ball_is_taken_back_and_a_misread_is_said_at_once(one: Work) -> None:
    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        found = await open_short(app, pilot)
        await ball(app, pilot, "club 131 ball 400 launch 15 spin 3500 carry 300")
        assert "set aside: ball 1" in screen(app)
        await press(app, pilot, "u")
        assert found.course is not None
        assert found.course.record.balls == []
        assert "set aside" not in screen(app)
        await press(app, pilot, "u")
        assert "no ball to take back" in screen(app)
        await press(app, pilot, "question_mark")
        assert "Keys of the trial" in screen(app)

    run(steps, work=one)


def test_a_ball_that_tells_nothing_is_refused(one: Work) -> None:
    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        await open_short(app, pilot)
        await ball(app, pilot, "attack 3")
        assert "tells nothing" in screen(app)
        await press(app, pilot, "escape", "x")
        assert "no ball yet" in screen(app)

    run(steps, work=one)


def test_balls_come_from_the_log(one: Work, shop: Path) -> None:
    log = shop / "P1.csv"

    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        found = await open_short(app, pilot)
        with log.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        new = [row | {"shot": str(int(rows[-1]["shot"]) + 1 + k)} for k, row in enumerate(rows[3:5])]
        with log.open("a", encoding="utf-8", newline="") as file:
            csv.DictWriter(file, list(rows[0])).writerows(new)
        app.poll()
        await settle(app, pilot)
        await settle(app, pilot)
        assert found.course is not None
        assert len(found.course.record.balls) == 2
        assert [b.source for b in found.course.record.balls] == ["log row 20", "log row 21"]

    run(steps, work=one)


def test_it_stands_on_a_small_screen_and_says_what_it_lacks(one: Work) -> None:
    async def small(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "4", "i")
        rows = screen(app).splitlines()
        assert max(map(len, rows)) <= 80
        assert any("balls" in row for row in rows)
        assert "x count it" in screen(app)

    run(small, size=(80, 24), work=one)

    async def without(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "i")
        assert "needs a kit and shots" in screen(app)

    run(without, work=Work((replace(one.bench, log="", kit=""),)))
