"""The command `fly`: one flight."""

from __future__ import annotations

import argparse

from fitter.base.units import Units
from fitter.cli import work
from fitter.cli.arguments import (
    Quantity,
    add_conditions,
    add_quantities,
    conditions,
    read_all,
    together,
    without_session,
)
from fitter.display.text import print_json

REQUIRED = {
    "ball_speed": Quantity("speed", 10.0, 120.0, "10 to 120 m/s", "such as 170mph or 76m/s"),
    "launch": Quantity("angle", -20.0, 60.0, "-20 to 60 deg", "launch angle, deg"),
    "spin": Quantity("spin", 0.0, 12000.0, "0 to 12000 rpm", "spin rate, rpm"),
}
SILENT = {
    "direction": Quantity("angle", -45.0, 45.0, "-45 to 45 deg", "start direction, deg, right positive"),
    "axis": Quantity("angle", -90.0, 90.0, "-90 to 90 deg", "tilt of the spin axis, deg, right positive"),
}
"""Quantities that are 0 when nothing is said."""


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    add_quantities(parser, REQUIRED, required=True)
    add_quantities(parser, SILENT, default="0")
    parser.add_argument("--slopes", action="store_true", help="carry per mph, degree, 100 rpm, 1 %% density")
    add_conditions(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These quantities cannot be used.") as gather:
        v = gather(read_all, vars(args), REQUIRED | SILENT, args.units)
        where = gather(conditions, args)
        gather(without_session, args)
    start = (v["ball_speed"], v["launch"], v["spin"], v["direction"], v["axis"])
    found = work.flight.fly(*start, conditions=where)
    slopes = work.sensitivities.fly_slopes(*start, conditions=where) if args.slopes else None
    if args.json:
        print_json(work.simulated.serialised(found, slopes))
        return 0
    units = Units(args.units)
    print(work.simulated.flight(found, units))
    if slopes is not None:
        print("\n" + work.simulated.slopes(slopes, units))
    return 0
