"""Hand decisions need a reason; warnings follow the player; results can be shown with and without."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter.advice.rank import rank
from fitter.base.errors import InputError
from fitter.shots.annotations import parse_aside, set_aside
from fitter.shots.screen import screen
from tests.advice import virtual


def test_shots_are_set_aside_by_hand_with_a_reason() -> None:
    session = virtual.session(112, 0, 13)
    found = set_aside(session, parse_aside(["shots=3,7-8 reason=interrupted"]))
    assert session.shot[found.set_aside].tolist() == [3, 7, 8]
    assert {f.found for f in found.flags} == {"interrupted"}
    assert len(found) == len(session)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("shots=3 reason=short", "interrupted, slipped"),
        ("shots=3", "a poor result is none"),
        ("reason=slipped", "Name the shots"),
        ("shots=9-2 reason=slipped", "from low to high"),
        ('shots=3 reason="', "Name the shots"),
    ],
)
def test_decisions_without_ground_are_refused(text: str, says: str) -> None:
    with pytest.raises(InputError, match="--aside") as caught:
        parse_aside([text])
    assert says in str(caught.value)


def test_a_shot_that_is_not_there_is_named() -> None:
    with pytest.raises(InputError, match="99"):
        set_aside(virtual.session(112, 0, 13), parse_aside(["shots=99 reason=slipped"]))


def test_a_session_of_137_mph_swings_is_a_normal_session() -> None:
    fast = screen(virtual.session(137, 5, 16, n=14))
    assert not [f for f in fast.flags if f.channel == "club_speed_mps"]
    few = screen(virtual.session(137, 5, 16, n=5))
    assert [f for f in few.flags if f.channel == "club_speed_mps"]
    assert not few.set_aside.any()


def test_history_widens_no_limit_of_the_possible() -> None:
    session = virtual.session(112, 0, 13, n=14)
    values = {k: v.copy() for k, v in session.values.items()}
    values["launch_deg"][:] = 41.0
    assert screen(replace(session, values=values)).set_aside.all()


def test_a_result_can_be_shown_with_and_without() -> None:
    session = virtual.session(112, -1, 12.5)
    values = {k: v.copy() for k, v in session.values.items()}
    values["carry_m"][2] = 20.0
    aside = set_aside(replace(session, values=values), parse_aside(["shots=3 reason=slipped"]))
    without = rank(aside, virtual.kit(), "G/R", draws=32)
    with_all = rank(aside, virtual.kit(), "G/R", draws=32, with_aside=True)
    assert without.counts["set_aside"] == 1
    assert with_all.counts["set_aside"] == 0
    assert with_all.present.carry_m < without.present.carry_m - 5.0
    assert "for comparison only" in with_all.notes[0]
    assert np.isfinite(with_all.present.value)


def test_many_misreads_are_said_first() -> None:
    from fitter.cli.read import text

    aside = set_aside(virtual.session(112, 0, 13), parse_aside(["shots=1-4 reason='not read'"]))
    assert text(aside, "us").startswith("4 of 12 shots are set aside")


def test_a_carry_that_no_flight_gives_is_warned_of_and_stays() -> None:
    from fitter.shots.infer.infer import infer
    from fitter.shots.screen import screen_physics

    session = virtual.session(112, 0, 13, n=14)
    clean = screen_physics(session, infer(session))
    assert not [f for f in clean.flags if f.channel == "carry_m"]
    values = {k: v.copy() for k, v in session.values.items()}
    values["carry_m"][4] *= 1.25
    odd = replace(session, values=values)
    flagged = [f for f in screen_physics(odd, infer(odd)).flags if f.channel == "carry_m"]
    assert [(f.shot, f.set_aside) for f in flagged] == [(5, False)]
