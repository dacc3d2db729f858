"""What a session is for: an objective with its distance, width, hole or grid."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.pattern import Band, Pattern
from fitter.advice.strokes import Hole, expected_strokes, usual_holes
from fitter.base.assumptions import current
from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import YARD

Floats = NDArray[np.float64]

AIM_DRAWS = 32
"""Draws over which a shift of the aim is searched."""
AIMS = 9
"""Shifts of the first search, from side to side."""
LIMITS: dict[str, tuple[float, float, str, str]] = {
    "distance_m": (20.0, 400.0, "20 to 400 m", "--clear"),
    "width_m": (5.0, 150.0, "5 to 150 m", "--width"),
    "hole_m": (120.0, 600.0, "120 to 600 m", "--hole"),
    "aim_cap_m": (0.0, 150.0, "0 to 150 m", "--aim-cap"),
    "least_fairways": (0.01, 0.99, "1 to 99 %", "--least-fairways"),
    "least_total_m": (20.0, 500.0, "20 to 500 m, or present", "--not-shorter-than"),
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
    """An objective, what it is measured by, and the player's own conditions.

    Parameters
    ----------
    objective : str
        Key of `objectives.OBJECTIVES`.
    distance_m : float
        To carry, for 'clear'; NaN when nobody said.
    width_m : float
        Of the fairway.
    holes_m : tuple of float
        Lengths of the holes over which strokes are averaged.
    grid_width_m, grid_depth_m, grid_from_m : float
        Grid of a contest. Where its near edge is not told (NaN), it lies half a depth short of the present
        club's mean, and the far end is open: only its width and its near edge then count.
    balls : int
        In a set of the contest.
    skill : float
        How many times a yard is worth what it is on tour, 1 to 3.
    left_penalty, right_penalty : float
        Strokes beyond the rough on each side besides the lie.
    aim_cap_m : float
        How far the player is willing to aim off.
    least_fairways : float
        Share of balls that has to finish in the fairway; 0 when nobody asks.
    least_total_m : float
        Total distance that has to be kept: 0 when nobody asks, infinity for that of the present club.
    present_m : float
        Mean total distance of the present club, filled by the ranking.
    """

    objective: str = "play"
    distance_m: float = math.nan
    width_m: float = math.nan
    holes_m: tuple[float, ...] = ()
    grid_width_m: float = math.nan
    grid_depth_m: float = math.nan
    grid_from_m: float = math.nan
    balls: int = 0
    skill: float = 1.0
    left_penalty: float = 0.0
    right_penalty: float = 0.0
    aim_cap_m: float = math.inf
    least_fairways: float = 0.0
    least_total_m: float = 0.0
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

    @property
    def keep_m(self) -> float:
        """Total distance that has to be kept, m; 0 when nobody asks."""
        return self.present_m if math.isinf(self.least_total_m) else self.least_total_m

    @property
    def holes(self) -> tuple[Hole, ...]:
        """Holes over which strokes are averaged."""
        return tuple(
            Hole(length, self.width_m, self.skill, self.left_penalty, self.right_penalty)
            for length in self.holes_m
        )

    def mirrored(self) -> Goal:
        """The same for a left-handed player in the right-handed frame."""
        return replace(self, left_penalty=self.right_penalty, right_penalty=self.left_penalty)

    def measures(self, objective: str) -> bool:
        """Whether an objective has all that it is measured by."""
        return objective != "clear" or math.isfinite(self.distance_m)


def goal_for(objective: str = "play", *, holes_m: Sequence[float] = (), **given: float | None) -> Goal:
    """Goal with its defaults filled; every problem at once.

    Parameters
    ----------
    objective : str
        Key of `objectives.OBJECTIVES`.
    holes_m : sequence of float
        Lengths of the holes over which strokes are averaged; the usual ones when silent.
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
        "grid_width_m": a.value("score.grid_width_yd") * YARD,
        "grid_depth_m": a.value("score.grid_depth_yd") * YARD,
        "balls": a.value("score.balls"),
    }
    values = usual | {k: v for k, v in given.items() if v is not None}
    open_ended = {"aim_cap_m", "least_total_m"}
    for name, value in (*values.items(), *(("hole_m", length) for length in holes_m)):
        low, high, words, option = LIMITS[name]
        if not low <= value <= high and not (name in open_ended and value == math.inf):
            problems.append(Problem(option, f"{value:g}", words, "Check the value and its unit."))
    if objective == "clear" and "distance_m" not in values:
        problems.append(
            Problem("--for clear", "no distance", "--clear 230yd", "Say which carry is to be cleared.")
        )
    raise_if(problems, "What the session is for is not clear.")
    balls = round(values.pop("balls"))
    return Goal(objective, holes_m=tuple(holes_m) or usual_holes(), balls=balls, **values)


@dataclass(frozen=True)
class Objective:
    """One thing that a change can be for.

    Parameters
    ----------
    name, label, unit : str
        Name on the command line, words for people, unit of the value: 'm', 'share' or 'strokes'.
    side : str
        'carry' or 'total': which finish counts.
    phrase : str
        A gain in words, '{}' for the number.
    worth : callable
        Value of a pattern for a goal with a kernel at aims (draws, options): (draws, options).
    better : float
        1 where more is better, -1 where less is.
    each : callable or None
        The same of every shot, (draws, options, shots), where the value is the mean over the shots.
    """

    name: str
    label: str
    unit: str
    side: str
    phrase: str
    worth: Callable[[Pattern, Goal, Band, Floats], Floats]
    better: float = 1.0
    each: Callable[[Pattern, Goal, Band, Floats], Floats] | None = None

    def aim(self, pattern: Pattern, goal: Goal, kernel: Band) -> Floats:
        """Aim in every draw, m, right +, shape (draws, options); see `Pattern.aim`.

        The middle is aimed at the target. Where strokes count and trouble waits on one side alone, each
        option is aimed beside it, by the one shift that pays most over all draws: the top of a parabola
        through the best of `AIMS` shifts and its neighbours (Press et al. 2007, Numerical Recipes, eq.
        10.3.1).
        """
        none = np.zeros(pattern.total.shape[1])
        if self.unit != "strokes" or goal.left_penalty == goal.right_penalty:
            return pattern.aim(none, goal.aim_cap_m)
        few = pattern.thin(max(1, len(pattern.weights) // AIM_DRAWS))
        far = current().value("pattern.aim_shift") * YARD
        shifts, gap = np.linspace(-far, far, AIMS), 2.0 * far / (AIMS - 1)

        def worth(shift: Floats) -> Floats:
            value = self.worth(few, goal, kernel, few.aim(shift, goal.aim_cap_m))
            return np.asarray(self.better * value.mean(axis=0))

        tried = np.stack([worth(none + s) for s in shifts])
        at = np.argmax(tried, axis=0)
        inner = np.clip(at, 1, AIMS - 2)
        low, mid, high = (np.take_along_axis(tried, (inner + k)[None], 0)[0] for k in (-1, 0, 1))
        bend = low - 2.0 * mid + high
        top = np.where(bend < 0.0, 0.5 * (low - high) / np.where(bend < 0.0, bend, -1.0), 0.0)
        refined = shifts[inner] + np.clip(top, -1.0, 1.0) * gap
        better = worth(refined) > np.take_along_axis(tried, at[None], 0)[0]
        return pattern.aim(np.where(better, refined, shifts[at]), goal.aim_cap_m)


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
    shots = pattern.smooth(kernel, "carry")
    return _weighed(_phi((shots.carry - goal.distance_m) / kernel.far), pattern)


def _inside(side: Floats, width: float, kernel: Band) -> Floats:
    """Share of a shot's kernel within a width about the target."""
    half = 0.5 * width
    return _phi((half - side) / kernel.side) - _phi((-half - side) / kernel.side)


def _fairway_by_shot(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    side = pattern.smooth(kernel, "total_side").total_side + aim[..., None]
    return _inside(side, goal.width_m, kernel)


def _fairway(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    return _weighed(_fairway_by_shot(pattern, goal, kernel, aim), pattern)


def strokes_by_shot(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    """Expected strokes of every shot, mean over the holes, shape (draws, options, shots)."""
    shots = pattern.smooth(kernel, "total", "total_side")
    return expected_strokes(goal.holes, kernel, shots.total, shots.total_side + aim[..., None])


def _play(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    return _weighed(strokes_by_shot(pattern, goal, kernel, aim), pattern)


def worth_of_a_yard(objective: Objective, pattern: Pattern, goal: Goal, kernel: Band) -> float:
    """Worth of a yard in an objective's own unit: turns judged yards into its values.

    For strokes it is the player's own: what the present club (first in the pattern) loses when all totals
    fall by 10 yd, over 10; the same for every option and draw, and never under ``verdict.least_yard``, where
    strokes are not told in yards.
    """
    if objective.unit != "strokes":
        return YARD if objective.unit == "m" else current().value(f"verdict.worth_{objective.unit}")
    now = pattern.first()
    aim = objective.aim(now, goal, kernel)
    shorter = replace(now, total=now.total - 10.0 * YARD)
    lost = objective.worth(shorter, goal, kernel, aim) - objective.worth(now, goal, kernel, aim)
    return max(float(lost.mean()) / 10.0, current().value("verdict.least_yard"))


def _grid(pattern: Pattern, goal: Goal, kernel: Band, aim: Floats) -> Floats:
    """Expected longest of N balls that finish inside the grid; a ball outside counts 0.

    Each shot stands at the three points of the Gauss-Hermite rule of its kernel (Abramowitz & Stegun 1964,
    25.4.46); then ``E max = sum x_(i) (F_i^N - F_(i-1)^N)`` over the sorted points.
    """
    shots = pattern.smooth(kernel, "total", "total_side")
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
        Objective(
            "play", "play", "strokes", "total", "{} strokes a hole", _play, better=-1.0,
            each=strokes_by_shot,
        ),
        Objective(
            "carry", "carry", "m", "carry", "{} of carry", lambda p, w, k, a: p.mean("carry"),
            each=lambda p, w, k, a: p.carry,
        ),
        Objective(
            "total", "total distance", "m", "total", "{} of total distance",
            lambda p, w, k, a: p.mean("total"), each=lambda p, w, k, a: p.total,
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
            each=_fairway_by_shot,
        ),
        Objective(
            "grid", "longest ball in the grid", "m", "total", "{} of the longest ball in the grid", _grid,
        ),
    )
}  # fmt: skip
