"""The command `kit check`: errors of a kit, and what its missing figures cost."""

from __future__ import annotations

import argparse

from fitter.cli import arguments
from fitter.cli.arguments import together
from fitter.display import text

SHOWN = 20


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("action", choices=("check",), help="what to do")
    parser.add_argument("folder", metavar="DIR", help="folder with heads.csv and shafts.csv")
    arguments.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("The conditions cannot be used.") as gather:
        where = gather(arguments.read, args)
        gather(arguments.without_session, args)
    from fitter.advice.audit import check_kit

    audit = check_kit(args.folder, where)
    if args.json:
        missing = [vars(m) for m in audit.missing]
        text.print_json({"heads": audit.heads, "shafts": audit.shafts, "missing": missing, "problems": []})
        return 0
    print(f"{audit.heads} heads and {audit.shafts} shafts read without fault.")
    if audit.missing:
        rows = [
            [
                f"{m.part} {m.code}",
                m.figure,
                m.how,
                text.distance(m.carry_m, args.units),
                f"{m.minutes} min",
            ]
            for m in audit.missing[:SHOWN]
        ]
        print("Not measured, widest carry interval first (what measuring would close):\n")
        print(text.table(["part", "figure", "measure with", "carry", "takes"], rows, left=3))
        if len(audit.missing) > SHOWN:
            print(f"and {len(audit.missing) - SHOWN} more (--json lists all)")
    return 0
