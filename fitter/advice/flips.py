"""What would turn the verdict: another turf, wind, width, hole or ball law."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from fitter import world as worlds
from fitter.advice.objectives import Goal
from fitter.advice.scored import Scored, best_of_tiers
from fitter.advice.verdict import Verdict
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.units import MPH, YARD

MOST = 6
"""Options that are looked at again under other circumstances, the present club among them."""
DRAWS = 128
WINDS_MPS = tuple(k * current().value("flips.wind_step_mps") for k in (1, 2, 3))
"""Winds that are tried, weakest first."""
TURFS = ("soft", "ordinary", "firm")
WIDTHS_YD = tuple(current().value(f"flips.{n}_yd") for n in ("narrow", "wide"))
HOLES_YD = tuple(current().value(f"flips.{n}_hole_yd") for n in ("short", "long"))
"""Widths of the fairway and lengths of the hole that are tried."""


@dataclass(frozen=True)
class Flip:
    """One change of circumstances and the verdict that it brings.

    Parameters
    ----------
    what : str
        Such as 'turf', 'wind', 'ball law', 'width'.
    now, then : str
        As it is, and as it would have to be.
    action, option : str, str or None
        The verdict there.
    text, text_metric : str
        One plain sentence, in yards and mph and in metres and m/s.
    """

    what: str
    now: str
    then: str
    action: str
    option: str | None
    text: str
    text_metric: str

    def said(self, metric: bool) -> str:
        """Sentence in one system of units."""
        return self.text_metric if metric else self.text


@dataclass(frozen=True)
class Case:
    """Other circumstances: what changes, its words, and the decision's surroundings there."""

    what: str
    now: str
    then: str
    where: Conditions
    goal: Goal
    then_metric: str = ""


def cases(where: Conditions, goal: Goal) -> Iterator[list[Case]]:
    """Circumstances to try, in groups: the first of a group that turns the verdict counts."""
    for turf in TURFS:
        if turf != where.turf:
            yield [Case("turf", where.turf, turf, replace(where, turf=turf), goal)]
    wind = f"{where.wind_mps / MPH:.0f} mph" if where.wind_mps else "none"
    for name, degrees in (("head", 0.0), ("tail", 180.0)):
        yield [
            Case(
                "wind",
                wind,
                f"{mps / MPH:.0f} mph {name} wind",
                replace(where, wind_mps=mps, wind_from_deg=degrees),
                goal,
                f"{mps:.0f} m/s {name} wind",
            )
            for mps in WINDS_MPS
        ]
    names = worlds.law_names(where)
    if len(names) > 1:
        for name in names:
            yield [Case("ball law", "all laws", name, replace(where, law=name), goal)]
    if goal.objective in ("fairway", "score"):
        for yards in WIDTHS_YD:
            yield [_width(where, goal, yards)]
    if goal.objective == "score":
        for yards in HOLES_YD:
            yield [_hole(where, goal, yards)]


def _width(where: Conditions, goal: Goal, yards: float) -> Case:
    now, then = f"{goal.width_m / YARD:.0f} yd", f"{yards:.0f} yd"
    metres = f"{yards * YARD:.0f} m"
    return Case("width", now, then, where, replace(goal, width_m=yards * YARD), metres)


def _hole(where: Conditions, goal: Goal, yards: float) -> Case:
    now, then = f"{goal.hole_m / YARD:.0f} yd", f"{yards:.0f} yd"
    metres = f"{yards * YARD:.0f} m"
    return Case("hole", now, then, where, replace(goal, hole_m=yards * YARD), metres)


def shortlist(scored: Sequence[Scored], verdict: Verdict) -> list[Scored]:
    """Options that other circumstances may lift: the named one, the best of each tier, the best."""
    named = [s for s in scored[1:] if s.option.id == verdict.option]
    ranked = sorted(scored[1:], key=lambda s: -s.value_gain.mean)
    first = sorted(best_of_tiers(scored), key=lambda s: -s.value_gain.mean)
    wanted = [scored[0], *named, *first, *ranked]
    kept: dict[str, Scored] = {}
    for s in wanted:
        kept.setdefault(s.option.id, s)
    return list(kept.values())[:MOST]


def flips(
    decided: Callable[[Conditions, Goal], Verdict], where: Conditions, goal: Goal, verdict: Verdict
) -> tuple[Flip, ...]:
    """Search the circumstances for those that turn the verdict.

    Parameters
    ----------
    decided : callable
        Verdict on the short list under some surroundings and for a goal, always with the same draws.
    where : Conditions
    goal : Goal
        Of the decision.
    verdict : Verdict
        On all options in full draws.

    Returns
    -------
    tuple of Flip
        Another action, or another option that the simpler one does not match.
    """
    found: list[Flip] = []
    usual: Verdict | None = None
    for group in cases(where, goal):
        for case in group:
            there = decided(case.where, case.goal)
            if there.same(verdict):
                continue
            # The short list in fewer draws may part from the whole by itself: that is no flip.
            usual = usual or decided(where, goal)
            if not there.same(usual):
                words = (_words(case, there, then) for then in (case.then, case.then_metric or case.then))
                found.append(Flip(case.what, case.now, case.then, there.action, there.option, *words))
                break
    return tuple(found)


def _words(case: Case, there: Verdict, then: str) -> str:
    circumstance = {
        "turf": f"on {then} turf",
        "wind": f"in a {then}",
        "width": f"on a fairway of {then}",
        "hole": f"on a hole of {then}",
    }
    start = circumstance.get(case.what, f"if only the {case.what} {then} holds")
    named = f" {there.option}" if there.option else " the present club"
    return f"{start}: {there.action}{named}"
