"""Orders of a trial: drift cancels, squares are balanced."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.trial.designs import drift_bias, ends_of_turns, mirrored, spread_out, swaps, williams


@given(st.integers(2, 4), st.integers(1, 4), st.integers(1, 5), st.floats(-2.0, 2.0), st.randoms())
def test_a_linear_drift_cancels_at_every_mirror(
    clubs: int, turns: int, a_run: int, slope: float, random: object
) -> None:
    order = list(range(clubs))
    random.shuffle(order)  # type: ignore[attr-defined]
    balls = spread_out(mirrored(order, turns), a_run)
    for end in ends_of_turns(clubs, a_run, turns):
        for a in range(clubs):
            for b in range(a):
                assert abs(drift_bias(balls[:end], a, b, slope)) < 1e-9


def test_one_after_the_other_is_off_by_the_drift_of_a_clubs_balls() -> None:
    # Ten balls each at 0.3 yd a ball: 3.0 yd against exactly 0 (computed).
    assert drift_bias(spread_out([0, 1], 10), 0, 1, 0.3) == pytest.approx(3.0)
    assert drift_bias(spread_out([0, 1, 1, 0], 5), 0, 1, 0.3) == 0.0


def test_a_mirror_saves_swaps() -> None:
    assert swaps(mirrored([0, 1, 2], 2)) == 8
    assert swaps(mirrored([0, 1], 3)) == 6


@pytest.mark.parametrize("n", [2, 3, 4, 5, 6, 10])
def test_a_williams_square_is_balanced_for_what_came_before(n: int) -> None:
    square = williams(n)
    assert square.shape == (n if n % 2 == 0 else 2 * n, n)
    for rows in np.split(square, len(square) // n):
        np.testing.assert_array_equal(np.sort(rows, axis=0), np.arange(n)[:, None].repeat(n, axis=1))
    follows = np.zeros((n, n))
    for row in square:
        for a, b in itertools.pairwise(row):
            follows[a, b] += 1
    off = ~np.eye(n, dtype=bool)
    assert len(set(follows[off])) == 1
    assert not np.diag(follows).any()


def test_the_printed_first_row_of_ten() -> None:
    # Williams 1949: 1 2 10 3 9 4 8 5 7 6, then +1 modulo 10.
    assert (williams(10)[0] + 1).tolist() == [1, 2, 10, 3, 9, 4, 8, 5, 7, 6]
    assert sorted(map(tuple, (williams(3) + 1).tolist())) == [
        (1, 2, 3), (1, 3, 2), (2, 1, 3), (2, 3, 1), (3, 1, 2), (3, 2, 1),
    ]  # fmt: skip
