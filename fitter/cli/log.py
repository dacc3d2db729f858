"""Options that name a log, the same for every command that reads one."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fitter.shots.channels import Session


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


def arguments(args: argparse.Namespace) -> dict[str, Any]:
    """Keyword arguments of `fitter.shots.intake.read`."""
    from fitter.shots import corrections

    pairs = corrections.parse_pairs(args.map)
    if args.map_file and pairs:
        corrections.save(args.map_file, pairs)
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
    from fitter.shots import intake

    session = decided(args, intake.read(args.log, **arguments(args)))
    build = getattr(args, "baseline", None)
    if build is None:
        return session
    from fitter.shots.settings import baseline

    return session.take(baseline(session, build=build))


def decided(args: argparse.Namespace, session: Session) -> Session:
    """Set aside what --aside names."""
    from fitter.shots import decisions

    return decisions.apply(session, decisions.parse(args.aside)) if args.aside else session
