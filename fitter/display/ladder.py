"""A ranking as text for people: the verdict, the present club, a ladder of gains that fits 100 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Collection, Sequence

from fitter.advice.options import TIERS
from fitter.advice.result import Ranking
from fitter.advice.scored import Gain, Scored
from fitter.advice.verdict import Say, systems
from fitter.base.units import MPH, YARD, probability

WIDTH = 100
BAR = 25
"""Characters of one interval."""
NUMBERS = 16
"""Columns of a gain with its interval."""
A_TIER = 3
"""Clubs shown of each tier."""

CAUTIONS = (
    "Warm up first and stop on pain: tired swings spoil the comparison and the body. Check clubs and net for "
    "damage before hitting. Local rules and licensed practice come first; training is for qualified coaches."
)


def text(ranking: Ranking, metric: bool = False, a_tier: int = A_TIER, also: Collection[str] = ()) -> str:
    """Lines of a ranking.

    Parameters
    ----------
    ranking : Ranking
    metric : bool
        Metres in place of yards.
    a_tier : int
        How many clubs of each tier.
    also : collection of str
        Ids of options that stand beside them.
    """
    scale, unit = (1.0, "m") if metric else (YARD, "yd")
    say = systems(ranking.objective)["metric" if metric else "us"]
    picked = ranking.best_of_tiers(a_tier, also)
    barred = _barred(ranking, a_tier)
    present = ranking.present
    lines = [_title(ranking), "", *_wrap(ranking.verdict.text_metric if metric else ranking.verdict.text)]
    lines += [*_beside(ranking, scale, unit), ""]
    lines += [*_now(present, scale, unit), *_wished(ranking, say), ""]
    least = {"m": scale, "share": 0.01}.get(ranking.objective.unit, 0.001)
    low = min([0.0, *(s.value_gain.low for s in (*picked, *barred))])
    high = max([least, *(s.value_gain.high for s in (*picked, *barred))])
    names = max([8, *(len(_name(s)) for s in (*picked, *barred))])
    names = min(names, 34)
    gain = {"m": f"gain {unit}", "share": "gain in 100"}.get(ranking.objective.unit, "saved")
    lines.append(
        f"   {'option':{names}}  {gain + ' (80 %)':<{NUMBERS}} {_axis(low, high, say)}"
        f"  {'side SD':>7} {'P>0':>4}"
    )
    for s in picked:
        lines.append(_rung(s, ranking, names, low, high, say))
    legend = (
        f"gain of {ranking.objective.label} against the present club '|'; P>0: probability of any gain; "
        f"= cannot be told apart from the best of {ranking.compared()}. {ranking.left_out_words(say)}"
    )
    lines += textwrap.wrap(legend, WIDTH, initial_indent="   ", subsequent_indent="   ")
    if barred:
        lines += ["", "Against the rules, shown and never recommended (--allow-breaches asks for them):"]
    for s in barred:
        lines.append(_rung(s, ranking, names, low, high, say))
        lines += textwrap.wrap("; ".join(s.option.rules), WIDTH, initial_indent="     ")
    lines += ["", *_reasons(ranking, picked, say)]
    lines += _lost(ranking, scale, unit)
    lines += _next(ranking, say)
    if ranking.flips:
        lines += _wrap(f"What would turn it: {'; '.join(f.said(metric) for f in ranking.flips)}.")
    for note in ranking.notes:
        lines += _wrap(f"Note: {note}.")
    lines += ["", *_wrap(CAUTIONS)]
    return "\n".join(line.rstrip() for line in lines)


def _beside(ranking: Ranking, scale: float, unit: str) -> list[str]:
    """What the named option does to carry, total, spread and fairway, with 80 % intervals."""
    s = next((s for s in ranking.options if s.option.id == ranking.verdict.option), None)
    if s is None:
        return []

    def told(gain: Gain, by: float, digits: int = 1) -> str:
        return f"{gain.mean / by:+.{digits}f} ({gain.low / by:+.{digits}f} to {gain.high / by:+.{digits}f})"

    parts = [f"carry {told(s.carry_gain, scale)}", f"total {told(s.total_gain, scale)}"]
    if s.offline_sd_change_m is not None:
        parts.append(f"side SD {s.offline_sd_change_m / scale:+.1f}")
    words = f"   Against the present club: {', '.join(parts)} {unit}"
    if "fairway" in s.others:
        words += f"; in the fairway {told(s.others['fairway'][1], 0.01, 0)} balls in 100"
    return textwrap.wrap(words + ".", WIDTH, subsequent_indent="   ")


def _wished(ranking: Ranking, say: Say) -> list[str]:
    """What the objective is measured by, and what the present club gives."""
    words = ranking.question.goal.words(say.unit)
    if not words:
        return []
    value = say.far(ranking.present.value)
    return _wrap(f"   {words[0].upper()}{words[1:]}: {value} with the present club.")


def _lost(ranking: Ranking, scale: float, unit: str) -> list[str]:
    """Where the present club's yards go."""
    parts = [f"{loss.cause} {loss.carry_m / scale:.0f} ({loss.remedy})" for loss in ranking.losses[:A_TIER]]
    if not parts:
        return []
    words = f"Where the present club's {unit} of carry go, each alone, overlapping: {'; '.join(parts)}."
    return ["", *_wrap(words)]


def _next(ranking: Ranking, say: Say) -> list[str]:
    lines = [
        line
        for step in ranking.next[:A_TIER]
        for line in textwrap.wrap(
            f"{step.minutes:6.0f} min  {step.action}: "
            f"interval {say.plain(step.now)} -> {say.far(step.after)}",
            WIDTH,
            subsequent_indent=" " * 12,
        )
    ]
    return ["", "What to measure next, what saves most per minute first:", *lines] if lines else []


def _title(ranking: Ranking) -> str:
    counts = ranking.counts
    used = counts["shots"] - counts["set_aside"]
    return (
        f"Player {ranking.player or '?'}, {ranking.hand}-handed: {used} of {counts['shots']} shots used, "
        f"{counts['set_aside']} set aside; {counts['options']} options, {counts['draws']} draws."
    )


def _now(s: Scored, scale: float, unit: str) -> list[str]:
    mid = {k: v[1] for k, v in s.predicted.items()}
    speeds = f"club {mid['club_speed_mps'] / MPH:.0f} mph, ball {mid['ball_speed_mps'] / MPH:.0f} mph"
    if unit == "m":
        speeds = f"club {mid['club_speed_mps']:.1f} m/s, ball {mid['ball_speed_mps']:.1f} m/s"
    side = "" if s.offline_sd_m is None else f", side SD {s.offline_sd_m / scale:.0f}"
    return [
        f"Present {s.option.id}: carry {s.carry_m / scale:.0f}, weak {s.weak_carry_m / scale:.0f}, "
        f"total {s.total_m / scale:.0f}{side} {unit};",
        f"   {speeds}, launch {mid['launch_deg']:.1f} deg, spin {mid['spin_rpm']:.0f} rpm, "
        f"loft {s.loft_deg:.1f} deg.",
    ]


def _barred(ranking: Ranking, most: int) -> list[Scored]:
    """Best club of each head or length that breaks a rule."""
    best: dict[tuple[str, ...], Scored] = {}
    for s in ranking.breaches:
        best.setdefault((s.option.club.head.code, *s.option.rules), s)
    return list(best.values())[:most]


def _name(s: Scored) -> str:
    return s.option.id


def _axis(low: float, high: float, say: Say) -> str:
    zero = _place(0.0, low, high)
    left = say.short(low)[:zero]
    right = say.short(high)
    row = [" "] * BAR
    row[: len(left)] = left
    row[BAR - len(right) :] = right
    row[zero] = "|"
    return "".join(row)


def _place(value: float, low: float, high: float) -> int:
    return round((value - low) / (high - low) * (BAR - 1))


def _rung(s: Scored, ranking: Ranking, names: int, low: float, high: float, say: Say) -> str:
    g = s.value_gain
    row = [" "] * BAR
    row[_place(0.0, low, high)] = "|"
    for k in range(_place(g.low, low, high), _place(g.high, low, high) + 1):
        row[k] = "-"
    row[_place(g.mean, low, high)] = "o"
    mark = ">" if s.option.id == ranking.verdict.option else " "
    numbers = f"{say.plain(g.mean, True):>5} ({say.short(g.low)} {say.short(g.high)})"
    side = "-" if s.offline_sd_change_m is None else f"{s.offline_sd_change_m / say.scale:+.1f}"
    tied = "=" if s.tied else ""
    return (
        f"{mark}{s.option.tier} {_name(s)[:names]:{names}}  {numbers:<{NUMBERS}} {''.join(row)}  {side:>7} "
        f"{probability(s.p_better, short=True):>4} {tied}"
    )


def _reasons(ranking: Ranking, picked: Sequence[Scored], say: Say) -> list[str]:
    named = [s for s in picked if s.option.id == ranking.verdict.option]
    explained = [s for s in named or picked if s.reasons]
    if not explained:
        return []
    s = max(explained, key=lambda s: s.value_gain.mean)
    lines = [f"Why {s.option.id} ({TIERS[s.option.tier]}, {s.option.availability}):"]
    for r in s.reasons:
        change = _change(r.cause, r.change, r.unit, ranking.hand, say.unit == "m")
        lines.append(f"   {r.cause:<20} {change:>12}   {say.plain(r.value, True):>6} {say.noun}")
    mid, now = s.predicted, ranking.present.predicted
    lines.append(
        f"   predicted: launch {now['launch_deg'][1]:.1f} -> {mid['launch_deg'][1]:.1f} deg, spin "
        f"{now['spin_rpm'][1]:.0f} -> {mid['spin_rpm'][1]:.0f} rpm: the next ball can check it"
    )
    lines += [f"   rules: {breach}" for breach in s.option.rules]
    return [*lines, ""] if ranking.notes else lines


def _change(cause: str, change: float, unit: str, hand: str, metric: bool) -> str:
    if cause == "ball speed":
        return f"{change:+.1f} m/s" if metric else f"{change / MPH:+.1f} mph"
    if cause == "spin":
        return f"{change:+.0f} rpm"
    if cause == "direction and curve":
        shown = -change if hand == "left" else change
        return f"{abs(shown):.1f} deg {'R' if shown > 0 else 'L'}" if abs(shown) >= 0.05 else "0.0 deg"
    return f"{change:+.1f} {unit}"


def _wrap(words: str) -> list[str]:
    return textwrap.wrap(words, WIDTH)
