"""What the screens see: one frozen value, replaced whole."""

from __future__ import annotations

from dataclasses import dataclass, field

from fitter.advice.options import set_up_id
from fitter.advice.scored import Scored
from fitter.base.units import Units
from fitter.display import verdict as sentences
from fitter.display import words
from fitter.display.shots import reasons_of
from fitter.display.values import Values
from fitter.kit.inventory import Kit
from fitter.tui.answer import ON_BENCH, PRESENT, Answer, Rough, option_of
from fitter.tui.bench import Bench, Work
from fitter.tui.reading import Reading


@dataclass(frozen=True, eq=False)
class View:
    """Everything that is shown.

    Parameters
    ----------
    work : Work
    kit : Kit or None
    reading : Reading or None
    arriving : Reading or None
        New shots of which it is not worked out yet what they say; None when there are none.
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
    arriving: Reading | None = None
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
    def units(self) -> Units:
        """Units in force."""
        return Units(self.bench.units)

    @property
    def values(self) -> Values:
        """Values and gains of the objective of the answer, in the units in force."""
        assert self.answer is not None
        return Values.of(self.answer.ranking, self.units)

    @property
    def settled(self) -> bool:
        """Whether there is an answer, and to the question as it stands now."""
        return self.answer is not None and not self.busy

    def problem(self, place: str) -> str:
        """Sentence of a place, '' when all is well."""
        return dict(self.trouble).get(place, "")

    @property
    def shots(self) -> Reading | None:
        """Every shot that is there, worked out or not."""
        return self.arriving or self.reading

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

    @property
    def hand_name(self) -> str:
        """Short name of the build in hand."""
        if not self.bench.in_hand:
            return "present"
        hand = self.hand_option()
        if hand is None:
            return self.bench.in_hand
        c, o = hand.option.club, hand.option
        sleeve = f"{c.loft_change_deg:+g}" if c.loft_change_deg else ""
        ball, tee = o.ball_forward_mm, o.tee_mm
        said = f"{c.head.code}{sleeve}/{c.shaft.code}"
        said += f" ball {abs(ball):g} {'forward' if ball > 0 else 'back'}" if ball else ""
        return said + (f" tee {abs(tee):g} {'higher' if tee > 0 else 'lower'}" if tee else "")

    def became(self, shot: int) -> tuple[str, str]:
        """What became of a shot that was just typed, and how that is said: taken, or set aside and why."""
        at = [] if self.reading is None else [k for k, s in enumerate(self.reading.session.shot) if s == shot]
        if self.reading is None or not at:
            return "", ""
        if self.reading.session.set_aside[at[0]]:
            why = ", ".join(reasons_of(self.reading.session, shot)) or "by hand"
            return f"Shot {shot} is set aside: {why}. Enter edits it, Space brings it back.", "warn"
        return f"Shot {shot} is taken, with {self.words_of(self.reading.builds[at[0]])}. u takes it back.", ""

    def words_of(self, option: str) -> str:
        """Option of an id in words; its id where it is no longer there."""
        if not option:
            return "the present club"
        found = None if self.answer is None else self.answer.find(option)
        if found is None or self.answer is None:
            return option
        return words.changed(found.option, self.answer.present)

    def builds(self) -> list[tuple[str, str]]:
        """Builds that can be taken in hand, in words: present, verdict, pins, those that hit shots."""
        ids = ["", *([self.answer.ranking.verdict.option or ""] if self.answer else []), *self.bench.pins]
        ids += [*(self.reading.builds if self.reading else ()), self.bench.in_hand]
        return [(i, self.words_of(i)) for i in dict.fromkeys(ids)]

    def option(self, key: str) -> Scored | None:
        """Option of a key of the ladder."""
        if self.answer is None:
            return None
        if key == ON_BENCH:
            return self.on_bench
        return self.answer.ranking.present if key == PRESENT else self.answer.find(key)

    @property
    def verdict_text(self) -> str:
        """The verdict as a sentence in the units in force."""
        assert self.answer is not None
        return sentences.verdict(self.answer.ranking, self.units)

    def verdict_option(self) -> Scored | None:
        """Option that the verdict names, else the best."""
        if self.answer is None:
            return None
        ranking = self.answer.ranking
        return ranking.named or max(ranking.options, key=lambda s: s.value_gain.mean, default=None)


def warnings(bench: Bench) -> list[str]:
    """Sentences of the cautions that stand on every screen."""
    if bench.caution("pain") == "yes":
        return ["Pain was named: stop here. Pain is a matter for a physician, not for a club."]
    wrong = [k for k in ("warm-up", "net", "club") if bench.caution(k) == "no"]
    words = {
        "warm-up": "Warm up before full swings.",
        "net": "Look over net and mat before a ball is hit.",
        "club": "Look over the clubs: a loose, cracked or dented part is never hit.",
    }
    return [words[k] for k in wrong]


def cautions(view: View) -> list[str]:
    """Sentences that stand on every screen: cautions of the player, and that nothing is saved."""
    save = view.problem("save")
    return [*warnings(view.bench), *([save] if save else [])]
