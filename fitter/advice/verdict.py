"""What to do: change, keep, test or measure, in one plain sentence."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice import audit
from fitter.advice.objectives import Objective
from fitter.advice.options import AVAILABLE
from fitter.advice.scored import Gain, Scored, worth
from fitter.base.assumptions import current
from fitter.base.units import YARD, probability
from fitter.kit.club import UNKNOWN, Club

Floats = NDArray[np.float64]

GAUGED = 8
"""Options, those with most to tell first, whose loft readings are priced."""
SHAFTS = (
    "on paper these shafts cannot be told apart; about half of players respond to a shaft at all: "
    "hit {} and {}, at opposite ends, if a shaft is to be tried"
)


@dataclass(frozen=True)
class Verdict:
    """What to do (change, keep, test or measure), the option it names, one sentence in yards and metres."""

    action: str
    option: str | None
    text: str
    text_metric: str

    def same(self, other: Verdict) -> bool:
        """Whether both say to do the same with the same option."""
        return (self.action, self.option) == (other.action, other.option)


@dataclass(frozen=True)
class Say:
    """Values for people in one system of units."""

    objective: Objective
    unit: str
    scale: float

    def far(self, value: float) -> str:
        """One value with its unit."""
        return f"{self.plain(value)} {self.noun}"

    def plain(self, value: float, sign: bool = False) -> str:
        """One value without its unit."""
        digits = {"m": 1, "share": 0}.get(self.objective.unit, 3)
        by = {"m": self.scale, "share": 0.01}.get(self.objective.unit, 1.0)
        return f"{value / by:{'+' if sign else ''}.{digits}f}"

    def at_least(self, value: float) -> str:
        """A bound from below, rounded down so that it stays one, with its unit."""
        by = {"m": self.scale, "share": 0.01}.get(self.objective.unit, 1.0)
        digits = (0 if value >= by else 1) if self.objective.unit in ("m", "share") else 3
        return f"{math.floor(value / by * 10**digits) / 10**digits:.{digits}f} {self.noun}"

    def short(self, value: float) -> str:
        """One value with its sign, as short as a ladder needs it."""
        if self.objective.unit == "m":
            return f"{value / self.scale:+.0f}"
        return self.plain(value, sign=True)

    @property
    def noun(self) -> str:
        """Unit of the objective's values."""
        return {"m": self.unit, "share": "balls in 100"}.get(self.objective.unit, self.objective.unit)

    def gain(self, gain: Gain) -> str:
        """A gain and its interval."""
        unit = f" {self.unit}" if self.objective.unit == "m" else ""
        mean = self.objective.phrase.format(f"{self.plain(gain.mean)}{unit}")
        low, high = self.plain(gain.low, True), self.plain(gain.high, True)
        return f"{mean}, 80 % between {low} and {high}{unit}"

    def side(self, s: Scored) -> str:
        """What it does to the side."""
        if s.offline_sd_change_m is None:
            return "; direction was not measured"
        return f", and its side SD changes by {s.offline_sd_change_m / self.scale:+.1f} {self.unit}"


def systems(objective: Objective) -> dict[str, Say]:
    """How values are said in each system of units."""
    return {"us": Say(objective, "yd", YARD), "metric": Say(objective, "m", 1.0)}


def decide(
    scored: list[Scored],
    draws: Floats,
    present: Club,
    objective: Objective,
    looked_at: int,
    seed: int | None = None,
) -> Verdict:
    """Change, measure, test or keep.

    Change if the expected gain reaches the tier's threshold, P(gain > 0) is high enough, and every ball law
    that has a say gives a gain; but measure first if reading a loft that nobody gauged would be worth half a
    yard, thresholds deducted, because it may turn that choice or make one; test if knowing the truth of an
    option that looks better would be worth as much; else keep. A club that nobody knows never earns a change.
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
    looked_at : int
        Options in all, those of earlier looks included.
    seed : int, optional
        Of the ranking: finds the draws of lofts again; nothing is priced when silent.
    """
    return _Decision(scored, draws, present, objective, looked_at, seed).verdict()


@dataclass(frozen=True)
class _Decision:
    scored: list[Scored]
    draws: Floats
    present: Club
    objective: Objective
    looked_at: int
    seed: int | None

    def verdict(self) -> Verdict:
        rows = range(1, len(self.scored))
        if not rows:
            return self.say("keep", None, lambda _: "Keep the present club: nothing else is offered.")
        a = current()
        likely = a.value("verdict.probability")
        good = [i for i in rows if self.scored[i].value_gain.mean >= self.scored[i].threshold]
        good = [i for i in good if self.scored[i].p_better >= likely]
        sure = [i for i in good if self.agreed(i)]
        enough = a.value("verdict.information") * worth(self.objective)
        pick = [self.simplest_of_the_best(sure)] if sure and self.present.known else []
        reading = self.reading(enough, pick)
        if reading is not None:
            return reading
        if pick:
            return self.change(pick[0])
        if sure:
            return self.test_unknown(self.simplest_of_the_best(sure))
        if good:
            return self.undecided(self.simplest_of_the_best(good))
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

    def say(self, action: str, option: str | None, sentence: Callable[[Say], str]) -> Verdict:
        words = systems(self.objective)
        return Verdict(action, option, sentence(words["us"]), sentence(words["metric"]))

    def change(self, i: int) -> Verdict:
        s = self.scored[i]
        return self.say(
            "change",
            s.option.id,
            lambda say: (
                f"Change to {s.option.id}: expect to gain {say.gain(s.value_gain)}; it is better than the "
                f"present club with probability {probability(s.p_better)}{say.side(s)}."
            ),
        )

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
        if found is None or found.value < enough:
            return None
        s = self.scored[found.option]
        which = " and ".join("the present club" if h == UNKNOWN else h for h in found.heads)
        return self.say(
            "measure",
            s.option.id,
            lambda say: (
                f"Measure first: gauge the loft of {which} ({found.minutes} minutes). On paper "
                f"{self.promise(s, say)}; a loft that nobody gauged would decide."
            ),
        )

    def promise(self, s: Scored, say: Say) -> str:
        """Words for an option and its expected gain."""
        return f"{s.option.id} promises {say.gain(s.value_gain)}"

    def test_unknown(self, i: int) -> Verdict:
        s = self.scored[i]
        return self.say(
            "test",
            s.option.id,
            lambda say: (
                f"Test {s.option.id} beside the present club before anything is bought: the present club's "
                f"figures are not known, so the expected {say.far(s.value_gain.mean)} may be the guess's."
            ),
        )

    def undecided(self, i: int) -> Verdict:
        s = self.scored[i]
        ends = sorted(s.law_gains.items(), key=lambda item: item[1])
        return self.say(
            "test",
            s.option.id,
            lambda say: (
                f"Undecided: the ball laws disagree on {s.option.id}, from {say.plain(ends[0][1], True)} by "
                f"{ends[0][0]} to {say.plain(ends[-1][1], True)} {say.noun} by {ends[-1][0]}. "
                "Test it against the present club, or measure carries, which tell the laws apart."
            ),
        )

    def test(self, i: int) -> Verdict:
        s = self.scored[i]
        shafts = f" {self.shafts()}" if s.option.tier in "CE" and self.shafts() else ""
        return self.say(
            "test",
            s.option.id,
            lambda say: (
                f"Test {s.option.id} against the present club: on paper {self.promise(s, say)}; "
                f"that is not sure enough to change.{shafts}"
            ),
        )

    def shafts(self) -> str:
        """Words for shafts that the priors cannot tell apart."""
        ends = opposite_ends(self.scored)
        return "" if ends is None else SHAFTS.format(*ends).capitalize() + "."

    def keep(self) -> Verdict:
        best = max(self.scored[1:], key=lambda s: s.value_gain.mean)
        return self.say(
            "keep",
            None,
            lambda say: (
                f"Keep the present club: of {self.looked_at} options the best, {self.promise(best, say)}, "
                f"would have to reach {say.far(best.threshold)} to be worth it."
            ),
        )


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
