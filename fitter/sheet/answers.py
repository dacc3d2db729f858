"""Fixed answers to what players ask, filled with the numbers of the session."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fitter.advice.result import Ranking
from fitter.advice.scored import Scored, best_of_tiers
from fitter.advice.verdict import Say
from fitter.display.numbers import Numbers, plain
from fitter.sheet import words

SHOWN_LOSSES = 3


def answers(
    ranking: Ranking,
    focus: Scored | None,
    option: Mapping[str, Any] | None,
    present: Mapping[str, Any],
    numbers: Numbers,
    local_length_rule: bool,
) -> list[list[str]]:
    """Questions with their answers.

    Parameters
    ----------
    ranking : Ranking
    focus : Scored or None
        The option that the sheet speaks of; None when the present club stays.
    option, present : mapping or None
        The same and the present club as entries of `Ranking.as_dict`.
    numbers : Numbers
    local_length_rule : bool
        Whether the local rule on length is held against the club.

    Returns
    -------
    list of [question, answer]
    """
    say = numbers.say(ranking.objective)
    club = ranking.present.option.club if focus is None else focus.option.club
    rules = ranking.present.option.rules if focus is None else focus.option.rules
    return [
        ["How much further?", _further(ranking, option, say, numbers)],
        ["Straighter?", _straighter(option, present, numbers)],
        ["Can mine be changed?", _mine(ranking, say)],
        ["Club or swing?", _club_or_swing(ranking, option, numbers)],
        ["In winter, and with my own ball?", _winter(ranking, numbers)],
        ["Is it legal?", words.legal(club, rules, local_length_rule)],
        ["When should I come back?", _again(ranking, focus)],
    ]


def _further(ranking: Ranking, option: Mapping[str, Any] | None, say: Say, numbers: Numbers) -> str:
    if option is None:
        best = max(ranking.options, key=lambda s: s.value_gain.mean, default=None)
        if best is None:
            return "There was nothing to compare with."
        g = best.value_gain
        return (
            "With the present club not at all. The best option promises "
            f"{say.plain(g.mean, True)} {say.noun} (80 %: {say.plain(g.low, True)} to "
            f"{say.plain(g.high, True)}); from {say.far(best.threshold)} on it would be worth it."
        )
    carry, total = (
        f"{plain(numbers.scaled(option[f'{k}_gain_m']), 0, True)} {numbers.length} of {word} (80 %: "
        f"{plain(numbers.scaled(option[f'{k}_gain_low_m']), 0, True)} to "
        f"{plain(numbers.scaled(option[f'{k}_gain_high_m']), 0, True)})"
        for k, word in (("carry", "carry"), ("total", "total distance"))
    )
    return f"On average {carry} and {total}. One time in ten the truth lies beyond each end."


def _straighter(option: Mapping[str, Any] | None, present: Mapping[str, Any], numbers: Numbers) -> str:
    spread = present["offline_sd_m"]
    if spread is None:
        return "Not known: direction was not measured."
    now = f"Two balls of three now finish within {numbers.far(spread)} either side of your own mean line"
    if option is None:
        return f"{now}; nothing on offer is promised to change that."
    change = option["offline_sd_change_m"]
    then = f"with the option within {numbers.far(option['offline_sd_m'])} ({numbers.wider(change)})"
    return f"{now}, {then}. Aim centres the pattern and does not narrow it."


def _mine(ranking: Ranking, say: Say) -> str:
    best = {s.option.tier: s for s in best_of_tiers(ranking.options)}
    said = []
    for tier, how in (("A", "with nothing bought"), ("B", "by bench work")):
        s = best.get(tier)
        if s is None:
            continue
        g = s.value_gain
        ends = f"{say.plain(g.low, True)} to {say.plain(g.high, True)}"
        promise = f"{say.plain(g.mean, True)} {say.noun} (80 %: {ends})"
        sure = "" if g.low > 0.0 else ", which may be nothing"
        said.append(f"{how}, {s.option.id}: {promise}{sure}")
    if not said:
        return "There is nothing to set on it."
    return "Best " + "; ".join(said) + "."


def _club_or_swing(ranking: Ranking, option: Mapping[str, Any] | None, numbers: Numbers) -> str:
    lost = [x for x in ranking.losses if x.carry_m > 0.0][:SHOWN_LOSSES]
    if not lost:
        return "The session does not tell them apart."
    costs = "; ".join(f"{x.cause} {numbers.far(x.carry_m)} ({x.remedy})" for x in lost)
    club = "" if option is None else f" The club is expected to give {numbers.far(option['carry_gain_m'])}."
    return (
        f"Carry that each cause costs if it alone were mended, not to be added: {costs}.{club} "
        "The swing is a coach's work."
    )


def _winter(ranking: Ranking, n: Numbers) -> str:
    said = "Cold air and a cold ball cost every club carry; what one club gains on another holds better."
    if ranking.flips:
        turned = "; ".join(f.said(n.metric) for f in ranking.flips)
        said += f" What would turn the verdict: {turned}."
    else:
        said += " The verdict held on every turf, wind and ball law that was tried."
    return said + " Another ball than the session's changes spin: bring your own and hit ten."


def _again(ranking: Ranking, focus: Scored | None) -> str:
    first = "" if not ranking.next else f" Best next step: {_told(ranking.next[0])}."
    if focus is None:
        return f"When your speed or your strike has changed, or the club has.{first}"
    return f"When it is built: ten balls each, in turns. Then when your speed or strike has changed.{first}"


def _told(step: Any) -> str:
    return f"{step.action} ({step.minutes:.0f} minutes)"


def next_steps(ranking: Ranking, say: Say, most: int = 3) -> Sequence[str]:
    """What to measure next, in words."""
    return [
        f"{_told(s)}: the 80 % interval goes from {say.plain(s.now)} to {say.far(s.after)} wide"
        for s in ranking.next[:most]
    ]
