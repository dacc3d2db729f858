"""The command `fly`: one flight."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fitter.cli import arguments
from fitter.cli.arguments import Quantity, option, read_all, together
from fitter.display import text as output

if TYPE_CHECKING:
    from fitter.simulate.flight import Flight

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
    for name, q in REQUIRED.items():
        parser.add_argument(option(name), required=True, metavar="X", help=q.help)
    for name, q in SILENT.items():
        parser.add_argument(option(name), default="0", metavar="X", help=q.help)
    parser.add_argument("--slopes", action="store_true", help="carry per mph, degree, 100 rpm, 1 %% density")
    arguments.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These quantities cannot be used.") as gather:
        values = gather(read_all, vars(args), REQUIRED | SILENT, args.units)
        where = gather(arguments.read, args)
        gather(arguments.without_session, args)
    from fitter.simulate import sensitivities
    from fitter.simulate.flight import fly

    start = (values["ball_speed"], values["launch"], values["spin"], values["direction"], values["axis"])
    flight = fly(*start, conditions=where)
    found = sensitivities.fly_slopes(*start, conditions=where) if args.slopes else None
    if args.json:
        result = flight.as_dict()
        if found is not None:
            result["slopes"] = found.as_dict()["slopes"]
        output.print_json(result)
        return 0
    print(text(flight, args.units))
    if found is not None:
        print("\n" + found.text(args.units))
    return 0


def text(flight: Flight, units: str) -> str:
    """Flight for people."""
    d, s = output.distance, output.speed
    lines = [
        f"carry {d(flight.carry_m, units)} (80 %: {d(flight.carry_low_m, units)} to "
        f"{d(flight.carry_high_m, units)}), total {d(flight.total_m, units)}",
        f"apex {d(flight.apex_m, units)}, landing {flight.descent_deg:.0f} deg at "
        f"{s(flight.landing_speed_mps, units)}, {flight.landing_spin_rpm:.0f} rpm, {flight.time_s:.1f} s, "
        f"side {output.far_side(flight.offline_m, units)}",
        f"air {flight.air_density_kgm3:.4f} kg/m3",
        "",
        output.table(
            ["law", "carry", "total", "apex", "landing", "weight"],
            [
                [
                    name + (f" ({law.era})" if law.era != "modern" else ""),
                    d(law.carry_m, units),
                    d(law.total_m, units),
                    d(law.apex_m, units),
                    f"{law.descent_deg:.0f} deg",
                    f"{law.weight:.2f}",
                ]
                for name, law in flight.laws.items()
            ],
        ),
    ]
    lines += [output.wrap(f"{name} {law.held}") for name, law in flight.laws.items() if law.held]
    lines += [output.wrap(f"Note: {note}.") for note in flight.notes]
    return "\n".join(lines)
