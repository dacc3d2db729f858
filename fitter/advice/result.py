"""A session's decision: the present club, the options in order, a verdict that may be 'keep'."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from functools import cached_property

from fitter.advice.alike import Alike, folded
from fitter.advice.baseline import Note
from fitter.advice.flips import Flip
from fitter.advice.heard import Heard
from fitter.advice.losses import Loss
from fitter.advice.next_step import Step
from fitter.advice.objectives import Objective
from fitter.advice.options import Option
from fitter.advice.question import Question
from fitter.advice.race import LeftOut
from fitter.advice.scored import Balance, Scored, best_of_tiers
from fitter.advice.verdict import Verdict
from fitter.shots.session import Session


@dataclass(frozen=True)
class Ranking:
    """A session's decision.

    Parameters
    ----------
    question : Question
        As it was asked, sides as the player sees them.
    shots : Session
        Shots as they were used, in the right-handed frame: with every flag and all that is set aside.
    present : Scored
    options : tuple of Scored
        Those computed in full draws and all shots: best of each tier first, then by expected gain.
    verdict : Verdict
    objective : Objective
    yard : float
        What a yard is worth to this player, in the unit of the objective.
    laws : dict of str to float
        Weight of each ball law.
    notes : tuple of Note
        What the reader should know before trusting a number.
    counts : dict of str to int
        Shots, those set aside, carries that told of the ball, draws, options in all, and options computed in
        full: among these and the present club `Scored.p_best` and `Scored.tied` hold.
    left_out : LeftOut
        Options that were looked at in few draws alone.
    flips : tuple of Flip, optional
        What would turn the verdict; None where nothing was tried.
    next : tuple of Step
        What to measure next, what saves most interval per minute first.
    losses : tuple of Loss
        Where the present club's yards go.
    breaches : tuple of Scored
        Options that break a rule, with its words in their ``rules``, by expected gain: predicted in full,
        and no part of the verdict, of the best of a tier, of ties or of what to measure next.
    not_offered : dict of str to int
        Clubs that the limits of the offer leave out, by limit (`offer.Offer.refusal`).
    offered : dict of str to int
        Options of each tier, whether they were looked at or not.
    alike : tuple of Alike
        Shafts of a head that cannot be told apart on paper, best head first.
    by_the_change : Balance or None
        What the question's `what_if` alone changes with the present club; the rest is told on top of it.
    heard : Heard or None
        What balls with other clubs did to it; None where there are none.
    """

    question: Question = field(compare=False)
    shots: Session = field(compare=False)
    present: Scored
    options: tuple[Scored, ...]
    verdict: Verdict
    objective: Objective
    yard: float
    laws: dict[str, float]
    notes: tuple[Note, ...]
    counts: dict[str, int]
    left_out: LeftOut = field(default_factory=LeftOut)
    flips: tuple[Flip, ...] | None = None
    next: tuple[Step, ...] = ()
    losses: tuple[Loss, ...] = ()
    breaches: tuple[Scored, ...] = ()
    not_offered: dict[str, int] = field(default_factory=dict)
    offered: dict[str, int] = field(default_factory=dict)
    alike: tuple[Alike, ...] = ()
    by_the_change: Balance | None = None
    heard: Heard | None = None

    @property
    def yard_of_play(self) -> float | None:
        """Strokes that a yard is worth to this player; None where strokes are not told in yards."""
        if self.objective.unit != "strokes":
            return None
        least = self.question.assumptions.value("verdict.least_yard")
        return self.yard if self.yard > least else None

    @property
    def sturdy(self) -> bool | None:
        """Whether the verdict survives wider answers of players; None where nothing was tried."""
        return None if self.flips is None else all(f.what != "answers" for f in self.flips)

    @property
    def player(self) -> str:
        """Whose shots they are."""
        return self.shots.player

    @property
    def hand(self) -> str:
        """'right' or 'left'."""
        return self.shots.hand

    @property
    def named(self) -> Scored | None:
        """Option that the verdict names; None where the present club stays."""
        return next((s for s in self.options if s.option.id == self.verdict.option), None)

    def best_of_tiers(self, each: int = 1, also: Collection[str] = ()) -> tuple[Scored, ...]:
        """Best clubs of each tier, the option that the verdict names, and those of some ids.

        One line a club in its best set-up, and one for the shafts of a head that cannot be told apart.
        """
        named = [] if self.verdict.option is None else [self.verdict.option]
        also = {*named, *also}
        shown = (s for s in self.options if s.option.id in also or not self.stood_for(s.option))
        return best_of_tiers(shown, each, also)

    def stood_for(self, option: Option) -> bool:
        """Whether another shaft of its head stands for an option's, since they cannot be told apart."""
        return (option.club.head.code, option.club.shaft.code) in self._folded

    @cached_property
    def _folded(self) -> set[tuple[str, str]]:
        return folded(self.alike)


def order(scored: list[Scored]) -> tuple[Scored, ...]:
    """Best of each tier first, then the rest by expected gain."""
    first = best_of_tiers(scored)
    on_top = {s.option.id for s in first}
    rest = sorted(scored, key=lambda s: -s.value_gain.mean)
    return (*first, *(s for s in rest if s.option.id not in on_top))
