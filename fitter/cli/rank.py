"""The command `rank`: the main job."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fitter.base.units import Units
from fitter.cli import remembering, session, work
from fitter.cli.arguments import together
from fitter.cli.what_if import add_what_if
from fitter.display.text import print_json

if TYPE_CHECKING:
    from fitter.advice.question import Question
    from fitter.advice.result import Ranking


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    session.add_log(parser, nargs="?")
    parser.add_argument("--kit", metavar="DIR", help="folder with heads.csv and shafts.csv")
    parser.add_argument(
        "--present",
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
    parser.add_argument(
        "--hit",
        nargs="+",
        default=[],
        metavar="LOG",
        help="logs of balls hit with other clubs of the kit, by their labels or LOG=HEAD/SHAFT",
    )
    session.add_offer(parser)
    session.add_shots(parser)
    session.add_sample(parser)
    remembering.add_history(parser, visit=True)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with remembering.recalled(args):
        ranking, question = answer(args)
        # Kept before it is printed: a reader of the output may go early.
        remembering.keep(args, ranking, question)
        told(args, ranking)
    return 0


def told(args: argparse.Namespace, ranking: Ranking) -> None:
    """Print a ranking."""
    if args.json:
        found = work.serialise.ranking(ranking)
        changed = ranking.question.assumptions.changed()
        if changed:
            found["assumptions"] = {name: here.value for name, (_, here) in changed.items()}
        print_json(found)
    else:
        print(work.ranking.text(ranking, Units(args.units), also=args.option))


def answer(args: argparse.Namespace) -> tuple[Ranking, Question]:
    """Ranking of what the options ask, and the question."""
    with together("These options cannot be used.") as gather:
        given = session.asked(args, gather)
    question = session.question(args, given)
    question = remembering.knowing(args, with_evidence(args, question))
    session.warn_of_compiling()
    return work.rank.rank(question, progress=session.progress()), question


def with_evidence(args: argparse.Namespace, question: Question) -> Question:
    """Return the question with the balls of --hit.

    Raises
    ------
    FitterError
        With every log that cannot be read, or whose builds are not those of the kit.
    """
    if not args.hit or question.kit is None:
        return question
    read = []
    with together("The logs of --hit cannot be used.") as gather:
        how = {**session.how_to_read(args), "set_": ()}
        for words in args.hit:
            log, build = words, ""
            if not Path(words).exists() and "=" in words:
                log, _, build = words.rpartition("=")
            found = gather(work.intake.read, log, **how)
            if found is not None:
                read.append((found, build))
    balls = work.evidence.from_sessions(read, question.kit, question.present, question.measured_at)
    return replace(question, evidence=balls)
