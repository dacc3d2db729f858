"""The command `shaft`: bench figures of a shaft in a club."""

from __future__ import annotations

import argparse

from fitter.cli import output
from fitter.cli.quantities import maybe, quantity
from fitter.errors import InputError, Problem


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("--length", required=True, metavar="X", help="whole club, such as 45in")
    parser.add_argument("--mass", required=True, metavar="X", help="cut shaft, g")
    parser.add_argument("--head-mass", required=True, metavar="X", help="g")
    parser.add_argument("--frequency", metavar="X", help="of the club clamped at its butt, cpm")
    parser.add_argument("--stiffness", metavar="BUTT,TIP", help="bending stiffness at butt and tip, N m2")
    parser.add_argument("--tip-stiffness", metavar="X", type=float, help="measured near the tip, N m2")
    parser.add_argument("--club-speed", metavar="X", help="100mph when silent")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    length = quantity(args, "length", "club length")
    masses = quantity(args, "mass", "mass"), quantity(args, "head_mass", "mass")
    frequency, speed = maybe(args, "frequency", "frequency"), maybe(args, "club_speed", "speed")
    stiffness = _pair(args.stiffness)
    from fitter.kit.shaft_bench import shaft_figures

    found = shaft_figures(
        length, *masses, frequency_cpm=frequency, stiffness_nm2=stiffness, tip_ei_nm2=args.tip_stiffness,
        club_speed_mps=speed,
    )  # fmt: skip
    values = found.as_dict()
    if args.json:
        output.print_json(values)
        return 0
    rows = []
    for name, value in values.items():
        if isinstance(value, dict | list):
            continue
        ends = values["intervals"].get(name)
        shown = value if isinstance(value, str) else f"{value:.2f}"
        rows.append([name, shown, f"{ends[0]:.2f} to {ends[1]:.2f}" if ends else ""])
    print(output.table(["figure", "value", "80 % interval"], rows))
    for note in values["notes"]:
        print(f"Note: {note}")
    return 0


def _pair(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    try:
        butt, tip = (float(part) for part in text.split(","))
    except ValueError as error:
        problem = Problem("--stiffness", repr(text), "BUTT,TIP in N m2", "Write two numbers, such as 70,25.")
        raise InputError("The stiffness cannot be read.", [problem]) from error
    return butt, tip
