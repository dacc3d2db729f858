"""Options and range: filters, the bench, compare, pins; settings, cautions, players."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fitter.tui.app import FitterApp
from fitter.tui.bench import Bench, Steps, Work
from tests.tui.support import press, run, screen, settle, small_kit, write


def test_filter_bench_compare_and_pin(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4", "f", "5", "escape")
        assert app.bench.hidden == ("tier E",)
        rows = screen(app).splitlines()
        assert not any(r[2:5] == " E " for r in rows)
        assert any("hidden" in r for r in rows)
        await press(app, pilot, "u", "p")
        assert app.bench.pins == ("H1-1/S2 45.25in",)
        await press(app, pilot, "c", "down")
        assert "Side by side" in screen(app)
        await press(app, pilot, "c")
        assert app.view.marked == ""
        await press(app, pilot, "g", "down", "down", "down", "minus", "minus")
        assert app.bench.steps == Steps(length_in=-0.5)
        assert "bench: 0.5 in shorter" in screen(app)
        assert app.view.on_bench is not None
        assert app.view.on_bench.option.tier == "B"
        await press(app, pilot, "b")
        assert app.bench.in_hand == "H4/S2 44.75in"
        assert "H4/S2" in screen(app)
        before = app.view.answer
        await press(app, pilot, "end", "plus")
        assert app.bench.conditions.turf == "firm"
        assert app.bench.measured.turf == "ordinary"
        assert app.view.answer is not before
        await press(app, pilot, "z")
        assert app.view.on_bench is None

    run(play, work=one)


def test_the_bench_answers_as_the_ranking_does(one: Work) -> None:
    """What lies on the bench is predicted with the ranking's own draws: the same club, the same numbers."""

    async def play(app: FitterApp, pilot: Any) -> None:
        app.change("", steps=Steps(head="H1", sleeve=-1.0))
        await settle(app, pilot)
        assert app.view.on_bench is not None
        assert app.view.answer is not None
        twin = app.view.answer.find("H1-1/S2 45.25in")
        assert twin is not None
        assert app.view.on_bench.value_gain == pytest.approx(twin.value_gain, rel=1e-9)

    run(play, work=one)


def test_other_wishes_are_ranked_in_their_own_unit(one: Work, tmp_path: Path) -> None:
    (tmp_path / "few").mkdir()
    few = small_kit(tmp_path / "few", shafts=1)

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4")
        for name in ("clear", "play", "grid"):
            app.change("wish", objective=name, clear_yd=290.0)
            await settle(app, pilot)
            assert app.view.answer is not None, app.view.trouble
            assert app.view.answer.ranking.objective.name == name
            assert "gain" in screen(app)

    run(play, work=Work((replace(one.bench, kit=str(few)),)))


def test_settings_and_their_errors_in_place(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        form = app.pane.lines("setup-form")
        for key, wrong, words in (
            ("present", "H9/S2", "H9"),
            ("kit", "/nowhere", "no such folder"),
            ("log", "none.csv", "an existing file"),
            ("temperature", "warm", "'warm'"),
            ("altitude", "9000m", "-430 to 5000 m"),
            ("player", "", "such as P5"),
        ):
            form.cursor = key
            await press(app, pilot, "enter")
            await write(app, pilot, wrong)
            assert words in screen(app)
            await press(app, pilot, "escape")
        form.cursor = "altitude"
        await press(app, pilot, "enter")
        await write(app, pilot, "5280ft")
        assert app.bench.conditions.pressure_pa == pytest.approx(app.bench.measured.pressure_pa)
        assert "5280 ft" in screen(app)
        form.cursor = "caution pain"
        await press(app, pilot, "y")
        assert "Pain was named: stop here." in screen(app)
        await press(app, pilot, "4")
        assert "Pain was named: stop here." in screen(app)
        assert "LAST BALL" in screen(app)

    # Without a kit nothing is ranked anew at each change.
    run(play, work=Work((replace(one.bench, kit=""),)))


def test_a_kit_without_the_present_club_is_said_and_mended(one: Work) -> None:
    lost = Work((replace(one.bench, present="H9/S2"),))

    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4")
        assert "H9" in screen(app)
        assert app.view.answer is None
        app.change("present", present="H4/S2")
        await settle(app, pilot)
        assert "Trade, for the player to choose" in screen(app)

    run(play, work=lost)


def test_a_new_player_has_the_same_shop(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "a")
        await write(app, pilot, "P1")
        assert "a new code" in screen(app)
        await write(app, pilot, "P7")
        assert (app.bench.player, app.bench.kit) == ("P7", one.bench.kit)
        await press(app, pilot, "2")
        assert "No shots yet" in screen(app)
        await press(app, pilot, "3", "4", "5", "x", "w", "r")
        assert app.bench.player == "P1"

    run(play, work=one)


def test_the_palette_names_everything(one: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        names = {c.title for c in app.get_system_commands(app.screen)}
        assert {"Go to Options", "Next player's turn", "Dark or light", "Undo"} <= names
        app.turn_colours()
        await settle(app, pilot)
        assert app.theme == "fitter-light"
        assert app.view.work.light
        app.afresh()
        assert app.bench.pins == ()

    run(play, work=one)


def test_a_log_of_several_players_brings_them_to_the_bench(shop: Path) -> None:
    logs = [(shop / name).read_text(encoding="utf-8").splitlines() for name in ("P1.csv", "P3.csv")]
    (shop / "night.csv").write_text("\n".join([*logs[0], *logs[1][1:]]) + "\n", encoding="utf-8")

    async def play(app: FitterApp, pilot: Any) -> None:
        assert [b.player for b in app.view.work.benches] == ["P1", "P3"]
        assert app.bench.seen == 18
        await press(app, pilot, "r")
        assert (app.bench.player, app.bench.hand, app.bench.seen) == ("P3", "left", 16)
        assert app.view.answer is not None
        assert (app.view.answer.ranking.player, app.view.answer.ranking.hand) == ("P3", "left")
        app.change("player", player="P8")
        await settle(app, pilot)
        assert "has no player 'P8' but P1, P3" in app.view.problem("log")

    run(play, work=Work((Bench(log=str(shop / "night.csv"), kit=str(shop), present="H4/S2"),)))


def test_the_mouse_does_what_the_keys_do(two: Work) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        rows = screen(app).splitlines()
        column = rows[-1].index("4 Options")
        await pilot.click(offset=(column + 2, len(rows) - 1))
        await settle(app, pilot)
        assert app.pane.id == "options"
        rows = screen(app).splitlines()
        at = next(k for k, row in enumerate(rows) if row.startswith("   A "))
        await pilot.click(offset=(10, at))
        await settle(app, pilot)
        assert "Why sleeve -0.75" in screen(app)
        # A second click on the same line opens it: the club's other set-ups.
        closed = screen(app)
        await pilot.click(offset=(10, at))
        await settle(app, pilot)
        assert screen(app) != closed
        await press(app, pilot, "b", "g")
        assert app.bench.in_hand.startswith("H4-0.75/S2")
        at = next(k for k, row in enumerate(screen(app).splitlines()) if " length    - " in row)
        column = screen(app).splitlines()[at].rindex("+")
        await pilot.click(offset=(column, at))
        await settle(app, pilot)
        assert app.bench.steps.length_in == 0.25
        await press(app, pilot, "r")
        assert app.bench.player == "P3"

    run(play, work=two)
