"""The command `strike`: one strike."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitter.base.errors import InputError, Problem
from fitter.cli import arguments
from fitter.cli.arguments import Quantity, option, read_all, together
from fitter.display import text as output

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from fitter.simulate.strike import Strike

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
    for name, q in REQUIRED.items():
        parser.add_argument(option(name), required=True, metavar="X", help=q.help)
    for name, q in SILENT.items():
        parser.add_argument(option(name), default="0", metavar="X", help=q.help)
    parser.add_argument("--kit", metavar="DIR", help="kit with the head; an ordinary head when silent")
    parser.add_argument("--head", metavar="CODE", help="head of the kit")
    parser.add_argument("--slopes", action="store_true", help="changes per mph, degree and mm")
    arguments.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These quantities cannot be used.") as gather:
        v = gather(read_all, vars(args), REQUIRED | SILENT, args.units)
        where = gather(arguments.read, args)
        gather(arguments.without_session, args)
        club = gather(head_row, args)
    from fitter.simulate import sensitivities
    from fitter.simulate.strike import strike

    deed = (v["club_speed"], v["attack"], v["loft"], v["path"], v["face"], v["toe"] * 1e3, v["high"] * 1e3)
    hit = strike(*deed, head=club)
    found = sensitivities.strike_slopes(*deed, head=club, conditions=where) if args.slopes else None
    if args.json:
        result = hit.as_dict()
        if found is not None:
            result["slopes"] = found.as_dict()["slopes"]
        output.print_json(result)
        return 0
    print(text(hit, args.units))
    if found is not None:
        print("\n" + found.text(args.units))
    return 0


def text(hit: Strike, units: str) -> str:
    """Strike for people."""
    i = hit.intervals
    low, high = (output.speed(v, units) for v in i["ball_speed_mps"])
    rows = [
        ["ball speed", output.speed(hit.ball_speed_mps, units), f"{low} to {high}"],
        ["launch", f"{hit.launch_deg:.1f} deg", "{:.1f} to {:.1f} deg".format(*i["launch_deg"])],
        ["direction", output.side(hit.direction_deg, "deg"), _sides(i["direction_deg"])],
        ["spin", f"{hit.spin_rpm:.0f} rpm", "{:.0f} to {:.0f} rpm".format(*i["spin_rpm"])],
        ["spin axis", output.side(hit.spin_axis_deg, "deg"), _sides(i["spin_axis_deg"])],
        ["ball/club ratio", f"{hit.speed_ratio:.3f}", ""],
        ["spin loft", f"{hit.spin_loft_deg:.1f} deg", ""],
    ]
    lines = [output.table(["start", "value", "80 % interval"], rows)]
    lines += [output.wrap(f"Note: {note}.") for note in hit.notes]
    return "\n".join(lines)


def _sides(ends: tuple[float, float]) -> str:
    low, high = (end - 360.0 if end > 180.0 else end + 360.0 if end < -180.0 else end for end in ends)
    return f"{output.side(low, 'deg')} to {output.side(high, 'deg')}"


def head_row(args: argparse.Namespace) -> NDArray[np.float64] | None:
    """Head of the kit as the kernels take it, or None for an ordinary one."""
    if args.kit is None and args.head is None:
        return None
    if args.kit is None or args.head is None:
        problem = Problem(
            "--kit and --head", "one of the two", "both or none", "Give folder and code together."
        )
        raise InputError("A head needs its kit.", [problem])
    from fitter.kit.club import Club
    from fitter.kit.figures import Reading
    from fitter.kit.inventory import Kit
    from fitter.kit.mechanics import describe
    from fitter.kit.parts import Shaft

    head = Kit.load(args.kit).head(args.head)
    row: NDArray[np.float64] = describe([Club(head, Shaft("any"), Reading(45.25))], 45.0).kernel_heads()[0, 0]
    return row
