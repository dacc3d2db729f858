"""Tables of the sheet as rows of strings: now and then, best of each tier, reasons, the build."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fitter.advice.options import TIERS
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored
from fitter.display.numbers import Numbers, plain, side
from fitter.display.steps import step_text
from fitter.kit.body import swing_name
from fitter.kit.build import build_sheet
from fitter.kit.club import Club

BUILD_LABELS = {
    "length_in": ("length", "in", 2),
    "loft_deg": ("loft, square face", "deg", 1),
    "face_angle_deg": ("face angle, soled", "deg", 1),
    "lie_deg": ("lie", "deg", 1),
    "head_mass_g": ("head", "g", 0),
    "grip_mass_g": ("grip", "g", 0),
    "total_mass_g": ("total", "g", 0),
    "balance_mm": ("balance, from the butt", "mm", 0),
    "swing_weight_points": ("swing weight", "", 1),
    "moi_kgcm2": ("MOI, about the butt", "kg cm²", 0),
    "frequency_cpm": ("frequency, head on", "cpm", 0),
    "added_loft_deg": ("loft that the shaft adds", "deg", 1),
}
"""Figures of `fitter.kit.build.LINES` in words, with unit and digits."""


def compare(present: Mapping[str, Any], option: Mapping[str, Any] | None, n: Numbers) -> list[list[str]]:
    """Rows of [what, present, option, change]; the last two empty without an option."""

    def distance(key: str, gain: str | None) -> list[str]:
        row = [n.far(present[key]), "", ""]
        if option is not None:
            row[1] = n.far(option[key])
            if gain is None:
                row[2] = _change(option[key] - present[key], n)
            else:
                low, high = option[f"{gain}_low_m"], option[f"{gain}_high_m"]
                row[2] = f"{_change(option[f'{gain}_m'], n)} ({_short(low, n)} to {_short(high, n)})"
        return row

    def predicted(key: str, tell: Any) -> list[str]:
        low, mid, high = (option or present)["predicted"][key]
        row = [tell(present["predicted"][key][1]), "", ""]
        return row if option is None else [row[0], tell(mid), f"{_bare(tell(low))} to {_bare(tell(high))}"]

    def sideways(key: str, tell: Any) -> list[str]:
        return [tell(present[key]), "" if option is None else tell(option[key]), ""]

    rows = [
        ["carry", *distance("carry_m", "carry_gain")],
        ["total", *distance("total_m", "total_gain")],
        ["carry of a weak ball (one in five is shorter)", *distance("weak_carry_m", None)],
    ]
    if present["offline_sd_m"] is not None:
        spread = sideways("offline_sd_m", n.far)
        spread[2] = "" if option is None else n.wider(option["offline_sd_change_m"])
        rows.append(["side spread (SD)", *spread])
    if present["start_deg"] is not None and (option is None or option["start_deg"] is not None):
        rows.append(["start line at the best aim", *sideways("start_deg", lambda v: side(v, "deg"))])
        rows.append(["curve", *sideways("curve_m", n.side)])
    rows += [
        ["club speed", *predicted("club_speed_mps", n.speed)],
        ["ball speed", *predicted("ball_speed_mps", n.speed)],
        ["launch", *predicted("launch_deg", lambda v: f"{plain(v, 1)} deg")],
        ["spin", *predicted("spin_rpm", lambda v: f"{plain(v)} rpm")],
        ["apex", *predicted("apex_m", n.far)],
        ["landing angle", *predicted("descent_deg", lambda v: f"{plain(v)} deg")],
    ]
    return rows


def _change(metres: float, n: Numbers) -> str:
    return f"{plain(n.scaled(metres), 0, True)} {n.length}"


def _short(metres: float, n: Numbers) -> str:
    return plain(n.scaled(metres), 0, True)


def _bare(words: str) -> str:
    return words.partition(" ")[0]


def tiers(ranking: Ranking, shown: Sequence[Scored], n: Numbers, chosen: str | None) -> list[dict[str, str]]:
    """One row for each option shown."""
    say = n.say(ranking.objective)
    rows = []
    for s in shown:
        g, o = s.value_gain, s.option
        standing = [
            "chosen" if o.id == chosen else "",
            {"change": "recommended", "keep": ""}.get(ranking.verdict.action, "named above")
            if o.id == ranking.verdict.option
            else "",
            "level with the best" if s.tied else "",
            "breaks a rule, not recommended" if s in ranking.breaches else "",
        ]
        rows.append(
            {
                "tier": o.tier,
                "means": TIERS[o.tier],
                "option": o.id,
                "gain": say.plain(g.mean, True),
                "range": f"{say.plain(g.low, True)} to {say.plain(g.high, True)}",
                "side": n.wider(s.offline_sd_change_m),
                "stock": o.availability + (f", {o.price:g}" if o.price else ""),
                "standing": ", ".join(dict.fromkeys(w for w in standing if w)),
                "rules": "; ".join(o.rules),
            }
        )
    return rows


def reasons(s: Scored, ranking: Ranking, n: Numbers) -> list[list[str]]:
    """Rows of [cause, change of the start, share of the gain]; they add up to the gain."""
    say = n.say(ranking.objective)
    turn = -1.0 if ranking.hand == "left" else 1.0
    rows = []
    for r in s.reasons:
        change = f"{plain(r.change, 1, True)} {r.unit}"
        if r.cause == "ball speed":
            change = f"{plain(n.fast(r.change), 1, True)} {n.speed_unit}"
        elif r.cause == "spin":
            change = f"{plain(r.change, 0, True)} rpm"
        elif r.cause == "direction and curve":
            # The ranking holds reasons in the right-handed frame.
            change = side(turn * r.change, "deg")
        rows.append([r.cause, change, f"{say.plain(r.value, True)} {say.noun}"])
    return rows


def build(hit: Club, ordered: Club | None, speed_mps: float) -> dict[str, Any]:
    """Build in three columns: as hit, as ordered, as built (blank); steps of the bench.

    Parameters
    ----------
    hit : Club
        The present club.
    ordered : Club or None
        None when the present club stays: its figures stand as they are.
    speed_mps : float
        The player's club speed, for the loft that the shaft adds.
    """
    sheet = build_sheet(hit, ordered or hit, speed_mps)
    rows = []
    for line in sheet.lines:
        label, unit, digits = BUILD_LABELS[line.name]
        tolerance = "" if line.tolerance is None else f"± {line.tolerance:.4g}"
        row = [label, _figure(line.name, line.as_hit.value, digits) + _mark(line.as_hit.measured)]
        if ordered is not None:
            row.append(_figure(line.name, line.as_ordered.value, digits) + _mark(line.as_ordered.measured))
        rows.append([*row, tolerance, unit])
    return {
        "title": f"Build {sheet.club}" if ordered is not None else f"The present club {sheet.club}",
        "heads": ["", "as hit", "as ordered", "tolerance", "as built"]
        if ordered is not None
        else ["", "as it is", "tolerance", "as checked"],
        "rows": rows,
        "note": "~ not measured: worked out or judged. Order by gauge, not by stamp.",
        "steps": [step_text(step) for step in sheet.steps] if ordered is not None else [],
    }


def _mark(measured: bool) -> str:
    return "" if measured else " ~"


def _figure(name: str, value: float, digits: int) -> str:
    if name == "face_angle_deg":
        size = plain(abs(value), digits)
        return size if float(size) == 0.0 else f"{size} {'open' if value > 0 else 'closed'}"
    if name == "swing_weight_points":
        return swing_name(value)
    return plain(value, digits)
