"""The command `assumptions`: every judged number."""

from __future__ import annotations

import argparse
import textwrap

from fitter.assumptions import LETTERS, load
from fitter.cli import output
from fitter.errors import InputError, Problem


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("name", nargs="?", help="a section or a name, such as 'strike' or 'strike.friction'")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    known = load()
    wanted = [
        a for n, a in known.items() if args.name is None or n == args.name or n.split(".")[0] == args.name
    ]
    if not wanted:
        sections = ", ".join(dict.fromkeys(n.split(".")[0] for n in known))
        raise InputError(
            "There is no such assumption.",
            [Problem("assumptions", repr(args.name), f"a section ({sections}) or a name in it", "Name one.")],
        )
    if args.json:
        output.print_json({a.name: {k: v for k, v in vars(a).items() if k != "name"} for a in wanted})
        return 0
    for a in wanted:
        spread = f" +- {a.sd:g}" if a.sd else ""
        print(f"{a.name} = {a.value:g}{spread} {a.unit} [{a.letter}]")
        note = f" {a.note}" if a.note else ""
        print(
            textwrap.fill(
                a.source + "." + note, output.WIDTH, initial_indent="    ", subsequent_indent="    "
            )
        )
    print("\nLetters: " + "; ".join(f"{k} {v}" for k, v in LETTERS.items()) + ".")
    return 0
