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
from fitter.base.units import YARD

MOST = 6
"""Options that are looked at again under other circumstances, the present club among them."""
DRAWS = 128
TURFS = ("soft", "ordinary", "firm")


@dataclass(frozen=True)
class Flip:
    """One change of circumstances and the verdict that it brings.

    Parameters
    ----------
    what : str
        'turf', 'wind', 'ball law', 'width' or 'hole'.
    now, then : str, float or None
        As it is, and as it would have to be: a name (None for the blend of all laws), a width or a length in
        m, or a wind in m/s; then is positive for a head wind and negative for a tail wind.
    action, option : str, str or None
        The verdict there.
    """

    what: str
    now: str | float | None
    then: str | float
    action: str
    option: str | None


@dataclass(frozen=True)
class Case:
    """Other circumstances: what changes (as in `Flip`), and the decision's surroundings and goal there."""

    what: str
    now: str | float | None
    then: str | float
    where: Conditions
    goal: Goal


def cases(where: Conditions, goal: Goal) -> Iterator[list[Case]]:
    """Circumstances to try, in groups: the first of a group that turns the verdict counts."""
    a = current()
    for turf in TURFS:
        if turf != where.turf:
            yield [Case("turf", where.turf, turf, replace(where, turf=turf), goal)]
    step = a.value("flips.wind_step_mps")
    for sign, degrees in ((1.0, 0.0), (-1.0, 180.0)):
        # Weakest first.
        yield [
            Case(
                "wind", where.wind_mps, sign * k * step,
                replace(where, wind_mps=k * step, wind_from_deg=degrees), goal,
            )
            for k in (1, 2, 3)
        ]  # fmt: skip
    names = worlds.law_names(where)
    if len(names) > 1:
        for name in names:
            yield [Case("ball law", None, name, replace(where, law=name), goal)]
    if goal.objective in ("fairway", "score"):
        for which in ("narrow", "wide"):
            width = a.value(f"flips.{which}_yd") * YARD
            yield [Case("width", goal.width_m, width, where, replace(goal, width_m=width))]
    if goal.objective == "score":
        for which in ("short", "long"):
            hole = a.value(f"flips.{which}_hole_yd") * YARD
            yield [Case("hole", goal.hole_m, hole, where, replace(goal, hole_m=hole))]


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
                found.append(Flip(case.what, case.now, case.then, there.action, there.option))
                break
    return tuple(found)
