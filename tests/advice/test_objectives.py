"""Objectives: exact replay, closed forms for wide limits, the best aim, and what must be said of them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from fitter.advice.baseline import of_session, present_head
from fitter.advice.objectives import OBJECTIVES, Goal, goal_for, worth_of_a_yard
from fitter.advice.options import enumerate_options, present_club
from fitter.advice.pattern import Band, Pattern, band
from fitter.advice.prediction import predict
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.errors import InputError
from fitter.base.units import YARD
from tests.advice import virtual

GOALS = {
    "carry": goal_for("carry"),
    "total": goal_for("total"),
    "weak": goal_for("weak"),
    "clear": goal_for("clear", distance_m=215.0),
    "fairway": goal_for("fairway"),
    "play": goal_for("play", right_penalty=1.0),
    "grid": goal_for("grid"),
}


def cloud(n: int, mean: float = 260.0, sd: float = 11.0, side: float = 0.0, across: float = 15.0) -> Pattern:
    """Normal pattern of many equally likely shots: one draw, one option."""
    from scipy.special import ndtri

    z = ndtri((np.arange(n) + 0.5) / n)
    mixed = np.random.default_rng(1).permutation(z)
    far, off = (mean + sd * z)[None, None], (side + across * mixed)[None, None]
    return Pattern(far, far, off, off, np.full((1, n), 1.0 / n))


@pytest.mark.parametrize("name", GOALS)
def test_the_present_club_gains_nothing_exactly(name: str) -> None:
    # Principle of paired differences: replayed as an option, the present club gains 0 to 1e-9.
    kit, shots = virtual.kit(), virtual.session(112, -1, 12.5)
    club = present_club(kit, "G/R")
    base = of_session(shots, present_head(club))
    options = enumerate_options(kit, club)
    twice = (options[0], options[0], *options[1:4])
    p = predict(twice, ask(shots, kit, club, GOALS[name], draws=64), base)
    np.testing.assert_allclose(p.gain[:, 1], 0.0, atol=1e-9)
    assert np.abs(p.gain[:, 2:]).max() > 1e-6
    np.testing.assert_array_equal(p.aim[:, 1], p.aim[:, 0])


def test_expected_best_of_n_in_a_wide_grid() -> None:
    # Normal order statistics (Harter 1961, Biometrika 48, 151): E max of 6 is 1.26721 SD, of 8 1.42360.
    shots = cloud(4000)
    for balls, wanted in ((6, 1.26721), (8, 1.42360)):
        asked = Goal("grid", grid_width_m=2000.0, grid_depth_m=9.0, grid_from_m=math.nan, balls=balls)
        asked = Goal(**{**vars(asked), "present_m": 100.0})
        found = OBJECTIVES["grid"].worth(shots, asked, band(shots, "total"), np.zeros((1, 1)))[0, 0]
        assert (found - 260.0) / 11.0 == pytest.approx(wanted, abs=0.02)


def test_best_of_n_against_scipy() -> None:
    # Order statistics by the library of reference: scipy.stats.order_statistic is new, so by its quadrature.
    from scipy.integrate import quad
    from scipy.stats import norm

    shots = cloud(4000, sd=8.0)
    asked = Goal("grid", grid_width_m=2000.0, grid_depth_m=9.0, balls=4, present_m=100.0)
    found = OBJECTIVES["grid"].worth(shots, asked, band(shots, "total"), np.zeros((1, 1)))[0, 0]
    law = norm(260.0, 8.0)
    wanted = quad(lambda x: x * 4 * law.pdf(x) * law.cdf(x) ** 3, 180.0, 340.0)[0]
    assert found == pytest.approx(wanted, abs=0.15)


def test_a_narrow_grid_costs_what_the_normal_says() -> None:
    # One ball: its mean times the chance of being inside (closed form, independent directions).
    from scipy.stats import norm

    shots = cloud(4000, across=20.0)
    asked = Goal("grid", grid_width_m=40.0, grid_depth_m=1.0, balls=1, present_m=0.0)
    found = OBJECTIVES["grid"].worth(shots, asked, band(shots, "total"), np.zeros((1, 1)))[0, 0]
    inside = norm.cdf(1.0) - norm.cdf(-1.0)
    assert found == pytest.approx(260.0 * inside, rel=0.01)


def test_shares_of_a_normal_pattern() -> None:
    # Closed form: P(|X| < 15) with SD 15 is 0.6827; P(carry > mean + 1 SD) is 0.1587.
    shots, kernel = cloud(4000), band(cloud(4000), "total")
    fairway = OBJECTIVES["fairway"].worth(shots, goal_for("fairway", width_m=30.0), kernel, np.zeros((1, 1)))
    clear = OBJECTIVES["clear"].worth(shots, goal_for("clear", distance_m=271.0), kernel, np.zeros((1, 1)))
    assert fairway[0, 0] == pytest.approx(0.6827, abs=0.004)
    assert clear[0, 0] == pytest.approx(0.1587, abs=0.004)


def test_a_dozen_shots_keep_their_variance_under_the_kernel() -> None:
    # Silverman 1986, sec. 6.4.1: shrunk shots and kernel together have the unbiased variance.
    rng = np.random.default_rng(2)
    far, side = rng.normal(250, 12, (1, 1, 12)), rng.normal(0, 18, (1, 1, 12))
    shots = Pattern(far, far, side, side, np.full((1, 12), 1 / 12))
    kernel = band(shots, "total")
    smooth = shots.smooth(kernel, "total_side")
    variance = smooth.total_side.var() + kernel.side**2
    # The weights are even here; under the bootstrap's they vary, which the factor puts back on average.
    assert variance == pytest.approx(side.var(ddof=1), rel=0.18)


def test_the_score_of_a_pattern_is_that_of_the_worked_hole() -> None:
    # The worked case of the benchmark table (Broadie 2012): E 4.0995 at 285 +- 12 yd, 3.4 deg, 32 yd wide.
    from scipy.special import ndtri

    z = ndtri((np.arange(3000) + 0.5) / 3000)
    mixed = np.random.default_rng(3).permutation(z)
    far, angle = (285 + 12 * z) * YARD, np.radians(3.4 * mixed)
    forward, side = (far * np.cos(angle))[None, None], (far * np.sin(angle))[None, None]
    shots = Pattern(forward, forward, side, side, np.full((1, 3000), 1 / 3000))
    asked = goal_for("play", holes_m=(450 * YARD,), width_m=32 * YARD)
    found = OBJECTIVES["play"].worth(shots, asked, Band(0.5, 0.5), np.zeros((1, 1)))
    assert found[0, 0] == pytest.approx(4.0995, abs=0.006)


@pytest.mark.parametrize("name", ["fairway", "play", "grid"])
def test_the_aim_takes_out_what_the_cap_allows(name: str) -> None:
    # A pattern to the right is aimed left by as much, or as far as the player is willing to aim.
    for cap, wanted in ((math.inf, -30.0), (9.0, -9.0)):
        asked = Goal(**{**vars(GOALS[name]), "right_penalty": 0.0, "present_m": 260.0, "aim_cap_m": cap})
        shots = cloud(500, side=30.0, across=14.0)
        aim = OBJECTIVES[name].aim(shots, asked, band(shots, "total"))
        assert aim[0, 0] == pytest.approx(wanted, abs=1e-6)


def test_a_penalty_on_one_side_moves_the_aim_to_the_other() -> None:
    shots = cloud(500, across=22.0)
    aims = [
        OBJECTIVES["play"].aim(shots, goal_for("play", right_penalty=p), band(shots, "total"))[0, 0]
        for p in (0.0, 2.0)
    ]
    assert aims[1] < aims[0] - 1.0


def test_left_handed_penalties_are_mirrored() -> None:
    asked = goal_for("play", left_penalty=1.0)
    assert (asked.mirrored().left_penalty, asked.mirrored().right_penalty) == (0.0, 1.0)


def test_everything_wrong_with_a_wish_is_said_at_once() -> None:
    with pytest.raises(InputError) as caught:
        goal_for("clear", width_m=900.0, skill=9.0)
    words = str(caught.value)
    assert all(part in words for part in ("--width", "--skill", "--clear"))
    with pytest.raises(InputError, match="--for"):
        goal_for("distance")


def test_the_others_stand_beside() -> None:
    ranking = rank(
        ask(virtual.session(133, 5, 20), virtual.kit(), "G/R", goal_for("clear", distance_m=250.0), draws=64)
    )
    named = next(o for o in ranking.options if o.others)
    assert set(named.others) == set(OBJECTIVES)
    value, gain = named.others["clear"]
    assert value == pytest.approx(named.value, abs=1e-9)
    assert gain.mean == pytest.approx(named.value_gain.mean, abs=1e-9)
    assert len(named.finish) == 12
    assert 0.0 <= named.right_share <= 1.0
    assert named.start_deg is not None
    plain = virtual.ranking((133, 5, 20))
    assert "clear" not in plain.present.others


def test_strokes_of_a_set_of_holes_are_the_mean_of_its_holes() -> None:
    from fitter.advice.strokes import Hole, expected_strokes

    # Read at the nodes of the table with next to no kernel: the benchmark itself, hole by hole.
    holes = tuple(Hole(length * YARD, 35 * YARD, right_penalty=1.0) for length in (340, 400, 480))
    far, side = np.array([210.0, 250.0, 300.0]) * YARD, np.array([-70.0, 3.0, 60.0]) * YARD
    found = expected_strokes(holes, Band(1e-3, 1e-3), far, side)
    wanted = np.mean([hole.strokes(far, side) for hole in holes], axis=0)
    np.testing.assert_allclose(found, wanted, atol=1e-9)
    # A drive that nobody hits is held at the edge of the table, and is no fault.
    assert np.isfinite(expected_strokes(holes, Band(5.0, 5.0), np.array([900.0]), np.array([-400.0]))).all()


def test_a_yard_is_worth_what_ten_yards_less_cost() -> None:
    shots, asked = cloud(500, across=14.0), goal_for("play")
    kernel, play = band(shots, "total"), OBJECTIVES["play"]
    worth = worth_of_a_yard(play, shots, asked, kernel)
    shorter = replace(shots, total=shots.total - 10 * YARD)
    aim = play.aim(shots, asked, kernel)
    lost = play.worth(shorter, asked, kernel, aim) - play.worth(shots, asked, kernel, aim)
    assert worth == pytest.approx(lost.mean() / 10.0)
    # Over holes of 340 to 480 yd: 0.6 to 1.4 strokes for 20 yd in 14 drives (computed from the benchmark).
    assert 0.6 < 14 * 20 * worth < 1.4
    assert worth_of_a_yard(OBJECTIVES["carry"], shots, asked, kernel) == YARD


def test_holes_and_conditions_out_of_range_are_said_at_once() -> None:
    with pytest.raises(InputError) as caught:
        goal_for("play", holes_m=(20.0,), aim_cap_m=-1.0, least_fairways=1.5, least_total_m=5.0)
    words = str(caught.value)
    assert all(part in words for part in ("--hole", "--aim-cap", "--least-fairways", "--not-shorter-than"))
    assert len(goal_for("play").holes_m) == 8
    assert goal_for("play", least_total_m=math.inf).keep_m != goal_for("play").keep_m
