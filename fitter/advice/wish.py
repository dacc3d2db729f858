"""What a session is for: an objective with its distance, width, hole or grid."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from fitter.assumptions import load
from fitter.errors import Problem, raise_if
from fitter.units import YARD

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
class Wish:
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

    def mirrored(self) -> Wish:
        """The same for a left-handed player in the right-handed frame."""
        return replace(self, left_penalty=self.right_penalty, right_penalty=self.left_penalty)

    def told(self, name: str) -> bool:
        """Whether an objective has all that it is measured by."""
        return name != "clear" or math.isfinite(self.distance_m)

    def words(self, unit: str = "yd") -> str:
        """What it is measured by, for people; empty for plain distances."""
        scale = YARD if unit == "yd" else 1.0

        def far(metres: float) -> str:
            return f"{metres / scale:.0f} {unit}"

        if self.objective == "clear":
            return f"carry of {far(self.distance_m)}"
        if self.objective == "fairway":
            return f"fairway {far(self.width_m)} wide"
        if self.objective == "score":
            edges = [
                f"{strokes:g} strokes beyond the rough on the {side}"
                for side, strokes in (("left", self.left_penalty), ("right", self.right_penalty))
                if strokes
            ]
            skill = f", a yard worth {self.skill:g} times the tour's" if self.skill != 1.0 else ""
            hole = f"hole of {far(self.hole_m)}, fairway {far(self.width_m)} wide"
            return ", ".join([hole, *edges]) + skill
        if self.objective == "grid":
            place = f"from {far(self.grid_from_m)}" if math.isfinite(self.grid_from_m) else (
                "near edge half a depth short of the present mean, far end open"
            )  # fmt: skip
            size = f"{far(self.grid_width_m)} wide, {far(self.grid_depth_m)} deep"
            return f"best of {self.balls} balls in a grid {size}, {place}"
        return ""


def wish(objective: str = "carry", **given: float | None) -> Wish:
    """Wish with its defaults filled; every problem at once.

    Parameters
    ----------
    objective : str
        Key of `objectives.OBJECTIVES`.
    **given : float, optional
        Fields of `Wish`; None counts as silent.

    Raises
    ------
    InputError
        If there is no such objective, something it needs is missing or a value makes no sense.
    """
    from fitter.advice.objectives import OBJECTIVES

    a = load()
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
    return Wish(objective, balls=balls, **values)
