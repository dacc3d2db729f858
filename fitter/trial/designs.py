"""In which order clubs are hit, so that warm-up and tiredness fall on all of them alike."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def mirrored(clubs: Sequence[int], turns: int) -> tuple[int, ...]:
    """Order of runs in which each turn goes there and back: ABBA, ABCCBA, ABCDDCBA, one after another.

    A linear drift over the balls cancels exactly at the end of every turn, whatever its slope. Two runs that
    meet in the middle of a turn, or at the end of one and the start of the next, are one run of twice the
    balls: fewer swaps for the same balance.

    Parameters
    ----------
    clubs : sequence of int
        In the order of the first turn; later turns start with the next club.
    turns : int

    Examples
    --------
    >>> mirrored([0, 1], 1), mirrored([0, 1, 2], 2)
    ((0, 1, 1, 0), (0, 1, 2, 2, 1, 0, 0, 2, 1, 1, 2, 0))
    """
    found: list[int] = []
    order = list(clubs)
    for _ in range(turns):
        found += [*order, *reversed(order)]
        # The club that ends a turn starts the next one; the others change places.
        order = [order[0], *reversed(order[1:])]
    return tuple(found)


def williams(n: int) -> Ints:
    """Williams square: every treatment follows every other equally often, rows are orders.

    For even n one square of n rows; for odd n two, the second with the columns reversed (Williams 1949,
    Aust. J. Sci. Res. A 2, 149-168). Labels from 0.

    Examples
    --------
    >>> williams(4).tolist()
    [[0, 1, 3, 2], [1, 2, 0, 3], [2, 3, 1, 0], [3, 0, 2, 1]]
    """
    first = [0]
    low, high = 1, n - 1
    while len(first) < n:
        first.append(low)
        low += 1
        if len(first) < n:
            first.append(high)
            high -= 1
    square = (np.array(first)[None, :] + np.arange(n)[:, None]) % n
    return square if n % 2 == 0 else np.concatenate([square, square[:, ::-1]])


def spread_out(runs: Sequence[int], balls: int) -> Ints:
    """Club of every ball of an order of runs of so many balls each, shape (runs * balls,)."""
    return np.repeat(np.asarray(runs, dtype=np.int64), balls)


def swaps(runs: Sequence[int]) -> int:
    """How often another club is taken up."""
    return sum(a != b for a, b in itertools.pairwise(runs))


def drift_bias(club: Ints, a: int, b: int, slope: float = 1.0) -> float:
    """What a linear drift adds to the difference of two clubs' means.

    Parameters
    ----------
    club : ndarray of int64, shape (balls,)
        Of every ball, in order.
    a, b : int
    slope : float
        A ball.

    Examples
    --------
    Ten balls each, one club after the other, are off by ten balls' drift; there and back by none.

    >>> drift_bias(spread_out([0, 1], 10), 0, 1, 0.3), drift_bias(spread_out([0, 1, 1, 0], 5), 0, 1, 0.3)
    (3.0, 0.0)
    """
    order = np.arange(len(club), dtype=np.float64)
    return float(slope * (order[club == b].mean() - order[club == a].mean()))


def ends_of_turns(clubs: int, balls: int, turns: int) -> tuple[int, ...]:
    """Balls after which every club has its mirror: where a trial may stop without a drift's bias."""
    return tuple(2 * clubs * balls * (k + 1) for k in range(turns))
