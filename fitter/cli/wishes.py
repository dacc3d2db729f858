"""Options that say what a session is for, the same for every command that ranks."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from fitter.cli.quantities import option, together
from fitter.errors import InputError, Problem
from fitter.units import parse_quantity

if TYPE_CHECKING:
    from fitter.advice.wish import Wish

KINDS: dict[str, tuple[str | None, str, str]] = {
    "clear": ("length", "distance_m", "carry that is to be cleared, for 'clear': 230yd"),
    "width": ("length", "width_m", "width of the fairway, for 'fairway' and 'score': 35yd"),
    "hole": ("length", "hole_m", "length of the hole, for 'score': 420yd"),
    "grid_from": ("length", "grid_from_m", "near edge of the grid (standard: about the present mean)"),
    "balls": (None, "balls", "balls of a set, for 'grid' (6)"),
    "skill": (None, "skill", "for 'score': times a yard is worth what it is on tour, 1 to 3 (1)"),
    "left_penalty": (None, "left_penalty", "for 'score': strokes beyond the rough on the left (0)"),
    "right_penalty": (None, "right_penalty", "for 'score': strokes beyond the rough on the right (0)"),
}
"""Option: kind of its quantity (None for a plain number), field of `Wish`, help."""
_GRID = re.compile(r"^\s*(\d[\d.]*\s*[a-z]*)\s*x\s*(\d[\d.]*\s*[a-z]*)\s*$", re.IGNORECASE)


def add(parser: argparse.ArgumentParser) -> None:
    """Add the objective and what it is measured by."""
    group = parser.add_argument_group("what the session is for")
    group.add_argument(
        "--for",
        dest="objective",
        default="carry",
        metavar="OBJECTIVE",
        help="carry, total, weak, 'clear 230yd', fairway, score or grid (carry)",
    )
    for name, (_, _, words) in KINDS.items():
        group.add_argument(option(name), metavar="X", help=words)
    group.add_argument("--grid", metavar="WIDTHxDEPTH", help="grid of a contest, for 'grid': 60ydx50yd")


def read(args: argparse.Namespace) -> Wish:
    """Wish of a command; every problem at once.

    Raises
    ------
    InputError
        If a quantity does not read or the objective lacks something.
    """
    from fitter.advice.wish import wish

    given: dict[str, float] = {}
    objective, _, distance = args.objective.replace(":", " ").strip().partition(" ")
    with together("What the session is for is not clear.") as gather:
        for name, (kind, field, _) in KINDS.items():
            text = getattr(args, name) or (distance if name == "clear" and distance else None)
            if text is not None:
                value = gather(_value, text, kind, args.units, option(name))
                given |= {} if value is None else {field: value}
        if args.grid is not None:
            given |= gather(grid, args.grid, args.units) or {}
        gather(wish, objective, **{"distance_m": 200.0} | given)
    return wish(objective, **given)


def _value(text: str, kind: str | None, units: str, where: str) -> float:
    if kind is not None:
        return parse_quantity(text, kind, units, where)
    try:
        return float(text)
    except ValueError:
        problem = Problem(where, repr(text), "a number", "Give a plain number.")
        raise InputError("That is no number.", [problem]) from None


def grid(text: str, units: str) -> dict[str, float]:
    """Width and depth of 'WIDTHxDEPTH', m.

    Examples
    --------
    >>> grid("50mx40m", "us")
    {'grid_width_m': 50.0, 'grid_depth_m': 40.0}

    Raises
    ------
    InputError
        If it has another form.
    """
    match = _GRID.match(text)
    if match is None:
        problem = Problem("--grid", repr(text), "WIDTHxDEPTH, such as 60ydx50yd", "Write both with an x.")
        raise InputError("The grid is not clear.", [problem])
    width, depth = (parse_quantity(part.strip(), "length", units, "--grid") for part in match.groups())
    return {"grid_width_m": width, "grid_depth_m": depth}
