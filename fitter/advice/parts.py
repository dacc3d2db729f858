"""What a bundle is made of, and which options are the same bundle without one of its parts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.advice.options import Option

BENCH = "B"
MADE = {"head": "D", "shaft": "C", "length": BENCH, "head weight": BENCH, "grip": BENCH, "tip": BENCH}
"""What is bought or worked on the bench, and the tier whose worth it has to earn."""
SET = {"sleeve": "A", "ball": "A", "tee": "A"}
"""What is set, and costs nothing."""
COMES_WITH = {"head": ("head weight", "sleeve"), "shaft": ("length", "grip", "tip")}
"""What is delivered with another head or shaft and is no part of its own."""
NEAREST = 2
"""Options without a part, best first, that are kept beside a bundle."""


class Part(NamedTuple):
    """What changes, and the tier whose worth it has to earn."""

    name: str
    tier: str


def _values(option: Option) -> tuple[object, ...]:
    """Values of everything in `MADE` and `SET`, in their order."""
    c = option.club
    return (
        c.head.code,
        c.shaft.code,
        round(c.length_in.value, 4),
        c.swap_g,
        c.grip_mass_g,
        (c.tip_cut_mm, c.tip_weight_g),
        (c.loft_change_deg, c.lie_change_deg, c.place),
        option.ball_forward_mm,
        option.tee_mm,
    )


NAMES = (*MADE, *SET)


class Bundles:
    """Options taken apart, the present club as it is first.

    Parameters
    ----------
    options : sequence of Option
    """

    def __init__(self, options: Sequence[Option]) -> None:
        self._values = [_values(o) for o in options]

    def parts(self, i: int) -> tuple[Part, ...]:
        """Parts in which an option differs from the present club."""
        pairs = zip(NAMES, self._values[i], self._values[0], strict=True)
        changed = [name for name, value, own in pairs if value != own]
        along = {x for whole in changed for x in COMES_WITH.get(whole, ())}
        return tuple(Part(k, (MADE | SET)[k]) for k in changed if k not in along)

    def without(self, i: int, part: str) -> list[int]:
        """Places of the options that are the same bundle without one part, its free settings chosen again."""
        mine, own = self._values[i], self._values[0]
        if part in SET:
            k, n = NAMES.index(part), len(MADE)
            return [j for j, v in enumerate(self._values) if v[k] == own[k] and v[:n] == mine[:n]]
        gone = {part, *COMES_WITH.get(part, ())}
        wanted = tuple(own[k] if name in gone else mine[k] for k, name in enumerate(MADE))
        return [j for j, v in enumerate(self._values) if v[: len(MADE)] == wanted]

    def beside(self, i: int, means: NDArray[np.float64]) -> list[int]:
        """Best options without each part of a bundle, by their means: what its parts are judged by."""
        found = self.parts(i)
        if len(found) < 2:
            return []
        best = (sorted(self.without(i, p.name), key=lambda j: -means[j])[:NEAREST] for p in found)
        return list(dict.fromkeys(j for some in best for j in some))
