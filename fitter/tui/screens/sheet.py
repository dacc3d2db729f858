"""Sheet: preview, what was chosen against what was recommended, print to a file."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult

from fitter.errors import FitterError
from fitter.tui import sheet
from fitter.tui.bench import CHOICE_REASONS, Choice
from fitter.tui.lines import line, paragraphs
from fitter.tui.messages import Ask, Change, Entered, Moved, Say, Stepped
from fitter.tui.page import lines
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View
from fitter.tui.widgets.keys import Key
from fitter.tui.widgets.lines import Lines
from fitter.tui.widgets.pick import Pick


class SheetPane(Pane):
    """The page, and what was decided over it."""

    FOCUS: ClassVar[str] = "sheet-page"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("x", "x", "choose"),
        Key("w", "w", "print to a file"),
        Key("up", "↑↓", "scroll"),
    )

    def compose(self) -> ComposeResult:
        """Decision, page."""
        yield Lines("sheet-choice", focusable=False, most=4)
        yield Lines("sheet-page")

    def draw(self, view: View) -> None:
        """Put the page on the screen."""
        choice, page = self.lines("sheet-choice"), self.lines("sheet-page")
        rows = paragraphs(sheet.choice_words(view.bench.chosen, view), choice.room, "strong")
        if view.problem("sheet"):
            rows += paragraphs(view.problem("sheet"), choice.room, "error")
        choice.show(rows)
        try:
            text = sheet.markdown(view)
        except FitterError as error:
            page.show(paragraphs(str(error), page.room, "error"))
            return
        if not text:
            words = view.busy or "There is no sheet before there is a ranking."
            page.show([line((words, "dim"))])
            return
        page.show(lines(text, min(page.room, 104)))

    def on_moved(self, message: Moved) -> None:
        """Nothing hangs on the cursor here."""
        message.stop()

    def on_entered(self, message: Entered) -> None:
        """Nothing to open here."""
        message.stop()

    def on_stepped(self, message: Stepped) -> None:
        """Nothing to step here."""
        message.stop()

    def question(self) -> Ask | None:
        """Where the sheet goes; None before there is one."""
        if self.view is None or not self.view.settled:
            self.post_message(Say("There is no sheet before the ranking is computed.", "warn"))
            return None
        return Ask("print", "Print the sheet to:", sheet.file_name(self.view), "a file; Enter writes it")


def choose(pane: Pane, view: View, option: str) -> None:
    """Record what was chosen: at once when it is what was recommended, else with the reason."""
    assert view.answer is not None
    verdict = view.answer.ranking.verdict
    recommended = verdict.option or ""

    def done(reason: str | None) -> None:
        if reason:
            chosen = Choice(option, recommended, verdict.action, reason)
            pane.post_message(Change("choose", chosen=chosen))
            pane.post_message(Say(sheet.choice_words(chosen, view)))

    if option == recommended:
        done(CHOICE_REASONS[0])
        return
    title = f"{sheet.option_words(option, view)} instead of {sheet.option_words(recommended, view)}: why?"
    pane.app.push_screen(Pick(title, [(r, r) for r in CHOICE_REASONS[1:]]), done)


def ask_choice(pane: Pane, view: View) -> None:
    """Ask what was chosen: the recommended, the build in hand, the pins, the present club."""
    assert view.answer is not None
    verdict = view.answer.ranking.verdict.option or ""
    options = list(dict.fromkeys([verdict, *([view.bench.in_hand] if view.bench.in_hand else []),
                                  *([view.selected] if view.answer.find(view.selected) else []),
                                  *view.bench.pins, ""]))  # fmt: skip

    def done(key: str | None) -> None:
        if key is not None:
            choose(pane, view, key)

    named: list[tuple[str, str]] = []
    for o in options:
        text = sheet.option_words(o, view)
        named.append((o, f"{text} (recommended)" if o == verdict else text))
    pane.app.push_screen(Pick("What does the player take?", named), done)
