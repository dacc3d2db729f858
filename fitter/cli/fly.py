"""The command `fly`: one flight."""

from __future__ import annotations

import argparse

from fitter.cli import output, surroundings
from fitter.cli.quantities import quantity
from fitter.errors import Problem, raise_if

LIMITS = {
    "ball_speed": (10.0, 120.0, "10 to 120 m/s"),
    "launch": (-20.0, 60.0, "-20 to 60 deg"),
    "spin": (0.0, 12000.0, "0 to 12000 rpm"),
    "direction": (-45.0, 45.0, "-45 to 45 deg"),
    "axis": (-90.0, 90.0, "-90 to 90 deg"),
}


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("--ball-speed", required=True, metavar="X", help="such as 170mph or 76m/s")
    parser.add_argument("--launch", required=True, metavar="X", help="launch angle, deg")
    parser.add_argument("--spin", required=True, metavar="X", help="spin rate, rpm")
    parser.add_argument("--direction", metavar="X", default="0", help="start direction, deg, right positive")
    parser.add_argument(
        "--axis", metavar="X", default="0", help="tilt of the spin axis, deg, curves right positive"
    )
    parser.add_argument("--slopes", action="store_true", help="carry per mph, degree, 100 rpm, 1 %% density")
    surroundings.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    kinds = {"ball_speed": "speed", "launch": "angle", "spin": "spin", "direction": "angle", "axis": "angle"}
    values = {name: quantity(args, name, kind) for name, kind in kinds.items()}
    check(args, values, LIMITS)
    where = surroundings.read(args)
    from fitter import simulate

    start = (values["ball_speed"], values["launch"], values["spin"], values["direction"], values["axis"])
    flight = simulate.fly(*start, conditions=where)
    slopes = simulate.fly_slopes(*start, conditions=where) if args.slopes else None
    if args.json:
        result = flight.as_dict()
        if slopes is not None:
            result["slopes"] = slopes.as_dict()["slopes"]
        output.print_json(result)
        return 0
    print(text(flight, args.units))
    if slopes is not None:
        print("\n" + slopes.text(args.units))
    return 0


def check(
    args: argparse.Namespace, values: dict[str, float], limits: dict[str, tuple[float, float, str]]
) -> None:
    """Refuse quantities outside of what a club or a ball can do, all at once."""
    problems = [
        Problem(
            "--" + name.replace("_", "-"), str(getattr(args, name)), limits[name][2], "Check number and unit."
        )
        for name, value in values.items()
        if not limits[name][0] <= value <= limits[name][1]
    ]
    raise_if(problems, "These quantities cannot be used.")


def text(flight: object, units: str) -> str:
    """Flight for people."""
    from fitter.simulate import Flight

    assert isinstance(flight, Flight)
    d, s = output.distance, output.speed
    offline = flight.offline_m if units == "metric" else flight.offline_m / 0.9144
    lines = [
        f"carry {d(flight.carry_m, units)} (80 %: {d(flight.carry_low_m, units)} to "
        f"{d(flight.carry_high_m, units)}), total {d(flight.total_m, units)}",
        f"apex {d(flight.apex_m, units)}, landing {flight.descent_deg:.0f} deg at "
        f"{s(flight.landing_speed_mps, units)}, {flight.landing_spin_rpm:.0f} rpm, {flight.time_s:.1f} s, "
        f"side {output.side(offline, 'm' if units == 'metric' else 'yd')}",
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
    lines += [f"{name} {law.held}" for name, law in flight.laws.items() if law.held]
    lines += [f"Note: {note}." for note in flight.notes]
    return "\n".join(lines)
