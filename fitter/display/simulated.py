"""One flight, one strike and their sensitivities as text for people and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fitter.base.units import Units
from fitter.display.text import notes, plain, table, wrap

if TYPE_CHECKING:
    from fitter.simulate.flight import Flight
    from fitter.simulate.sensitivities import Slopes
    from fitter.simulate.strike import Strike


def serialised(found: Flight | Strike, slopes: Slopes | None = None) -> dict[str, Any]:
    """One flight or strike under the keys of the contract, with its sensitivities if they were asked for."""
    more = {} if slopes is None else {"slopes": slopes.slopes}
    return {**plain(found), **plain(more)}


def flight(found: Flight, units: Units) -> str:
    """Carry, total, landing, and the same by each ball law."""
    far, landing_speed = units.distance, units.speed(found.landing_speed_mps, 1)
    lines = [
        f"carry {far(found.carry_m)} (80 %: {far(found.carry_low_m)} to {far(found.carry_high_m)}), "
        f"total {far(found.total_m)}",
        f"apex {far(found.apex_m)}, landing {found.descent_deg:.0f} deg at {landing_speed}, "
        f"{found.landing_spin_rpm:.0f} rpm, {found.time_s:.1f} s, side {units.across(found.offline_m, 1)}",
        f"air {found.air_density_kgm3:.4f} kg/m3",
        "",
        table(
            ["law", "carry", "total", "apex", "landing", "weight"],
            [
                [
                    name + (f" ({law.era})" if law.era != "modern" else ""),
                    far(law.carry_m),
                    far(law.total_m),
                    far(law.apex_m),
                    f"{law.descent_deg:.0f} deg",
                    f"{law.weight:.2f}",
                ]
                for name, law in found.laws.items()
            ],
        ),
    ]
    held = [wrap(f"{name} {law.held}") for name, law in found.laws.items() if law.held]
    return "\n".join([*lines, *held, *notes(found.notes)])


def strike(found: Strike, units: Units) -> str:
    """Start of the ball."""
    i = found.intervals
    low, high = (units.speed(v, 1) for v in i["ball_speed_mps"])
    rows = [
        ["ball speed", units.speed(found.ball_speed_mps, 1), f"{low} to {high}"],
        ["launch", f"{found.launch_deg:.1f} deg", "{:.1f} to {:.1f} deg".format(*i["launch_deg"])],
        ["direction", units.side(found.direction_deg, "deg"), _sides(i["direction_deg"], units)],
        ["spin", f"{found.spin_rpm:.0f} rpm", "{:.0f} to {:.0f} rpm".format(*i["spin_rpm"])],
        ["spin axis", units.side(found.spin_axis_deg, "deg"), _sides(i["spin_axis_deg"], units)],
        ["ball/club ratio", f"{found.speed_ratio:.3f}", ""],
        ["spin loft", f"{found.spin_loft_deg:.1f} deg", ""],
    ]
    return "\n".join([table(["start", "value", "80 % interval"], rows), *notes(found.notes)])


def _sides(ends: tuple[float, float], units: Units) -> str:
    low, high = (end - 360.0 if end > 180.0 else end + 360.0 if end < -180.0 else end for end in ends)
    return f"{units.side(low, 'deg')} to {units.side(high, 'deg')}"


def _starts(found: Slopes, units: Units) -> str:
    """What one unit more of each cause does to the start of the ball, with the interval of the spin."""
    rows = []
    for s in found.slopes:
        spin, low, high = (x["spin_rpm"] for x in (s.start, s.start_low, s.start_high))
        rows.append(
            (
                f"{s.unit} of {s.cause}",
                units.quantity(s.start["ball_speed_mps"], "mps", 1, sign=True, unit=False),
                units.number(s.start["launch_deg"], 2, sign=True),
                units.number(spin, sign=True),
                f"{units.number(low, sign=True)} to {units.number(high, sign=True)}",
            )
        )
    head = ("one more of", f"ball {units.speed_unit}", "launch deg", "spin rpm", "80 % interval of spin")
    return table(head, rows, left=len(head))


def slopes(found: Slopes, units: Units) -> str:
    """What one unit more of each cause does, and where the laws disagree in sign."""

    def far(metres: float) -> str:
        return units.quantity(metres, "m", 1, sign=True, unit=False)

    unit = units.distance_unit
    rows = [
        (
            f"{s.unit} of {s.cause}",
            far(s.carry_m),
            f"{far(s.carry_low_m)} to {far(s.carry_high_m)}" + ("" if s.agreed else "  signs differ"),
            far(s.total_m),
            units.across(s.offline_m, 1, unit=False),
        )
        for s in found.slopes
    ]
    head = ("one more of", f"carry {unit}", "by law and spin model", f"total {unit}", "side")
    lines = [table(head, rows, left=len(head))]
    if found.slopes and found.slopes[0].start:
        lines += ["", _starts(found, units)]
    undecided = [s.cause for s in found.slopes if not s.agreed]
    if undecided:
        lines.append(f"Undecided where it rests on {', '.join(undecided)}: the laws disagree in sign.")
    return "\n".join(lines)
