"""What stands beside the ladder: why an option, two options side by side, what to measure next."""

from __future__ import annotations

from fitter.advice.options import TIERS
from fitter.advice.scored import Scored
from fitter.base.units import counted, probability
from fitter.display import verdict as sentences
from fitter.display import words
from fitter.display.notes import breach
from fitter.display.text import fit
from fitter.tui.lines import Line, heading, line, paragraphs
from fitter.tui.measured import compare
from fitter.tui.view import View

STARTS = {
    "club_speed_mps": ("club speed", "mps", 1), "ball_speed_mps": ("ball speed", "mps", 1),
    "launch_deg": ("launch", "deg", 1), "spin_rpm": ("spin", "rpm", 0), "apex_m": ("apex", "m", 0),
    "descent_deg": ("landing angle", "deg", 0),
}  # fmt: skip
"""Channels that are predicted of an option: label, unit of the core, digits."""


def block(value: float, most: float, width: int) -> tuple[str, str]:
    """Bar of a size: its block, and the rest of its room; eighths of a cell."""
    if most <= 0.0:
        return "", " " * width
    whole, part = divmod(round(min(abs(value) / most, 1.0) * width * 8), 8)
    text = "█" * whole + ("", "▏", "▎", "▍", "▌", "▋", "▊", "▉")[part]
    return text, " " * (width - len(text))


def reasons(view: View, s: Scored, width: int, together: bool = False) -> list[Line]:
    """What an option brings, split by cause, and all of it together if asked for."""
    values = view.values
    most = max([abs(r.value) for r in s.reasons] + [1e-9])
    names = 20 if width >= 60 else 16
    changes = 12 if width >= 60 else 10 if width >= 40 else 0
    room = max(min(width - names - changes - 12, 24), 3)
    rows: list[Line] = []
    for r in s.reasons:
        cause = r.cause if names == 20 else r.cause.replace(" and ", ", ")
        bar, rest = block(r.value, most, room)
        style, sign = ("bar", "+") if r.value >= 0 else ("warn", "-")
        change = words.change_of_start(r, view.bench.hand, view.units)
        rows.append(
            line((fit(cause, names), ""), (fit(change, changes, right=True) if changes else "", "dim"),
                 f" {values.number(r.value, sign=True):>6} {values.short_unit} ",
                 (sign if bar else " ", style), (bar, style), rest)
        )  # fmt: skip
    if together:
        total = f" {values.number(s.value_gain.mean, sign=True):>6} {values.short_unit}"
        rows.append(line((fit("together", names + changes), "strong"), (total, "strong")))
    return rows


def interval(s: Scored, view: View) -> str:
    """Gain with its 80 % interval."""
    values = view.values
    low, high = values.short(s.value_gain.low), values.short(s.value_gain.high)
    return f"{values.full(s.value_gain.mean, sign=True)}, 80 % between {low} and {high}"


def spread(s: Scored, view: View) -> str:
    """What happens to the spread across."""
    if s.offline_sd_m is None:
        return "direction was not measured"
    units = view.units
    text = f"spread {units.distance(s.offline_sd_m, 0)}"
    moved = s.offline_sd_change_m or 0.0
    change = abs(units.value(moved, "m"))
    if change >= 0.5:
        text += f", {change:.0f} {'wider' if moved > 0 else 'narrower'}"
    if s.aim_shift_m is not None and abs(units.value(s.aim_shift_m, "m")) >= 1.0:
        text += f"; aim {units.across(-s.aim_shift_m if view.bench.hand == 'left' else s.aim_shift_m)}"
    return text


def present(view: View, width: int) -> list[Line]:
    """The present club as it is hit, and what a change would have to bring."""
    assert view.answer is not None
    p, units, values = view.answer.ranking.present, view.units, view.values
    mid = {k: v[1] for k, v in p.predicted.items()}
    carry, weak, total = (units.quantity(x, "m", unit=False) for x in (p.carry_m, p.weak_carry_m, p.total_m))
    side = "" if p.offline_sd_m is None else f", spread {units.quantity(p.offline_sd_m, 'm', unit=False)}"
    club = units.quantity(mid["club_speed_mps"], "mps", unit=False)
    rows = [heading("The present club as it is hit")]
    rows += paragraphs(words.club_words(view.answer.present), width)
    for text in (
        f"carry {carry}, weak {weak}, total {total}{side} {units.distance_unit}",
        f"club {club}, ball {units.speed(mid['ball_speed_mps'], 0)}",
        f"launch {mid['launch_deg']:.1f} deg, spin {mid['spin_rpm']:.0f} rpm",
    ):
        rows += paragraphs(text, width, "", "  ")
    best = max(view.answer.ranking.options, key=lambda s: s.value_gain.mean - s.threshold, default=None)
    if best is not None:
        rows += [line(""), heading("What a change would have to bring")]
        rows += paragraphs(
            f"{words.changed(best.option, view.answer.present)} comes nearest: "
            f"{values.full(best.value_gain.mean, sign=True)} expected, {values.full(best.threshold)} needed "
            f"in tier {best.option.tier}", width,
        )  # fmt: skip
    return rows


def why(view: View, s: Scored, width: int) -> list[Line]:
    """Why an option stands where it stands."""
    assert view.answer is not None
    if s is view.answer.ranking.present:
        return present(view, width)
    o = s.option
    title = words.changed(o, view.answer.present)
    rows = [*paragraphs(f"Why {title}", width, "head", "  "), *paragraphs(interval(s, view), width)]
    price = "" if not o.price else f", price {o.price:g}"
    text = f"{TIERS.get(o.tier, 'present')}, {o.availability}{price}; {spread(s, view)}"
    rows += paragraphs(text, width, "dim")
    rows += paragraphs(sentences.balance(s.balance, view.units), width, "", "  ")
    if s.reasons:
        rows += reasons(view, s, width)
    else:
        now, then = view.answer.ranking.present.predicted, s.predicted
        for name in ("ball_speed_mps", "launch_deg", "spin_rpm"):
            label, core, digits = STARTS[name]
            a = view.units.quantity(now[name][1], core, digits, unit=False)
            b = view.units.quantity(then[name][1], core, digits)
            rows.append(line((fit(label, 12), ""), f"{a} -> {b}"))
    if not s.robust:
        rows += paragraphs("The ball laws disagree on the sign of its gain.", width, "warn")
    for rule in o.rules:
        rows += paragraphs(f"rules: {breach(rule)}", width, "warn")
    return rows


def measured(view: View, width: int) -> list[Line]:
    """Measured beside predicted for the build in hand, channel by channel."""
    hand = view.hand_option()
    if hand is None or view.reading is None or not view.bench.in_hand:
        return []
    checks = compare(view.reading, hand, view.bench.in_hand)
    if not checks:
        return [heading("In hand: measured | predicted"), line(("no ball yet", "dim"))]
    rows = [heading(f"In hand, {counted(checks[0].shots, 'ball')}: measured | predicted")]
    for c in checks:
        digits = 1 if c.unit == "deg" else 0
        mean, low, high = (
            view.units.quantity(x, c.unit, digits, unit=False)
            for x in (c.measured[1], c.predicted[0], c.predicted[2])
        )
        said = {True: "agrees", False: "differs", None: ""}[c.agrees]
        rows.append(
            line((fit(c.label, 11), ""), (f"{mean:>6}", "hand"),
                 (f" | {low}-{high} {view.units.unit(c.unit)} ", "dim"),
                 (said, "warn" if c.agrees is False else "dim"))
        )  # fmt: skip
    return rows


def side_by_side(view: View, a: Scored, b: Scored, width: int) -> list[Line]:
    """Two options, figure by figure."""
    assert view.answer is not None
    club, units, values = view.answer.present, view.units, view.values
    size = max((width - 14) // 2, 8)
    rows = [heading("Side by side"), line(("c: end; the cursor picks the second", "dim"))]

    def pair(label: str, x: str, y: str, style: str = "") -> None:
        cells = ((fit(text, size, right=True), style) for text in (x, y))
        rows.append(line((fit(label, 13), "dim"), next(cells), " ", next(cells)))

    for k in range(0, 3):
        parts = [words.changed(s.option, club).split(", ") for s in (a, b)]
        x, y = (p[k] if k < len(p) else "" for p in parts)
        if x or y:
            pair("change" if not k else "", x, y, "strong")
    gains = [s.value_gain for s in (a, b)]
    pair(f"gain {values.short_unit}", *(values.number(g.mean, sign=True) for g in gains))
    pair("80 %", *(f"{values.short(g.low)} to {values.short(g.high)}" for g in gains))
    pair("P(better)", *(probability(s.p_better, short=True) for s in (a, b)))
    pair("P(worth it)", *(probability(s.p_worthwhile, short=True) for s in (a, b)))
    far = units.distance_unit
    pair(f"weak {far}", *(units.quantity(s.weak_carry_m, "m", unit=False) for s in (a, b)))
    spreads = (s.offline_sd_m for s in (a, b))
    pair(f"spread {far}", *(units.quantity(x, "m", unit=False) for x in spreads))
    for label, name in (("club", "club_speed_mps"), ("ball", "ball_speed_mps"), ("launch", "launch_deg"),
                        ("spin", "spin_rpm")):  # fmt: skip
        _, core, digits = STARTS[name]
        shown = (units.quantity(s.predicted[name][1], core, digits, unit=False) for s in (a, b))
        pair(f"{label} {units.unit(core)}", *shown)
    pair("loft deg", *(f"{s.loft_deg:.1f}" for s in (a, b)))
    pair("swing weight", *(s.swing_weight for s in (a, b)))
    pair("price", *("-" if s.option.price is None else f"{s.option.price:g}" for s in (a, b)))
    pair("stock", *(s.option.availability for s in (a, b)))
    return rows


def next_steps(view: View, width: int) -> list[Line]:
    """What to measure next with its minutes, and what would turn the verdict."""
    if view.answer is None:
        return []
    values, rows = view.values, []
    if view.answer.ranking.next:
        rows.append(heading("Measure next"))
    for s in view.answer.ranking.next[:4]:
        saved = f"interval {values.number(s.now)} -> {values.full(s.after)}"
        rows += paragraphs(f"{sentences.step(s, values)} ({s.minutes:g} min): {saved}", width, "", "  ")
    if view.answer.ranking.flips:
        rows.append(heading("What would turn it"))
        for said in sentences.flips(view.answer.ranking.flips, values)[:3]:
            rows += paragraphs(said, width, "", "  ")
    return rows
