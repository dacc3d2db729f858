"""Where balls finish: spread about its own middle, the aim as it is known, whether shares are honest."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ndtr
from scipy.stats import t as student

from fitter.advice.objectives import OBJECTIVES, goal_for
from fitter.advice.pattern import Pattern, Unseen, band
from fitter.base import draws as keyed
from fitter.base.assumptions import current
from fitter.base.units import DEG

DRAWS = 128
WIDTH = 32.0


def pattern(side: np.ndarray, far: np.ndarray, seed: int, moved: np.ndarray | None = None) -> Pattern:
    """Balls of a present club, and of an option whose middle differs by so much in every draw (draws,)."""
    n = len(side)
    there = np.zeros((DRAWS, 1 if moved is None else 2))
    if moved is not None:
        there[:, 1] = moved
    across = side + there[..., None]
    along = np.broadcast_to(far, across.shape)
    weights = keyed.dirichlet_weights(DRAWS, n, seed, "shots", n)
    return Pattern(along, along, across, across, weights, Unseen.of(DRAWS, np.arctan2(side, far), seed))


def fairway(shots: Pattern, learned: bool = True, **given: float) -> tuple[np.ndarray, np.ndarray]:
    """Share of the balls in the fairway in every draw, and the aim that is printed."""
    objective, asked = OBJECTIVES["fairway"], goal_for("fairway", width_m=WIDTH, **given)
    aim = shots.aim(np.zeros(shots.total.shape[1]), asked.aim_cap_m, learned)
    return objective.worth(shots, asked, band(shots, "total"), aim), aim.mean(axis=0)


def test_the_spread_is_about_the_middle_and_not_about_the_target() -> None:
    # A slicer: 17.7 m right of the target on average, SD 10.6 m about that; both are what is told.
    side = np.random.default_rng(4).normal(0.0, 1.0, 400)
    side = 17.7 + 10.6 * (side - side.mean()) / side.std(ddof=1)
    shots = pattern(side, np.full(400, 250.0), 1)
    assert shots.spread("total_side").mean() == pytest.approx(10.6, rel=0.02)
    _, aim = fairway(shots)
    assert aim[0] == pytest.approx(-17.7, abs=0.05)
    _, capped = fairway(shots, aim_cap_m=9.144)
    assert capped[0] == pytest.approx(-9.144, abs=0.05)


def test_an_aim_errs_as_twenty_balls_tell_it() -> None:
    # SD / sqrt(20) beside the middle of the balls that a draw believes in, by the same number for every club.
    side = np.random.default_rng(5).normal(0.0, 12.0, 30)
    shots = pattern(side, np.full(30, 250.0), 2, moved=np.full(DRAWS, 7.0))
    aim = OBJECTIVES["fairway"].aim(shots, goal_for("fairway"), band(shots, "total"))
    error = (aim + shots.mean("total_side")) / shots.spread("total_side")
    assert error.std() == pytest.approx(1.0 / math.sqrt(current().value("pattern.aim_balls")), rel=1e-6)
    np.testing.assert_allclose(error[:, 1], error[:, 0], atol=1e-12)


def test_what_nobody_knows_of_a_face_is_an_error_of_the_first_aim_alone() -> None:
    # One aim is printed: a draw whose middle lies elsewhere finds fewer fairways, and never its own best aim.
    # Twenty balls later the line is known as well as the present club's.
    side = np.random.default_rng(6).normal(0.0, 10.0, 40)
    moved = keyed.normals(DRAWS, 3, "face") * 9.0
    shots = pattern(side, np.full(40, 250.0), 3, moved=moved)
    (first, printed), (later, _) = (fairway(shots, learned) for learned in (False, True))
    assert first[:, 1].mean() < first[:, 0].mean() - 0.05
    assert np.corrcoef(np.abs(moved), first[:, 1])[0, 1] < -0.5
    np.testing.assert_allclose(later[:, 1], later[:, 0], atol=1e-12)
    assert printed[1] == pytest.approx(-side.mean() - moved.mean(), abs=0.3)


def test_trouble_on_one_side_moves_the_aim_and_no_draw_chooses_alone() -> None:
    side = np.random.default_rng(7).normal(0.0, 28.0, 40)
    shots, objective = pattern(side, np.full(40, 250.0), 4), OBJECTIVES["play"]
    kernel = band(shots, "total")
    plain, safe = (objective.aim(shots, goal_for("play", right_penalty=p), kernel)[:, 0] for p in (0.0, 2.0))
    shift = safe - plain
    assert shift.mean() < -2.0
    assert np.ptp(shift) < 1e-9


def test_stated_shares_and_spreads_are_those_of_the_truth() -> None:
    """Players whose truth is one more draw of what is believed: calibrated by construction (computed).

    Half of them have normal, half heavy tails (t, five degrees of freedom); 8 to 24 balls; an option whose
    middle is known to 5 m. Truth is the share at the aim: at first the printed one, later one that is off the
    true middle by what 20 balls leave open.
    """
    rng = np.random.default_rng(8)
    usual = 250.0 * math.tan(current().value("pattern.direction_sd_deg") * DEG)
    told: dict[bool, list[tuple[float, float, bool]]] = {False: [], True: []}
    spread_held, ratio = [], []
    for player in range(500):
        n, s, heavy = int(rng.integers(8, 25)), usual * math.exp(0.4 * rng.standard_normal()), player % 2
        one = rng.standard_t(5, n) / math.sqrt(5 / 3) if heavy else rng.standard_normal(n)
        side, far = 4.0 + s * one, 250.0 + 10.0 * rng.standard_normal(n)
        moved = keyed.normals(DRAWS, player, "face") * 5.0
        shots = pattern(side, far, player, moved)
        sd = shots.spread("total_side")

        def inside(offset: float, s: float = s, heavy: int = heavy) -> float:
            ends = (np.array([0.5, -0.5]) * WIDTH - offset) / s
            below = student.cdf(ends * math.sqrt(5 / 3), 5) if heavy else ndtr(ends)
            return float(below[0] - below[1])

        error = s / math.sqrt(current().value("pattern.aim_balls")) * rng.standard_normal()
        for k, middle in enumerate((4.0, 4.0 + 5.0 * rng.standard_normal())):
            for learned in (False, True):
                share, aim = fairway(shots, learned)
                low, high = keyed.interval(share[:, k])
                truth = inside(error if learned else middle + aim[k])
                told[learned].append((float(share[:, k].mean()), truth, low <= truth <= high))
            low, high = keyed.interval(sd[:, k])
            spread_held.append(low <= s <= high)
            ratio.append(sd[:, k].mean() / s)
    for rows in told.values():
        stated, true, held = map(np.array, zip(*rows, strict=True))
        miss = stated - true
        assert abs(miss.mean()) < 0.02
        assert all(abs(miss[part].mean()) < 0.05 for part in np.array_split(np.argsort(stated), 5))
        assert 0.76 <= held.mean() <= 0.84
    # Twelve balls of a t distribution rarely hold its tails.
    assert 0.72 <= np.mean(spread_held) <= 0.84
    assert np.mean(ratio) == pytest.approx(1.0, abs=0.05)
