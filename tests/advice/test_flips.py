"""Circumstances that might turn a verdict: each turf, wind and law once, and what the goal is measured by."""

import numpy as np
import pytest

from fitter.advice.flips import cases
from fitter.advice.objectives import goal_for
from fitter.advice.response import Response
from fitter.base.conditions import COURSE_TURFS, TURFS, Conditions
from fitter.world import turfs


@pytest.mark.parametrize("here", TURFS)
def test_every_other_turf_of_a_course_is_tried(here: str) -> None:
    tried = [
        case.then
        for group in cases(Conditions(turf=here), goal_for("carry"))
        for case in group
        if case.what == "turf"
    ]
    assert tried == [turf for turf in COURSE_TURFS if turf != here]


@pytest.mark.parametrize("name", TURFS)
def test_a_turf_has_all_its_figures(name: str) -> None:
    assert turfs(name).shape == turfs("ordinary").shape


def test_wider_answers_are_wider_about_the_same_middle() -> None:
    usual, wide = Response(64, 1), Response(64, 1, wider=1.5)
    assert wide.own("response.shaft_speed", "S2") == pytest.approx(
        1.5 * usual.own("response.shaft_speed", "S2")
    )
    middle = usual.a.value("response.loft")
    assert wide.draw("response.loft") - middle == pytest.approx(1.5 * (usual.draw("response.loft") - middle))
    # What is judged of the swing's arc is no answer of a player.
    assert np.array_equal(wide.draw("arc.plane_deg"), usual.draw("arc.plane_deg"))


def test_answers_are_tried_once_with_everything_else_as_it_is() -> None:
    here, goal = Conditions(), goal_for("carry")
    (case,) = [c for group in cases(here, goal) for c in group if c.what == "answers"]
    assert (case.where, case.goal, case.answers) == (here, goal, 1.5)
    assert all(c.answers == 1.0 for group in cases(here, goal) for c in group if c.what != "answers")
