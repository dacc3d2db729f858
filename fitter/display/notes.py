"""What the reader should know before trusting a number, and why clubs are not offered, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fitter.advice.baseline import Note
from fitter.display import device, doubts, hit
from fitter.kit.rules import Finding

ABSENT = {
    "club_speed_mps": "club speed",
    "attack_deg": "attack",
    "dynamic_loft_deg": "delivered loft",
    "strike_toe_mm": "strike place",
}
"""Channels of the delivery whose absence a note tells of."""
SHAFTS = (
    "on paper these shafts cannot be told apart; about half of players respond to a shaft at all: "
    "hit {} and {}, at opposite ends, if a shaft is to be tried"
)
NOTES = {
    "notice": "{}",
    "all shots": "every shot is used, misreads too: for comparison only",
    "many aside": "{} of {} shots are set aside as misreads: look at the device first",
    "many shots": "{} of {} shots are used, spread evenly over the log: more of one player tell nothing new",
    "others": "shots that are not the present club's are kept as evidence for a trial and not used here: {}",
    "counted": "balls of other clubs count: they correct what is predicted of their heads and shafts: {}",
    "stale": (
        "{} shots of the warm-up and {} after club speed fell for good are not used: "
        "they describe another swing"
    ),
    "stale kept": (
        "{} shots of the warm-up and {} after club speed fell for good are used, as too few others are there"
    ),
    "odd": "{}",
    "label differs": "the log says that {} hit these shots; they are taken as those of {}",
    "no direction": "direction was not measured, so strokes cannot be told: ranked by carry",
    "sides guessed": "direction was not measured: where the balls finish across is a guess",
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
    "suit": "with a shaft that does not suit the speed and the present shaft (they can be asked for)",
    "short": "longer than their shaft allows",
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
    if code == "doubt":
        return doubts.sentence(values[0])
    if code == "surprise":
        return hit.surprise(*values)
    if code == "suspect":
        return hit.suspect(*values)
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


def noted(found: Iterable[Note]) -> tuple[str, ...]:
    """Sentences of all notes."""
    return tuple(map(note, found))
