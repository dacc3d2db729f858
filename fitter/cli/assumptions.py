"""The command `assumptions`: every judged number."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Sequence

from fitter.base.assumptions import LETTERS, Assumption, current
from fitter.base.errors import InputError, Problem
from fitter.cli import work
from fitter.display.text import WIDTH, print_json, wrap

NAME = 30
"""Width of the names' column."""


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("name", nargs="?", help="a section or a name, such as 'strike' or 'strike.friction'")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    known = current()
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
        print_json(work.serialise.assumptions(wanted))
        return 0
    print(text(wanted))
    print("\n" + wrap("Letters: " + "; ".join(f"{k} {v}" for k, v in LETTERS.items()) + "."))
    return 0


def text(wanted: Sequence[Assumption]) -> str:
    """Table for people, by section; the source stands under its number."""
    lines: list[str] = []
    section = ""
    for a in wanted:
        here, _, name = a.name.partition(".")
        if here != section:
            section = here
            head = f"{section:<{NAME}}  {'value':>9}  {'sd':>8}  letter  unit"
            lines += [*([""] if lines else []), head, "-" * len(head)]
        row = f"{name:<{NAME}}  {a.value:>9g}  {a.sd or '-':>8}  {a.letter:<6}  {a.unit}"
        lines.append(textwrap.fill(row, WIDTH, subsequent_indent=" " * (NAME + 31)))
        words = f"{a.source}. {a.note}".strip()
        lines.append(textwrap.fill(words, WIDTH, initial_indent="    ", subsequent_indent="    "))
    return "\n".join(lines)
