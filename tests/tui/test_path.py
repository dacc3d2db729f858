"""The paths of the job: from opening the demo to the printed sheet."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from fitter.tui.app import FitterApp
from fitter.tui.bench import WANTED, Work
from fitter.tui.foot import AskLine
from fitter.tui.saved import fresh_work
from tests.tui.support import press, run, screen, settle, write


def test_from_the_demo_to_the_verdict_and_its_reason_in_one_key(one: Work) -> None:
    """At most nine keys, each shown when it is needed."""

    async def play(app: FitterApp, pilot: Any) -> None:
        assert "4 Options" in screen(app)
        await press(app, pilot, "4")
        shown = screen(app)
        # P1's longer head costs fairways: the player chooses.
        assert "Trade, for the player to choose" in shown
        assert "Why head H1, sleeve -1" in shown
        assert "spin" in shown
        await press(app, pilot, "3")
        assert "The verdict: a trade" in screen(app)

    run(play, work=one)


def test_from_the_demo_to_the_printed_sheet(one: Work, shop: Path) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        for key, words in (
            ("2", "From above"),
            ("3", "yards go"),
            ("4", "tier"),
            ("5", "Driver recommendation"),
        ):
            await press(app, pilot, key)
            assert words in screen(app)
        await press(app, pilot, "x")
        assert "What does the player take?" in screen(app)
        await press(app, pilot, "1")
        assert "Chosen as recommended (trade): head H1, sleeve -1." in screen(app)
        await press(app, pilot, "w")
        await write(app, pilot)
        assert (shop / "sheet-P1-2026-05-01.pdf").read_bytes().startswith(b"%PDF")
        assert "is printed to" in screen(app)

    run(play, work=one)


def test_another_choice_is_recorded_with_its_reason(one: Work, shop: Path) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4", "down", "down", "x", "2")
        assert "instead of head H1, sleeve -1" in screen(app)
        assert "why?" in screen(app)
        await press(app, pilot, "2")
        chosen = app.bench.chosen
        assert chosen is not None
        assert (chosen.reason, chosen.action) == ("sound", "trade")
        assert chosen.option != chosen.recommended
        # The paper says both: what was recommended, and what is taken instead and why.
        await press(app, pilot, "5", "w")
        await write(app, pilot, "sheet.md")
        printed = (shop / "sheet.md").read_text(encoding="utf-8")
        assert "H1, sleeve -1 gains" in printed
        assert "Chosen:" in printed
        assert ": sound" in printed
        await press(app, pilot, "u")
        assert app.bench.chosen is None

    run(play, work=one)


def test_a_sheet_that_cannot_be_written_is_said_where_it_arose(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "5", "w")
        await write(app, pilot, "sheet.doc")
        assert "That is no name for a sheet." in screen(app)
        await write(app, pilot, "/nowhere/at/all.txt")
        shown = screen(app)
        assert "The sheet cannot be written there." in shown
        assert "'/nowhere/at'" in shown
        await press(app, pilot, "escape")
        assert "The sheet cannot be written there." not in screen(app)

    run(play, work=one)


def test_the_next_player_by_one_key(two: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4", "r")
        shown = screen(app)
        assert "P3, left-handed" in shown
        assert "P3's turn." in shown
        await press(app, pilot, "r")
        assert "P1, right-handed" in screen(app)

    run(play, work=two)


def test_from_nothing_to_a_ranking(shop: Path) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        for key, words in (("kit", str(shop)), ("log", str(shop / "P1.csv")), ("present", "H4/S2")):
            app.pane.lines("setup-form").cursor = key
            await press(app, pilot, "enter")
            await write(app, pilot, words)
        await press(app, pilot, "4")
        # Play is what is asked for where nobody wishes anything else.
        assert "for play" in screen(app)
        assert "yd of play" in screen(app)

    run(play, work=Work())


def typed(words: str) -> list[str]:
    """Keys of words, Tab as itself."""
    names = {"/": "slash", "-": "minus", ">": "tab"}
    return [names.get(c, c) for c in words]


async def count(app: FitterApp, pilot: Any, *keys: str) -> int:
    await press(app, pilot, *keys)
    return len(keys)


def test_from_nothing_to_the_printed_page_by_few_keys(shop: Path) -> None:
    """Kit and log lie in two folders; the name of the command and its Enter are seven of the keys."""
    (shop / "range").mkdir()
    (shop / "kit").mkdir()
    for name in ("heads.csv", "shafts.csv"):
        (shop / name).rename(shop / "kit" / name)
    (shop / "P3.csv").unlink()
    (shop / "P1.csv").rename(shop / "range" / "P1.csv")

    async def play(app: FitterApp, pilot: Any) -> int:
        # The newest log here, by one key; the kit was found.
        keys = 7 + await count(app, pilot, "plus")
        assert app.bench.log == str(shop / "range" / "P1.csv")
        assert app.bench.kit == str(shop / "kit")
        keys += await count(app, pilot, "down", "down", "enter", *typed("h4/s2"), "enter")
        assert app.bench.present == "H4/S2"
        keys += await count(app, pilot, *"nyyy")
        assert not [k for k in WANTED if app.bench.caution(k) != WANTED[k]]
        keys += await count(app, pilot, "4")
        assert "yd of play" in screen(app)
        keys += await count(app, pilot, *"x1w", "enter")
        await settle(app, pilot)
        assert len(list(shop.glob("sheet-P1-*.pdf"))) == 1
        return keys

    assert run(play, work=fresh_work()) <= 26


def test_a_log_elsewhere_is_named_by_tab_and_brings_its_kit(shop: Path, tmp_path: Path) -> None:
    (shop / "P3.csv").unlink()
    nowhere = tmp_path / "nowhere"
    nowhere.mkdir()
    os.chdir(nowhere)

    async def play(app: FitterApp, pilot: Any) -> int:
        keys = 7 + await count(app, pilot, "enter", *typed("../s>p>"), "enter")
        assert app.bench.log == str(shop / "P1.csv")
        assert app.bench.kit == str(shop)
        # The cursor went on to what is wanted next.
        keys += await count(app, pilot, "enter", *typed("h4/s2"), "enter")
        assert app.bench.present == "H4/S2"
        keys += await count(app, pilot, *"nyyy4x1w", "enter")
        await settle(app, pilot)
        assert len(list(nowhere.glob("sheet-P1-*.pdf"))) == 1
        return keys

    assert run(play, work=fresh_work()) <= 35


def test_a_log_of_another_player_brings_that_player_to_the_bench(one: Work, shop: Path) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        # Something was decided for P1, who keeps the seat and the log; P3 gets a seat and the kit.
        app.pane.lines("setup-form").cursor = "log"
        await press(app, pilot, "enter")
        await write(app, pilot, str(shop / "P3.csv"))
        assert [(b.player, Path(b.log).name) for b in app.view.work.benches] == [
            ("P1", "P1.csv"),
            ("P3", "P3.csv"),
        ]
        assert (app.bench.player, app.bench.hand, app.bench.kit) == ("P3", "left", str(shop))
        assert app.view.answer is not None
        assert app.view.answer.ranking.player == "P3"
        assert app.view.problem("log") == ""

    run(play, work=one)


def test_stepping_through_logs_leaves_no_empty_seats(shop: Path) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "plus", "plus", "plus")
        assert len(app.view.work.benches) == 1

    run(play, work=fresh_work())


def test_verdict_balance_and_reason_by_one_key_and_a_page_by_five(one: Work, shop: Path) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        assert await count(app, pilot, "4") == 1
        shown = screen(app)
        assert "Trade, for the player to choose" in shown
        assert "Why head H1, sleeve -1" in shown
        assert "Why head H1, sleeve -1" in shown
        assert await count(app, pilot, *"x1w", "enter") <= 4
        await settle(app, pilot)
        assert len(list(shop.glob("sheet-P1-*.pdf"))) == 1

    run(play, work=one)


def test_an_answer_for_another_player_is_never_shown(two: Work) -> None:
    """Turns faster than the answers: what arrives late belongs to nobody at the bench."""

    async def play(app: FitterApp, pilot: Any) -> None:
        for _ in range(5):
            await pilot.press("r")
        await settle(app, pilot)
        assert app.bench.player == "P3"
        assert app.view.answer is not None
        assert app.view.reading is not None
        assert app.view.answer.ranking.player == app.view.reading.session.player == "P3"

    run(play, work=two)


def test_what_is_typed_replaces_what_stood_there_and_the_line_can_always_be_left(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        app.pane.lines("setup-form").cursor = "present"
        await press(app, pilot, "enter", *"H1/S2", "enter")
        assert app.bench.present == "H1/S2"
        await press(app, pilot, "enter", "tab", *"H4", "shift+tab", "escape")
        assert not app.query_one(AskLine).display
        await press(app, pilot, "4")
        assert app.pane.id == "options"

    run(play, work=one)
