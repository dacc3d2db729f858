"""The command `demo`: the main job on the demo data; on a terminal the terminal UI, else a print-out."""

from __future__ import annotations

import argparse

from fitter.base.errors import InputError, Problem
from fitter.cli.main import on_terminal
from fitter.display import text


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("--player", metavar="P", help="P1 to P4; P1 when silent")
    parser.add_argument("--print", action="store_true", help="print, on a terminal too")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from fitter import demo

    players = {p.code: p for p in demo.players()}
    wanted = args.player or next(iter(players))
    if wanted not in players:
        problem = Problem("--player", repr(wanted), ", ".join(players), "Name one of these.")
        raise InputError("There is no such player in the demo.", [problem])
    if not (args.print or args.json) and on_terminal():
        from fitter.tui import open_app

        return open_app(wanted, demo=True)
    from fitter.advice.question import ask
    from fitter.advice.rank import rank
    from fitter.cli.rank import warn_of_compiling
    from fitter.kit.inventory import Kit
    from fitter.shots.reader import intake

    player = players[wanted]
    session = intake.read(demo.folder() / player.log)
    warn_of_compiling()
    ranking = rank(ask(session, Kit.load(demo.folder()), player.present, player.objective))
    if args.json:
        text.print_json(ranking.as_dict())
        return 0
    from fitter.display import ladder

    print(f"Demo (invented): {player.scene}\n")
    print(ladder.text(ranking, args.units == "metric"))
    others = ", ".join(f"{p.code} ({p.objective})" for p in players.values() if p.code != wanted)
    print(f"\nThe other players: fitter demo --player P, with P one of {others}.")
    print(
        f"The same by hand: fitter rank {demo.folder() / player.log} --kit {demo.folder()} "
        f"--present {player.present} --for {player.objective}"
    )
    return 0
