"""The command `reach`: the club speed that a distance needs."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitter.cli import output, surroundings
from fitter.cli.log import add_log, read_one
from fitter.cli.quantities import quantity, together
from fitter.errors import EXIT_DATA

if TYPE_CHECKING:
    from fitter.advice.reach import Needed, Reach

PARTS = 14
"""Columns of the names of parts."""


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("distance", metavar="DISTANCE", help="such as 280yd or 256m")
    add_log(parser, "--from")
    parser.add_argument("--kit", metavar="DIR", help="folder with heads.csv and shafts.csv, for equipment")
    parser.add_argument(
        "--present", default="unknown", metavar="CLUB", help="as for rank; unknown when silent"
    )
    parser.add_argument(
        "--as", dest="measure", default="carry", metavar="WHAT", help="carry or total (carry)"
    )
    parser.add_argument(
        "--count", default="typical", metavar="WHICH", help="typical or best-of-N (typical: the mean ball)"
    )
    parser.add_argument(
        "--grid", metavar="WIDTHxDEPTH", help="for best-of-N: only balls within the width count (60yd)"
    )
    parser.add_argument("--sets-face", default="unknown", metavar="HOW", help="soled, eye or unknown")
    parser.add_argument(
        "--draws", type=int, default=256, metavar="N", help="draws of what is not known (256)"
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the same seed, the same answer")
    surroundings.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from fitter.cli import rank as rank_command
    from fitter.cli import wishes

    with together("These options cannot be used.") as gather:
        where = gather(surroundings.read, args)
        there = gather(surroundings.measured_in, args)
        gather(rank_command.check_draws, args.draws)
        distance = gather(quantity, args, "distance", "length")
        size = gather(wishes.grid, args.grid, args.units) if args.grid else {}
    from fitter.advice.reach import reach
    from fitter.kit.inventory import Kit

    session = read_one(args)
    rank_command.warn_of_compiling()
    found = reach(
        session,
        distance,
        Kit.load(args.kit) if args.kit else None,
        args.present,
        args.measure,
        args.count,
        size.get("grid_width_m"),
        where,
        there,
        args.draws,
        args.seed,
        sets_face=args.sets_face,
    )
    if args.json:
        output.print_json(found.as_dict())
    else:
        for line in lines(found, args.units):
            print(output.wrap(line, "   ") if len(line) > output.WIDTH else line)
    return EXIT_DATA if found.present.club_speed_mps is None else 0


def lines(found: Reach, units: str) -> list[str]:
    """Answer for people, within 100 columns."""

    def far(metres: float, digits: int = 0) -> str:
        return output.distance(metres, units, digits)

    what = f"{far(found.distance_m)} of {found.measure}"
    if found.count != "typical":
        what += f", the longest of {found.count.rpartition('-')[2]} balls within the width"
    out = [f"To reach {what} ({air(found, units)}):", ""]
    out += _club("present club", found.present, found, units)
    if found.best is not None:
        out += _club("best option", found.best, found, units)
    out += ["", f"The gap from today's session is {far(found.gap_m, 1)}, in the order of what it costs:"]
    for part in found.budget:
        mean, low, high = (far(v, 1).split()[0] for v in (part.value_m, part.low_m, part.high_m))
        unit = far(0.0).split()[1]
        out.append(f"   {part.part:<16} {mean:>6} {unit}  (80 % {low} to {high})  {part.words}")
    if found.speed_left_mps is not None:
        low, middle, high = (output.speed(v, units, 1) for v in found.speed_left_mps)
        out.append(f"   speed that is left to train if all of that were had: {middle} (80 % {low} to {high})")
    out.append("")
    out += [f"Note: {note}." for note in found.notes]
    return out


def _club(label: str, needed: Needed, found: Reach, units: str) -> list[str]:
    now = output.distance(needed.now_m, units, 0)
    per = "m per m/s" if units == "metric" else "yd per mph"
    from fitter.units import MPH, YARD

    slope = needed.m_per_mps if units == "metric" else needed.m_per_mps * MPH / YARD
    chance = "a ball" if found.count == "typical" else "a set"
    there = f"{chance} gets there today with {needed.p_today:.2f}"
    head = f"   {label} {needed.option}: today {now}, {slope:.1f} {per}, {there}"
    if needed.club_speed_mps is None:
        return [head, f"      {needed.reason}"]
    low = output.speed(needed.low_mps, units, 0)
    high = "?" if needed.high_mps is None else output.speed(needed.high_mps, units, 0)
    middle, today = (output.speed(v, units, 1) for v in (needed.club_speed_mps, found.club_speed_mps))
    return [head, f"      needs {middle} of club speed (80 % {low} to {high}); today {today}"]


def air(found: Reach, units: str) -> str:
    """Air and turf of the answer."""
    c = found.conditions
    warm = f"{c.temperature_c:.0f} C" if units == "metric" else f"{c.temperature_c * 1.8 + 32:.0f} F"
    wind = "no wind"
    if c.wind_mps:
        wind = f"wind {output.speed(c.wind_mps, units, 0)} from {c.wind_from_deg:.0f} deg"
    return f"{warm}, {c.pressure_pa / 100:.0f} hPa, {wind}, {c.turf} turf"
