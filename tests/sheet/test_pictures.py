"""Geometry of the two pictures: one scale on both axes, ellipses where they belong, all inside the box."""

from __future__ import annotations

import numpy as np
import pytest

from fitter.advice.pattern import ellipse
from fitter.advice.scored import Gain
from fitter.base.units import Units
from fitter.display.points import LEAST_SHOTS, expected
from fitter.display.values import Values
from fitter.sheet.pictures import ladder, pattern
from tests.sheet.conftest import Case

RNG = np.random.default_rng(3)
POINTS = np.column_stack([RNG.normal(5.0, 20.0, 18), RNG.normal(250.0, 9.0, 18)])
METRIC = Units("metric")


def test_everything_lies_inside_the_box() -> None:
    found = pattern([("present", POINTS), ("other", POINTS + np.array([10.0, 30.0]))], METRIC, "carry")
    assert found is not None
    for s in found["series"]:
        for x, y in [*s["points"], *s["ellipse"]]:
            assert 0.0 <= x <= 1.0
            assert 0.0 <= y <= 1.0
    assert 0.0 <= found["target"] <= 1.0


def test_both_axes_have_one_scale() -> None:
    """Distances between places are those between the points, times one factor."""
    found = pattern([("present", POINTS)], METRIC, "carry")
    assert found is not None
    places = np.array(found["series"][0]["points"]) * [1.0, found["aspect"]]
    drawn = np.linalg.norm(places[1:] - places[0], axis=1)
    true = np.linalg.norm(POINTS[1:] - POINTS[0], axis=1)
    assert drawn / true == pytest.approx(np.full(17, drawn[0] / true[0]), rel=0.01)


def test_the_ellipse_is_that_of_the_next_ball() -> None:
    """Prediction region of a bivariate normal (Chew 1966), as `advice.pattern` holds it."""
    found = pattern([("present", POINTS)], METRIC, "carry")
    assert found is not None
    axes = [f"{2 * a:.0f}" for a in ellipse(POINTS, 0.8).semi_axes]
    assert found["words"][0].endswith(f"80 % of balls within {axes[0]} by {axes[1]} m")


def test_few_shots_have_no_ellipse() -> None:
    found = pattern([("present", POINTS[: LEAST_SHOTS - 1])], METRIC, "carry")
    assert found is not None
    assert found["series"][0]["ellipse"] == []
    assert pattern([("present", POINTS[:0])], METRIC, "carry") is None


def test_a_left_hander_sees_his_own_side(cases: dict[str, Case]) -> None:
    present = cases["P3"].ranking.present
    seen, held = (expected(present, "total", hand, METRIC) for hand in ("left", "right"))
    assert seen[:, 0] == pytest.approx(-held[:, 0])
    assert seen[:, 1] == pytest.approx(held[:, 1])


def test_the_ladder_keeps_order_and_zero(cases: dict[str, Case]) -> None:
    ranking = cases["P1"].ranking
    shown = ranking.options[:4]
    found = ladder(shown, Values(ranking.objective, METRIC))
    assert 0.0 < found["zero"] < 1.0
    for rung, s in zip(found["rungs"], shown, strict=True):
        assert 0.0 <= rung["low"] <= rung["mean"] <= rung["high"] <= 1.0
        assert (rung["low"] > found["zero"]) == (s.value_gain.low > 0.0)
        assert isinstance(s.value_gain, Gain)
