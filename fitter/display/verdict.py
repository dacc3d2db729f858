"""Sentences of a decision: the verdict, what would turn it, what to measure next, notes. Facts come in."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitter.advice.alike import Alike
from fitter.advice.baseline import Note
from fitter.advice.budget import Part
from fitter.advice.flips import Flip
from fitter.advice.next_step import Step
from fitter.advice.objectives import Goal
from fitter.advice.result import Ranking
from fitter.advice.scored import Balance, Scored, Span
from fitter.advice.verdict import Verdict
from fitter.base.units import US, Units, open_or_closed, probability
from fitter.display import doubts, hit
from fitter.display.notes import NOTES, SHAFTS
from fitter.display.values import Values
from fitter.kit.club import UNKNOWN

WITHHELD = {
    "few balls": "{} balls are used, and what is bought asks for {}",
    "many aside": "{} of {} balls are set aside, so the device is to be doubted",
    "face": "its face soles {} deg, further from square than is ordinary: look at it at address first",
    "club speed": "club speed was not measured, only inferred from the ball: measure it first",
}
"""Sentences of what stands against a change, by code; a log's own doubts are told before the verdict."""
LOSSES = {
    "strokes": "{} strokes a hole more",
    "fairway": "{} of 100 balls fewer in the fairway",
    "carry": "{} less carry",
    "total": "{} less total distance",
    "least fairways": "only {} of 100 balls find the fairway, fewer than asked for",
    "not shorter": "its total distance is {}, shorter than asked for",
}
"""What a trade costs, or which condition of the player it breaks."""


def verdict(ranking: Ranking, units: Units = US) -> str:
    """The verdict of a ranking in one sentence; what has to be mended first goes before it."""
    said = sentence(ranking.verdict, Values.of(ranking, units), ranking.counts["options"])
    said = _after_balls(said, ranking)
    turned = "" if ranking.heard is None else hit.turned(ranking.heard, ranking.verdict)
    parts = doubts.lead(ranking.shots, units), said, _broken(ranking.verdict, units), turned
    return " ".join(filter(None, parts))


def _after_balls(said: str, ranking: Ranking) -> str:
    """What was hit is no promise on paper any more."""
    about, heard = ranking.verdict.about, ranking.heard
    if about is None or heard is None:
        return said
    # Of a set-up its club was hit.
    count = heard.hit.get(about.option.id, 0) or heard.hit.get(about.option.club.code, 0)
    if not count:
        return said
    after = f"after {hit.balls(count)}"
    return said.replace("on paper", after).replace("On paper", after.capitalize())


def _broken(found: Verdict, units: Units) -> str:
    """Conditions of the player that an option to be tested or measured would break, '' if none."""
    if found.action not in ("test", "measure") or found.about is None or not found.losses:
        return ""
    costs = ", ".join(lost(code, found.about, units) for code in found.losses)
    return f"But as expected it breaks the player's condition: {costs}."


def sentence(found: Verdict, values: Values, options: int) -> str:
    """One plain sentence of a verdict on so many options."""
    s = found.about
    if s is None:
        return "Keep the present club: nothing else is offered."
    name = values.name(s.option.id)
    it = f"it promises {values.gain(s.value_gain)}"
    promise = f"{name} promises {values.gain(s.value_gain)}"
    if found.action in ("change", "trade"):
        return f"{_change(found, s, values)}{_try_now(found.try_now, values)}"
    if found.why == "withheld":
        against = "; ".join(dict.fromkeys(map(_withheld, found.withheld)))
        return f"Test {name} before anything is changed for good: on paper {it}, but {against}."
    if found.why == "loft decides":
        which = " and ".join("the present club" if h == UNKNOWN else h for h in found.heads)
        return (
            f"Measure first: gauge the loft of {which} ({found.minutes} minutes). On paper {promise}; a loft "
            "that nobody gauged would decide."
        )
    if found.why == "club unknown":
        return (
            f"Test {name} beside the present club before anything is bought: the present club's figures are "
            f"not known, so the expected {values.full(s.value_gain.mean)} may be the guess's."
        )
    if found.why == "laws disagree":
        ends = sorted(s.law_gains.items(), key=lambda item: item[1])
        (low_law, low), (high_law, high) = ends[0], ends[-1]
        return (
            f"Undecided: the ball laws disagree on {name}, from {values.number(low, sign=True)} by {low_law} "
            f"to {values.number(high, sign=True)} {values.unit} by {high_law}. "
            "Test it against the present club, or measure carries, which tell the laws apart."
        )
    if found.why in ("run decides", "run unsure"):
        runs = s.total_gain.mean > s.carry_gain.mean
        made = "made by the run" if runs else "with balls that land flatter than any that were filmed on turf"
        lives = f"{made}, which is the least known of all"
        if found.why == "run decides":
            return f"Test {name} against the present club and measure totals: on paper {it}, {lives}."
        return (
            f"Unsure, so keep the present club: on paper {promise}, {lives}; here no total can be measured "
            "to check it."
        )
    if found.why == "not sure":
        told = "" if found.shafts is None else SHAFTS.format(*found.shafts)
        shafts = told and f" {told[0].upper()}{told[1:]}."
        return (
            f"Test {name} against the present club: on paper {it}; that is not sure enough to change.{shafts}"
        )
    return (
        f"Keep the present club: {promise}, the most of {options} options; it would have to reach "
        f"{values.full(s.threshold)} to be worth it."
    )


def _change(found: Verdict, s: Scored, values: Values) -> str:
    """What is named, what it gains, and what it costs besides."""
    name, gain = values.name(s.option.id), values.gain(s.value_gain)
    better = f"it is better than the present club with probability {probability(s.p_better)}"
    if found.losses:
        costs = ", ".join(lost(code, s, values.units) for code in found.losses)
        return f"Trade, for the player to choose: {name} gains {gain}, but {costs}; {better}."
    if s.option.tier == "A":
        return (
            f"Try it now, it costs nothing: {name}; expect to gain {gain}; {better}. Ten balls check launch "
            "and spin, not carry."
        )
    return f"Change to {name}: expect to gain {gain}; {better}."


def _try_now(free: Scored | None, values: Values) -> str:
    if free is None:
        return ""
    promise = f"{values.name(free.option.id)} promises {values.gain(free.value_gain)}"
    return f" Try first what costs nothing: {promise}."


def _withheld(found: Note) -> str:
    if found.code == "face":
        return WITHHELD["face"].format(open_or_closed(found.values[0], 1))
    words = WITHHELD.get(found.code) or NOTES.get(found.code) or "the log contradicts itself: mend it first"
    return words.format(*found.values)


def lost(code: str, s: Scored, units: Units = US) -> str:
    """What an option costs besides what was asked for."""
    b = s.balance
    figures = {
        "strokes": None if b.strokes is None else units.number(b.strokes.mid, 3),
        "fairway": None if b.fairway is None else units.number(-100.0 * b.fairway.mid),
        "carry": units.distance(-b.carry_m.mid),
        "total": units.distance(-b.total_m.mid),
        "least fairways": None if s.fairway is None else units.number(100.0 * s.fairway.mid),
        "not shorter": units.distance(s.total_m, 0),
    }
    return LOSSES[code].format(figures[code])


def balance(found: Balance, units: Units = US) -> str:
    """All that an option changes against the present club, each with its 80 % interval."""

    def shown(span: Span | None, core: str, scale: float = 1.0, digits: int = 1) -> str:
        if span is None:
            return "not known"
        mid, low, high = (
            units.quantity(scale * v, core, digits, sign=True, unit=False)
            for v in (span.mid, span.low, span.high)
        )
        return f"{mid} ({low} to {high})"

    far = ", ".join(
        f"{name} {shown(span, 'm')}"
        for name, span in (("carry", found.carry_m), ("total", found.total_m), ("spread", found.spread_m))
    )
    fairway, strokes = shown(found.fairway, "share", 100.0, 0), shown(found.strokes, "strokes", 1.0, 3)
    return f"{far} {units.distance_unit}; in the fairway {fairway} balls in 100; strokes a hole {strokes}"


def aim(s: Scored, hand: str, units: Units = US) -> str:
    """Where the player aims so that the middle of the balls finishes on the target."""
    shift = s.aim_shift_m or 0.0
    if float(units.quantity(abs(shift), "m", unit=False)) == 0.0:
        return "you aim at the target"
    return f"you aim {units.across(-shift if hand == 'left' else shift)}"


def goal(found: Goal, units: Units = US) -> str:
    """What a goal is measured by; empty for plain distances."""

    def far(metres: float) -> str:
        return units.distance(metres, 0)

    if found.objective == "clear":
        return f"carry of {far(found.distance_m)}"
    if found.objective == "fairway":
        return f"fairway {far(found.width_m)} wide"
    if found.objective == "play":
        edges = [
            f"{strokes:g} strokes beyond the rough on the {side}"
            for side, strokes in (("left", found.left_penalty), ("right", found.right_penalty))
            if strokes
        ]
        skill = f", a yard worth {found.skill:g} times the tour's" if found.skill != 1.0 else ""
        first, last = min(found.holes_m), max(found.holes_m)
        many = f"holes of {units.distance(first, 0)} to {far(last)}"
        hole = f"{many if last > first else f'hole of {far(first)}'}, fairway {far(found.width_m)} wide"
        return ", ".join([hole, *edges]) + skill
    if found.objective == "grid":
        place = "near edge half a depth short of the present mean, far end open"
        if math.isfinite(found.grid_from_m):
            place = f"from {far(found.grid_from_m)}"
        size = f"{far(found.grid_width_m)} wide, {far(found.grid_depth_m)} deep"
        return f"best of {found.balls} balls in a grid {size}, {place}"
    return ""


def circumstance(flip: Flip, units: Units = US) -> tuple[str, str]:
    """The circumstance of a flip as it is, and as it would have to be."""
    if flip.what == "wind":
        now, then = float(flip.now or 0.0), float(flip.then)
        way = "head" if then > 0.0 else "tail"
        return units.speed(now, 0) if now else "none", f"{units.speed(abs(then), 0)} {way} wind"
    if flip.what == "ball law":
        return "all laws", str(flip.then)
    if flip.what == "answers":
        return "as judged", f"{flip.then:g} times as wide"
    if isinstance(flip.then, str):
        return str(flip.now), flip.then
    return units.distance(float(flip.now or 0.0), 0), units.distance(flip.then, 0)


def flip(found: Flip, values: Values) -> str:
    """One plain sentence of what would turn a verdict."""
    return flips([found], values)[0]


def flips(found: Sequence[Flip], values: Values) -> list[str]:
    """What would turn a verdict, a sentence for each answer that it would turn to."""
    answers: dict[str, dict[str, list[str]]] = {}
    for f in found:
        then = circumstance(f, values.units)[1]
        answers.setdefault(_turned_to(f, values), {}).setdefault(f.what, []).append(then)
    return [
        f"{', or '.join(_start(what, ' or '.join(then)) for what, then in starts.items())}: {answer}"
        for answer, starts in answers.items()
    ]


def _start(what: str, then: str) -> str:
    return {
        "turf": f"on {then} turf",
        "wind": f"in a {then}",
        "width": f"on a fairway of {then}",
        "hole": f"on a hole of {then}",
        "answers": f"if players answer changes {then} as judged",
        "shots": "with the warm-up and the tired shots too",
    }.get(what, f"if only the {what} {then} holds")


def _turned_to(found: Flip, values: Values) -> str:
    action = {"change": "change to", "trade": "a trade for", "measure": "measure first before"}
    return f"{action.get(found.action, found.action)} {values.name(found.option)}"


def sturdy(ranking: Ranking) -> str:
    """Whether the verdict survives wider answers of players; empty where it turns or nothing was tried."""
    if not ranking.sturdy:
        return ""
    wider = ranking.question.assumptions.value("flips.answers")
    return f"It stays so if players answer changes {wider:g} times as widely as judged."


def step(found: Step, values: Values) -> str:
    """What to do next, without minutes."""
    if found.figure is not None:
        m = found.figure
        name = m.figure.rsplit("_", 1)[0].replace("_", " ")
        return f"read the {name} of {m.part} {m.code} ({m.how})"
    return {
        "balls": f"hit {found.balls} more balls with the present club",
        "trial": f"trial block: {found.balls} balls each, in turns, with the present club and "
        f"{values.name(found.option)}",
        "strike labels": f"mark the strike of the next {found.balls} balls on the face",
        "carry": f"measure the carry of {found.balls} balls outdoors",
    }[found.kind]


PARTS = {
    "conditions": (
        "from the session's air and turf to those asked for",
        "the air and turf asked for are the session's own",
    ),
    "equipment": ("the best option of the kit", ""),
    "strike": ("every ball as near the face centre as the better half", ""),
    "strike, the rest": ("from there to the face centre, at most", ""),
    "launch and spin": (
        "delivered loft {:+.1f} deg at the same attack, at most",
        "no other delivered loft is expected to go further",
    ),
    "attack": (
        "attack {:+.1f} deg with the loft that suits it: set-up or a coach's work",
        "the attack is upward enough",
    ),
    "speed": ("what is left to train", "to spare: nothing is left to train"),
}  # fmt: skip
"""What each part of a gap stands for, where there is something to change and where not."""
SPEED_REASONS = {
    "": "",
    "peaked": "not reachable at this delivery: more speed stops helping",
    "beyond the model": "not reachable at this delivery: the model ends at the fastest club it knows",
    "open end": "the upper end of the interval is open: in one draw of ten or more no speed gets there",
    "drawn on": "below half of today's speed the curve is drawn on in a straight line",
}
"""Why a needed speed has no number, or no end."""


def part(found: Part) -> str:
    """What a part of a gap stands for."""
    change = found.attack_change_deg if found.part == "attack" else found.loft_change_deg
    return PARTS[found.part][not found.changed].format(change)


def alike(found: Alike, values: Values, own_shaft: str) -> str:
    """One line for the shafts of a head that cannot be told apart on paper."""
    *others, last = found.shafts
    own = f", and so does the present one, {own_shaft}" if found.own else ""
    low, high = (values.number(v, sign=True) for v in (found.low, found.high))
    gain = f"{low} {values.unit}" if low == high else f"{low} to {high} {values.unit}"
    return (
        f"{found.head}: on paper {', '.join(others)} and {last} promise the same ({gain}){own}. To try the "
        f"softest and the stiffest, {found.soft} and {found.stiff}, takes {found.balls} balls and "
        f"{found.minutes:.0f} minutes."
    )


def compared(ranking: Ranking) -> str:
    """The set over which the best is sought."""
    n = len(ranking.options)
    return f"the present club and the {n} option{'s' * (n != 1)} computed in full"


def left_out(ranking: Ranking, values: Values) -> str:
    """Sentence on the options that were looked at in few draws alone, or not at all; '' if there is none."""
    n, more = ranking.left_out.count, ranking.left_out.unsearched
    unsearched = (
        f"The kit is large: {more} further options were not looked at, since their head with another shaft, "
        "or their shaft with that head, was behind."
    )
    if not n:
        return unsearched if more else ""
    are, each = ("options are", "each") if n > 1 else ("option is", "it")
    looked = (
        f"{n} more {are} not shown: in a look with few draws {each} was at least "
        f"{values.at_least(ranking.left_out.behind)} behind the best."
    )
    return f"{looked} {unsearched}" if more else looked
