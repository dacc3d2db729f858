"""The command `shaft`: bench figures of a shaft in a club."""

from __future__ import annotations

import argparse

from fitter.base.errors import InputError, Problem
from fitter.cli import work
from fitter.cli.arguments import maybe, quantity, together
from fitter.display.text import print_json


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("--length", required=True, metavar="X", help="whole club, such as 45in")
    parser.add_argument("--mass", required=True, metavar="X", help="cut shaft, g")
    parser.add_argument("--head-mass", required=True, metavar="X", help="g")
    parser.add_argument("--frequency", metavar="X", help="of the club clamped at its butt, cpm")
    parser.add_argument("--stiffness", metavar="BUTT,TIP", help="bending stiffness at butt and tip, N m2")
    parser.add_argument("--tip-stiffness", metavar="X", help="measured near the tip, N m2")
    parser.add_argument("--club-speed", metavar="X", help="100mph when silent")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These quantities cannot be used.") as gather:
        length = gather(quantity, args, "length", "club length")
        shaft = gather(quantity, args, "mass", "mass")
        head = gather(quantity, args, "head_mass", "mass")
        frequency = gather(maybe, args, "frequency", "frequency")
        speed = gather(maybe, args, "club_speed", "speed")
        ends = gather(_stiffness, "--stiffness", args.stiffness, ("BUTT", "TIP"), "70,25")
        tip = gather(_stiffness, "--tip-stiffness", args.tip_stiffness, ("TIP",), "25")
    found = work.shaft_figures.shaft_figures(
        length,
        shaft,
        head,
        frequency_cpm=frequency,
        stiffness_nm2=None if ends is None else (ends[0], ends[1]),
        tip_ei_nm2=None if tip is None else tip[0],
        club_speed_mps=speed,
    )
    if args.json:
        print_json(found)
    else:
        print(work.bench.shaft(found))
    return 0


def _stiffness(where: str, text: str | None, names: tuple[str, ...], example: str) -> list[float] | None:
    """Numbers with commas between, one for each name, N m2; None when silent."""
    if text is None:
        return None
    try:
        numbers = [float(part) for part in text.split(",")]
        if len(numbers) != len(names):
            raise ValueError
    except ValueError as error:
        allowed = f"{','.join(names)} in N m2"
        problem = Problem(where, repr(text), allowed, f"Write {len(names)} in figures, such as {example}.")
        raise InputError("The stiffness cannot be read.", [problem]) from error
    return numbers
