"""The demo shop: its bytes, its misreads, and a truth that the advice does not know."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from demo_data import make_demo, make_year
from fitter import demo
from fitter.advice.options import enumerate_options, present_club
from fitter.advice.question import ask
from fitter.base.units import YARD
from fitter.display import serialise
from fitter.kit.inventory import Kit
from fitter.physics import vectors
from fitter.shots.reader import intake
from tests.rankings import ranked

PLAYERS = demo.players()
COLUMN = {"carry": vectors.CARRY, "total": vectors.TOTAL}


@cache
def truth(player: demo.Player, objective: str) -> dict[str, float]:
    """True gain of every option, m: the same swings through the demo's own law, strike and responses."""
    kit = Kit.load(demo.folder())
    options = enumerate_options(kit, present_club(kit, player.present))[1:]
    flown = make_demo.truths(player, [(o.club, o.ball_forward_mm, o.tee_mm) for o in options])
    value = flown[..., COLUMN[objective]].mean(axis=1)
    return dict(zip([o.id for o in options], (value[1:] - value[0]).tolist(), strict=True))


@cache
def advised(player: demo.Player, objective: str) -> dict:
    session = intake.read(demo.folder() / player.log)
    return serialise.ranking(ranked(ask(session, Kit.load(demo.folder()), player.present, objective)))


def test_the_logs_are_what_the_script_makes(tmp_path: Path) -> None:
    make_demo.make(tmp_path)
    for player in PLAYERS:
        assert (tmp_path / player.log).read_bytes() == (demo.folder() / player.log).read_bytes(), player.code


@pytest.mark.parametrize("player", PLAYERS, ids=lambda p: p.code)
def test_the_log_is_the_players_and_its_misreads_are_set_aside(player: demo.Player) -> None:
    session = intake.read(demo.folder() / player.log)
    assert (session.player, session.hand) == (player.code, player.hand)
    assert 12 <= len(session.shot) <= 20
    # 'n/a' is a missing value, not a misread: that shot stays.
    wrong = {shot for code, shot, _, text in make_demo.MISREADS if code == player.code and text != "n/a"}
    assert {flag.shot for flag in session.flags if flag.set_aside} == wrong


def test_the_demo_is_no_mirror() -> None:
    """Neither law nor strike nor turf is one that the advice draws from at its centre."""
    from fitter import world
    from fitter.physics import ball

    assert make_demo.BALL.name not in ball.LAWS
    mine = make_demo.place()
    assert not np.allclose(mine.model, world.strike_models())
    assert not np.allclose(mine.turf, world.turfs("ordinary"))


@pytest.mark.parametrize(("code", "objective"), [("P1", "total"), ("P1", "carry"), ("P2", "carry")])
def test_an_advised_change_pays_in_the_hidden_truth(code: str, objective: str) -> None:
    """Closed loop (computed): the named option gains in truth, and its gain lies in the 80 % interval."""
    player = next(p for p in PLAYERS if p.code == code)
    found = advised(player, objective)
    # P1 gains distance and loses fairways by it: a trade.
    assert found["verdict"]["action"] == ("trade" if code == "P1" else "change")
    option = {o["id"]: o for o in found["options"]}[found["verdict"]["option"]]
    gain = truth(player, objective)[option["id"]]
    assert gain > 0.0
    assert option["value_gain_low"] <= gain <= option["value_gain_high"]


@pytest.mark.parametrize("player", PLAYERS, ids=lambda p: p.code)
def test_intervals_hold_the_hidden_truth(player: demo.Player) -> None:
    """80 % intervals may miss one option in five; options of one truth miss together (computed)."""
    gains = truth(player, player.objective)
    options = [o for o in advised(player, player.objective)["options"] if o["id"] in gains]
    held = [o["value_gain_low"] <= gains[o["id"]] <= o["value_gain_high"] for o in options]
    assert np.mean(held) > 0.8


def test_a_club_that_is_right_leaves_nothing_to_buy() -> None:
    """What P4 is told to keep is right in truth: no option carries 3 yd further (computed)."""
    player = next(p for p in PLAYERS if p.code == "P4")
    assert advised(player, "carry")["verdict"]["action"] == "keep"
    assert max(truth(player, "carry").values()) < 3.0 * YARD


def test_a_card_of_the_same_club_ends_the_same() -> None:
    player = next(p for p in PLAYERS if p.code == "P4")
    session = intake.read(demo.folder() / player.log)
    found = ranked(ask(session, Kit.load(demo.folder()), str(demo.folder() / "card.toml"), "carry"))
    assert serialise.ranking(found)["verdict"]["action"] == "keep"


def test_the_year_is_what_its_script_makes(tmp_path: Path) -> None:
    make_year.make(tmp_path)
    made = {p.relative_to(tmp_path): p.read_bytes() for p in tmp_path.rglob("*.*")}
    home = demo.folder() / "year"
    assert made == {p.relative_to(home): p.read_bytes() for p in home.rglob("*.*")}
    assert len(made) == 13


@pytest.mark.parametrize("code", make_year.YEARS)
def test_the_logs_of_the_year_read_without_a_question(code: str) -> None:
    for path in sorted((demo.folder() / "year" / code).glob("*.csv")):
        session = intake.read(path)
        assert (session.player, session.hand) == (code, "right")
        assert not session.doubts
