"""Options that name a log, the same for every command that reads one."""

from __future__ import annotations

import argparse
from pathlib import Path
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
    """Keyword arguments of `fitter.shots.intake.read`."""
    from fitter.shots import corrections

    pairs = corrections.parse_pairs(args.map)
    if args.map_file and pairs:
        check_outputs(args)
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
