"""The command `demo`: the main job on the demo data; on a terminal the terminal UI, else a print-out."""

from __future__ import annotations

import argparse

from fitter import demo
from fitter.base.errors import InputError, Problem
from fitter.base.units import Units
from fitter.cli import work
from fitter.cli.main import on_terminal
from fitter.cli.session import warn_of_compiling
from fitter.display.text import print_json


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("--player", metavar="P", help="P1 to P4; P1 when silent")
    parser.add_argument("--print", action="store_true", help="print, on a terminal too")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    players = {p.code: p for p in demo.players()}
    wanted = args.player or next(iter(players))
    if wanted not in players:
        problem = Problem("--player", repr(wanted), ", ".join(players), "Name one of these.")
        raise InputError("There is no such player in the demo.", [problem])
    if not (args.print or args.json) and on_terminal():
        return work.tui.open_app(wanted, demo=True)
    player, folder = players[wanted], demo.folder()
    session, kit = work.intake.read(folder / player.log), work.inventory.Kit.load(folder)
    question = work.question.ask(session, kit, player.present, player.objective)
    warn_of_compiling()
    ranking = work.rank.rank(question)
    if args.json:
        print_json(work.serialise.ranking(ranking))
        return 0
    print(f"Demo (invented): {player.scene}\n")
    print(work.ranking.text(ranking, Units(args.units)))
    others = ", ".join(f"{p.code} ({p.objective})" for p in players.values() if p.code != wanted)
    print(f"\nThe other players: fitter demo --player P, with P one of {others}.")
    print(
        f"The same by hand: fitter rank {folder / player.log} --kit {folder} "
        f"--present {player.present} --for {player.objective}"
    )
    return 0
