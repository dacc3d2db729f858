"""What to do: change, keep, test or measure, and the figures that are the reason."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fitter.advice import audit
from fitter.advice.objectives import Objective
from fitter.advice.options import AVAILABLE
from fitter.advice.scored import Scored, worth
from fitter.base.assumptions import current
from fitter.kit.club import UNKNOWN, Club

Floats = NDArray[np.float64]

GAUGED = 8
"""Options, those with most to tell first, whose loft readings are priced."""
Why = Literal[
    "worthwhile", "loft decides", "club unknown", "laws disagree", "run decides", "run unsure", "not sure",
    "not worthwhile", "nothing offered",
]  # fmt: skip
"""Why a verdict is what it is."""


@dataclass(frozen=True)
class Verdict:
    """What to do.

    Parameters
    ----------
    action : str
        'change', 'keep', 'test' or 'measure'; the ranking of a goal that costs something else adds 'trade'.
    option : str or None
        Id of the option that it names.
    why : str
        One of `Why`.
    about : Scored or None
        The option whose figures are the reason: the one that is named, or the best one that is not worth it.
    heads : tuple of str
        Heads whose loft should be gauged first.
    minutes : int
        That gauging takes.
    shafts : (str, str) or None
        Softest and stiffest of shafts that cannot be told apart, where a shaft is to be tested.
    """

    action: str
    option: str | None
    why: Why
    about: Scored | None = field(default=None, repr=False, compare=False)
    heads: tuple[str, ...] = ()
    minutes: int = 0
    shafts: tuple[str, str] | None = None

    def same(self, other: Verdict) -> bool:
        """Whether both say to do the same with the same option."""
        return (self.action, self.option) == (other.action, other.option)


def decide(
    scored: list[Scored],
    draws: Floats,
    present: Club,
    objective: Objective,
    seed: int | None = None,
    totals: bool = True,
) -> Verdict:
    """Change, measure, test or keep.

    Change if the expected gain reaches the tier's threshold, P(gain > 0) is high enough, and every ball law
    that has a say gives a gain; but measure first if reading a loft that nobody gauged would be worth half a
    yard, thresholds deducted, because it may turn that choice or make one; test if knowing the truth of an
    option that looks better would be worth as much; else keep. A club that nobody knows never earns a change,
    nor does a gain of total distance that lives in the run, or that lands flatter than the turf's data: it is
    tested where totals can be measured, and stays unsure where they cannot.
    Among options within a yard of the best the cheaper tier, the fewer changes at once, the conforming, the
    one in stock and the one that all laws agree on are preferred.

    Parameters
    ----------
    scored : list of Scored
        The present club first.
    draws : ndarray, shape (draws, options)
        Gains, larger is better, in the order of scored.
    present : Club
    objective : Objective
    seed : int, optional
        Of the ranking: finds the draws of lofts again; nothing is priced when silent.
    totals : bool
        Whether totals can be measured where the shots are hit.
    """
    return _Decision(scored, draws, present, objective, seed, totals).verdict()


@dataclass(frozen=True)
class _Decision:
    scored: list[Scored]
    draws: Floats
    present: Club
    objective: Objective
    seed: int | None
    totals: bool = True

    def verdict(self) -> Verdict:
        rows = range(1, len(self.scored))
        if not rows:
            return Verdict("keep", None, "nothing offered")
        a = current()
        likely = a.value("verdict.probability")
        good = [i for i in rows if self.scored[i].value_gain.mean >= self.scored[i].threshold]
        good = [i for i in good if self.scored[i].p_better >= likely]
        sure = [i for i in good if self.agreed(i)]
        enough = a.value("verdict.information") * worth(self.objective)
        solid = [i for i in sure if not self.in_the_run(i)]
        pick = [self.simplest_of_the_best(solid)] if solid and self.present.known else []
        reading = self.reading(enough, pick)
        if reading is not None:
            return reading
        if pick:
            return self.named("change", pick[0], "worthwhile")
        if solid:
            return self.named("test", self.simplest_of_the_best(solid), "club unknown")
        if sure:
            i = self.simplest_of_the_best(sure)
            return self.named("test", i, "run decides") if self.totals else self.unsure(i)
        if good:
            return self.named("test", self.simplest_of_the_best(good), "laws disagree")
        telling = [i for i in rows if self.scored[i].information >= enough]
        telling = [i for i in telling if self.scored[i].value_gain.mean > 0.0]
        if telling:
            most = max(self.scored[i].information for i in telling)
            near = [i for i in telling if self.scored[i].information >= most - 0.5 * enough]
            return self.test(min(near, key=self.simplicity))
        return self.keep()

    def agreed(self, i: int) -> bool:
        """Whether no ball law that has a say takes the gain away."""
        return all(gain > 0.0 for gain in self.scored[i].law_gains.values())

    def in_the_run(self, i: int) -> bool:
        """Whether a gain by total distance is made by the run, or lands flatter than the turf's data."""
        a, s = current(), self.scored[i]
        if self.objective.side != "total" or self.objective.unit == "share":
            return False
        far = s.total_gain.mean
        run = far > 0.0 and far - s.carry_gain.mean > a.value("verdict.run_share") * far
        return run or s.predicted["descent_deg"][1] < a.value("turf.flattest")

    def unsure(self, i: int) -> Verdict:
        """A gain that nobody can check here: the option is the reason, and is not named."""
        return Verdict("keep", None, "run unsure", self.scored[i])

    def simplicity(self, i: int) -> tuple[int, int, bool, int, bool, float]:
        s = self.scored[i]
        stock = ("in hand", *AVAILABLE.values())
        return (
            "ABCDE".index(s.option.tier),
            s.option.steps(self.present),
            bool(s.option.rules),
            stock.index(s.option.availability) if s.option.availability in stock else len(stock),
            not s.robust,
            -s.value_gain.mean,
        )

    def simplest_of_the_best(self, sure: list[int]) -> int:
        best = max(sure, key=lambda i: self.scored[i].value_gain.mean - self.scored[i].threshold)
        give = current().value("verdict.indifference") * worth(self.objective)
        alike = [i for i in sure if float((self.draws[:, best] - self.draws[:, i]).mean()) <= give]
        return min(alike, key=self.simplicity)

    def named(self, action: str, i: int, why: Why) -> Verdict:
        s = self.scored[i]
        return Verdict(action, s.option.id, why, s)

    def reading(self, enough: float, pick: list[int]) -> Verdict | None:
        """Measure first, if reading a loft would turn the pick or make one."""
        if self.seed is None:
            return None
        limits = np.array([s.threshold for s in self.scored])
        net = self.draws - limits
        hopeful = [i for i in range(1, len(self.scored)) if self.scored[i].value_gain.mean > 0.0]
        asked = pick or sorted(hopeful, key=lambda i: -self.scored[i].information)[:GAUGED]
        options = tuple(s.option for s in self.scored)
        found = audit.gauge(options, net, asked, len(self.draws), self.seed)
        if found is None:
            return None
        turns = bool(pick) and found.turns >= current().value("verdict.turned")
        if found.value < enough and not turns:
            return None
        s, own = self.scored[found.option], self.present.head
        # The head of a card has no code that anybody knows it by.
        heads = tuple(UNKNOWN if own.masses is not None and h == own.code else h for h in found.heads)
        return Verdict("measure", s.option.id, "loft decides", s, heads, found.minutes)

    def test(self, i: int) -> Verdict:
        shafts = opposite_ends(self.scored) if self.scored[i].option.tier in "CE" else None
        return replace(self.named("test", i, "not sure"), shafts=shafts)

    def keep(self) -> Verdict:
        best = max(self.scored[1:], key=lambda s: s.value_gain.mean)
        return Verdict("keep", None, "not worthwhile", best)


def opposite_ends(scored: list[Scored]) -> tuple[str, str] | None:
    """Softest and stiffest shaft among those that the priors cannot tell apart, None if they can be.

    Shafts count as told apart when the 80 % interval of the best one's gain leaves out 0 or reaches its
    threshold in expectation.
    """
    shafts = [s for s in scored[1:] if s.option.tier == "C" and not s.option.ball_forward_mm]
    shafts = [s for s in shafts if s.option.club.loft_change_deg == scored[0].option.club.loft_change_deg]
    if len(shafts) < 2 or any(s.value_gain.mean >= s.threshold or s.value_gain.low > 0.0 for s in shafts):
        return None
    by_flex = sorted(shafts, key=lambda s: (s.option.club.shaft.figure("frequency_cpm").value, s.option.id))
    soft, stiff = by_flex[0].option.club.shaft.code, by_flex[-1].option.club.shaft.code
    return (soft, stiff) if soft != stiff else None
