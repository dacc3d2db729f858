"""A session's decision: the present club, the options in order, a verdict that may be 'keep'."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import asdict, dataclass, field
from typing import Any

from fitter.advice.flips import Flip
from fitter.advice.losses import Loss
from fitter.advice.next_step import Step
from fitter.advice.objectives import Objective
from fitter.advice.question import Question
from fitter.advice.race import LeftOut
from fitter.advice.scored import DIRECTION, Scored, best_of_tiers
from fitter.advice.verdict import Verdict
from fitter.shots.flagged import flags_seen
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
    laws : dict of str to float
        Weight of each ball law.
    notes : tuple of str
        What the reader should know before trusting a number.
    counts : dict of str to int
        Shots, those set aside, carries that told of the ball, draws, options in all, and options computed in
        full: among these and the present club `Scored.p_best` and `Scored.tied` hold.
    left_out : LeftOut
        Options that were looked at in few draws alone.
    flips : tuple of Flip
        What would turn the verdict.
    next : tuple of Step
        What to measure next, what saves most interval per minute first.
    losses : tuple of Loss
        Where the present club's yards go.
    breaches : tuple of Scored
        Options that break a rule, with its words in their ``rules``, by expected gain: predicted in full,
        and no part of the verdict, of the best of a tier, of ties or of what to measure next.
    not_offered : dict of str to int
        Clubs that the limits of the offer leave out, by limit (`offer.LEFT_OUT`).
    """

    question: Question = field(compare=False)
    shots: Session = field(compare=False)
    present: Scored
    options: tuple[Scored, ...]
    verdict: Verdict
    objective: Objective
    laws: dict[str, float]
    notes: tuple[str, ...]
    counts: dict[str, int]
    left_out: LeftOut = field(default_factory=LeftOut)
    flips: tuple[Flip, ...] = ()
    next: tuple[Step, ...] = ()
    losses: tuple[Loss, ...] = ()
    breaches: tuple[Scored, ...] = ()
    not_offered: dict[str, int] = field(default_factory=dict)

    @property
    def player(self) -> str:
        """Whose shots they are."""
        return self.shots.player

    @property
    def hand(self) -> str:
        """'right' or 'left'."""
        return self.shots.hand

    def best_of_tiers(self, each: int = 1, also: Collection[str] = ()) -> tuple[Scored, ...]:
        """Best clubs of each tier, the option that the verdict names, and those of some ids."""
        named = [] if self.verdict.option is None else [self.verdict.option]
        return best_of_tiers(self.options, each, [*named, *also])

    def compared(self) -> str:
        """Words for the set over which the best is sought."""
        n = len(self.options)
        return f"the present club and the {n} option{'s' * (n != 1)} computed in full"

    def left_out_words(self, say: Any) -> str:
        """Sentence on the options that were looked at in few draws alone, '' if there is none."""
        n = self.left_out.count
        if not n:
            return ""
        were, each = ("options were", "each was") if n > 1 else ("option was", "it was")
        return (
            f"{n} more {were} dropped after a look in few draws: {each} at least "
            f"{say.at_least(self.left_out.behind)} behind the best of that look."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values under the keys of the contract, sides as the player sees them."""
        sign = -1.0 if self.hand == "left" else 1.0
        return {
            "session": {"player": self.player, "hand": self.hand, **self.counts, "notes": list(self.notes)},
            "present": option_dict(self.present, self.objective, sign),
            "objective": {
                "name": self.objective.name, "label": self.objective.label, "unit": self.objective.unit,
                "words": self.question.goal.words(),
            },
            "laws": self.laws,
            "left_out": {**asdict(self.left_out), "unit": self.objective.unit},
            "options": [option_dict(o, self.objective, sign) for o in self.options],
            "verdict": {
                "action": self.verdict.action, "option": self.verdict.option, "text": self.verdict.text,
            },
            "flips": [asdict(f) for f in self.flips],
            "next": [asdict(s) for s in self.next],
            "losses": [asdict(x) for x in self.losses],
            "flags": [asdict(f) for f in flags_seen(self.shots)],
            "breaches": [option_dict(o, self.objective, sign) for o in self.breaches],
            "not_offered": self.not_offered,
        }  # fmt: skip


def option_dict(s: Scored, objective: Objective, sign: float) -> dict[str, Any]:
    """One option under the keys of the contract; sign -1 mirrors a left-hander's sides back."""

    def side(value: float | None) -> float | None:
        return None if value is None else sign * value + 0.0

    o = s.option
    return {
        "id": o.id,
        "tier": o.tier,
        "head": o.club.head.code,
        "setting": o.club.loft_change_deg,
        "loft_deg": s.loft_deg,
        "face_angle_deg": side(s.face_angle_deg),
        "lie_deg": s.lie_deg,
        "shaft": o.club.shaft.code,
        "length_m": s.length_m,
        "ball_forward_mm": o.ball_forward_mm,
        "tee_mm": o.tee_mm,
        "swing_weight": s.swing_weight,
        "total_mass_g": s.total_mass_g,
        "predicted": {k: list(v) for k, v in s.predicted.items()},
        "carry_m": s.carry_m,
        "carry_gain_m": s.carry_gain.mean,
        "carry_gain_low_m": s.carry_gain.low,
        "carry_gain_high_m": s.carry_gain.high,
        "total_m": s.total_m,
        "total_gain_m": s.total_gain.mean,
        "total_gain_low_m": s.total_gain.low,
        "total_gain_high_m": s.total_gain.high,
        "weak_carry_m": s.weak_carry_m,
        "offline_sd_m": s.offline_sd_m,
        "offline_sd_change_m": s.offline_sd_change_m,
        "aim_shift_m": side(s.aim_shift_m),
        "value": s.value,
        "value_unit": objective.unit,
        "value_gain": s.value_gain.mean,
        "value_gain_low": s.value_gain.low,
        "value_gain_high": s.value_gain.high,
        "value_gain_low95": s.value_gain.low95,
        "value_gain_high95": s.value_gain.high95,
        "threshold": s.threshold,
        "p_better": s.p_better,
        "p_best": s.p_best,
        "p_worthwhile": s.p_worthwhile,
        "information": s.information,
        "tied": s.tied,
        "expected_loss": s.expected_loss,
        "loss_if_wrong": s.loss_if_wrong,
        "law_gains": dict(s.law_gains),
        "robust": s.robust,
        "others": {
            name: {"value": v, "gain": g.mean, "gain_low": g.low, "gain_high": g.high}
            for name, (v, g) in s.others.items()
        },
        "start_deg": side(s.start_deg),
        "curve_m": side(s.curve_m),
        "right_share": s.right_share if sign > 0 or s.right_share is None else 1.0 - s.right_share,
        "finish": [
            {
                "shot": f.shot,
                "carry_m": f.carry_m,
                "total_m": f.total_m,
                "side_m": side(f.side_m),
                "total_side_m": side(f.total_side_m),
            }
            for f in s.finish
        ],
        "availability": o.availability,
        "price": o.price,
        "rules": list(o.rules),
        "reasons": [
            {
                "cause": r.cause,
                "unit": r.unit,
                "value": r.value,
                "carry_m": r.carry_m,
                "change": side(r.change) if r.cause == DIRECTION else r.change,
            }
            for r in s.reasons
        ],
    }


def order(scored: list[Scored]) -> tuple[Scored, ...]:
    """Best of each tier first, then the rest by expected gain."""
    first = best_of_tiers(scored)
    on_top = {s.option.id for s in first}
    rest = sorted(scored, key=lambda s: -s.value_gain.mean)
    return (*first, *(s for s in rest if s.option.id not in on_top))
