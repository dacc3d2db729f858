"""The command `build`: bench sheet of a club, and what came back from the bench."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from fitter.base.units import INCH
from fitter.cli import arguments
from fitter.cli.arguments import Quantity, option, read_all, together
from fitter.display import text as output

if TYPE_CHECKING:
    from fitter.kit.club import Club
    from fitter.kit.inventory import Kit

SILENT = {
    "length": Quantity("club length", 30 * INCH, 60 * INCH, "30 to 60 in", "whole club, such as 45.25in"),
    "club_speed": Quantity("speed", 10.0, 80.0, "10 to 80 m/s", "at which the shaft bends"),
}


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("club", metavar="HEAD/SHAFT", help="what is ordered, parts of the kit")
    parser.add_argument("--kit", required=True, metavar="DIR", help="folder with heads.csv and shafts.csv")
    for name, q in SILENT.items():
        parser.add_argument(option(name), metavar="X", help=q.help)
    parser.add_argument(
        "--sleeve", type=float, default=0.0, metavar="DEG", help="loft change of its position"
    )
    parser.add_argument("--hit", metavar="CLUB", help="club that the player hit, as for --present of rank")
    parser.add_argument(
        "--check", metavar="CARD", help="card of the built club: read back, predict again if it is out"
    )
    parser.add_argument(
        "--from", dest="log", metavar="LOG", help="session of the present club, to predict again with"
    )
    parser.add_argument(
        "--present", metavar="CLUB", help="club of that session; the one of --hit when silent"
    )
    arguments.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These quantities cannot be used.") as gather:
        given = gather(read_all, vars(args), SILENT, args.units)
        where = gather(arguments.read, args)
        there = gather(arguments.measured_in if args.log else arguments.without_session, args)
    length, speed = given.get("length"), given.get("club_speed")
    from fitter.advice.options import present_club
    from fitter.display.build import step_text
    from fitter.kit.build import build_sheet
    from fitter.kit.club import from_kit
    from fitter.kit.inventory import Kit

    kit = Kit.load(args.kit)
    ordered = from_kit(kit, args.club, None if length is None else length / INCH, args.sleeve)
    hit = ordered if args.hit is None else present_club(kit, args.hit)
    sheet = build_sheet(hit, ordered, speed)
    result: dict[str, Any] = {
        "club": sheet.club,
        "head": sheet.head,
        "shaft": sheet.shaft,
        "swing_weight": sheet.swing_weight,
        "lines": [
            {
                "name": line.name,
                "unit": line.unit,
                "as_hit": line.as_hit.value,
                "as_ordered": line.as_ordered.value,
                "as_ordered_sd": line.as_ordered.sd,
                "measured": line.as_ordered.measured,
                "tolerance": line.tolerance,
            }
            for line in sheet.lines
        ],
        "steps": [step_text(step) for step in sheet.steps],
    }  # fmt: skip
    if args.check is not None:
        result["check"] = _check(args, kit, ordered, hit, speed, where, there)
    if args.json:
        output.print_json(result)
        return 0
    print(text(result, args.units))
    return 0


def _check(
    args: argparse.Namespace, kit: Kit, ordered: Club, hit: Club, speed: float | None, where: Any, there: Any
) -> dict[str, Any]:
    from fitter.kit.build import read_back
    from fitter.kit.club import read_card

    found = read_back(ordered, read_card(args.check), speed)
    result: dict[str, Any] = {"within": found.within, "checks": [vars(c) for c in found.checks]}
    if found.within or args.log is None:
        return result
    from fitter.advice.options import present_club
    from fitter.advice.question import ask
    from fitter.advice.rank import compare
    from fitter.shots.reader import intake

    present = hit if args.present is None else present_club(kit, args.present)
    session = intake.read(args.log)
    gains = compare(ask(session, kit, present, conditions=where, measured_in=there), [ordered, found.club])
    names = ("as_ordered", "as_built")
    result["carry_gain_m"] = {
        n: {"mean": g.mean, "low": g.low, "high": g.high} for n, g in zip(names, gains, strict=True)
    }
    return result


def _label(name: str) -> str:
    """Name of a figure without its unit."""
    return name.rpartition("_")[0].replace("_", " ")


def _figure(name: str, value: float) -> str:
    """Figure for people: a face is open or closed, never signed."""
    if name != "face_angle_deg" or abs(value) < 0.005:
        return f"{value:.2f}"
    return f"{abs(value):.2f} {'open' if value > 0 else 'closed'}"


def text(result: dict[str, Any], units: str) -> str:
    """Sheet for the bench."""
    rows = [
        [
            _label(line["name"]), line["unit"], _figure(line["name"], line["as_hit"]),
            _figure(line["name"], line["as_ordered"]) + ("" if line["measured"] else " ~"),
            "" if line["tolerance"] is None else f"+-{line['tolerance']:g}", "______",
        ]
        for line in result["lines"]
    ]  # fmt: skip
    lines = [
        f"Build {result['club']}, swing weight {result['swing_weight']}",
        "",
        output.table(["figure", "unit", "as hit", "as ordered", "tolerance", "as built"], rows, left=2),
        "~ nobody measured it: gauge before ordering. Order by gauge, not by stamp.",
        "",
        *(f"{k}. {step}" for k, step in enumerate(result["steps"], 1)),
    ]
    check = result.get("check")
    if check:
        rows = [
            [
                _label(c["name"]),
                c["unit"],
                _figure(c["name"], c["ordered"]),
                "-" if c["built"] is None else _figure(c["name"], c["built"]),
                c["state"],
            ]
            for c in check["checks"]
        ]
        lines += ["", output.table(["read back", "unit", "ordered", "built", "state"], rows, left=2)]
        lines.append("Within tolerance." if check["within"] else "OUT of tolerance: see the lines above.")
        for name, gain in check.get("carry_gain_m", {}).items():
            d = [output.distance(gain[k], units) for k in ("mean", "low", "high")]
            lines.append(f"carry gain {name.replace('_', ' ')}: {d[0]} (80 %: {d[1]} to {d[2]})")
    lines += [
        "",
        "Heat and clamp as the maker says; wear eye protection; never hit a loose or cracked club.",
    ]
    return "\n".join(lines)
