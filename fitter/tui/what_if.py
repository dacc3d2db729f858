"""What if the swing changed: asked beside the ranking, answered on a page, and nothing on the bench moves."""

from __future__ import annotations

from dataclasses import replace

from textual import work
from textual.worker import get_current_worker

from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.advice.what_if import WORDS, parse
from fitter.base.errors import FitterError
from fitter.display import levers, words
from fitter.display import verdict as sentences
from fitter.display.text import fit
from fitter.display.values import Values
from fitter.tui.answer import Answer, question_of
from fitter.tui.desk import Desk
from fitter.tui.dialogs import Page, Pick, page_room
from fitter.tui.lines import Line, heading, line, paragraphs
from fitter.tui.messages import Ask
from fitter.tui.view import View

READY = (
    ("attack=+2", "attack 2 deg more upward, same delivered loft"),
    ("strike=centred", "the middle of the strikes at the face centre"),
    ("speed=+3mph", "3 mph more club speed"),
    ("attack=+2, strike=centred", "both: more upward, and centred"),
)
"""What is asked most: words, and what they mean."""
OTHER = "other"


class WhatIfs(Desk):
    """What the bench answers of swings that nobody has hit yet."""

    def action_what_if(self) -> None:
        """Choose a change of the swing, or type one."""
        if self.view.answer is None or self.view.reading is None:
            self.say("There is nothing to compare with before there is a ranking.", "warn")
            return

        def done(key: str | None) -> None:
            if key == OTHER:
                hint = f"such as speed=+3mph, loft=-1; of {', '.join(WORDS)} or strike=centred"
                self.ask(Ask("What if (changes of the swing)", self.take_words, hint=hint))
            elif key is not None:
                self.take_words(key)

        rows = [*READY, (OTHER, "something else, in words")]
        self.push_screen(Pick("What if the swing changed? Set-up or a coach's work, no club", rows), done)

    def take_words(self, text: str) -> bool:
        """Read what was asked, and answer it."""
        if not text.strip():
            return True
        parse([text], self.bench.units)
        self.answer_what_if(text, self.view)
        return True

    @work(thread=True, exclusive=True, group="what-if", exit_on_error=False)
    def answer_what_if(self, text: str, view: View) -> None:
        """Rank for another swing, and show the page when it is done."""
        worker = get_current_worker()
        self.call_from_thread(self.say, f"What if {text} ...")
        try:
            found = swung(text, view)
        except FitterError as error:
            self.call_from_thread(self.say, str(error), "warn")
            return
        if not worker.is_cancelled and view.answer is not None:
            rows = page(found, view.answer, view, page_room(self.size.width))
            self.call_from_thread(self.say, "")
            self.call_from_thread(self.push_screen, Page(f"What if: {text}", rows))


def swung(text: str, view: View) -> Ranking:
    """Ranking of the bench for another swing, the options of the present answer computed in full.

    Raises
    ------
    FitterError
        If the words or the shots cannot carry it.
    """
    assert view.kit is not None
    assert view.reading is not None
    assert view.answer is not None
    shown = [s.option.id for s in view.answer.ranking.best_of_tiers()]
    asked = question_of(view.bench, view.kit, view.reading)
    named = tuple(dict.fromkeys((*asked.named, *shown)))
    return rank(replace(asked, named=named, what_if=parse([text], view.bench.units)), flips=False)


def page(found: Ranking, today: Answer, view: View, width: int) -> list[Line]:
    """What the swing alone brings, and the clubs for it beside the clubs for today's."""
    assert found.by_the_change is not None
    rows = paragraphs(levers.what_if(found.question.what_if, found.by_the_change, view.units), width)
    values, present = Values.of(found, view.units), found.present.option.club
    rows += [line(""), heading(f"Clubs for that swing, gain in {values.unit} over the present club (80 %)")]
    room = max(width - 46, 12)
    for s in found.best_of_tiers():
        now = today.find(s.option.id)
        g, club = s.value_gain, fit(words.named(s.option, present), room)
        gain = f"{values.number(g.mean, sign=True)} ({values.ends(g.low, g.high)})"
        before = "" if now is None else f"   today {values.number(now.value_gain.mean, sign=True)}"
        rows.append(line(f"{s.option.tier} {club} ", (gain, "strong"), before))
    rows += [line(""), *paragraphs(sentences.verdict(found, view.units), width)]
    return rows
