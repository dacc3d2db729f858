"""Options that name a log, the same for every command that reads one."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitter.base.errors import InputError, Problem
from fitter.base.units import parse_quantity
from fitter.cli.arguments import option, together

if TYPE_CHECKING:
    from fitter.shots.session import Session


def add_log(parser: argparse.ArgumentParser, option: str | None = None) -> None:
    """Add the log, in its place or under an option's name, and how to read it."""
    if option is None:
        parser.add_argument("log", metavar="LOG", help="the session's file")
    else:
        parser.add_argument(option, dest="log", required=True, metavar="LOG", help="the session's file")
    parser.add_argument("--player", metavar="P", help="whose shots, if the file holds several players")
    parser.add_argument("--hand", choices=("right", "left"), help="if the file does not say")
    parser.add_argument(
        "--map", action="append", default=[], metavar="'Header=channel'", help="correct what was understood"
    )
    parser.add_argument(
        "--map-file", metavar="FILE", help="the shop's saved corrections; new ones of --map are saved there"
    )
    parser.add_argument(
        "--set", action="append", default=[], metavar="'KEY=VALUE shots=8-14'",
        help="say build, ball, intent, tee_mm, ... for the file or some shots",
    )  # fmt: skip
    parser.add_argument(
        "--aside", action="append", default=[], metavar="'shots=3 reason=interrupted'",
        help="set shots aside by hand: interrupted, slipped, 'wrong ball', 'wrong club' or 'not read'",
    )  # fmt: skip
    parser.add_argument("--club", metavar="WORDS", help="which club of the file, if not the driver")
    parser.add_argument("--sheet", metavar="NAME", help="which sheet of a workbook")


def check_outputs(args: argparse.Namespace) -> None:
    """Refuse a file to be written that the command reads, before any work.

    Raises
    ------
    InputError
        With each of them, by real path.
    """
    from fitter.base.files import refuse_overwriting
    from fitter.kit.inventory import kit_files

    saves = bool(args.map_file and args.map)
    outputs = {"-o": getattr(args, "output", None), "--map-file": args.map_file if saves else None}
    inputs = {"the log": args.log, "--map-file": None if saves else args.map_file}
    inputs |= {f"--{name}": getattr(args, name, None) for name in ("present", "hit", "check")}
    reads = [(what, Path(path)) for what, path in inputs.items() if path]
    if getattr(args, "kit", None):
        reads += [("the kit's", file) for file in kit_files(args.kit)]
    if getattr(args, "fonts", ""):
        reads += [("the font", file) for file in Path(args.fonts).rglob("*")]
    refuse_overwriting([(what, Path(path)) for what, path in outputs.items() if path], reads)


def arguments(args: argparse.Namespace) -> dict[str, Any]:
    """Keyword arguments of `fitter.shots.reader.intake.read`."""
    from fitter.shots.reader import columns

    pairs = columns.parse_pairs(args.map)
    if args.map_file and pairs:
        check_outputs(args)
        columns.save(args.map_file, pairs)
    return {
        "hand": args.hand,
        "player": args.player,
        "header_map": pairs or None,
        "shop_map": args.map_file,
        "set_": tuple(args.set),
        "club": args.club,
        "sheet": args.sheet,
    }


def read_one(args: argparse.Namespace) -> Session:
    """Read and screen the session of one player; of --baseline only, where a command has it."""
    from fitter.shots.reader import intake

    session = decided(args, intake.read(args.log, **arguments(args)))
    build = getattr(args, "baseline", None)
    if build is None:
        return session
    from fitter.shots.annotations import baseline

    return session.take(baseline(session, build=build))


def decided(args: argparse.Namespace, session: Session) -> Session:
    """Set aside what --aside names."""
    from fitter.shots.annotations import parse_aside, set_aside

    return set_aside(session, parse_aside(args.aside)) if args.aside else session


def add_shots(parser: argparse.ArgumentParser) -> None:
    """Add which shots describe the present club, and how the player sets the face."""
    parser.add_argument("--baseline", metavar="BUILD", help="shots of this build describe the present club")
    parser.add_argument(
        "--sets-face",
        default="unknown",
        metavar="HOW",
        help="how the player sets the face at address: soled, eye or unknown (ask)",
    )
    parser.add_argument(
        "--with-aside",
        action="store_true",
        help="use every shot, misreads too, to see what they would change",
    )


def add_draws(parser: argparse.ArgumentParser) -> None:
    """Add size and seed of the sample of what is not known."""
    parser.add_argument(
        "--draws", type=int, default=256, metavar="N", help="draws of what is not known (256)"
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the same seed, the same answer")


def check_draws(draws: int) -> None:
    """Refuse a number of draws that cannot carry an interval or would never end."""
    from fitter.base.errors import InputError, Problem

    if not 16 <= draws <= 65536:
        problem = Problem("--draws", str(draws), "16 to 65536", "256 is enough for most sessions.")
        raise InputError("That number of draws cannot be used.", [problem])


if TYPE_CHECKING:
    from fitter.advice.objectives import Wish

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
    from fitter.advice.objectives import wish

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
