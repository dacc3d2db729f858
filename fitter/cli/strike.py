"""The command `strike`: one strike."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitter.base.errors import InputError, Problem
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

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

REQUIRED = {
    "club_speed": Quantity("speed", 10.0, 80.0, "10 to 80 m/s", "at the face centre, such as 110mph"),
    "attack": Quantity("angle", -30.0, 30.0, "-30 to 30 deg", "deg, up positive"),
    "loft": Quantity("angle", -10.0, 75.0, "-10 to 75 deg", "dynamic (delivered) loft, deg"),
}
SILENT = {
    "path": Quantity("angle", -45.0, 45.0, "-45 to 45 deg", "deg, right positive"),
    "face": Quantity("angle", -45.0, 45.0, "-45 to 45 deg", "deg, right positive"),
    "toe": Quantity("strike", -0.06, 0.06, "-60 to 60 mm", "strike place, mm, toe positive"),
    "high": Quantity("strike", -0.04, 0.04, "-40 to 40 mm", "strike place, mm, up positive"),
}
"""Quantities that are 0 when nothing is said."""


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    add_quantities(parser, REQUIRED, required=True)
    add_quantities(parser, SILENT, default="0")
    parser.add_argument("--kit", metavar="DIR", help="kit with the head; an ordinary head when silent")
    parser.add_argument("--head", metavar="CODE", help="head of the kit")
    parser.add_argument("--slopes", action="store_true", help="changes per mph, degree and mm")
    add_conditions(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These quantities cannot be used.") as gather:
        v = gather(read_all, vars(args), REQUIRED | SILENT, args.units)
        where = gather(conditions, args)
        gather(without_session, args)
        head = gather(_head, args)
    swing = (v["club_speed"], v["attack"], v["loft"], v["path"], v["face"], v["toe"] * 1e3, v["high"] * 1e3)
    found = work.strike.strike(*swing, head=head)
    slopes = work.sensitivities.strike_slopes(*swing, head=head, conditions=where) if args.slopes else None
    if args.json:
        print_json(work.simulated.serialised(found, slopes))
        return 0
    units = Units(args.units)
    print(work.simulated.strike(found, units))
    if slopes is not None:
        print("\n" + work.simulated.slopes(slopes, units))
    return 0


def _head(args: argparse.Namespace) -> NDArray[np.float64] | None:
    """Head of the kit as the kernels take it, or None for an ordinary one."""
    if args.kit is None and args.head is None:
        return None
    if args.kit is None or args.head is None:
        found = Problem(
            "--kit and --head", "one of the two", "both or none", "Give folder and code together."
        )
        raise InputError("A head needs its kit.", [found])
    head = work.inventory.Kit.load(args.kit).head(args.head)
    club = work.club.Club(head, work.parts.Shaft("any"), work.figures.Reading(45.25))
    row: NDArray[np.float64] = work.mechanics.describe([club], 45.0).kernel_heads()[0, 0]
    return row
