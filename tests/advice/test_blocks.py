"""The block model: own worlds, drift, pooling."""

from __future__ import annotations

import numpy as np
import pytest

from fitter.advice.blocks import fit
from fitter.trial.designs import mirrored, spread_out


def test_intervals_hold_what_they_say() -> None:
    rng = np.random.default_rng(4)
    held, bias = [], []
    for _ in range(250):
        order = spread_out(mirrored([0, 1, 2], 2), 4)
        n = len(order)
        sd = 10.0
        clubs = sd * 0.5 * rng.standard_normal(3)
        block = np.arange(n) // 12
        level = sd * 0.2 * rng.standard_normal(4)
        y = 230.0 + clubs[order] + level[block] + sd * 0.02 * rng.standard_normal() * np.arange(n)
        y += sd * rng.standard_t(5, n) * np.sqrt(3 / 5)
        found = fit(y, order, block, np.arange(float(n)))
        for a, b in ((1, 0), (2, 0), (2, 1)):
            d = found.difference(a, b)
            held.append(d.low <= clubs[a] - clubs[b] <= d.high)
            bias.append(d.mean - (clubs[a] - clubs[b]))
    assert 0.74 <= np.mean(held) <= 0.86
    assert abs(np.mean(bias)) < 0.5


def test_the_best_of_eight_equal_clubs_is_not_believed() -> None:
    # E max of 8 standard normals is 1.42360 (tables of normal order statistics): 7 balls of SD 12 make the
    # best mean look 6.5 yd better than it is.
    rng = np.random.default_rng(5)
    raw, shrunk = [], []
    for _ in range(120):
        club = np.repeat(np.arange(8), 7)
        y = 220.0 + 12.0 * rng.standard_normal(56)
        means = np.array([y[club == k].mean() for k in range(8)])
        found = fit(y, club, np.zeros(56, np.int64), rng.permutation(56).astype(float))
        best = int(np.argmax(means))
        raw.append(means.max() - 220.0)
        shrunk.append(found.mean(best) - 220.0)
    assert np.mean(raw) == pytest.approx(12.0 / np.sqrt(7.0) * 1.42360, abs=0.6)
    assert np.mean(shrunk) < 0.5 * np.mean(raw)


def test_one_club_after_the_other_is_less_sure_than_in_turns() -> None:
    rng = np.random.default_rng(6)
    widths = np.zeros((30, 2))
    for k in range(len(widths)):
        y = 200.0 + 8.0 * rng.standard_normal(20)
        for j, club in enumerate((spread_out([0, 1], 10), spread_out([0, 1, 1, 0], 5))):
            d = fit(y, club, np.zeros(20, np.int64), np.arange(20.0)).difference(1, 0)
            widths[k, j] = d.high - d.low
    assert widths[:, 0].mean() > 1.04 * widths[:, 1].mean()


def test_a_mishit_counts_for_little() -> None:
    rng = np.random.default_rng(7)
    club = spread_out([0, 1, 1, 0], 5)
    y = 200.0 + 8.0 * rng.standard_normal(20)
    plain = fit(y, club, np.zeros(20, np.int64), np.arange(20.0))
    y[club.tolist().index(1)] -= 120.0
    hurt = fit(y, club, np.zeros(20, np.int64), np.arange(20.0))
    assert hurt.ball_weights.argmin() == club.tolist().index(1)
    assert abs(hurt.difference(1, 0).mean - plain.difference(1, 0).mean) < 4.0
