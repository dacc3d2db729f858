"""Sentences of a decision: the verdict, what would turn it, what to measure next, notes. Facts come in."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from fitter.advice.baseline import Note
from fitter.advice.budget import Part
from fitter.advice.flips import Flip
from fitter.advice.losses import Loss
from fitter.advice.next_step import Step
from fitter.advice.objectives import Goal
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored
from fitter.advice.verdict import Verdict
from fitter.base.units import US, Units, probability
from fitter.display import device
from fitter.display.values import Values
from fitter.kit.club import UNKNOWN
from fitter.kit.rules import Finding

ABSENT = {"attack_deg": "attack", "dynamic_loft_deg": "delivered loft", "strike_toe_mm": "strike place"}
"""Channels of the delivery whose absence a note tells of."""
SHAFTS = (
    "on paper these shafts cannot be told apart; about half of players respond to a shaft at all: "
    "hit {} and {}, at opposite ends, if a shaft is to be tried"
)
NOTES = {
    "notice": "{}",
    "all shots": "every shot is used, misreads too: for comparison only",
    "many aside": "{} of {} shots are set aside as misreads: look at the device first",
    "predicted": "{}: {} of {} missing, predicted from the delivery",
    "shafts alike": SHAFTS,
    "present unknown": "the present club is not known: no verdict can be 'change'",
    "no gap": "the distance is there already: there is no gap",
    "no kit": "no kit was named, so there is no part for equipment",
    "none further": "no option of the kit is expected to go further than the present club",
    "longest": "the best option is the longest today, whatever it costs; the ranking says '{}'{}",
    "fit again": (
        "{} goes further today, but at the speed that is needed {} does: fit again as the speed comes"
    ),
    "guess": "the present club is not known: what it gives is a guess of its figures",
    "same delivery": (
        "attack, delivered loft, path and strike are taken as they are now: new speed usually changes them, "
        "so measure again as the speed comes"
    ),
    "coaches": "speed training itself is for qualified coaches; warm up, rest, and stop on pain",
}
"""Sentences of notes by their code."""
LEFT_OUT = {
    "tier": "in a tier that is not asked for",
    "head": "with a head that is not wanted",
    "shaft": "with a shaft that is not wanted",
    "stock": "not in the stock asked for",
    "price": "of no known price",
    "budget": "over the budget",
}
"""Why clubs are left out, by the limit of the offer."""


def note(found: Note) -> str:
    """What the reader should know before trusting a number."""
    code, values = found
    if code == "inferred":
        channel, missing, shots = values
        return f"{ABSENT[channel]}: not measured in {missing} of {shots} shots, inferred"
    if code == "channel left out":
        return device.left_out(values[0])
    if code == "point":
        return device.undecided(*values)
    if code == "left out":
        return not_offered(dict(values))
    if code == "present breaks":
        return f"the present club breaks a rule: {breaches(values)}"
    return NOTES[code].format(*values)


def not_offered(counts: Mapping[str, int]) -> str:
    """Sentence of what the limits of an offer left out.

    Examples
    --------
    >>> not_offered({"stock": 24, "budget": 3})
    'left out by the limits: 24 clubs not in the stock asked for, 3 clubs over the budget'
    """
    parts = (f"{n} club{'s' if n > 1 else ''} {LEFT_OUT[limit]}" for limit, n in counts.items() if n)
    return f"left out by the limits: {', '.join(parts)}"


def breach(found: Finding) -> str:
    """A figure that breaks a rule, with the limit and where it stands."""
    return f"{found.name} {found.value:g} {found.unit}: breach, limit {found.limit:g} ({found.section})"


def breaches(found: Iterable[Finding]) -> str:
    """Broken rules in one line."""
    return "; ".join(map(breach, found))


def notes(found: Iterable[Note]) -> tuple[str, ...]:
    """Sentences of all notes."""
    return tuple(map(note, found))


def verdict(ranking: Ranking, units: Units = US) -> str:
    """The verdict of a ranking in one sentence."""
    return sentence(ranking.verdict, Values(ranking.objective, units), ranking.counts["options"])


def sentence(found: Verdict, values: Values, options: int) -> str:
    """One plain sentence of a verdict on so many options."""
    s = found.about
    if s is None:
        return "Keep the present club: nothing else is offered."
    name, promise = s.option.id, f"{s.option.id} promises {values.gain(s.value_gain)}"
    if found.why == "worthwhile":
        return (
            f"Change to {name}: expect to gain {values.gain(s.value_gain)}; it is better than the "
            f"present club with probability {probability(s.p_better)}{_side(s, values.units)}."
        )
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
    if found.why == "not sure":
        shafts = "" if found.shafts is None else f" {SHAFTS.format(*found.shafts).capitalize()}."
        return (
            f"Test {name} against the present club: on paper {promise}; that is not sure enough to "
            f"change.{shafts}"
        )
    return (
        f"Keep the present club: of {options} options the best, {promise}, would have to reach "
        f"{values.full(s.threshold)} to be worth it."
    )


def _side(s: Scored, units: Units) -> str:
    """What an option does to the side."""
    if s.offline_sd_change_m is None:
        return "; direction was not measured"
    return f", and its side SD changes by {units.change(s.offline_sd_change_m)}"


def goal(found: Goal, units: Units = US) -> str:
    """What a goal is measured by; empty for plain distances."""

    def far(metres: float) -> str:
        return units.distance(metres, 0)

    if found.objective == "clear":
        return f"carry of {far(found.distance_m)}"
    if found.objective == "fairway":
        return f"fairway {far(found.width_m)} wide"
    if found.objective == "score":
        edges = [
            f"{strokes:g} strokes beyond the rough on the {side}"
            for side, strokes in (("left", found.left_penalty), ("right", found.right_penalty))
            if strokes
        ]
        skill = f", a yard worth {found.skill:g} times the tour's" if found.skill != 1.0 else ""
        hole = f"hole of {far(found.hole_m)}, fairway {far(found.width_m)} wide"
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
    if isinstance(flip.then, str):
        return str(flip.now), flip.then
    return units.distance(float(flip.now or 0.0), 0), units.distance(flip.then, 0)


def flip(found: Flip, units: Units = US) -> str:
    """One plain sentence of what would turn a verdict."""
    _, then = circumstance(found, units)
    start = {
        "turf": f"on {then} turf",
        "wind": f"in a {then}",
        "width": f"on a fairway of {then}",
        "hole": f"on a hole of {then}",
    }.get(found.what, f"if only the {found.what} {then} holds")
    return f"{start}: {found.action} {found.option or 'the present club'}"


def step(found: Step) -> str:
    """What to do next, without minutes."""
    if found.figure is not None:
        m = found.figure
        name = m.figure.rsplit("_", 1)[0].replace("_", " ")
        return f"read the {name} of {m.part} {m.code} ({m.how})"
    return {
        "balls": f"hit {found.balls} more balls with the present club",
        "trial": f"trial block: {found.balls} balls each, in turns, with the present club and {found.option}",
        "strike labels": f"mark the strike of the next {found.balls} balls on the face",
        "carry": f"measure the carry of {found.balls} balls outdoors",
    }[found.kind]


def remedy(loss: Loss) -> str:
    """What was tried to bring the yards of a loss back."""
    more = " or more" if loss.at_edge else ""
    if loss.cause == "delivered loft":
        return f"{loss.change:+.1f} deg{more} at the same attack"
    if loss.cause == "spin":
        return f"{100 * (loss.change or 0.0):+.0f} %{more} at the same launch"
    return {
        "strike": "every ball at the face centre",
        "speed": "every ball as fast as the faster half",
        "direction and curve": "path and face at the target",
    }[loss.cause]


def remedied(loss: Loss) -> str:
    """Condition under which the yards of a loss would come back, after 'if'."""
    if loss.change is None:
        return {
            "strike": "every ball came off the face centre",
            "speed": "every ball were as fast as the faster half",
            "direction and curve": "path and face pointed at the target",
        }[loss.cause]
    size, unit, same = (
        (100.0 * loss.change, " %", "launch") if loss.cause == "spin" else (loss.change, " deg", "attack")
    )
    shown = f"{abs(size):.{0 if loss.cause == 'spin' else 1}f}"
    if float(shown) == 0.0:
        return "anything were changed: it is best as it is"
    return f"it were {shown}{unit} {'less' if size < 0 else 'more'} at the same {same}"


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
    return PARTS[found.part][not found.changed].format(found.loft_change_deg)


def compared(ranking: Ranking) -> str:
    """The set over which the best is sought."""
    n = len(ranking.options)
    return f"the present club and the {n} option{'s' * (n != 1)} computed in full"


def left_out(ranking: Ranking, values: Values) -> str:
    """Sentence on the options that were looked at in few draws alone, '' if there is none."""
    n = ranking.left_out.count
    if not n:
        return ""
    are, each = ("options are", "each") if n > 1 else ("option is", "it")
    return (
        f"{n} more {are} not shown: in a look with few draws {each} was at least "
        f"{values.at_least(ranking.left_out.behind)} behind the best."
    )
