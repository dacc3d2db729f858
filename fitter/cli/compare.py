"""The command `compare`: clubs that were actually hit, against each other."""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from fitter.base.errors import InputError, Problem
from fitter.base.units import Units
from fitter.cli import session, work
from fitter.cli.arguments import add_conditions, conditions, together
from fitter.display.text import print_json

if TYPE_CHECKING:
    from fitter.shots.session import Session


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument(
        "logs",
        nargs="+",
        metavar="LOG",
        help="logs with labelled builds, or LOG=HEAD/SHAFT, one club each",
    )
    parser.add_argument("--kit", required=True, metavar="DIR", help="folder with heads.csv and shafts.csv")
    parser.add_argument("--against", default="", metavar="CLUB", help="what all are held against (the first)")
    parser.add_argument("--hand", choices=("right", "left"), help="if the files do not say")
    parser.add_argument("--player", metavar="P", help="whose shots, if a file holds several players")
    session.add_map(parser)
    add_conditions(parser)


def _read(log: str, args: argparse.Namespace, pairs: dict[str, str] | None) -> Session:
    return work.intake.read(log, hand=args.hand, player=args.player, header_map=pairs, shop_map=args.map_file)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    read: list[tuple[Session, str]] = []
    pairs = work.columns.parse_pairs(args.map) or None
    with together("The logs and the kit cannot be used.") as gather:
        kit = gather(work.inventory.Kit.load, args.kit)
        where = gather(conditions, args)
        for words in args.logs:
            log, build = words, ""
            if not Path(words).exists() and "=" in words:
                log, _, build = words.rpartition("=")
            shots = gather(_read, log, args, pairs)
            if shots is not None:
                read.append((shots, build))
    hands = {s.hand for s, _ in read}
    if len(hands) > 1:
        problem = Problem("the logs", "left- and right-handed", "one player", "Compare one player's clubs.")
        raise InputError("These logs are of several players.", [problem])
    balls, aside = work.evidence.hit(read, kit, where)
    against = work.club.from_kit(kit, args.against).code if args.against else ""
    found = work.compare.compare(balls, against)
    gone = Counter(aside)
    if args.json:
        print_json(work.compared.data(found, gone))
    else:
        print(work.compared.text(found, gone, next(iter(hands)), Units(args.units)))
    return 0
