"""What to do: change, trade, keep, test or measure, and the figures that are the reason.

Everything is decided from joint draws of what each option would do; draws that hit balls have updated may
take their place.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fitter.advice import audit
from fitter.advice.baseline import Note
from fitter.advice.case import Case, Joint
from fitter.advice.options import AVAILABLE, Option
from fitter.advice.parts import Bundles, Part
from fitter.advice.scored import Scored, tier_worth
from fitter.base.assumptions import current
from fitter.base.units import YARD
from fitter.kit.club import UNKNOWN

Floats = NDArray[np.float64]

GAUGED = 8
"""Options, those with most to tell first, whose loft readings are priced."""
Why = Literal[
    "worthwhile", "loses", "loft decides", "club unknown", "laws disagree", "withheld", "run decides",
    "run unsure", "not sure",
    "not worthwhile", "nothing offered",
]  # fmt: skip
"""Why a verdict is what it is."""


@dataclass(frozen=True)
class Verdict:
    """What to do.

    Parameters
    ----------
    action : str
        'change', 'trade', 'keep', 'test' or 'measure'.
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
    losses : tuple of str
        What a trade costs: 'strokes', 'fairway', 'carry', 'total', or a condition of the player that it, or
        what is to be tested, breaks: 'least fairways', 'not shorter'.
    withheld : tuple of Note
        Why a change that would pay is only to be tested, or could not be named whatever its figures.
    try_now : Scored or None
        A change that costs nothing and pays by itself, besides what is named.
    """

    action: str
    option: str | None
    why: Why
    about: Scored | None = field(default=None, repr=False, compare=False)
    heads: tuple[str, ...] = ()
    minutes: int = 0
    shafts: tuple[str, str] | None = None
    losses: tuple[str, ...] = ()
    withheld: tuple[Note, ...] = ()
    try_now: Scored | None = field(default=None, repr=False, compare=False)

    def same(self, other: Verdict) -> bool:
        """Whether both say to do the same with the same option."""
        return (self.action, self.option) == (other.action, other.option)


def decide(scored: list[Scored], joint: Joint, case: Case) -> Verdict:
    """Change, trade, measure, test or keep.

    A change that costs nothing pays if its expected gain reaches its tier's worth and P(gain > 0) is high
    enough. What is bought has to be surer; to beat the best free change, paired on the same draws, by its
    tier's worth; to rest on enough balls; and each of its parts has to earn its own worth: the bundle less
    the bundle without that part, free settings chosen again. Every ball law that has a say must give the
    gain. Of what is left the bought one is named, else the free one. It is a trade if it breaks a condition
    of the player, or, for a distance, if strokes, fairway or the other distance lose more than a little.

    Measure first if reading a loft that nobody gauged would be worth half a yard, thresholds deducted,
    because it may turn that choice or make one; test if knowing the truth of an option that looks better
    would be worth as much; else keep. A club that nobody knows never earns a change, and no change stands
    against what is withheld; nor does a gain by total distance that lives in the run, or that lands flatter
    than the turf's data: it is tested where totals can be measured, and unsure where they cannot. Among
    options within a yard of the best the one that loses nothing, the cheaper
    tier, the fewer changes at once, the conforming, the one in stock and the one that all laws agree on are
    preferred.

    Parameters
    ----------
    scored : list of Scored
        The present club first.
    joint : Joint
        In the order of scored.
    case : Case
    """
    asked = _Decision(scored, joint, case)
    found = asked.verdict()
    if found.action in ("test", "measure") and found.option is not None:
        found = replace(found, losses=asked.broken(asked.place(found.option)))
    return replace(found, withheld=found.withheld or case.withheld)


def worth_a_fitting(found: Verdict) -> tuple[str, float]:
    """Whether a player should come for a fitting, 'yes', 'perhaps' or 'no', and the probability behind it.

    The probability is that the option which the verdict is about gains its tier's worth. 'yes' for a change
    or a trade, and where that probability reaches ``batch.worth_yes``; 'perhaps' for any other test or
    measurement; 'no' where the present club stays.
    """
    p = 0.0 if found.about is None else found.about.p_worthwhile
    if found.action == "keep":
        return "no", p
    sure = found.action in ("change", "trade") or p >= current().value("batch.worth_yes")
    return ("yes" if sure else "perhaps"), p


@dataclass(frozen=True)
class _Decision:
    scored: list[Scored]
    joint: Joint
    case: Case

    def verdict(self) -> Verdict:
        rows = range(1, len(self.scored))
        if not rows:
            return Verdict("keep", None, "nothing offered")
        good = [i for i in rows if self.pays(i) and (self.free(i) or self.beats_free(i)) and self.earns(i)]
        sure = [i for i in good if self.agreed(i)]
        solid = [i for i in sure if not self.in_the_run(i)]
        able = [i for i in solid if self.case.present.known and not self.withheld(i)]
        able = [i for i in able if not self.broken(i)] or able
        bought = [i for i in able if not self.free(i)]
        pick = self.simplest_of_the_best(bought or able) if able else None
        enough = current().value("verdict.information") * self.case.yard
        # What is free needs no gauge: ten balls tell.
        reading = None if pick and self.free(pick) else self.reading(enough, pick)
        if reading is not None:
            return reading
        if pick is not None:
            return self.change(pick, [i for i in able if self.free(i)])
        if solid:
            i = self.simplest_of_the_best(solid)
            if not self.case.present.known:
                return self.named("test", i, "club unknown")
            return replace(self.named("test", i, "withheld"), withheld=self.withheld(i))
        if sure:
            i = self.simplest_of_the_best(sure)
            return self.named("test", i, "run decides") if self.case.totals else self.unsure(i)
        if good:
            return self.named("test", self.simplest_of_the_best(good), "laws disagree")
        telling = [i for i in rows if self.scored[i].information >= enough]
        telling = [i for i in telling if self.worth_a_trial(i)]
        if telling:
            most = max(self.scored[i].information for i in telling)
            near = [i for i in telling if self.scored[i].information >= most - 0.5 * enough]
            return self.test(min(near, key=self.simplicity))
        return self.keep()

    def worth_a_trial(self, i: int) -> bool:
        """Whether an option promises part of its worth, and if it is bought more than what is free."""
        s, free = self.scored[i], [0.0]
        if not self.free(i):
            free += [x.value_gain.mean for x in self.scored if x.option.tier == "A"]
        share = current().value("verdict.test_share")
        return s.value_gain.mean > max(free) and s.value_gain.mean >= share * s.threshold

    def place(self, option: str) -> int:
        return next(i for i, s in enumerate(self.scored) if s.option.id == option)

    def free(self, i: int) -> bool:
        return self.scored[i].option.tier == "A"

    def pays(self, i: int) -> bool:
        s, kind = self.scored[i], "free" if self.free(i) else "bought"
        return s.value_gain.mean >= s.threshold and s.p_better >= current().value(f"verdict.p_{kind}")

    @cached_property
    def best_free(self) -> int:
        """Place of the best free change that keeps the player's conditions; the present club's if none is."""
        free = [i for i in range(1, len(self.scored)) if self.free(i) and not self.broken(i)]
        return max([0, *free], key=lambda i: self.scored[i].value_gain.mean)

    def beats_free(self, i: int) -> bool:
        more = self.joint.gain[:, i] - self.joint.gain[:, self.best_free]
        sure = float((more > 0.0).mean()) >= current().value("verdict.p_over_free")
        return sure and float(more.mean()) >= self.scored[i].threshold

    def earns(self, i: int) -> bool:
        """Whether every part of a bundle is worth it; one part alone is judged as the option is."""
        changed = self.bundles.parts(i)
        return len(changed) < 2 or all(self.part_earns(i, part) for part in changed)

    def part_earns(self, i: int, part: Part) -> bool:
        rest = self.bundles.without(i, part.name)
        if not rest:
            return False
        best = max(self.scored[j].value_gain.mean for j in rest)
        worth = tier_worth(part.tier, self.scored[0].carry_m, self.case.yard)
        return self.scored[i].value_gain.mean - best >= worth

    @cached_property
    def options(self) -> tuple[Option, ...]:
        return tuple(s.option for s in self.scored)

    @cached_property
    def bundles(self) -> Bundles:
        return Bundles(self.options)

    def agreed(self, i: int) -> bool:
        """Whether no ball law that has a say takes the gain away."""
        return all(gain > 0.0 for gain in self.scored[i].law_gains.values())

    def withheld(self, i: int) -> tuple[Note, ...]:
        """All that stands against a change: of the session, of the option, and of its balls if it costs."""
        found = [*self.case.withheld, *self.scored[i].withheld]
        if not self.free(i):
            a, case = current(), self.case
            least, aside = a.value("verdict.balls_bought"), a.value("verdict.aside_bought")
            if case.used < least:
                found.append(Note("few balls", (case.used, round(least))))
            if case.shots - case.used > aside * case.shots:
                found.append(Note("many aside", (case.shots - case.used, case.shots)))
        return tuple(found)

    def broken(self, i: int) -> tuple[str, ...]:
        """Conditions of the player that an option is expected to break."""
        found, goal = [], self.case.goal
        if self.joint.fairway is not None and self.joint.fairway[:, i].mean() < goal.least_fairways:
            found.append("least fairways")
        if self.joint.total[:, i].mean() < goal.keep_m - 1e-9:
            found.append("not shorter")
        return tuple(found)

    def losses(self, i: int) -> tuple[str, ...]:
        """What an option costs besides what was asked for, and conditions that it breaks."""
        objective, found = self.case.objective, []
        if objective.unit == "m" or objective.name == "clear":
            a = current()
            likely = a.value("verdict.p_loss")
            room = {
                "strokes": a.value("verdict.loss_strokes"),
                "fairway": a.value("verdict.loss_fairway"),
                "carry": a.value("verdict.loss_distance") * YARD,
                "total": a.value("verdict.loss_distance") * YARD,
            }
            for name, most in room.items():
                lost = None if name == objective.name else self.joint.losses(name, i)
                if lost is not None and lost.mean() > most and (lost > 0.0).mean() >= likely:
                    found.append(name)
        return (*found, *self.broken(i))

    def change(self, i: int, free: list[int]) -> Verdict:
        losses = self.losses(i)
        named = self.named("trade", i, "loses") if losses else self.named("change", i, "worthwhile")
        beside = None
        if free and not self.free(i):
            beside = self.scored[self.simplest_of_the_best(free)]
        return replace(named, losses=losses, try_now=beside)

    def in_the_run(self, i: int) -> bool:
        """Whether a gain by total distance is made by the run, or lands flatter than the turf's data."""
        a, s, objective = current(), self.scored[i], self.case.objective
        if objective.side != "total" or objective.unit == "share":
            return False
        gain = s.value_gain.mean / self.case.yard * YARD
        run = s.total_gain.mean - s.carry_gain.mean
        lives = gain > 0.0 and run > a.value("verdict.run_share") * gain
        return lives or s.predicted["descent_deg"][1] < a.value("turf.flattest")

    def unsure(self, i: int) -> Verdict:
        """A gain that nobody can check here: the option is the reason, and is not named."""
        return Verdict("keep", None, "run unsure", self.scored[i])

    def simplicity(self, i: int) -> tuple[object, ...]:
        s = self.scored[i]
        stock = ("in hand", *AVAILABLE.values())
        return (
            bool(self.losses(i)),
            "ABCDE".index(s.option.tier),
            s.option.steps(self.case.present),
            bool(s.option.rules),
            stock.index(s.option.availability) if s.option.availability in stock else len(stock),
            not s.robust,
            -s.value_gain.mean,
        )

    def simplest_of_the_best(self, sure: list[int]) -> int:
        best = max(sure, key=lambda i: self.scored[i].value_gain.mean - self.scored[i].threshold)
        give = current().value("verdict.indifference") * self.case.yard
        gain = self.joint.gain
        alike = [i for i in sure if float((gain[:, best] - gain[:, i]).mean()) <= give]
        return min(alike, key=self.simplicity)

    def named(self, action: str, i: int, why: Why) -> Verdict:
        s = self.scored[i]
        return Verdict(action, s.option.id, why, s)

    def reading(self, enough: float, pick: int | None) -> Verdict | None:
        """Measure first, if reading a loft would turn the pick or make one."""
        if self.case.seed is None:
            return None
        net = self.joint.gain - np.array([s.threshold for s in self.scored])
        hopeful = [i for i in range(1, len(self.scored)) if self.scored[i].value_gain.mean > 0.0]
        asked = [pick] if pick else sorted(hopeful, key=lambda i: -self.scored[i].information)[:GAUGED]
        found = audit.gauge(self.options, net, asked, len(net), self.case.seed)
        if found is None:
            return None
        turns = bool(pick) and found.turns >= current().value("verdict.turned")
        if found.value < enough and not turns:
            return None
        s, own = self.scored[found.option], self.case.present.head
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
