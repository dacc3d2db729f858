"""Fixed words of the sheet: answers to what players ask, what is not promised, cautions and sources."""

from __future__ import annotations

from collections.abc import Sequence

from fitter.advice.next_step import Step
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored, best_of_tiers
from fitter.base.units import INCH, Units
from fitter.display import levers
from fitter.display import verdict as sentences
from fitter.display.notes import breaches
from fitter.display.values import Values
from fitter.display.words import wider
from fitter.kit.club import Club
from fitter.kit.rules import Finding, check

SHOWN_LOSSES = 3
SHOWN_STEPS = 3
CAUTIONS = (
    "Warm up before full swings and stop on pain: tired swings spoil the comparison and the body. Check "
    "clubs, nets and mats for damage; never hit a loose or cracked club. Heat and clamp as the maker says. "
    "Local rules and licensed practice come first. Training is for qualified coaches, pain for a physician."
)
SOURCES = (
    "Flight: three laws of modern balls held as rivals (Naruo, Mizota & Shimozono 2004; Ferguson, McNally & "
    "McPhee 2022; US patent 6,186,002). Ground: Biber et al. 2023. Strike: a rigid collision with the head's "
    "full inertia, two rival repairs of the spin. Players' answers to shaft, ball and tee: published trials, "
    "else judged. Every judged number with its source: fitter assumptions."
)


def answers(
    ranking: Ranking, option: Scored | None, values: Values, local_length_rule: bool
) -> list[list[str]]:
    """Questions with their answers.

    Parameters
    ----------
    ranking : Ranking
    option : Scored or None
        What the sheet speaks of; None when the present club stays.
    values : Values
    local_length_rule : bool
        Whether the local rule on length is held against the club.

    Returns
    -------
    list of [question, answer]
    """
    played = (option or ranking.present).option
    return [
        ["How much further?", _further(ranking, option, values)],
        ["Straighter?", _straighter(ranking, option, values)],
        ["Can mine be changed?", _mine(ranking, values)],
        ["Club or swing?", _club_or_swing(ranking, option, values)],
        ["In winter, and with my own ball?", _winter(ranking, values)],
        ["Is it legal?", _legal(played.club, played.rules, local_length_rule)],
        ["When should I come back?", _again(ranking, option, values)],
    ]


def _further(ranking: Ranking, option: Scored | None, values: Values) -> str:
    if option is None:
        best = max(ranking.options, key=lambda s: s.value_gain.mean, default=None)
        if best is None:
            return "There was nothing to compare with."
        g = best.value_gain
        return (
            f"With the present club not at all. The best option promises {values.full(g.mean, True)} "
            f"(80 %: {values.ends(g.low, g.high)}); "
            f"from {values.full(best.threshold)} on it would be worth it."
        )
    units = values.units
    carry, total = (
        f"{units.change(g.mean, 0)} of {word} (80 %: {units.quantity(g.low, 'm', sign=True, unit=False)} to "
        f"{units.quantity(g.high, 'm', sign=True, unit=False)})"
        for g, word in ((option.carry_gain, "carry"), (option.total_gain, "total distance"))
    )
    return f"On average {carry} and {total}. One time in ten the truth lies beyond each end."


def _straighter(ranking: Ranking, option: Scored | None, values: Values) -> str:
    units, present = values.units, ranking.present
    if present.offline_sd_m is None:
        return "Not known: direction was not measured."
    hand = ranking.hand
    spread = f"two balls of three finish within {_within(present, units)} of your line"
    now = f"{sentences.aim(present, hand, units)}; {spread}"
    if option is None:
        return f"Now {now}. Nothing on offer is promised to change that."
    then = f"{sentences.aim(option, hand, units)}, within {_within(option, units)}"
    change = wider(option.offline_sd_change_m, units)
    return f"Now {now}. With the option {then} ({change}). Aim moves the pattern and does not narrow it."


def _within(s: Scored, units: Units) -> str:
    return units.distance(s.offline_sd_m, 0)


def _mine(ranking: Ranking, values: Values) -> str:
    best = {s.option.tier: s for s in best_of_tiers(ranking.options)}
    said = []
    for tier, how in (("A", "with nothing bought"), ("B", "by bench work")):
        if s := best.get(tier):
            g = s.value_gain
            sure = "" if g.low > 0.0 else ", which may be nothing"
            promise = f"{values.full(g.mean, True)} (80 %: {values.ends(g.low, g.high)})"
            said.append(f"{how}, {values.name(s.option.id)}: {promise}{sure}")
    return f"Best {'; '.join(said)}." if said else "There is nothing to set on it."


def _club_or_swing(ranking: Ranking, option: Scored | None, values: Values) -> str:
    lost = [x for x in ranking.losses if x.carry_m > 0.0][:SHOWN_LOSSES]
    if not lost:
        return "The session does not tell them apart."

    def far(metres: float) -> str:
        return values.units.distance(metres, 0)

    costs = "; ".join(f"{x.cause} {far(x.carry_m)} ({levers.remedy(x)})" for x in lost)
    club = "" if option is None else f" The club is expected to give {far(option.carry_gain.mean)}."
    return (
        f"Carry that each cause costs if it alone were mended, not to be added: {costs}.{club} "
        "The swing is a coach's work."
    )


def _winter(ranking: Ranking, values: Values) -> str:
    said = "Cold air and a cold ball cost every club carry; what one club gains on another holds better."
    if ranking.flips:
        turned = "; ".join(sentences.flips(ranking.flips, values))
        said += f" What would turn the verdict: {turned}."
    else:
        said += " The verdict held on every turf, wind and ball law that was tried."
    return said + " Another ball than the session's changes spin: bring your own and hit ten."


def _legal(club: Club, rules: Sequence[Finding], local_length_rule: bool) -> str:
    """Answer from the figures that were measured."""
    if rules:
        return f"No: {breaches(rules)}."
    findings = check(club.head, club.length_in.value * INCH, local_length_rule=local_length_rule)
    held = [f.name for f in findings if f.state == "conforms"]
    open_ = [f.name for f in findings if f.state == "not measured"]
    said = f"Nothing measured breaks the Equipment Rules (held against them: {', '.join(held)})."
    if open_:
        said += f" Not measured: {', '.join(open_)}."
    return (
        f"{said} Ask which local rules hold, such as the 46 in limit (G-10), and whether the head is listed."
    )


def _again(ranking: Ranking, option: Scored | None, values: Values) -> str:
    first = f" Best next step: {_step(ranking.next[0], values)}." if ranking.next else ""
    if option is None:
        return f"When your speed or your strike has changed, or the club has.{first}"
    return f"When it is built: ten balls each, in turns. Then when your speed or strike has changed.{first}"


def _step(step: Step, values: Values) -> str:
    return f"{sentences.step(step, values)} ({step.minutes:.0f} minutes)"


def next_steps(ranking: Ranking, values: Values) -> list[str]:
    """What to measure next, in words."""
    return [
        f"{_step(s, values)}: the 80 % interval goes from {values.number(s.now)} to "
        f"{values.full(s.after)} wide"
        for s in ranking.next[:SHOWN_STEPS]
    ]


def will_not(present: Scored, option: Scored | None, values: Values) -> list[str]:
    """What the recommendation does not promise."""
    units = values.units
    mean = (
        "It speaks of the mean of many balls, not of each one: bad strikes stay, and all of it holds for the "
        "swing of this session."
    )
    if option is None:
        return ["It adds no yards: what is on offer is too small or too unsure to pay for.", mean]

    def nought(value: float, core: str) -> bool:
        return float(units.quantity(abs(value), core, unit=False)) == 0.0

    change = option.offline_sd_change_m
    if change is None:
        side = "Nothing is promised about direction: it was not measured."
    elif nought(change, "m"):
        side = "It will not straighten the ball: the side spread stays as it is."
    elif change > 0.0:
        side = f"It will not straighten the ball: the side spread grows by {units.distance(change)}."
    else:
        side = "It will not cure the far miss: the spread narrows, the worst balls stay."
    speed = option.predicted["club_speed_mps"][1] - present.predicted["club_speed_mps"][1]
    then = f"is expected to change by {units.quantity(speed, 'mps', 1, sign=True)} only"
    if nought(speed, "mps"):
        then = "stays"
    return [side, f"It will not swing faster for you: club speed {then}.", mean]
