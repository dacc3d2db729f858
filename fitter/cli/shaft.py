"""The command `shaft`: bench figures of a shaft in a club."""

from __future__ import annotations

import argparse

from fitter.base.errors import InputError, Problem
from fitter.cli.arguments import maybe, quantity, together
from fitter.display import text as output

LABELS = {
    "frequency_cpm": ("frequency, clamped at the butt", "cpm"),
    "lead_mm": ("lead near impact", "mm"),
    "added_loft_deg": ("added loft, in the plane of the bend", "deg"),
    "loft_to_ground_deg": ("added loft, against the ground", "deg"),
    "face_closed_deg": ("face, closed by the bend", "deg"),
    "droop_mm": ("droop near impact", "mm"),
    "droop_deg": ("droop near impact", "deg"),
    "swing_weight": ("swing weight", ""),
    "swing_weight_points": ("swing weight above D0", "points"),
    "moi_kgcm2": ("inertia about the butt", "kg cm2"),
    "total_mass_g": ("total mass", "g"),
    "balance_mm": ("balance from the butt", "mm"),
    "tip_ei_nm2": ("stiffness near the tip", "N m2"),
}
"""What people read of each figure."""


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
    from fitter.kit.shaft_figures import shaft_figures

    found = shaft_figures(
        length,
        shaft,
        head,
        frequency_cpm=frequency,
        stiffness_nm2=None if ends is None else (ends[0], ends[1]),
        tip_ei_nm2=None if tip is None else tip[0],
        club_speed_mps=speed,
    )
    values = found.as_dict()
    if args.json:
        output.print_json(values)
        return 0
    rows = []
    for name, (label, unit) in LABELS.items():
        value, ends_of = values[name], values["intervals"].get(name)
        shown = value if isinstance(value, str) else f"{value:.2f}"
        rows.append([label, unit, shown, f"{ends_of[0]:.2f} to {ends_of[1]:.2f}" if ends_of else ""])
    print(output.table(["figure", "unit", "value", "80 % interval"], rows, left=2))
    for note in values["notes"]:
        print(output.wrap(f"Note: {note}."))
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
