"""Options of commands that remember, and a visit out of the history in place of a log."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import counted
from fitter.cli import session, work
from fitter.display.text import tell

if TYPE_CHECKING:
    from fitter.advice.question import Question
    from fitter.advice.result import Ranking
    from fitter.history.store import Store
    from fitter.remember.unpacked import Unpacked
    from fitter.remember.visit import Source


def add_history(
    parser: argparse.ArgumentParser, remember: bool = True, day: bool = True, visit: bool = False
) -> None:
    """Add which history, whether it is written, and which visit stands in the place of a log."""
    group = parser.add_argument_group("the shop's memory")
    group.add_argument("--history", metavar="FILE", help="the shop's history, if not the usual one")
    if remember:
        group.add_argument(
            "--remember", action="store_true", help="keep player, log, decisions and answer in the history"
        )
    if remember and day:
        group.add_argument("--hit-on", metavar="YYYY-MM-DD", help="day of the visit, if the log has none")
    if visit:
        group.add_argument(
            "--visit",
            default="",
            metavar="DAY",
            help="without a log: which visit of --player, if not the last",
        )


def file_of(args: argparse.Namespace) -> Path | None:
    """File of the history that a command names, None for the usual one."""
    return None if args.history is None else Path(args.history)


def opened(args: argparse.Namespace, *, read_only: bool = False) -> Store:
    """The history of a command, open."""
    return work.store.Store(file_of(args), read_only=read_only)


@contextmanager
def recalled(args: argparse.Namespace) -> Iterator[Unpacked | None]:
    """Put the last visit of --player in the place of a log that is not named.

    Log, kit and club stand in the options while the block runs, unless they were given; how the log is read,
    its decisions and its air come with it.

    Raises
    ------
    InputError
        If there is neither a log nor a player, or the player has no visit.
    """
    args.recalled = None
    if args.remember:
        # Before any work: whether it could be kept at all.
        day_of(args)
        opened(args).close()
    if args.log is not None:
        _needed(args)
        if getattr(args, "visit", ""):
            tell("Note: --visit changes nothing beside a log.")
        yield None
        return
    if not args.player:
        problem = Problem("LOG", "none", "a log, or --player of one who is remembered", "Name one of both.")
        raise InputError("There are no shots.", [problem])
    if args.hit_on is not None:
        do = "Name the visit with --visit, or the log whose day it is."
        problem = Problem("--hit-on", repr(args.hit_on), "a log that was hit on that day", do)
        raise InputError("A visit that is remembered has its day.", [problem])
    with TemporaryDirectory(prefix="fitter-") as folder:
        with opened(args, read_only=True) as store:
            found = work.unpacked.unpacked(store, args.player, Path(folder), args.visit)
            decided = store.entries(work.records.Fitting, found.visit.player)
        args.log, args.recalled = str(found.log), found
        args.present = args.present or found.present
        if args.kit is None and found.kit is not None:
            args.kit = str(found.kit)
        _needed(args)
        tell(
            f"The visit of {found.visit.day} as it is remembered: {found.visit.log_name}, {found.visit.club}."
        )
        goals = [f.goal for f in decided if f.visit == found.visit.digest]
        if goals and not args.objective.startswith(goals[-1]):
            tell(f"It is ranked for {args.objective} now; that day it was for {goals[-1]}, see --for.")
        yield found


def _needed(args: argparse.Namespace) -> None:
    problems = [
        Problem(f"--{name}", "nothing", what, f"Give --{name}.")
        for name, what in (("kit", "the shop's folder"), ("present", "the club that hit the shots"))
        if getattr(args, name) is None
    ]
    raise_if(problems, "The question is not complete.")


def knowing(args: argparse.Namespace, question: Question) -> Question:
    """Return the question with what the history knows of the player, where a command asks it.

    Balls of earlier days with clubs of the kit are evidence; what other outcomes taught is laid over the
    judged numbers. No ball does both.
    """
    asked = args.history is not None or args.remember or args.recalled is not None
    path = file_of(args) or work.store.usual_path()
    if not asked or not path.exists():
        return question
    with opened(args, read_only=True) as store:
        player = store.player(question.session.player)
        if player is None:
            return question
        outcomes = store.entries(work.records.Outcome, player.code)
        tried = store.entries(work.records.Tried, player.code)
    kit = question.kit or work.inventory.Kit((), ())
    balls, used = work.outcomes.again(tried, kit, question.present)
    own = work.learning.learned(work.learning.lessons_of(outcomes, used), question.assumptions)
    said = [counted(len(balls), "ball") + " that are remembered" if len(balls) else ""]
    said.append(counted(len(own), "judged number") + " of the player's own" if own else "")
    if any(said):
        tell(f"{player.code}: ranked with {' and '.join(filter(None, said))}, see `fitter history show`.")
    return replace(
        question,
        evidence=question.evidence.joined(balls),
        assumptions=work.learning.layer(own, question.assumptions, f"player {player.code}"),
    )


def source_of(args: argparse.Namespace) -> Source:
    """Where the session of a command came from."""
    if args.recalled is not None:
        found = args.recalled
        return work.visit.Source(found.log, found.reading, found.kit, found.present, found.visit.device)
    how = session.how_to_read(args)
    pairs = dict(work.columns.load(args.map_file)) if args.map_file else {}
    pairs |= how["header_map"] or {}
    reading = {k: v for k, v in how.items() if k not in ("shop_map", "header_map")}
    reading |= {"header_map": pairs or None, "aside": list(args.aside), "day": args.day}
    reading["set_"] = list(how["set_"])
    kit = None if args.kit is None else Path(args.kit)
    return work.visit.Source(Path(args.log), reading, kit, args.present)


def day_of(args: argparse.Namespace) -> date | None:
    """Day of --hit-on.

    Raises
    ------
    InputError
        If it is no day.
    """
    if args.hit_on is None:
        return None
    try:
        day = date.fromisoformat(args.hit_on)
    except ValueError:
        problem = Problem("--hit-on", repr(args.hit_on), "YYYY-MM-DD", "Write the day so.")
        raise InputError("That is no day.", [problem]) from None
    if day > date.today():
        problem = Problem("--hit-on", args.hit_on, "today or before", "Mend the day.")
        raise InputError("That day is still to come.", [problem])
    return day


def keep(
    args: argparse.Namespace, ranking: Ranking, question: Question, chosen: str = "", why: str = ""
) -> None:
    """Remember a ranked session, with what was chosen and what was hit with other clubs, and say so."""
    if not args.remember:
        return
    if args.recalled is not None:
        found = work.fittings.of_recalled(ranking, args.recalled.visit)
    else:
        found = work.fittings.decision(ranking, source_of(args), day_of(args))
    if chosen:
        found = found.deciding(chosen, why)
    found = found.adding(work.outcomes.of_balls(question, found.visit, found.fitting))
    with opened(args) as store:
        new = found.into(store)
        where = store.path
    tell(f"{where}: {found.player.code}, {new} new {'entry' if new == 1 else 'entries'}.")
