"""The command `kit check`: errors of a kit, and what its missing figures cost."""

from __future__ import annotations

import argparse

from fitter.base.units import Units
from fitter.cli import work
from fitter.cli.arguments import (
    add_conditions,
    add_local_length_rule,
    conditions,
    together,
    without_session,
)
from fitter.display.text import print_json


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("action", choices=("check",), help="what to do")
    parser.add_argument("folder", metavar="DIR", help="folder with heads.csv and shafts.csv")
    add_local_length_rule(parser)
    add_conditions(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("The conditions cannot be used.") as gather:
        where = gather(conditions, args)
        gather(without_session, args)
    audit = work.audit.check_kit(args.folder, where, local_length_rule=args.local_length_rule)
    if args.json:
        print_json(work.serialise.audit(audit))
    else:
        print(work.bench.audit(audit, Units(args.units)))
    return 0
