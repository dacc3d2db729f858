"""The command `rank`: the main job."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from fitter.cli import arguments, offers
from fitter.cli import session as sample
from fitter.cli import session as wishes
from fitter.cli.arguments import together
from fitter.cli.session import add_log, read_one
from fitter.display import text

if TYPE_CHECKING:
    from fitter.advice.result import Ranking
    from fitter.base.conditions import Conditions
    from fitter.shots.session import Session


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    add_log(parser)
    parser.add_argument("--kit", required=True, metavar="DIR", help="folder with heads.csv and shafts.csv")
    parser.add_argument(
        "--present",
        required=True,
        metavar="CLUB",
        help="CARD.toml, HEAD/SHAFT, HEAD+1/SHAFT (sleeve) or unknown",
    )
    wishes.add(parser)
    parser.add_argument(
        "--option",
        action="append",
        default=[],
        metavar="ID",
        help="an option that is computed in full and shown whatever a first look says",
    )
    offers.add(parser)
    sample.add_shots(parser)
    sample.add_draws(parser)
    arguments.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    ranking, *_ = answer(args)
    if args.json:
        text.print_json(ranking.as_dict())
        return 0
    from fitter.display import ladder

    print(ladder.text(ranking, args.units == "metric", also=args.option))
    return 0


def answer(args: argparse.Namespace) -> tuple[Ranking, Session, Conditions, Conditions | None]:
    """Ranking, its shots, where it applies and where the session was measured, if elsewhere."""
    with together("These options cannot be used.") as gather:
        where = gather(arguments.read, args)
        there = gather(arguments.measured_in, args)
        gather(sample.check_draws, args.draws)
        goal = gather(wishes.read, args)
        offer = gather(offers.read, args)
    from fitter.advice.question import ask
    from fitter.advice.rank import rank
    from fitter.kit.inventory import Kit

    session = read_one(args)
    kit = Kit.load(args.kit)
    warn_of_compiling()
    question = ask(
        session,
        kit,
        args.present,
        goal,
        conditions=where,
        measured_in=there,
        offer=offer,
        sets_face=args.sets_face,
        with_aside=args.with_aside,
        named=args.option,
        draws=args.draws,
        seed=args.seed,
    )
    ranking = rank(question)
    return ranking, ranking.shots, where, there


def warn_of_compiling() -> None:
    """Say once why the first run takes longer."""
    from fitter.physics.compiled import cached

    if sys.stderr.isatty() and not cached():
        text.tell("Compiling the flight engine once; the next start is quick.")
