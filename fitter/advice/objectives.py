"""What a session is for: an objective with its distance, width, hole or grid."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.pattern import Band, Pattern, aim_cap
from fitter.advice.strokes import Hole
from fitter.base.assumptions import current
from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import YARD

Floats = NDArray[np.float64]

AIM_DRAWS = 32
"""Draws over which a shift of the aim is searched."""
AIMS = 7
"""Aims of the first search, from cap to cap."""
LIMITS: dict[str, tuple[float, float, str, str]] = {
    "distance_m": (20.0, 400.0, "20 to 400 m", "--clear"),
    "width_m": (5.0, 150.0, "5 to 150 m", "--width"),
    "hole_m": (120.0, 600.0, "120 to 600 m", "--hole"),
    "grid_width_m": (5.0, 150.0, "5 to 150 m", "--grid"),
    "grid_depth_m": (5.0, 500.0, "5 to 500 m", "--grid"),
    "grid_from_m": (0.0, 500.0, "0 to 500 m", "--grid-from"),
    "balls": (1.0, 60.0, "1 to 60", "--balls"),
    "skill": (1.0, 3.0, "1 (tour) to 3 (high handicap)", "--skill"),
    "left_penalty": (0.0, 3.0, "0 to 3 strokes", "--left-penalty"),
    "right_penalty": (0.0, 3.0, "0 to 3 strokes", "--right-penalty"),
}
"""Lowest and highest value, both in words, and the option of the command line."""


@dataclass(frozen=True)
class Goal:
    """An objective and what it is measured by.

    Parameters
    ----------
    objective : str
        Key of `objectives.OBJECTIVES`.
    distance_m : float
        To carry, for 'clear'; NaN when nobody said.
    width_m, hole_m : float
        Fairway, for 'fairway' and 'score'; length of the hole, for 'score'.
    grid_width_m, grid_depth_m, grid_from_m : float
        Grid of a contest. Where its near edge is not told (NaN), it lies half a depth short of the present
        club's mean, and the far end is open: only its width and its near edge then count.
    balls : int
        In a set of the contest.
    skill : float
        How many times a yard is worth what it is on tour, 1 to 3.
    left_penalty, right_penalty : float
        Strokes beyond the rough on each side besides the lie.
    present_m : float
        Mean total distance of the present club, filled by the ranking.
    """

    objective: str = "carry"
    distance_m: float = math.nan
    width_m: float = math.nan
    hole_m: float = math.nan
    grid_width_m: float = math.nan
    grid_depth_m: float = math.nan
    grid_from_m: float = math.nan
    balls: int = 0
    skill: float = 1.0
    left_penalty: float = 0.0
    right_penalty: float = 0.0
    present_m: float = math.nan

    @property
    def near_edge_m(self) -> float:
        """Nearest distance that counts in the grid, m."""
        if math.isfinite(self.grid_from_m):
            return self.grid_from_m
        return self.present_m - 0.5 * self.grid_depth_m

    @property
    def far_edge_m(self) -> float:
        """Farthest distance that counts in the grid, m."""
        return self.grid_from_m + self.grid_depth_m if math.isfinite(self.grid_from_m) else math.inf

    def mirrored(self) -> Goal:
        """The same for a left-handed player in the right-handed frame."""
        return replace(self, left_penalty=self.right_penalty, right_penalty=self.left_penalty)

    def measures(self, objective: str) -> bool:
        """Whether an objective has all that it is measured by."""
        return objective != "clear" or math.isfinite(self.distance_m)


def goal_for(objective: str = "carry", **given: float | None) -> Goal:
    """Goal with its defaults filled; every problem at once.

    Parameters
    ----------
    objective : str
        Key of `objectives.OBJECTIVES`.
    **given : float, optional
        Fields of `Goal`; None counts as silent.

    Raises
    ------
    InputError
        If there is no such objective, something it needs is missing or a value makes no sense.
    """
    a = current()
    problems = []
    if objective not in OBJECTIVES:
        problems.append(Problem("--for", repr(objective), ", ".join(OBJECTIVES), "Name one of these."))
    usual = {
        "width_m": a.value("score.width_yd") * YARD,
        "hole_m": a.value("score.hole_yd") * YARD,
        "grid_width_m": a.value("score.grid_width_yd") * YARD,
        "grid_depth_m": a.value("score.grid_depth_yd") * YARD,
        "balls": a.value("score.balls"),
    }
    values = usual | {k: v for k, v in given.items() if v is not None}
    for name, value in values.items():
        low, high, words, option = LIMITS[name]
        if not low <= value <= high:
            problems.append(Problem(option, f"{value:g}", words, "Check the value and its unit."))
    if objective == "clear" and "distance_m" not in values:
        problems.append(
            Problem("--for clear", "no distance", "--clear 230yd", "Say which carry is to be cleared.")
        )
    raise_if(problems, "What the session is for is not clear.")
    balls = round(values.pop("balls"))
    return Goal(objective, balls=balls, **values)


@dataclass(frozen=True)
class Objective:
    """One thing that a change can be for.

    Parameters
    ----------
    name, label, unit : str
        Name on the command line, words for people, unit of the value: 'm', 'share' or 'strokes'.
    side : str
        'carry' or 'total': where the ball's side counts.
    phrase : str
        A gain in words, '{}' for the number.
    worth : callable
        Value of a pattern for a goal with a kernel at aims (draws, options): (draws, options).
    better : float
        1 where more is better, -1 where less is.
    aimed : bool
        Whether the aim changes the value.
    """

    name: str
    label: str
    unit: str
    side: str
    phrase: str
    worth: Callable[[Pattern, Goal, Band, Floats], Floats]
    better: float = 1.0
    aimed: bool = False

    def best_aim(self, pattern: Pattern, goal: Goal, kernel: Band) -> Floats:
        """Best aim within the cap in every draw, m, right +, shape (draws, options).

        A player learns a new club's line within a few balls: in every draw the pattern is centred first. One
        aim for all draws would charge every other head for a face that nobody knows yet, and the present club
        for nothing. Where the aim changes the value, each option is then shifted to the side that pays most
        over the draws, by the top of a parabola through the best of `AIMS` shifts and its neighbours (Press
        et al. 2007, Numerical Recipes, eq. 10.3.1).
        """
        centred = pattern.centring_aim(self.side)
        if not self.aimed:
            return centred
        cap = aim_cap()
        step = max(1, len(centred) // AIM_DRAWS)
        few, start = pattern.thin(step), centred[::step]
        shifts, gap = np.linspace(-cap, cap, AIMS), 2.0 * cap / (AIMS - 1)

        def worth(shift: Floats) -> Floats:
            aim = np.clip(start + shift, -cap, cap)
            return np.asarray(self.better * self.worth(few, goal, kernel, aim).mean(axis=0))

        options = centred.shape[1]
        tried = np.stack([worth(np.full(options, s)) for s in shifts])
        at = np.argmax(tried, axis=0)
        inner = np.clip(at, 1, AIMS - 2)
        low, mid, high = (np.take_along_axis(tried, (inner + k)[None], 0)[0] for k in (-1, 0, 1))
        bend = low - 2.0 * mid + high
        top = np.where(bend < 0.0, 0.5 * (low - high) / np.where(bend < 0.0, bend, -1.0), 0.0)
        refined = shifts[inner] + np.clip(top, -1.0, 1.0) * gap
        better = worth(refined) > np.take_along_axis(tried, at[None], 0)[0]
        return np.asarray(np.clip(centred + np.where(better, refined, shifts[at]), -cap, cap))


def find(name: str) -> Objective:
    """Objective of a name.

    Raises
    ------
    InputError
        If there is none.
    """
    if name not in OBJECTIVES:
        problem = Problem("--for", repr(name), ", ".join(OBJECTIVES), "Name one of these.")
        raise InputError("There is no such objective.", [problem])
    return OBJECTIVES[name]


def _phi(x: Floats) -> Floats:
    from scipy.special import ndtr

    return np.asarray(ndtr(x))


def _weighed(values: Floats, pattern: Pattern) -> Floats:
    return np.asarray(np.einsum("dos,ds->do", values, pattern.weights))


def _clear(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    shots = pattern.smooth(kernel)
    return _weighed(_phi((shots.carry - goal.distance_m) / kernel.far), pattern)


def _inside(side: Floats, width: float, kernel: Band) -> Floats:
    """Share of a shot's kernel within a width about the target."""
    half = 0.5 * width
    return _phi((half - side) / kernel.side) - _phi((-half - side) / kernel.side)


def _fairway(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    side = pattern.smooth(kernel).total_side + aim[..., None]
    return _weighed(_inside(side, goal.width_m, kernel), pattern)


def _score(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    """Expected strokes: a table of the kernel-smoothed strokes, read between its nodes at each shot.

    The nodes are whole yards, and the kernel is summed in a fixed order, so that a value does not depend on
    what else is in the pattern.
    """
    shots = pattern.smooth(kernel)
    side = shots.total_side + aim[..., None]
    hole = Hole(goal.hole_m, goal.width_m, goal.skill, goal.left_penalty, goal.right_penalty)
    (grid_far, z_far, i, u), (grid_side, z_side, j, v) = (
        _nodes(values, h) for values, h in ((shots.total, kernel.far), (side, kernel.side))
    )
    table = hole.strokes(grid_far[:, None], grid_side[None, :])
    table = _blurred(_blurred(table, z_far).T, z_side).T
    value = (1 - u) * ((1 - v) * table[i, j] + v * table[i, j + 1])
    value += u * ((1 - v) * table[i + 1, j] + v * table[i + 1, j + 1])
    return _weighed(value, pattern)


def _nodes(values: Floats, h: float) -> tuple[Floats, Floats, NDArray[np.int64], Floats]:
    """Nodes about values for a kernel of SD h, m.

    Returns
    -------
    nodes : ndarray, shape (n + k - 1,)
        Whole yards, m, half a kernel beyond the values.
    z : ndarray, shape (k,)
        Places of the kernel's nodes, in SDs.
    at, share : ndarray
        Of each value: the last node under it after blurring, and its place between that and the next.
    """
    under = np.floor(values / YARD)
    first, last = int(under.min()), int(under.max()) + 1
    wide = int(np.ceil(4.0 * h / YARD))
    nodes = np.arange(first - wide, last + wide + 1) * YARD
    z = np.arange(-wide, wide + 1) * YARD / h
    share = np.asarray(values / YARD - under)
    return np.asarray(nodes), np.asarray(z), under.astype(np.int64) - first, share


def _blurred(table: Floats, z: Floats) -> Floats:
    """Mean under a normal kernel along the first axis, whose ends lie half a kernel outside."""
    weight = np.exp(-0.5 * z**2)
    weight /= weight.sum()
    n = len(table) - len(z) + 1
    out = np.zeros((n, *table.shape[1:]))
    for k, w in enumerate(weight):
        out += w * table[k : k + n]
    return out


def _grid(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    """Expected longest of N balls that finish inside the grid; a ball outside counts 0.

    Each shot stands at the three points of the Gauss-Hermite rule of its kernel (Abramowitz & Stegun 1964,
    25.4.46); then ``E max = sum x_(i) (F_i^N - F_(i-1)^N)`` over the sorted points.
    """
    shots = pattern.smooth(kernel)
    inside = _inside(shots.total_side + aim[..., None], goal.grid_width_m, kernel)
    root = np.sqrt(3.0) * kernel.far
    far = np.concatenate([shots.total - root, shots.total, shots.total + root], axis=2)
    share = np.concatenate([np.full(3 * [1], w) for w in (1 / 6, 2 / 3, 1 / 6)], axis=2)
    share = np.repeat(share, inside.shape[2], axis=2)
    weight = np.tile(inside * pattern.weights[:, None], (1, 1, 3)) * share
    counts = (far >= goal.near_edge_m) & (far <= goal.far_edge_m)
    weight = np.where(counts, weight, 0.0)
    order = np.argsort(far, axis=2)
    far = np.take_along_axis(far, order, axis=2)
    weight = np.take_along_axis(weight, order, axis=2)
    below = 1.0 - weight.sum(axis=2, keepdims=True) + np.cumsum(weight, axis=2)
    most = np.clip(below, 0.0, 1.0) ** goal.balls
    first = np.clip(below[..., :1] - weight[..., :1], 0.0, 1.0) ** goal.balls
    return np.asarray((far * np.diff(most, axis=2, prepend=first)).sum(axis=2))


# A new objective is one entry here; where it is measured by something, its words stand in `display.verdict`.
OBJECTIVES: dict[str, Objective] = {
    o.name: o
    for o in (
        Objective("carry", "carry", "m", "carry", "{} of carry", lambda p, w, k, a: p.mean("carry")),
        Objective(
            "total", "total distance", "m", "total", "{} of total distance",
            lambda p, w, k, a: p.mean("total"),
        ),
        Objective(
            "weak", "carry of a weak shot", "m", "carry", "{} of a weak shot's carry",
            lambda p, w, k, a: p.weak(),
        ),
        Objective(
            "clear", "balls that carry the distance", "share", "carry",
            "{} balls in 100 that carry the distance", _clear,
        ),
        Objective(
            "fairway", "balls in the fairway", "share", "total", "{} balls in 100 in the fairway", _fairway,
            aimed=True,
        ),
        Objective(
            "score", "strokes on the hole", "strokes", "total", "{} strokes saved on the hole", _score,
            better=-1.0, aimed=True,
        ),
        Objective(
            "grid", "longest ball in the grid", "m", "total", "{} of the longest ball in the grid", _grid,
            aimed=True,
        ),
    )
}  # fmt: skip
