"""A ranking as text for people: the verdict, the present club, a ladder of gains that fits 100 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Collection, Sequence

from fitter.advice.heard import Heard
from fitter.advice.options import TIERS
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored
from fitter.base.units import US, Units, probability
from fitter.display import ladder, levers
from fitter.display import verdict as sentences
from fitter.display.hit import balls
from fitter.display.notes import breach, breaches, noted
from fitter.display.text import WIDTH, fit
from fitter.display.values import Values
from fitter.display.words import CAUTIONS, change_of_start

BAR = 25
"""Characters of one interval."""
NUMBERS = 16
"""Columns of a gain with its interval."""
NAMES = 34
"""Most columns of an option's id."""
HIT = 9
"""Columns of how often an option was hit."""
A_TIER = 3
"""Clubs shown of each tier."""


def text(ranking: Ranking, units: Units = US, a_tier: int = A_TIER, also: Collection[str] = ()) -> str:
    """Lines of a ranking.

    Parameters
    ----------
    ranking : Ranking
    units : Units
    a_tier : int
        How many clubs of each tier.
    also : collection of str
        Ids of options that stand beside them.
    """
    values = Values.of(ranking, units)
    picked = ranking.best_of_tiers(a_tier, also)
    lines = [
        title(ranking.player, ranking.hand, ranking.counts, f"{ranking.counts['options']} options, "),
        "",
        *_what_if(ranking, units),
        *_wrap(sentences.verdict(ranking, units)),
        *_against_present(ranking, units),
        "",
        *_present(ranking.present, units),
        *_goal(ranking, values),
        "",
        *_ladder(ranking, picked, values, a_tier),
        "",
        *_reasons(ranking, picked, values),
        *_losses(ranking, units),
        *_next(ranking, values),
    ]
    if ranking.flips:
        lines += _wrap(f"What would turn it: {'; '.join(sentences.flips(ranking.flips, values))}.")
    lines += _wrap(sentences.sturdy(ranking))
    for note in noted(ranking.notes):
        lines += _wrap(f"Note: {note.rstrip('.')}.")
    lines += ["", *_wrap(CAUTIONS)]
    return "\n".join(line.rstrip() for line in lines)


def title(player: str, hand: str, counts: dict[str, int], options: str = "") -> str:
    """Who, and how much stands behind the answer."""
    used = counts["shots"] - counts["set_aside"]
    return (
        f"Player {player or '?'}, {hand}-handed: {used} of {counts['shots']} shots used, "
        f"{counts['set_aside']} set aside; {options}{counts['draws']} draws."
    )


def _what_if(ranking: Ranking, units: Units) -> list[str]:
    """What another delivery does with the present club, before what is told on top of it."""
    if ranking.by_the_change is None:
        return []
    return [*_wrap(levers.what_if(ranking.question.what_if, ranking.by_the_change, units)), ""]


def _against_present(ranking: Ranking, units: Units) -> list[str]:
    """What the named option does to carry, total, spread, fairway and strokes, with 80 % intervals."""
    s = ranking.named
    if s is None:
        return []
    words = f"   Against the present club: {sentences.balance(s.balance, units)}."
    return textwrap.wrap(words, WIDTH, subsequent_indent="   ")


def _present(s: Scored, units: Units) -> list[str]:
    mid = {k: v[1] for k, v in s.predicted.items()}
    far = [units.quantity(v, "m", unit=False) for v in (s.carry_m, s.weak_carry_m, s.total_m)]
    side = "" if s.offline_sd_m is None else f", spread {units.quantity(s.offline_sd_m, 'm', unit=False)}"
    return [
        f"Present {s.option.id}: carry {far[0]}, weak {far[1]}, total {far[2]}{side} {units.distance_unit};",
        f"   club {units.speed(mid['club_speed_mps'])}, ball {units.speed(mid['ball_speed_mps'])}, "
        f"launch {mid['launch_deg']:.1f} deg, spin {mid['spin_rpm']:.0f} rpm, loft {s.loft_deg:.1f} deg.",
    ]


def _goal(ranking: Ranking, values: Values) -> list[str]:
    """What the objective is measured by, and what the present club gives."""
    words = sentences.goal(ranking.question.goal, values.units)
    if not words:
        return []
    return _wrap(
        f"   {words[0].upper()}{words[1:]}: {values.absolute(ranking.present.value)} with the present club."
    )


def _ladder(ranking: Ranking, picked: Sequence[Scored], values: Values, a_tier: int) -> list[str]:
    """Options as rungs: those picked, then those that break a rule."""
    barred = _breaches(ranking, a_tier)
    rows = (*picked, *barred)
    unit = ranking.objective.unit
    scale = ladder.scale_of(rows, values, BAR, least=1.0 if values.in_distance or unit == "share" else 0.001)
    heard = ranking.heard
    most = NAMES - (0 if heard is None else HIT + 1)
    names = min(max([8, *(len(values.name(s.option.id)) for s in rows)]), most)
    gain = {"share": "gain in 100", "strokes": "saved"}.get(unit, "gain")
    gain = f"gain {values.short_unit}" if values.in_distance else gain
    lines = [
        f"   {'option':{names}}  {gain + ' (80 %)':<{NUMBERS}} {ladder.axis_of_ends(scale)}"
        f"  {'spread':>7} {'P>0':>4}"
        f"{'' if heard is None else ' hit'}",
        *(_rung(s, ranking.verdict.option, names, scale, heard) for s in picked),
    ]
    legend = (
        f"gain of {ranking.objective.label} against the present club '|'; {_yard_of_play(values)}"
        "spread: change of the SD across, about the middle of the balls; P>0: probability of any gain; "
        f"= cannot be told apart from the best of {sentences.compared(ranking)}. "
        f"{sentences.left_out(ranking, values)}"
    )
    if heard is not None:
        legend += " hit: balls with this club in this set-up; paper: predicted, and moved by what was hit."
    lines += textwrap.wrap(legend, WIDTH, initial_indent="   ", subsequent_indent="   ")
    own = ranking.present.option.club.shaft.code
    shown = {s.option.id for s in picked}
    for group in (g for g in ranking.alike if shown & set(g.options)):
        words = sentences.alike(group, values, own)
        lines += textwrap.wrap(words, WIDTH, initial_indent="   ", subsequent_indent="   ")
    if barred:
        lines += ["", "Against the rules, shown and never recommended (--allow-breaches asks for them):"]
    for s in barred:
        lines.append(_rung(s, ranking.verdict.option, names, scale, heard))
        lines += textwrap.wrap(breaches(s.option.rules), WIDTH, initial_indent="     ")
    return lines


def _yard_of_play(values: Values) -> str:
    if values.yard is None:
        return ""
    worth = f"{values.yard:.4f} strokes, the worth of a yard of total distance to this player"
    return f"a yard of play: {worth}; "


def _rung(s: Scored, named: str | None, names: int, scale: ladder.Scale, heard: Heard | None = None) -> str:
    g, values = s.value_gain, scale.values
    mark = ">" if s.option.id == named else " "
    numbers = f"{values.number(g.mean, sign=True):>5} ({values.short(g.low)} {values.short(g.high)})"
    moved = s.offline_sd_change_m
    side = values.units.quantity(moved, "m", 1, sign=True, unit=False)
    row = "".join(glyph for glyph, _ in ladder.bar(s, scale, ladder.PLAIN))
    name = fit(values.name(s.option.id), names)
    told = "" if heard is None else f"{balls(heard.hit.get(s.option.id, 0)):<{HIT}}"
    return (
        f"{mark}{s.option.tier} {name}  {numbers:<{NUMBERS}} {row}  {side:>7} "
        f"{probability(s.p_better, short=True):>4} {told}{'=' if s.tied else ''}"
    )


def _breaches(ranking: Ranking, most: int) -> list[Scored]:
    """Best club of each head or length that breaks a rule."""
    best: dict[tuple[object, ...], Scored] = {}
    for s in ranking.breaches:
        best.setdefault((s.option.club.head.code, *s.option.rules), s)
    return list(best.values())[:most]


def _reasons(ranking: Ranking, picked: Sequence[Scored], values: Values) -> list[str]:
    named = ranking.named
    explained = [s for s in (picked if named is None else [named]) if s.reasons]
    if not explained:
        return []
    s = max(explained, key=lambda s: s.value_gain.mean)
    what = f"{TIERS[s.option.tier]}, {s.option.availability}; id {s.option.id}"
    lines = [f"Why {values.name(s.option.id)} ({what}):"]
    for r in s.reasons:
        change = change_of_start(r, ranking.hand, values.units)
        lines.append(f"   {r.cause:<20} {change:>12}   {values.number(r.value, sign=True):>6} {values.unit}")
    mid, now = s.predicted, ranking.present.predicted
    lines.append(
        f"   predicted: launch {now['launch_deg'][1]:.1f} -> {mid['launch_deg'][1]:.1f} deg, spin "
        f"{now['spin_rpm'][1]:.0f} -> {mid['spin_rpm'][1]:.0f} rpm: the next ball can check it"
    )
    lines += [f"   rules: {breach(rule)}" for rule in s.option.rules]
    return [*lines, ""] if ranking.notes and not (ranking.losses or ranking.next) else lines


def _losses(ranking: Ranking, units: Units) -> list[str]:
    """Where the present club's yards go."""
    parts = [
        f"{loss.cause} {units.quantity(loss.carry_m, 'm', unit=False)} ({levers.remedy(loss)})"
        for loss in ranking.losses[:A_TIER]
    ]
    if not parts:
        return []
    where = f"Where the present club's {units.distance_unit} of carry go, each alone, overlapping"
    return ["", *_wrap(f"{where}: {'; '.join(parts)}.")]


def _next(ranking: Ranking, values: Values) -> list[str]:
    lines = [
        line
        for step in ranking.next[:A_TIER]
        for line in textwrap.wrap(
            f"{step.minutes:6.0f} min  {sentences.step(step, values)}: "
            f"interval {values.number(step.now)} -> {values.full(step.after)}",
            WIDTH,
            subsequent_indent=" " * 12,
        )
    ]
    return ["", "What to measure next, what saves most per minute first:", *lines] if lines else []


def _wrap(words: str) -> list[str]:
    return textwrap.wrap(words, WIDTH)
