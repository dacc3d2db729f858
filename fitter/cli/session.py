"""Options that several commands share: the log, what the session is for, what is offered, the sample."""

from __future__ import annotations

import argparse
import math
import re
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitter.base.errors import InputError, Problem
from fitter.base.files import refuse_overwriting
from fitter.base.units import INCH, parse_quantity
from fitter.cli import work
from fitter.cli.arguments import (
    Gather,
    add_conditions,
    add_local_length_rule,
    conditions,
    measured_in,
    option,
    together,
)
from fitter.cli.what_if import NAME as WHAT_IF
from fitter.display.text import tell

if TYPE_CHECKING:
    from fitter.advice.objectives import Goal
    from fitter.advice.question import Question
    from fitter.base.conditions import Conditions
    from fitter.kit.offer import Offer
    from fitter.shots.session import Session

GOALS: dict[str, tuple[str | None, str, str]] = {
    "clear": ("length", "distance_m", "carry that is to be cleared, for 'clear': 230yd"),
    "width": ("length", "width_m", "width of the fairway: 35yd"),
    "grid_from": ("length", "grid_from_m", "near edge of the grid (standard: about the present mean)"),
    "balls": (None, "balls", "balls of a set, for 'grid' (6)"),
    "skill": (None, "skill", "for 'play': times a yard is worth what it is on tour, 1 to 3 (1)"),
    "left_penalty": (None, "left_penalty", "for 'play': strokes beyond the rough on the left (0)"),
    "right_penalty": (None, "right_penalty", "for 'play': strokes beyond the rough on the right (0)"),
    "aim_cap": ("length", "aim_cap_m", "how far the player is willing to aim off (as far as it takes)"),
    "least_fairways": ("share", "least_fairways", "share of balls that has to find the fairway: 45%%"),
}
"""Option: kind of its quantity (None for a plain number), field of `Goal`, help."""
OFFERS: dict[str, tuple[str, str, float, str]] = {
    "length_steps": ("length_steps_in", "club length", INCH, "cut or extend the present club by these, in"),
    "lengths": ("lengths_in", "club length", INCH, "lengths to build every shaft to besides its own, in"),
    "head_weights": ("added_g", "mass", 1e-3, "make the present head heavier by these, g"),
    "grips": ("grips_g", "mass", 1e-3, "masses of other grips on the present shaft, g"),
    "tip_weights": ("tips_g", "mass", 1e-3, "weights in the tip of the present shaft, g"),
    "ball_steps": ("ball_mm", "strike", 1e-3, "ball positions against the present one, mm, forward +"),
    "tee_steps": ("tee_mm", "strike", 1e-3, "tee heights against the present one, mm, higher +"),
}
"""Option: field of `Offer`, kind of its quantities, unit of the field in the core's unit, help."""
MOST_DRAWS = 65536
_GRID = re.compile(r"^\s*(\d[\d.]*\s*[a-z]*)\s*x\s*(\d[\d.]*\s*[a-z]*)\s*$", re.IGNORECASE)


def add_map(parser: argparse.ArgumentParser) -> None:
    """Add corrections of what was understood of a log."""
    parser.add_argument(
        "--map", action="append", default=[], metavar="'Header=channel'", help="correct what was understood"
    )
    parser.add_argument(
        "--map-file", metavar="FILE", help="the shop's saved corrections; one log's new ones are saved there"
    )


def add_log(parser: argparse.ArgumentParser, option: str | None = None, **settings: Any) -> None:
    """Add the log, in its place or under an option's name, and how to read it."""
    if option is None:
        parser.add_argument("log", metavar="LOG", help="the session's file", **settings)
    else:
        parser.add_argument(option, dest="log", required=True, metavar="LOG", help="the session's file")
    parser.add_argument("--player", metavar="P", help="whose shots, if the file holds several players")
    parser.add_argument("--hand", choices=("right", "left"), help="if the file does not say")
    add_map(parser)
    parser.add_argument(
        "--set", action="append", default=[], metavar="'KEY=VALUE shots=8-14'",
        help="say build, ball, intent, tee_mm, ... for the file or some shots",
    )  # fmt: skip
    parser.add_argument(
        "--aside", action="append", default=[], metavar="'shots=3 reason=interrupted'",
        help="set shots aside by hand: interrupted, slipped, 'wrong ball', 'wrong club' or 'not read'",
    )  # fmt: skip
    parser.add_argument("--club", metavar="WORDS", help="which club of the file, if not the driver")
    parser.add_argument("--day", metavar="YYYY-MM-DD", help="shots of this day only, if the file has several")
    parser.add_argument("--sheet", metavar="NAME", help="which sheet of a workbook")


def add_goal(parser: argparse.ArgumentParser) -> None:
    """Add the objective and what it is measured by."""
    group = parser.add_argument_group("what the session is for")
    group.add_argument(
        "--for",
        dest="objective",
        default="play",
        metavar="OBJECTIVE",
        help="play (strokes), carry, total, weak, 'clear 230yd', fairway or grid (play)",
    )
    for name, (_, _, words) in GOALS.items():
        group.add_argument(option(name), metavar="X", help=words)
    group.add_argument(
        "--hole", metavar="LIST", help="lengths of the holes over which strokes are averaged: 360yd,420yd"
    )
    group.add_argument(
        "--not-shorter-than", metavar="X", help="total distance that has to be kept: 240yd, or present"
    )
    group.add_argument("--grid", metavar="WIDTHxDEPTH", help="grid of a contest, for 'grid': 60ydx50yd")


def add_offer(parser: argparse.ArgumentParser) -> None:
    """Add what is tried, and the limits of shop and player."""
    group = parser.add_argument_group("what is offered")
    group.add_argument("--stock", metavar="LIST", help="stock that may be bought: rack,today,order (all)")
    group.add_argument("--tiers", metavar="LETTERS", help="tiers that may be named, such as AB (ABCDE)")
    group.add_argument("--budget", metavar="MONEY", help="most that the bought parts may cost")
    for part in ("head", "shaft"):
        group.add_argument(
            f"--without-{part}",
            action="append",
            metavar="CODE",
            help=f"a {part} that is not to be bought; may stand several times",
        )
    for name, (_, _, _, words) in OFFERS.items():
        group.add_argument(option(name), metavar="LIST", help=f"{words}; a list with commas, or none")
    group.add_argument(
        "--allow-breaches", action="store_true", help="clubs that break a rule may be recommended"
    )
    add_local_length_rule(group)
    group.add_argument(
        "--any-shaft",
        action="store_true",
        help="offer shafts too whose mass or frequency suits neither the speed nor the present shaft",
    )


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


def add_sample(parser: argparse.ArgumentParser) -> None:
    """Add size and seed of the sample of what is not known, and where the answer applies."""
    parser.add_argument(
        "--draws", type=int, default=256, metavar="N", help="draws of what is not known (256)"
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the same seed, the same answer")
    add_conditions(parser)


def check_outputs(args: argparse.Namespace) -> None:
    """Refuse a file to be written that the command reads, before any work.

    Raises
    ------
    InputError
        With each of them, by real path.
    """
    saves = bool(args.map_file and args.map)
    outputs = {"-o": getattr(args, "output", None), "--map-file": args.map_file if saves else None}
    inputs = {"the log": args.log, "--map-file": None if saves else args.map_file}
    inputs |= {f"--{name}": getattr(args, name, None) for name in ("present", "check", "assumptions")}
    hit = getattr(args, "hit", None)
    inputs |= {f"--hit {x}": x for x in ([hit] if isinstance(hit, str) else hit or ())}
    reads = [(what, Path(path)) for what, path in inputs.items() if path]
    if getattr(args, "kit", None):
        reads += [("the kit's", file) for file in work.inventory.kit_files(args.kit)]
    if getattr(args, "fonts", ""):
        reads += [("the font", file) for file in Path(args.fonts).rglob("*")]
    refuse_overwriting([(what, Path(path)) for what, path in outputs.items() if path], reads)


def how_to_read(args: argparse.Namespace) -> dict[str, Any]:
    """Keyword arguments of `fitter.shots.reader.intake.read`."""
    pairs = work.columns.parse_pairs(args.map)
    if args.map_file and pairs:
        check_outputs(args)
        work.columns.save(args.map_file, pairs)
    return {
        "hand": args.hand,
        "player": args.player,
        "header_map": pairs or None,
        "shop_map": args.map_file,
        "set_": tuple(args.set),
        "club": args.club,
        "sheet": args.sheet,
        "units": args.units_said,
    }


def decided(args: argparse.Namespace, session: Session) -> Session:
    """Keep the day that --day names, and set aside what --aside names."""
    decisions = work.annotations.parse_aside(args.aside)
    session = work.annotations.set_aside(session, decisions) if decisions else session
    return work.annotations.of_day(session, args.day) if args.day else session


def read_log(args: argparse.Namespace) -> Session:
    """Read and screen the session of one player; of --baseline only, else `question.ask` picks."""
    again = getattr(args, "recalled", None)
    found = (
        work.intake.read(args.log, **how_to_read(args)) if again is None else work.unpacked.read_again(again)
    )
    session = decided(args, found)
    if args.baseline is None:
        return session
    return work.annotations.of_present(session, args.baseline)


def asked(args: argparse.Namespace, gather: Gather) -> dict[str, Any]:
    """What is asked of a session, by the names of `fitter.advice.question.ask`; complaints wait."""
    gather(_check_draws, args.draws)
    found = {
        "conditions": gather(conditions, args),
        "measured_in": gather(_measured_in, args),
        "offer": gather(offer, args),
        "draws": args.draws,
        "seed": args.seed,
    }
    if hasattr(args, "what_if"):
        found["what_if"] = gather(work.what_if.parse, args.what_if, args.units, WHAT_IF)
    return found | ({"goal": gather(goal, args)} if hasattr(args, "objective") else {})


def _measured_in(args: argparse.Namespace) -> Conditions | None:
    """Air of the session: as it is given, else as it is remembered."""
    again = getattr(args, "recalled", None)
    return measured_in(args) if again is None or args.measured_in is not None else again.measured_in


def question(args: argparse.Namespace, given: Mapping[str, Any]) -> Question:
    """Read log, kit and present club; with what `asked` found that is the whole question.

    Raises
    ------
    FitterError
        What is wrong with log and kit together.
    """
    asks = {"sets_face": args.sets_face, "with_aside": args.with_aside, "named": getattr(args, "option", ())}
    with together("The log and the kit cannot be used.") as gather:
        kit = None if args.kit is None else gather(work.inventory.Kit.load, args.kit)
        shots = gather(read_log, args)
    return work.question.ask(shots, kit, args.present, **given, **asks)


def goal(args: argparse.Namespace) -> Goal:
    """Goal of a command; every problem at once.

    Raises
    ------
    InputError
        If a quantity does not read or the objective lacks something.
    """
    given: dict[str, Any] = {}
    objective, _, distance = args.objective.replace(":", " ").strip().partition(" ")
    with together("What the session is for is not clear.") as gather:
        for name, (kind, field, _) in GOALS.items():
            text = getattr(args, name) or (distance if name == "clear" and distance else None)
            if text is not None:
                value = gather(_value, text, kind, args.units, option(name))
                given |= {} if value is None else {field: value}
        if args.hole is not None:
            read = [gather(parse_quantity, x, "length", args.units, "--hole") for x in _listed(args.hole)]
            given["holes_m"] = tuple(x for x in read if x is not None)
        if args.not_shorter_than is not None:
            kept = gather(_to_keep, args.not_shorter_than, args.units)
            given |= {} if kept is None else {"least_total_m": kept}
        if args.grid is not None:
            given |= gather(grid, args.grid, args.units) or {}
        gather(work.objectives.goal_for, objective, **{"distance_m": 200.0} | given)
    return work.objectives.goal_for(objective, **given)


def _to_keep(text: str, units: str) -> float:
    """Total distance that has to be kept, m; infinity for the present club's."""
    if text.strip().casefold() == "present":
        return math.inf
    return parse_quantity(text, "length", units, "--not-shorter-than")


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


def offer(args: argparse.Namespace) -> Offer:
    """Offer of a command; every problem at once.

    Raises
    ------
    InputError
        If a list or a number does not read, or makes no sense.
    """
    given: dict[str, Any] = {
        "without_heads": tuple(args.without_head or ()),
        "without_shafts": tuple(args.without_shaft or ()),
        "allow_breaches": args.allow_breaches,
        "local_length_rule": args.local_length_rule,
        "any_shaft": args.any_shaft,
    }
    if args.stock is not None:
        given["stock"] = tuple(_listed(args.stock.casefold()))
    if args.tiers is not None:
        given["tiers"] = tuple(c for c in args.tiers.upper() if c not in ", ")
    with together("This cannot be offered.") as gather:
        if args.budget is not None:
            given["budget"] = gather(_money, args.budget)
        for name, (field, kind, unit, _) in OFFERS.items():
            text = getattr(args, name)
            if text is not None:
                given[field] = tuple(
                    round(value / unit, 6)
                    for word in _listed(text)
                    if word.casefold() != "none"
                    and (value := gather(parse_quantity, word, kind, args.units, option(name))) is not None
                )
        gather(work.offer.offer, **given)
    return work.offer.offer(**given)


def _listed(text: str) -> list[str]:
    return [word.strip() for word in text.split(",") if word.strip()]


def _money(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        problem = Problem("--budget", repr(text), "a number", "Give an amount in the shop's money.")
        raise InputError("The budget is no number.", [problem])
    return value


def _check_draws(draws: int) -> None:
    """Refuse a number of draws that cannot carry an interval or would never end."""
    if not 16 <= draws <= MOST_DRAWS:
        problem = Problem("--draws", str(draws), f"16 to {MOST_DRAWS}", "256 is enough for most sessions.")
        raise InputError("That number of draws cannot be used.", [problem])


def progress() -> Callable[[int, int], None] | None:
    """Callback that keeps one line of progress on stderr, None where nobody looks at it."""
    if not sys.stderr.isatty():
        return None

    def show(done: int, of: int) -> None:
        words = f"{done} of {of} options" if done < of else ""
        print(f"\r{words:<40}" + ("" if words else "\r"), end="", file=sys.stderr, flush=True)

    return show


def warn_of_compiling() -> None:
    """Say once why the first run takes longer."""
    if sys.stderr.isatty() and not work.compiled.cached():
        tell("Compiling the flight engine once; the next start is quick.")
