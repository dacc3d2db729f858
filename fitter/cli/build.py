"""The command `build`: bench sheet of a club, and what came back from the bench."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitter.base.units import INCH, Units
from fitter.cli import work
from fitter.cli.arguments import (
    Quantity,
    add_conditions,
    add_local_length_rule,
    add_quantities,
    conditions,
    measured_in,
    read_all,
    together,
    without_session,
)
from fitter.display.text import print_json

if TYPE_CHECKING:
    from collections.abc import Sequence

    from fitter.advice.scored import Gain
    from fitter.kit.build import ReadBack

SILENT = {
    "length": Quantity("club length", 30 * INCH, 60 * INCH, "30 to 60 in", "whole club, such as 45.25in"),
    "club_speed": Quantity("speed", 10.0, 80.0, "10 to 80 m/s", "at which the shaft bends"),
}


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("club", metavar="HEAD/SHAFT", help="what is ordered, parts of the kit")
    parser.add_argument("--kit", required=True, metavar="DIR", help="folder with heads.csv and shafts.csv")
    add_quantities(parser, SILENT)
    parser.add_argument(
        "--sleeve", type=float, default=0.0, metavar="DEG", help="loft change of its position"
    )
    parser.add_argument("--hit", metavar="CLUB", help="club that the player hit, as for --present of rank")
    parser.add_argument(
        "--check", metavar="CARD", help="card of the built club: read back, predict again if it is out"
    )
    parser.add_argument(
        "--from", dest="log", metavar="LOG", help="session of the present club, to predict again with"
    )
    parser.add_argument(
        "--present", metavar="CLUB", help="club of that session; the one of --hit when silent"
    )
    add_local_length_rule(parser)
    add_conditions(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These quantities cannot be used.") as gather:
        given = gather(read_all, vars(args), SILENT, args.units)
        where = gather(conditions, args)
        there = gather(measured_in if args.log else without_session, args)
    length, speed = given.get("length"), given.get("club_speed")
    kit = work.inventory.Kit.load(args.kit)
    ordered = work.club.from_kit(kit, args.club, None if length is None else length / INCH, args.sleeve)
    hit = ordered if args.hit is None else work.options.present_club(kit, args.hit)
    if ordered.shaft.code != hit.shaft.code or args.hit is None:
        work.sense.check_buildable(ordered, local_length_rule=args.local_length_rule)
    sheet = work.build.build_sheet(
        hit, ordered, speed, all_new=args.hit is None, local_length_rule=args.local_length_rule
    )
    back: ReadBack | None = None
    gains: Sequence[Gain] = ()
    if args.check is not None:
        back = work.build.read_back(ordered, work.card.read_card(args.check), speed)
        if not back.within and args.log is not None:
            question = work.question.ask(
                work.intake.read(args.log), kit, args.present or hit, conditions=where, measured_in=there
            )
            gains = work.rank.gains_of(question, [ordered, back.club])
    if args.json:
        print_json(work.serialise.build(sheet, back, gains))
    else:
        print(work.bench.build(sheet, Units(args.units), back, gains))
    return 0
