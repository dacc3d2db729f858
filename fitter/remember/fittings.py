"""A decision as a record: what was asked, what is recommended, and what each option promises."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date

import msgspec

from fitter.advice.options import Option
from fitter.advice.result import Ranking
from fitter.advice.scored import Gain, Scored
from fitter.display import verdict
from fitter.display.words import kinds_of_change, named
from fitter.history.records import Fitting, Player, Promise, Visit, digest
from fitter.kit.club import Club
from fitter.remember.visit import Remembered, Source, visit_of

SEVERAL = "several at once"
PROMISES = 12
"""Options whose promises are kept, the named one first."""


def kind(option: Option, present: Club) -> str:
    """Kind of a change: one of `calibration.KINDS`."""
    found = kinds_of_change(option, present)
    return next(iter(found)) if len(found) == 1 else SEVERAL


def _ends(gain: Gain) -> list[float]:
    return [gain.low, gain.mean, gain.high]


def _promise(s: Scored, ranking: Ranking) -> Promise:
    present = ranking.present.option.club
    return Promise(
        option=s.option.id, words=named(s.option, present), kind=kind(s.option, present),
        carry_m=_ends(s.carry_gain), total_m=_ends(s.total_gain), value=_ends(s.value_gain),
    )  # fmt: skip


def fitting_of(ranking: Ranking, visit: Visit, pick: str = "") -> Fitting:
    """Record of a decision.

    Parameters
    ----------
    ranking : Ranking
    visit : Visit
        Of whose shots it is.
    pick : str
        The fitter's own choice, before the ladder was seen.
    """
    q, first = ranking.question, ranking.named
    shown = [s for s in ranking.best_of_tiers(3, also=(pick,)) if first is None or s is not first]
    kept = [*([] if first is None else [first]), *shown][:PROMISES]
    asked = {
        "draws": q.draws, "seed": q.seed, "conditions": asdict(q.conditions), "goal": asdict(q.goal),
        "assumptions": {name: here.value for name, (_, here) in q.assumptions.changed().items()},
    }  # fmt: skip
    asked, text = msgspec.to_builtins(asked), verdict.verdict(ranking)
    return Fitting(
        player=visit.player,
        digest=digest(visit.digest, visit.kit, msgspec.json.encode(asked, order="sorted"), text),
        day=visit.day, visit=visit.digest, goal=q.goal.objective, unit=ranking.objective.unit, asked=asked,
        action=ranking.verdict.action, text=text,
        recommended=ranking.verdict.option or "", promises=[_promise(s, ranking) for s in kept], pick=pick,
    )  # fmt: skip


def decision(ranking: Ranking, source: Source, day: date | None = None, pick: str = "") -> Remembered:
    """Records of a ranked session: the visit and what was recommended."""
    found = visit_of(ranking.shots, source, ranking.question.measured_at, day)
    return found.adding([fitting_of(ranking, found.visit, pick)])


def of_recalled(ranking: Ranking, visit: Visit, pick: str = "") -> Remembered:
    """Records of a decision about a visit that is remembered already."""
    entries = (visit, fitting_of(ranking, visit, pick))
    return Remembered(Player(code=visit.player, hand=ranking.hand), entries, {})
