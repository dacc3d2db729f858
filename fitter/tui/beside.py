"""What stands beside the ladder: why an option, two options side by side, what to measure next."""

from __future__ import annotations

from fitter.advice.options import TIERS
from fitter.advice.scored import Scored
from fitter.base.units import probability
from fitter.display import words
from fitter.tui.ladder import digits_of, factor_of
from fitter.tui.lines import Line, fit, heading, line, paragraphs
from fitter.tui.measured import compare
from fitter.tui.screens.why import reasons
from fitter.tui.view import View


def interval(s: Scored, view: View) -> str:
    """Gain with its 80 % interval."""
    assert view.answer is not None
    factor, unit = factor_of(view.answer, view.bench.units)
    g, d = s.value_gain, digits_of(view.answer)
    low, high = g.low / factor, g.high / factor
    ends = f"80 % between {words.signed(low, d - 1)} and {words.signed(high, d - 1)}"
    return f"{words.signed(g.mean / factor, d)} {unit}, {ends}"


def side_words(s: Scored, view: View) -> str:
    """What happens to the spread across."""
    if s.offline_sd_m is None:
        return "direction was not measured"
    scale, unit = words.far_scale(view.bench.units)
    change = (s.offline_sd_change_m or 0.0) / scale
    text = f"side SD {s.offline_sd_m / scale:.0f} {unit}"
    if abs(change) >= 0.5:
        text += f", {abs(change):.0f} {'wider' if change > 0 else 'narrower'}"
    if s.aim_shift_m is not None and abs(s.aim_shift_m / scale) >= 1.0:
        aim = -s.aim_shift_m if view.bench.hand == "left" else s.aim_shift_m
        text += f"; aim {words.side(aim / scale)}"
    return text


def present(view: View, width: int) -> list[Line]:
    """The present club as it is hit, and what a change would have to bring."""
    assert view.answer is not None
    p = view.answer.ranking.present
    far, unit = words.far_scale(view.bench.units)
    speed, speed_unit = words.speed_scale(view.bench.units)
    mid = {k: v[1] for k, v in p.predicted.items()}
    rows = [heading("The present club as it is hit")]
    rows += paragraphs(words.club_words(view.answer.present), width)
    side = "" if p.offline_sd_m is None else f", side SD {p.offline_sd_m / far:.0f}"
    carry, weak, total = (x / far for x in (p.carry_m, p.weak_carry_m, p.total_m))
    for text in (
        f"carry {carry:.0f}, weak {weak:.0f}, total {total:.0f}{side} {unit}",
        f"club {mid['club_speed_mps'] / speed:.0f}, ball {mid['ball_speed_mps'] / speed:.0f} {speed_unit}",
        f"launch {mid['launch_deg']:.1f} deg, spin {mid['spin_rpm']:.0f} rpm",
    ):
        rows += paragraphs(text, width, "", "  ")
    best = max(view.answer.ranking.options, key=lambda s: s.value_gain.mean - s.threshold, default=None)
    if best is not None:
        factor, unit = factor_of(view.answer, view.bench.units)
        d = digits_of(view.answer)
        needed = f"{best.threshold / factor:.{d}f}"
        rows += [line(""), heading("What a change would have to bring")]
        name = words.changed(best.option, view.answer.present)
        rows += paragraphs(
            f"{name} comes nearest: {words.signed(best.value_gain.mean / factor, d)} {unit} expected, "
            f"{needed} {unit} needed in tier {best.option.tier}",
            width,
        )
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
    rows += paragraphs(
        f"{TIERS.get(o.tier, 'present')}, {o.availability}{price}; {side_words(s, view)}", width, "dim"
    )
    if s.reasons:
        rows += reasons(view, s, width, rows_only=True)
    else:
        now, then = view.answer.ranking.present.predicted, s.predicted
        scale, unit = words.speed_scale(view.bench.units)
        for name, label, by, digits, u in (
            ("ball_speed_mps", "ball speed", scale, 1, unit), ("launch_deg", "launch", 1.0, 1, "deg"),
            ("spin_rpm", "spin", 1.0, 0, "rpm"),
        ):  # fmt: skip
            a, b = now[name][1] / by, then[name][1] / by
            rows.append(line((fit(label, 12), ""), f"{a:.{digits}f} -> {b:.{digits}f} {u}"))
    if not s.robust:
        rows += paragraphs("The ball laws disagree on the sign of its gain.", width, "warn")
    for breach in o.rules:
        rows += paragraphs(f"rules: {breach}", width, "warn")
    return rows


def measured(view: View, width: int) -> list[Line]:
    """Measured beside predicted for the build in hand, channel by channel."""
    hand = view.hand_option()
    if hand is None or view.reading is None or not view.bench.in_hand:
        return []
    checks = compare(view.reading, hand, view.bench.in_hand)
    if not checks:
        return [heading("In hand: measured | predicted"), line(("no ball yet", "dim"))]
    rows = [heading(f"In hand, {checks[0].shots} ball{'s' * (checks[0].shots > 1)}: measured | predicted")]
    for t in checks:
        by, digits = 1.0, 0
        unit = t.unit
        if t.unit == "mps":
            (by, unit), digits = words.speed_scale(view.bench.units), 0
        elif t.unit == "m":
            by, unit = words.far_scale(view.bench.units)
        elif t.unit == "deg":
            digits = 1
        low, _, high = t.predicted
        said = {True: "agrees", False: "differs", None: ""}[t.agrees]
        rows.append(
            line((fit(t.label, 11), ""), (f"{t.measured[1] / by:6.{digits}f}", "hand"),
                 (f" | {low / by:.{digits}f}-{high / by:.{digits}f} {unit} ", "dim"),
                 (said, "warn" if t.agrees is False else "dim"))
        )  # fmt: skip
    return rows


def side_by_side(view: View, a: Scored, b: Scored, width: int) -> list[Line]:
    """Two options, figure by figure."""
    assert view.answer is not None
    club = view.answer.present
    factor, unit = factor_of(view.answer, view.bench.units)
    scale, speed = words.speed_scale(view.bench.units)
    far, far_unit = words.far_scale(view.bench.units)
    size = max((width - 14) // 2, 8)
    rows = [heading("Side by side"), line(("c: end; the cursor picks the second", "dim"))]

    def pair(label: str, x: str, y: str, style: str = "") -> None:
        rows.append(
            line(
                (fit(label, 13), "dim"),
                (fit(x, size, right=True), style),
                " ",
                (fit(y, size, right=True), style),
            )
        )

    for k in range(0, 3):
        parts = [words.changed(s.option, club).split(", ") for s in (a, b)]
        x, y = (p[k] if k < len(p) else "" for p in parts)
        if x or y:
            pair("change" if not k else "", x, y, "strong")
    d = digits_of(view.answer)
    gains = [[x / factor for x in (s.value_gain.mean, s.value_gain.low, s.value_gain.high)] for s in (a, b)]
    pair(f"gain {unit}", *(words.signed(g[0], d) for g in gains))
    pair("80 %", *(f"{g[1]:+.{d - 1}f} to {g[2]:+.{d - 1}f}" for g in gains))
    pair("P(better)", *(probability(s.p_better, short=True) for s in (a, b)))
    pair("P(worth it)", *(probability(s.p_worthwhile, short=True) for s in (a, b)))
    pair(f"weak {far_unit}", *(f"{s.weak_carry_m / far:.0f}" for s in (a, b)))
    pair(
        f"side SD {far_unit}",
        *(words.number(None if s.offline_sd_m is None else s.offline_sd_m / far) for s in (a, b)),
    )
    pair(f"club {speed}", *(f"{s.predicted['club_speed_mps'][1] / scale:.1f}" for s in (a, b)))
    pair(f"ball {speed}", *(f"{s.predicted['ball_speed_mps'][1] / scale:.1f}" for s in (a, b)))
    pair("launch deg", *(f"{s.predicted['launch_deg'][1]:.1f}" for s in (a, b)))
    pair("spin rpm", *(f"{s.predicted['spin_rpm'][1]:.0f}" for s in (a, b)))
    pair("loft deg", *(f"{s.loft_deg:.1f}" for s in (a, b)))
    pair("swing weight", *(s.swing_weight for s in (a, b)))
    pair("price", *("-" if s.option.price is None else f"{s.option.price:g}" for s in (a, b)))
    pair("stock", *(s.option.availability for s in (a, b)))
    return rows


def next_steps(view: View, width: int) -> list[Line]:
    """What to measure next with its minutes, and what would turn the verdict."""
    if view.answer is None:
        return []
    factor, unit = factor_of(view.answer, view.bench.units)
    d = digits_of(view.answer) - 1
    rows: list[Line] = []
    steps = view.answer.ranking.next
    if steps:
        rows.append(heading("Measure next"))
        for s in steps[:4]:
            saved = f"interval {s.now / factor:.{d}f} -> {s.after / factor:.{d}f} {unit}"
            rows += paragraphs(f"{s.action} ({s.minutes:g} min): {saved}", width, "", "  ")
    if view.answer.ranking.flips:
        rows.append(heading("What would turn it"))
        for f in view.answer.ranking.flips[:3]:
            rows += paragraphs(f.said(view.bench.units == "metric"), width, "", "  ")
    return rows
