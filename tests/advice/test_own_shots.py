"""Whose shots they are: those of the present club, never the average of two."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitter.advice.question import ask, shots_of
from fitter.advice.rank import rank
from fitter.base.errors import InputError
from fitter.display.notes import noted
from fitter.kit.card import card_club
from fitter.shots.session import Session
from tests.advice import virtual


def labelled(*builds: str) -> Session:
    """Session of as many shots, each with the label of a build."""
    shots = virtual.session(112, -1, 12.5, n=len(builds))
    return replace(shots, words={"build": builds})


@pytest.mark.parametrize(
    ("present", "mine"), [("G/R", "G/R"), ("G/R", " g/r "), ("G+0/R", "G/R"), ("G/R", "G/R 45.25in")]
)
def test_two_clubs_of_a_log_are_never_averaged(present: str, mine: str) -> None:
    shots = labelled(*[mine, "LOW/R"] * 6)
    asked = ask(shots, virtual.kit(), present)
    assert len(asked.session) == 6
    assert list(asked.session.shot) == [1, 3, 5, 7, 9, 11]
    assert asked.session.others is not None
    assert list(asked.session.others.shot) == [2, 4, 6, 8, 10, 12]
    ranking = rank(replace(asked, draws=16), flips=False)
    assert ranking.counts["shots"] == 6
    told = " ".join(noted(ranking.notes))
    assert "balls of other clubs count" in told
    assert "LOW/R 45.25in (6)" in told


def test_shots_of_a_club_that_the_kit_does_not_know_are_told_and_not_used() -> None:
    shots = labelled(*["G/R", "G/R", "mine"] * 6)
    ranking = rank(replace(ask(shots, virtual.kit(), "G/R"), draws=16), flips=False)
    assert ranking.heard is None
    told = " ".join(noted(ranking.notes))
    assert "not the present club's" in told
    assert "mine (6)" in told


def test_a_sleeve_position_is_another_club() -> None:
    asked = ask(labelled(*["G/R", "G+1/R"] * 5), virtual.kit(), "G+1/R")
    assert list(asked.session.shot) == [2, 4, 6, 8, 10]


def test_a_card_is_found_by_its_code_or_its_file() -> None:
    card = card_club({"code": "P4", "measured": {"length_in": 45.0, "loft_deg": 10.4}})
    for mine in ("P4", "p4"):
        assert len(ask(labelled(*[mine, "G/R"] * 5), virtual.kit(), card).session) == 5
    assert len(shots_of(labelled(*["mine", "G/R"] * 5), None, card, "clubs/mine.toml")) == 5


def test_labels_that_name_no_present_club_are_asked_about() -> None:
    with pytest.raises(InputError) as caught:
        ask(labelled(*["LOW/R", "UP/R"] * 5), virtual.kit(), "G/R")
    (problem,) = caught.value.problems
    assert "LOW/R (5)" in problem.allowed
    assert "--baseline" in problem.do


def test_one_label_that_names_another_club_is_told() -> None:
    ranking = rank(ask(labelled(*["LOW/R"] * 8), virtual.kit(), "G/R", draws=16), flips=False)
    assert ranking.notes[0] == ("label differs", ("LOW/R", "G/R 45.25in"))
    same = rank(ask(labelled(*["G/R"] * 8), virtual.kit(), "G/R", draws=16), flips=False)
    assert "label differs" not in [note.code for note in same.notes]
