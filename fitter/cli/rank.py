"""The command `rank`: the main job."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitter.base.assumptions import current
from fitter.base.units import Units
from fitter.cli import session, work
from fitter.cli.arguments import together
from fitter.cli.what_if import add_what_if
from fitter.display.text import print_json

if TYPE_CHECKING:
    from fitter.advice.result import Ranking


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    session.add_log(parser)
    parser.add_argument("--kit", required=True, metavar="DIR", help="folder with heads.csv and shafts.csv")
    parser.add_argument(
        "--present",
        required=True,
        metavar="CLUB",
        help="CARD.toml, HEAD/SHAFT, HEAD+1/SHAFT (sleeve) or unknown",
    )
    session.add_goal(parser)
    parser.add_argument(
        "--option",
        action="append",
        default=[],
        metavar="ID",
        help="an option that is computed in full and shown whatever a first look says",
    )
    add_what_if(parser)
    session.add_offer(parser)
    session.add_shots(parser)
    session.add_sample(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    ranking = answer(args)
    if args.json:
        found = work.serialise.ranking(ranking)
        if args.assumptions:
            found["assumptions"] = {name: here.value for name, (_, here) in current().changed().items()}
        print_json(found)
    else:
        print(work.ranking.text(ranking, Units(args.units), also=args.option))
    return 0


def answer(args: argparse.Namespace) -> Ranking:
    """Ranking of what the options ask."""
    with together("These options cannot be used.") as gather:
        given = session.asked(args, gather)
    question = session.question(args, given)
    session.warn_of_compiling()
    return work.rank.rank(question, progress=session.progress())
