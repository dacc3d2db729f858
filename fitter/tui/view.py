"""What the screens see: one frozen value, replaced whole."""

from __future__ import annotations

from dataclasses import dataclass, field

from fitter.advice.options import set_up_id
from fitter.advice.scored import Scored
from fitter.display import words
from fitter.kit.inventory import Kit
from fitter.tui.answer import Answer, Rough, option_of
from fitter.tui.bench import Bench, Work, warnings
from fitter.tui.ladder import Look
from fitter.tui.measured import Trial, compare
from fitter.tui.reading import Reading


@dataclass(frozen=True, eq=False)
class View:
    """Everything that is shown.

    Parameters
    ----------
    work : Work
    kit : Kit or None
    reading : Reading or None
    rough : Rough or None
        What is known until the answer is there.
    answer : Answer or None
    on_bench : Scored or None
        Prediction of what lies on the bench.
    busy : str
        What is being worked out, '' when nothing.
    trouble : dict of str to str
        Sentences by the place where they arose: 'log', 'kit', 'rank', 'bench', 'save', 'state' (the saved
        work that was found).
    selected, marked : str
        Option under the cursor, option to compare with.
    """

    work: Work = field(default_factory=Work)
    kit: Kit | None = None
    reading: Reading | None = None
    rough: Rough | None = None
    answer: Answer | None = None
    on_bench: Scored | None = None
    busy: str = ""
    trouble: tuple[tuple[str, str], ...] = ()
    selected: str = ""
    marked: str = ""

    @property
    def bench(self) -> Bench:
        """The player whose turn it is."""
        return self.work.bench

    @property
    def settled(self) -> bool:
        """Whether there is an answer, and to the question as it stands now."""
        return self.answer is not None and not self.busy

    def problem(self, place: str) -> str:
        """Sentence of a place, '' when all is well."""
        return dict(self.trouble).get(place, "")

    def hand_option(self) -> Scored | None:
        """Option of the build in hand."""
        if self.answer is None:
            return None
        found = option_of(self.answer, self.bench.in_hand, self.kit)
        if found is None and self.on_bench is not None:
            o = self.on_bench.option
            if set_up_id(o.club.code, o.ball_forward_mm, o.tee_mm) == self.bench.in_hand:
                return self.on_bench
        return found

    def option(self, key: str) -> Scored | None:
        """Option of a key of the ladder."""
        from fitter.tui.answer import ON_BENCH
        from fitter.tui.ladder import PRESENT

        if self.answer is None:
            return None
        if key == ON_BENCH:
            return self.on_bench
        return self.answer.ranking.present if key == PRESENT else self.answer.find(key)

    def verdict_option(self) -> Scored | None:
        """Option that the verdict names, else the best."""
        if self.answer is None:
            return None
        ranking = self.answer.ranking
        if ranking.verdict.option is not None:
            return self.answer.find(ranking.verdict.option)
        return max(ranking.options, key=lambda s: s.value_gain.mean, default=None)


def cautions(view: View) -> list[str]:
    """Sentences that stand on every screen: cautions of the player, and that nothing is saved."""
    save = view.problem("save")
    return [*warnings(view.bench), *([save] if save else [])]


def look(view: View) -> Look:
    """Measured beside predicted for the build in hand, as the ladder draws it."""
    hand = view.hand_option()
    if view.answer is None or hand is None or not view.bench.in_hand or view.reading is None:
        return Look(marked=view.marked)
    trials = compare(view.reading, hand, view.bench.in_hand)
    name = "total" if view.answer.ranking.objective.name == "total" else "carry"
    chosen = next((t for t in trials if t.label == name), None) or next(
        (t for t in trials if t.label == "carry"), None
    )
    gain = None
    if chosen is not None and chosen.label == name and view.answer.ranking.objective.name == name:
        present = view.answer.ranking.present
        gain = chosen.measured[1] - (present.total_m if name == "total" else present.carry_m)
    return Look(hand.option.id, gain, trial_words(chosen, hand, view.bench.units), view.marked)


def trial_words(trial: Trial | None, hand: Scored, units: str) -> str:
    """Measured beside predicted, in a line."""
    scale, unit = words.far_scale(units)
    if trial is None:
        low, high = (
            hand.carry_m - hand.carry_gain.mean + g for g in (hand.carry_gain.low, hand.carry_gain.high)
        )
        return f"no ball yet | carry predicted {low / scale:.0f}-{high / scale:.0f} {unit}"
    low, _, high = trial.predicted
    n = f"{trial.shots} ball{'s' * (trial.shots > 1)}"
    text = f"{trial.label} measured {trial.measured[1] / scale:.0f} ({n})"
    text += f" | predicted {low / scale:.0f}-{high / scale:.0f} {unit}"
    return text + {True: ", agrees", False: ", differs", None: ""}[trial.agrees]
