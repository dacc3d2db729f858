"""Tables of the sheet as rows of strings: now and then, best of each tier, reasons, the build."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from fitter.advice.options import TIERS
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored, Span
from fitter.base.units import Units, open_or_closed
from fitter.display.bench import step_text
from fitter.display.notes import breaches
from fitter.display.values import Values
from fitter.display.words import change_of_start, stock, wider
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
PREDICTED = {
    "club_speed_mps": ("club speed", "mps", None),
    "ball_speed_mps": ("ball speed", "mps", None),
    "launch_deg": ("launch", "deg", 1),
    "spin_rpm": ("spin", "rpm", 0),
    "apex_m": ("apex", "m", 0),
    "descent_deg": ("landing angle", "deg", 0),
}
"""Predicted channels in words, with the core's unit and digits (None: those of a speed)."""
Row = list[str]


def compare(ranking: Ranking, option: Scored | None, units: Units) -> list[Row]:
    """Rows of [what, present, option, change]; the last two empty without an option."""
    present = ranking.present

    def row(label: str, tell: Callable[[Scored], str], change: str = "") -> Row:
        return [label, tell(present), "" if option is None else tell(option), change]

    def change(span: Span | None, core: str, digits: int = 0, scale: float = 1.0) -> str:
        """Change with its 80 % interval."""
        if option is None or span is None:
            return ""
        low, high = (
            units.quantity(scale * v, core, digits, sign=True, unit=False) for v in (span.low, span.high)
        )
        mean = units.quantity(scale * span.mid, core, digits, sign=True, unit=core == "m")
        return f"{mean} ({low} to {high})"

    def mirrored(value: float | None) -> float | None:
        return -value if value is not None and ranking.hand == "left" else value

    weak = "" if option is None else units.change(option.weak_carry_m - present.weak_carry_m, 0)
    known = None if option is None else option.balance
    rows = [
        row(
            "carry",
            lambda s: units.distance(s.carry_m, 0),
            change(None if known is None else known.carry_m, "m"),
        ),
        row(
            "total",
            lambda s: units.distance(s.total_m, 0),
            change(None if known is None else known.total_m, "m"),
        ),
        row(
            "carry of a weak ball (one in five is shorter)", lambda s: units.distance(s.weak_carry_m, 0), weak
        ),
    ]
    if present.offline_sd_m is not None:
        wider, fairway, strokes = (
            (None, None, None) if known is None else (known.spread_m, known.fairway, known.strokes)
        )
        rows += [
            row("spread across (SD)", lambda s: _sd(s, units), change(wider, "m", 1)),
            row(
                "balls in 100 in the fairway", lambda s: units.number(_mid(s.fairway, 100.0)),
                change(fairway, "share", 0, 100.0),
            ),
            row("strokes a hole", lambda s: units.number(_mid(s.strokes), 2), change(strokes, "strokes", 3)),
        ]  # fmt: skip
    if present.start_deg is not None and (option is None or option.start_deg is not None):
        start = row("start line at the aim", lambda s: units.side(mirrored(s.start_deg), "deg"))
        rows += [start, row("curve", lambda s: units.across(mirrored(s.curve_m)))]
    return rows + [_predicted(name, present, option, units) for name in PREDICTED]


def _mid(span: Span | None, scale: float = 1.0) -> float | None:
    return None if span is None else scale * span.mid


def _sd(s: Scored, units: Units) -> str:
    return units.distance(s.offline_sd_m, 0)


def _predicted(name: str, present: Scored, option: Scored | None, units: Units) -> Row:
    """Row of one channel: middle of the present club, of the option, and its 80 % interval."""
    label, core, digits = PREDICTED[name]

    def tell(value: float, unit: bool = True) -> str:
        return units.quantity(value, core, int(units.metric) if digits is None else digits, unit=unit)

    now = tell(present.predicted[name][1])
    if option is None:
        return [label, now, "", ""]
    low, middle, high = option.predicted[name]
    return [label, now, tell(middle), f"{tell(low, unit=False)} to {tell(high, unit=False)}"]


def tiers(ranking: Ranking, shown: Sequence[Scored], values: Values, chosen: str) -> list[dict[str, str]]:
    """One row for each option shown."""
    rows = []
    for s in shown:
        g, o = s.value_gain, s.option
        standing = [
            "chosen" if o.id == chosen else "",
            {"change": "recommended", "trade": "a trade", "keep": ""}.get(
                ranking.verdict.action, "named above"
            )
            if o.id == ranking.verdict.option
            else "",
            "level with the best" if s.tied else "",
            "breaks a rule, not recommended" if s in ranking.breaches else "",
        ]
        rows.append(
            {
                "tier": o.tier,
                "means": TIERS[o.tier],
                "option": values.name(o.id),
                "id": o.id,
                "gain": values.number(g.mean, sign=True),
                "range": values.ends(g.low, g.high),
                "side": wider(s.offline_sd_change_m, values.units),
                "stock": stock(o),
                "standing": ", ".join(filter(None, standing)),
                "rules": breaches(o.rules),
            }
        )
    return rows


def reasons(s: Scored, hand: str, values: Values) -> list[Row]:
    """Rows of [cause, change of the start, share of the gain]; they add up to the gain."""
    return [
        [r.cause, change_of_start(r, hand, values.units), values.full(r.value, sign=True)] for r in s.reasons
    ]


def build(hit: Club, ordered: Club | None, speed_mps: float, units: Units) -> dict[str, Any]:
    """Build in three columns: as hit, as ordered, as built (blank); steps of the bench.

    Parameters
    ----------
    hit : Club
        The present club.
    ordered : Club or None
        None when the present club stays: its figures stand as they are.
    speed_mps : float
        The player's club speed, for the loft that the shaft adds.
    units : Units
    """
    sheet = build_sheet(hit, ordered or hit, speed_mps)

    def tell(name: str, figure: Any) -> str:
        words = units.number(figure.value, BUILD_LABELS[name][2])
        if name == "face_angle_deg":
            words = open_or_closed(figure.value, 1)
        elif name == "swing_weight_points":
            words = swing_name(figure.value)
        return words if figure.measured else f"{words} ~"

    rows = []
    for line in sheet.lines:
        label, unit, _ = BUILD_LABELS[line.name]
        tolerance = "" if line.tolerance is None else f"± {line.tolerance:.4g}"
        new = [] if ordered is None else [tell(line.name, line.as_ordered)]
        rows.append([label, tell(line.name, line.as_hit), *new, tolerance, unit])
    stays = ordered is None
    return {
        "title": f"The present club {sheet.club}" if stays else f"Build {sheet.club}",
        "heads": ["", "as it is", "tolerance", "as checked"]
        if stays
        else ["", "as hit", "as ordered", "tolerance", "as built"],
        "rows": rows,
        "note": "~ not measured: worked out or judged. Order by gauge, not by stamp.",
        "steps": [] if stays else [step_text(step) for step in sheet.steps],
    }
