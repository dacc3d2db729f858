"""Who hit what, when and in which air: the facts above and below a sheet."""

from __future__ import annotations

from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import PurePath
from typing import Any

from fitter import __version__
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError, Problem
from fitter.base.units import probability
from fitter.display.numbers import Numbers, counted, plain
from fitter.sheet import pictures, tables, words
from fitter.sheet.answers import answers, next_steps
from fitter.sheet.evidence import evidence
from fitter.sheet.render import printable
from fitter.shots.session import CHANNELS, Session

WINDS = (
    "in the face", "in the face from the right", "from the right", "from behind on the right", "from behind",
    "from behind on the left", "from the left", "in the face from the left",
)  # fmt: skip
"""Where a wind comes from, every 45 deg."""


def conditions(where: Conditions, there: Conditions | None, n: Numbers) -> str:
    """Air, wind and ground that the numbers hold for."""
    said = f"The numbers hold for {_air(where, n)}, {where.turf} turf"
    if where.law:
        said += f", ball law {where.law} alone"
    if there is None or there == where:
        return said + "; measured in the same air."
    return f"{said}; measured in {_air(there, n)}."


def _air(c: Conditions, n: Numbers) -> str:
    wind = "no wind"
    if c.wind_mps:
        wind = f"wind {n.speed(c.wind_mps)} {WINDS[round(c.wind_from_deg / 45.0) % 8]}"
    slope = ""
    if c.landing_height_m:
        up = "above" if c.landing_height_m > 0 else "below"
        slope = f", landing {n.far(abs(c.landing_height_m))} {up} the tee"
    return (
        f"{n.temperature(c.temperature_c)}, {plain(c.pressure_pa / 100)} hPa, "
        f"{plain(100 * c.humidity)} % humidity, {wind}{slope}"
    )


def facts(ranking: Ranking, session: Session, n: Numbers) -> list[list[str]]:
    """Rows of [label, value]; the player first."""
    counts = ranking.counts
    used = counts["shots"] - counts["set_aside"]
    measured_by = ranking.question.goal.words(n.length)
    found = [
        ["Player", f"{ranking.player or 'not named'}, {ranking.hand}-handed"],
        ["Present club", ranking.present.option.id if ranking.present.option.club.known else "not known"],
        ["Asked for", ranking.objective.label + (f": {measured_by}" if measured_by else "")],
        ["Shots", f"{used} of {counts['shots']} used, {counts['set_aside']} set aside"],
        ["Session", PurePath(session.source).name],
    ]
    date = next((w for w in session.word("time") if len(w) >= 10), "")[:10]
    if date:
        found.insert(1, ["Date", date])
    for channel, label in (("ball", "Ball"), ("place", "Place")):
        seen = list(dict.fromkeys(w for w in session.word(channel) if w))
        if seen:
            found.append([label, ", ".join(seen[:2])])
    if session.not_read:
        found.append(["Not read", counted(session.not_read, "ball")])
    return found


def sentence(words: str) -> str:
    """A note as a sentence, channels by the words that people read."""
    start, colon, rest = words.partition(":")
    if colon and start in CHANNELS:
        start = CHANNELS[start].label
    return start[:1].upper() + start[1:] + colon + rest


@dataclass(frozen=True)
class Settings:
    """What the sheet needs besides the ranking and the session.

    Parameters
    ----------
    metric : bool
        Metres in place of yards.
    where, there : Conditions
        Where the decision applies, and the session's own air (None when the same).
    chosen, why : str
        Id of the option that was chosen instead of the recommended one, or 'keep', and the reason; '' if
        nothing was chosen yet.
    trial : tuple of str
        Sentences of the trial record, none without a trial.
    evidence : bool
        Add all shots, flags and the assumptions that mattered.
    flags : tuple of str
        Lines of flags as the player should read them, for the evidence.
    local_length_rule : bool
        Hold the local rule on length against the club.
    """

    metric: bool = False
    where: Conditions = field(default_factory=Conditions)
    there: Conditions | None = None
    chosen: str = ""
    why: str = ""
    trial: tuple[str, ...] = ()
    evidence: bool = False
    flags: tuple[str, ...] = ()
    local_length_rule: bool = False


def content(ranking: Ranking, session: Session, settings: Settings | None = None) -> dict[str, Any]:
    """Everything that stands on the sheet.

    Parameters
    ----------
    ranking : Ranking
    session : Session
        The shots behind it, screened.
    settings : Settings, optional

    Returns
    -------
    dict
        Strings, numbers, lists and dictionaries alone: the same for paper, Markdown and card.

    Raises
    ------
    InputError
        If the chosen option is not among those ranked.
    """
    given = settings or Settings()
    n = Numbers(given.metric)
    told = ranking.as_dict()
    present = told["present"]
    every = zip((*ranking.options, *ranking.breaches), told["options"] + told["breaches"], strict=True)
    by_id = {o["id"]: (s, o) for s, o in every}
    named = by_id.get(ranking.verdict.option or "")
    chosen = _chosen(given.chosen, by_id)
    kept = given.chosen == "keep"
    focus, option = chosen or (None if kept else named) or (None, None)
    shown = ranking.best_of_tiers(also=[] if chosen is None else [given.chosen])
    say = n.say(ranking.objective)
    found: dict[str, Any] = {
        "title": "Driver recommendation",
        "player": ranking.player or "not named",
        "facts": facts(ranking, session, n),
        "verdict": _verdict(ranking, n),
        "gain": _gain(None if named is None else named[0], ranking, n),
        "chosen": _choice(given, ranking, chosen, n),
        "compare": {
            "heads": [
                "mean of your balls",
                "present club",
                "" if focus is None else _called(focus, ranking),
                "change, 80 % range",
            ],
            "option": "" if focus is None else focus.option.id,
            "rows": tables.compare(present, option, n),
        },
        "tiers": {
            "title": f"Best of each tier: {_gained(ranking)} against the present club",
            "unit": say.noun,
            "rows": tables.tiers(ranking, shown, n, given.chosen),
            "note": "Bar: 80 % interval; dot: expected gain; upright line: the present club. "
            "Side spread: how its SD changes, each option at its best aim. Level with the best: of "
            f"{ranking.compared()}.",
        },
        "ladder": pictures.ladder(shown, n, ranking.objective),
        "pattern": _pattern(ranking, focus, n),
        "reasons": _reasons(ranking, focus, n),
        "set_up": []
        if focus is None
        else [
            words.club_words(focus.option.club),
            *words.set_up(focus.option.ball_forward_mm, focus.option.tee_mm, ranking.hand, given.metric),
        ],
        "build": tables.build(
            ranking.present.option.club,
            None if focus is None else focus.option.club,
            ranking.present.predicted["club_speed_mps"][1],
        ),
        "trial": list(given.trial),
        "will_not": words.will_not(present, option, n),
        "questions": answers(ranking, focus, option, present, n, given.local_length_rule),
        "next": list(next_steps(ranking, say)),
        "conditions": conditions(given.where, given.there, n),
        "notes": [sentence(note) for note in ranking.notes],
        "cautions": words.CAUTIONS,
        "sources": words.SOURCES,
        "version": f"fitter {__version__}, {ranking.counts['options']} options looked at, "
        f"{ranking.counts['in_full']} computed in full, "
        f"{ranking.counts['draws']} draws. A prediction for this player, this day and these shots; the next "
        "session is its test.",
        "evidence": evidence(ranking, session, focus, n, given.flags) if given.evidence else None,
    }  # fmt: skip
    return {k: _clean(v) for k, v in found.items()}


def _verdict(ranking: Ranking, n: Numbers) -> dict[str, str]:
    """The verdict in one sentence; the numbers of a change follow it in a line of their own."""
    v = ranking.verdict
    text = v.text_metric if n.metric else v.text
    if v.action == "change":
        text = f"Change to {v.option}."
    return {"action": v.action, "label": words.ACTIONS[v.action], "text": text}


def _gained(ranking: Ranking) -> str:
    """What a gain is a gain of."""
    label = ranking.objective.label
    return {"share": f"more {label}", "strokes": "strokes saved"}.get(
        ranking.objective.unit, f"gain of {label}"
    )


def _gain(named: Scored | None, ranking: Ranking, n: Numbers) -> dict[str, str] | None:
    if named is None:
        return None
    say, g = n.say(ranking.objective), named.value_gain
    more = f"Better than the present club with probability {probability(named.p_better)}"
    if named.offline_sd_change_m is not None:
        more += f"; side spread {n.wider(named.offline_sd_change_m)}"
    # A sentence that tells the gain already is not told twice.
    told = "80 % between" in _verdict(ranking, n)["text"]
    return {
        "label": "" if told else f"Expected {_gained(ranking)}",
        "text": f"{say.plain(g.mean, True)} {say.noun}",
        "range": f"80 %: {say.plain(g.low, True)} to {say.plain(g.high, True)} {say.noun}",
        "more": f"{more}.",
    }


def _chosen(wanted: str, by_id: dict[str, Any]) -> Any:
    if wanted in ("", "keep"):
        return None
    if wanted not in by_id:
        near = ", ".join(get_close_matches(wanted, by_id, 3, 0.3)) or "keep, or the id of an option"
        problem = Problem("--chosen", repr(wanted), near, "Use an id as rank prints it, or keep.")
        raise InputError("There is no such option.", [problem])
    return by_id[wanted]


def _choice(given: Settings, ranking: Ranking, chosen: Any, n: Numbers) -> dict[str, str] | None:
    if not given.chosen:
        return None
    what = "the present club" if chosen is None else chosen[0].option.id
    instead = ranking.verdict.option or "the present club"
    promise = ""
    if chosen is not None:
        say = n.say(ranking.objective)
        g = chosen[0].value_gain
        promise = (
            f"{say.plain(g.mean, True)} {say.noun} expected, 80 % between {say.plain(g.low, True)} and "
            f"{say.plain(g.high, True)}"
        )
    same = what == instead
    return {
        "what": what,
        "instead": "" if same else instead,
        "promise": promise,
        "why": given.why or ("" if same else "no reason given"),
    }


def _called(focus: Scored, ranking: Ranking) -> str:
    if focus.option.id != ranking.verdict.option:
        return "chosen"
    return {"change": "recommended"}.get(ranking.verdict.action, f"option to {ranking.verdict.action}")


def _pattern(ranking: Ranking, focus: Scored | None, n: Numbers) -> dict[str, Any] | None:
    if ranking.present.offline_sd_m is None:
        return None
    side = ranking.objective.side
    sets = [("present", pictures.finishes(ranking.present, side, ranking.hand))]
    if focus is not None:
        sets.append((_called(focus, ranking), pictures.finishes(focus, side, ranking.hand)))
    return pictures.pattern(sets, n, "total distance" if side == "total" else "carry")


def _reasons(ranking: Ranking, focus: Scored | None, n: Numbers) -> dict[str, Any] | None:
    if focus is None or not focus.reasons:
        return None
    say = n.say(ranking.objective)
    laws = focus.law_gains
    robust = ""
    if len(laws) > 1:
        low, high = min(laws.values()), max(laws.values())
        agree = "agree" if focus.robust else "do not agree"
        robust = f"The rival ball laws {agree}: {say.plain(low, True)} to {say.plain(high, True)} {say.noun}."
    return {
        "title": f"Why {focus.option.id}",
        "rows": tables.reasons(focus, ranking, n),
        "sum": f"{say.plain(focus.value_gain.mean, True)} {say.noun}",
        "laws": robust,
    }


def _clean(value: Any) -> Any:
    """Every string without what no reader can see: control and direction characters stand in escaped form."""
    if isinstance(value, dict):
        return {k: _clean(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_clean(v) for v in value]
    return printable(value) if isinstance(value, str) else value
