"""How a few balls tell that a club changes the spread: against planted truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from fitter.advice.pattern import Pattern

Floats = NDArray[np.float64]


def mixed(common: float, n: int, size: float, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Finishes of n balls before and after a change that goes with them by a correlation."""
    before = rng.standard_normal(n)
    added = size * (common * before + np.sqrt(1.0 - common**2) * rng.standard_normal(n))
    return before, before + added


def told(before: Floats, after: Floats) -> float:
    """Expected change of the logarithm of the SD, as a pattern of these balls tells it."""
    weights = np.full((1, len(before)), 1.0 / len(before))
    rows = [np.asarray(x)[None, None] for x in (before, after)]
    present, new = (Pattern(x, x, x, x, weights) for x in rows)
    both = replace(new, present=present)
    return float(np.log(both.spread("total_side") / present.spread("total_side"))[0, 0])


def test_the_present_club_changes_nothing_and_a_change_of_all_balls_alike_is_kept_whole() -> None:
    before = np.random.default_rng(1).standard_normal(12)
    assert told(before, before) == pytest.approx(0.0, abs=1e-12)
    assert told(before, before + 3.0) == pytest.approx(0.0, abs=1e-9)
    assert told(before, 1.1 * before) == pytest.approx(np.log(1.1), rel=1e-6)


def test_a_change_that_few_balls_tell_by_chance_is_drawn_towards_none() -> None:
    """Players whose correlation has an inverse tanh of N(0, 0.35): the pooled change misses less.

    Its slope stays under 1, since the size of what is added is told by few balls as well.
    """
    rng, rows = np.random.default_rng(5), []
    for _ in range(4000):
        common, n, size = float(np.tanh(rng.normal(0.0, 0.35))), int(rng.integers(6, 25)), 0.2
        before, after = mixed(common, n, size, rng)
        truth = 0.5 * np.log(1.0 + 2.0 * common * size + size**2)
        rows.append((truth, told(before, after), np.log(after.std() / before.std())))
    truth, pooled, raw = np.array(rows).T
    away = truth - truth.mean()
    slope, slope_raw = (
        float(away @ (x - x.mean()) / ((x - x.mean()) @ (x - x.mean()))) for x in (pooled, raw)
    )
    assert 0.75 < slope < 1.1
    assert slope_raw < 0.5
    assert np.abs(truth - pooled).mean() < 0.85 * np.abs(truth - raw).mean()
    assert abs(float((pooled - truth).mean())) < 0.01


def test_what_is_not_known_of_another_head_widens_no_pattern_on_average() -> None:
    """In each draw an unknown moves balls apart; the mean finishes are those of before."""
    rng, draws, n = np.random.default_rng(2), 400, 15
    before = np.broadcast_to(rng.standard_normal(n), (draws, 1, n))
    after = before + 0.5 * rng.standard_normal((draws, 1, n))
    after = after - (after - before).mean(axis=0)
    weights = np.full((draws, n), 1.0 / n)
    present, new = (Pattern(x, x, x, x, weights) for x in (before, after))
    change = np.log(replace(new, present=present).spread("total_side") / present.spread("total_side"))
    assert float(change.mean()) == pytest.approx(0.0, abs=1e-9)
    assert float(change.std()) > 0.02
