"""The command `strike`: one strike."""

from __future__ import annotations

import argparse

from fitter.cli import output, surroundings
from fitter.cli.fly import check
from fitter.cli.quantities import quantity
from fitter.errors import InputError, Problem

LIMITS = {
    "club_speed": (10.0, 80.0, "10 to 80 m/s"),
    "attack": (-30.0, 30.0, "-30 to 30 deg"),
    "loft": (-10.0, 75.0, "-10 to 75 deg"),
    "path": (-45.0, 45.0, "-45 to 45 deg"),
    "face": (-45.0, 45.0, "-45 to 45 deg"),
    "toe": (-0.06, 0.06, "-60 to 60 mm"),
    "high": (-0.04, 0.04, "-40 to 40 mm"),
}


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("--club-speed", required=True, metavar="X", help="at the face centre, such as 110mph")
    parser.add_argument("--attack", required=True, metavar="X", help="deg, up positive")
    parser.add_argument(
        "--loft", required=True, metavar="X", help="dynamic (delivered) loft at the face centre, deg"
    )
    parser.add_argument("--path", default="0", metavar="X", help="deg, right positive")
    parser.add_argument("--face", default="0", metavar="X", help="deg, right positive")
    parser.add_argument("--toe", default="0", metavar="X", help="strike place, mm, toe positive")
    parser.add_argument("--high", default="0", metavar="X", help="strike place, mm, up positive")
    parser.add_argument("--kit", metavar="DIR", help="kit with the head; an ordinary head when silent")
    parser.add_argument("--head", metavar="CODE", help="head of the kit")
    parser.add_argument("--slopes", action="store_true", help="changes per mph, degree and mm")
    surroundings.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    kinds = {
        "club_speed": "speed", "attack": "angle", "loft": "angle", "path": "angle", "face": "angle",
        "toe": "strike", "high": "strike",
    }  # fmt: skip
    v = {name: quantity(args, name, kind) for name, kind in kinds.items()}
    check(args, v, LIMITS)
    where = surroundings.read(args)
    from fitter import simulate

    deed = (v["club_speed"], v["attack"], v["loft"], v["path"], v["face"], v["toe"] * 1e3, v["high"] * 1e3)
    club = head_row(args)
    hit = simulate.strike(*deed, head=club, face_state=where.face)
    slopes = simulate.strike_slopes(*deed, head=club, conditions=where) if args.slopes else None
    if args.json:
        result = hit.as_dict()
        if slopes is not None:
            result["slopes"] = slopes.as_dict()["slopes"]
        output.print_json(result)
        return 0
    i = hit.intervals
    speeds = [output.speed(v, args.units) for v in i["ball_speed_mps"]]
    rows = [
        ["ball speed", output.speed(hit.ball_speed_mps, args.units), f"{speeds[0]} to {speeds[1]}"],
        ["launch", f"{hit.launch_deg:.1f} deg", "{:.1f} to {:.1f} deg".format(*i["launch_deg"])],
        ["direction", output.side(hit.direction_deg, "deg"), _sides(i["direction_deg"])],
        ["spin", f"{hit.spin_rpm:.0f} rpm", "{:.0f} to {:.0f} rpm".format(*i["spin_rpm"])],
        ["spin axis", output.side(hit.spin_axis_deg, "deg"), _sides(i["spin_axis_deg"])],
        ["ball/club ratio", f"{hit.speed_ratio:.3f}", ""],
        ["spin loft", f"{hit.spin_loft_deg:.1f} deg", ""],
    ]  # fmt: skip
    print(output.table(["start", "value", "80 % interval"], rows))
    for note in hit.notes:
        print(f"Note: {note}.")
    if slopes is not None:
        print("\n" + slopes.text(args.units))
    return 0


def _sides(ends: tuple[float, float]) -> str:
    return f"{output.side(ends[0], 'deg')} to {output.side(ends[1], 'deg')}"


def head_row(args: argparse.Namespace):  # type: ignore[no-untyped-def]
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
    return describe([Club(head, Shaft("any"), Reading(45.25))], 45.0).kernel_heads()[0, 0]
