"""Everything that stands on a sheet, as plain values: the same for paper, Markdown and card."""

from __future__ import annotations

from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import PurePath
from typing import Any

from fitter import __version__
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored
from fitter.base.assumptions import using
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError, Problem
from fitter.base.units import Units, counted, probability
from fitter.display import points
from fitter.display import verdict as sentences
from fitter.display.notes import noted
from fitter.display.shots import label
from fitter.display.values import Values
from fitter.display.words import ACTIONS, air, club_in_full, set_up, wider
from fitter.sheet import pictures, tables
from fitter.sheet.answers import CAUTIONS, SOURCES, answers, next_steps, will_not
from fitter.sheet.evidence import evidence
from fitter.sheet.render import printable
from fitter.shots.session import Session
from fitter.shots.vocabulary import CHANNELS


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
    """Everything that stands on the sheet, with the judged numbers of the ranking's question.

    Parameters
    ----------
    ranking : Ranking
    session : Session
        The shots behind it, screened.
    settings : Settings, optional

    Returns
    -------
    dict
        Strings, numbers, lists and dictionaries alone.

    Raises
    ------
    InputError
        If the chosen option is not among those ranked.
    """
    with using(ranking.question.assumptions):
        return _content(ranking, session, settings or Settings())


def _content(ranking: Ranking, session: Session, given: Settings) -> dict[str, Any]:
    units = Units("metric" if given.metric else "us", minus="−", degree="°")
    values = Values.of(ranking, units)
    chosen, named = _find(given.chosen, ranking), ranking.named
    option = chosen or (None if given.chosen == "keep" else named)
    # The best of what breaks a rule stands there too, so that nobody misses it: with its rule, never named.
    against = [s for s in ranking.breaches if s is ranking.breaches[0] or s is chosen]
    shown = sorted(
        (*ranking.best_of_tiers(also=[given.chosen]), *against),
        key=lambda s: ("ABCDE".index(s.option.tier), -s.value_gain.mean),
    )
    present, counts = ranking.present, ranking.counts
    found: dict[str, Any] = printable(
        {
            "title": "Driver recommendation",
            "player": ranking.player or "not named",
            "facts": _facts(ranking, session, units),
            "verdict": _verdict(ranking, units),
            "gain": _gain(named, ranking, values),
            "chosen": _choice(given, ranking, chosen, values),
            "compare": {
                "heads": [
                    "mean of your balls",
                    "present club",
                    "" if option is None else _called(option, ranking),
                    "change, 80 % range",
                ],
                "option": "" if option is None else values.name(option.option.id),
                "rows": tables.compare(ranking, option, units),
            },
            "tiers": {
                "title": f"Best of each tier: {values.gained} against the present club",
                "unit": values.unit,
                "rows": tables.tiers(ranking, shown, values, given.chosen),
                "note": "Bar: 80 % interval; dot: expected gain; upright line: the present club. "
                "Spread: how the SD across changes, about the option's own middle. Level with the best: of "
                f"{sentences.compared(ranking)}.",
            },
            "ladder": pictures.ladder(shown, values),
            "pattern": _pattern(ranking, option, units),
            "reasons": _reasons(ranking, option, values),
            "set_up": _set_up(option, ranking.hand, units),
            "build": tables.build(
                present.option.club,
                None if option is None else option.option.club,
                present.predicted["club_speed_mps"][1],
                units,
            ),
            "trial": list(given.trial),
            "will_not": will_not(present, option, values),
            "questions": answers(ranking, option, values, given.local_length_rule),
            "next": next_steps(ranking, values),
            "conditions": _conditions(given.where, given.there, units),
            "notes": [_note(words) for words in noted(ranking.notes)],
            "cautions": CAUTIONS,
            "sources": SOURCES,
            "version": f"fitter {__version__}, {counts['options']} options looked at, {counts['in_full']} "
            f"computed in full, {counts['draws']} draws. A prediction for this player, this day and these "
            "shots; the next session is its test.",
            "evidence": evidence(ranking, session, option, values, given.flags) if given.evidence else None,
        }
    )
    return found


def _find(chosen: str, ranking: Ranking) -> Scored | None:
    if chosen in ("", "keep"):
        return None
    by_id = {s.option.id: s for s in (*ranking.options, *ranking.breaches)}
    if chosen not in by_id:
        near = ", ".join(get_close_matches(chosen, by_id, 3, 0.3)) or "keep, or the id of an option"
        problem = Problem("--chosen", repr(chosen), near, "Use an id as rank --json lists it, or keep.")
        raise InputError("There is no such option.", [problem])
    return by_id[chosen]


def _facts(ranking: Ranking, session: Session, units: Units) -> list[list[str]]:
    """Rows of [label, value]; the player first."""
    shots, aside = ranking.counts["shots"], ranking.counts["set_aside"]
    measured_by = sentences.goal(ranking.question.goal, units)
    found = [
        ["Player", f"{ranking.player or 'not named'}, {ranking.hand}-handed"],
        ["Present club", ranking.present.option.id if ranking.present.option.club.known else "not known"],
        ["Asked for", ranking.objective.label + (f": {measured_by}" if measured_by else "")],
        ["Shots", f"{shots - aside} of {shots} used, {aside} set aside"],
        ["Session", PurePath(session.source).name],
    ]
    date = next((w for w in session.word("time") if len(w) >= 10), "")[:10]
    if date:
        found.insert(1, ["Date", date])
    for channel, name in (("ball", "Ball"), ("place", "Place")):
        seen = list(dict.fromkeys(w for w in session.word(channel) if w))
        if seen:
            found.append([name, ", ".join(seen[:2])])
    if session.not_read:
        found.append(["Not read", counted(session.not_read, "ball")])
    return found


def _conditions(where: Conditions, there: Conditions | None, units: Units) -> str:
    """Air, wind and ground that the numbers hold for."""
    said = f"The numbers hold for {air(where, units)}, {where.turf} turf"
    if where.law:
        said += f", ball law {where.law} alone"
    if there is None or there == where:
        return f"{said}; measured in the same air."
    return f"{said}; measured in {air(there, units)}."


def _note(words: str) -> str:
    """A note as a sentence, channels by the words that people read."""
    start, colon, rest = words.partition(":")
    if colon and start in CHANNELS:
        start = label(start)
    return start[:1].upper() + start[1:] + colon + rest


def _verdict(ranking: Ranking, units: Units) -> dict[str, str]:
    """The verdict in one sentence; the numbers of a change follow it in a line of their own."""
    v = ranking.verdict
    text = sentences.verdict(ranking, units)
    if v.action == "change":
        free = ranking.named is not None and ranking.named.option.tier == "A"
        text = f"Try it now, it costs nothing: {v.option}." if free else f"Change to {v.option}."
    return {"action": v.action, "label": f"Recommendation: {ACTIONS[v.action]}", "text": text}


def _gain(named: Scored | None, ranking: Ranking, values: Values) -> dict[str, str] | None:
    if named is None:
        return None
    g = named.value_gain
    more = f"Better than the present club with probability {probability(named.p_better)}"
    if named.offline_sd_change_m is not None:
        more += f"; spread {wider(named.offline_sd_change_m, values.units)}"
    # A sentence that tells the gain already is not told twice.
    told = "80 % between" in _verdict(ranking, values.units)["text"]
    return {
        "label": "" if told else f"Expected {values.gained}",
        "text": values.full(g.mean, True),
        "range": f"80 %: {values.ends(g.low, g.high)} {values.unit}",
        "more": f"{more}.",
    }


def _choice(
    given: Settings, ranking: Ranking, chosen: Scored | None, values: Values
) -> dict[str, str] | None:
    if not given.chosen:
        return None
    instead = values.name(ranking.verdict.option)
    what, promise = "the present club", ""
    if chosen is not None:
        g, what = chosen.value_gain, values.name(chosen.option.id)
        ends = " and ".join(values.number(v, sign=True) for v in (g.low, g.high))
        promise = f"{values.full(g.mean, True)} expected, 80 % between {ends}"
    same = what == instead
    return {
        "what": what,
        "instead": "" if same else instead,
        "promise": promise,
        "why": given.why or ("" if same else "no reason given"),
    }


def _called(option: Scored, ranking: Ranking) -> str:
    if option.option.id != ranking.verdict.option:
        return "chosen"
    called = {"change": "recommended", "trade": "a trade"}
    return called.get(ranking.verdict.action, f"option to {ranking.verdict.action}")


def _pattern(ranking: Ranking, option: Scored | None, units: Units) -> dict[str, Any] | None:
    if ranking.present.offline_sd_m is None:
        return None
    shown = [("present", ranking.present)]
    if option is not None:
        shown.append((_called(option, ranking), option))
    side = ranking.objective.side
    sets = [(name, points.expected(s, side, ranking.hand, units)) for name, s in shown]
    return pictures.pattern(sets, units, "total distance" if side == "total" else "carry")


def _reasons(ranking: Ranking, option: Scored | None, values: Values) -> dict[str, Any] | None:
    if option is None or not option.reasons:
        return None
    robust, laws = "", option.law_gains.values()
    if len(laws) > 1:
        agree = "agree" if option.robust else "do not agree"
        robust = f"The rival ball laws {agree}: {values.ends(min(laws), max(laws))} {values.unit}."
    return {
        "title": f"Why {values.name(option.option.id)}",
        "rows": tables.reasons(option, ranking.hand, values),
        "sum": values.full(option.value_gain.mean, True),
        "laws": robust,
    }


def _set_up(option: Scored | None, hand: str, units: Units) -> list[str]:
    if option is None:
        return []
    o = option.option
    return [club_in_full(o.club), *set_up(o.ball_forward_mm, o.tee_mm, hand, units)]
