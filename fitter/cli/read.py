"""The command `read`: what a log holds."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitter.base.assumptions import current
from fitter.base.units import Units
from fitter.cli import work
from fitter.cli.arguments import add_conditions, conditions, measured_in, together
from fitter.cli.session import add_log, decided, how_to_read
from fitter.display.text import print_json

if TYPE_CHECKING:
    from fitter.base.conditions import Conditions
    from fitter.display.reading import Reading
    from fitter.shots.session import Session


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    add_log(parser)
    add_conditions(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These options cannot be used.") as gather:
        where = gather(conditions, args)
        there = gather(measured_in, args)
    how = how_to_read(args)
    every = work.intake.read_all if args.player is None else _only
    found = [understood(decided(args, s), there or where) for s in every(args.log, **how)]
    if args.json:
        print_json(work.serialise.sessions(found))
    else:
        print("\n\n".join(work.reading.text(one, Units(args.units)) for one in found))
    return 0


def _only(log: str, **how: object) -> list[Session]:
    return [work.intake.read(log, **how)]  # type: ignore[arg-type]


def understood(session: Session, where: Conditions) -> Reading:
    """Set aside the misreads that physics finds, and infer the delivery if the ball was measured.

    Parameters
    ----------
    session : Session
    where : Conditions
        The session's air as the player sees it.
    """
    left = session.hand == "left"
    # A left-hander's shots are held mirrored, and so must the wind be.
    air = where.mirrored() if left else where
    if not session.has("ball_speed_mps"):
        return work.reading.Reading(work.screen.doubted(session, work.strike.ordinary_head(), air))
    some = session.evenly(int(current().value("verdict.most_shots")))
    inferred = work.infer.infer(some)
    screened = work.screen.screen_physics(some, inferred, air)
    delivery = inferred.of(screened)
    return work.reading.Reading(
        session.with_findings(screened),
        delivery.mirrored() if left else delivery,
        work.freshness.freshness(screened, delivery),
        work.losses.losses(delivery, air),
    )
