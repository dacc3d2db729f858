"""Circumstances that might turn a verdict: each turf, wind and law once, and what the goal is measured by."""

import pytest

from fitter.advice.flips import cases
from fitter.advice.objectives import goal_for
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
