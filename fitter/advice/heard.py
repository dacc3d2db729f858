"""What balls that were hit did to a ranking: which club how often, what differs, and what paper says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from fitter.advice.balls import NONE, Balls
from fitter.advice.baseline import Baseline
from fitter.advice.belief import Belief, Comparison
from fitter.advice.case import Joint, case_of
from fitter.advice.evidence import from_others
from fitter.advice.options import Option
from fitter.advice.prediction import Prediction, predict
from fitter.advice.question import Question
from fitter.advice.scored import score
from fitter.advice.suspect import Suspect
from fitter.advice.verdict import Verdict, decide


@dataclass(frozen=True)
class Heard:
    """What the balls did to a ranking.

    Parameters
    ----------
    hit : dict of str to int
        Balls by id of the option; an option without an entry is on paper.
    clubs : tuple of str
        Code of the club of each ball that no present club hit.
    compared : tuple of Comparison
        Predicted and measured channels of the hit clubs.
    suspects : tuple of Suspect
    paper : Verdict
        What the verdict would be without them.
    """

    hit: dict[str, int]
    clubs: tuple[str, ...]
    compared: tuple[Comparison, ...]
    suspects: tuple[Suspect, ...]
    paper: Verdict

    @property
    def balls(self) -> int:
        """Balls of clubs other than the present one."""
        return len(self.clubs)

    @property
    def surprises(self) -> dict[str, tuple[Comparison, ...]]:
        """Channels that differ beyond both intervals, by option."""
        options = dict.fromkeys(c.option for c in self.compared if c.differs)
        return {o: tuple(c for c in self.compared if c.option == o and c.differs) for o in options}

    def agreed(self, option: str) -> tuple[str, ...]:
        """Channels of an option that do not differ so."""
        return tuple(c.channel for c in self.compared if c.option == option and not c.differs)


def gathered(question: Question) -> Balls:
    """Balls of other builds: those of the question's own log, and those given beside it.

    Parameters
    ----------
    question : Question
        In the frame of its shots.
    """
    if question.on_paper:
        return NONE
    found = from_others(question)
    return found.joined(question.evidence) if len(question.evidence) else found


def named(question: Question, balls: Balls) -> Question:
    """Return the question with the hit clubs named, so that no look leaves them out."""
    codes = {c for c in balls.codes if c != question.present.code}
    return (
        replace(question, named=tuple(dict.fromkeys((*question.named, *sorted(codes)))))
        if codes
        else question
    )


def believed(
    question: Question, baseline: Baseline, prediction: Prediction, balls: Balls
) -> tuple[Belief, Heard] | None:
    """Belief after balls, None where no other club was hit.

    The hit clubs are predicted where they were hit, in the draws of the prediction.
    """
    own = question.present.code
    clubs = {c.code: c for c in balls.clubs if c.code in set(balls.codes)}
    if not set(clubs) - {own}:
        return None
    there = replace(question, conditions=question.measured_at, measured_in=None)
    options = [prediction.options[0], *(Option(k, "E", c) for k, c in sorted(clubs.items()) if k != own)]
    seen = predict(options, there, baseline)
    belief = Belief.of(prediction, seen, question.seed).given(balls)
    paper = decide(score(prediction), Joint.of(prediction), case_of(prediction, question))
    counts = zip(belief.ids, belief.hit.tolist(), strict=True)
    others = tuple(c for c in belief.balls.codes if c != own)
    heard = Heard({i: n for i, n in counts if n}, others, belief.compared, belief.suspects, paper)
    return belief, heard


Moved = Callable[[Prediction], Prediction]
"""Moves a prediction under other circumstances as the balls moved the ranking's."""
