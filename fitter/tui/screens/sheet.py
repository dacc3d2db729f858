"""What the player takes home: preview and file, with what was chosen against what was recommended."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult

from fitter.base.errors import FitterError, InputError, Problem, raise_if
from fitter.base.files import refuse_overwriting, unwritable, write_whole
from fitter.display import words
from fitter.kit.inventory import kit_files
from fitter.tui.bench import CHOICE_REASONS, Choice
from fitter.tui.lines import line, paragraphs
from fitter.tui.messages import Ask, Change, Entered, Moved, Say, Stepped
from fitter.tui.page import lines
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View
from fitter.tui.widgets.keys import Key
from fitter.tui.widgets.lines import Lines
from fitter.tui.widgets.pick import Pick

SUFFIXES = (".pdf", ".png", ".md", ".txt")


def today() -> str:
    """Date of the sheet."""
    return date.today().isoformat()


def choice_words(choice: Choice | None, view: View) -> str:
    """What was chosen, in a sentence."""
    if choice is None:
        return "Nothing is chosen yet: x records the choice."
    name = option_words(choice.option, view)
    meant = option_words(choice.recommended, view)
    if choice.option == choice.recommended:
        return f"Chosen as recommended ({choice.action}): {name}."
    return f"Chosen: {name}, because of {choice.reason}; recommended ({choice.action}): {meant}."


def option_words(option: str, view: View) -> str:
    """Option in words, or its id where it is no longer there."""
    if not option:
        return "the present club"
    found = view.answer.find(option) if view.answer is not None else None
    if found is None or view.answer is None:
        return option
    return words.changed(found.option, view.answer.present)


def content(view: View) -> dict[str, Any]:
    """The sheet as a dictionary.

    Raises
    ------
    InputError
        If what was chosen is no longer among the options.
    """
    assert view.answer is not None
    assert view.reading is not None
    from fitter.base.units import Units
    from fitter.display.shots import flag_lines
    from fitter.sheet.content import Settings
    from fitter.sheet.content import content as fill

    b, choice = view.bench, view.bench.chosen
    other = choice is not None and choice.option != choice.recommended
    settings = Settings(
        metric=b.units == "metric",
        where=b.conditions,
        there=None if b.measured == b.conditions else b.measured,
        chosen=(choice.option or "keep") if other and choice is not None else "",
        why=choice.reason if other and choice is not None else "",
        trial=tuple(f"Pinned for a trial: {option_words(p, view)}." for p in b.pins),
        flags=tuple(f.strip() for f in flag_lines(view.reading.session, Units(b.units))),
    )
    return fill(view.answer.ranking, view.reading.present, settings)


def markdown(view: View) -> str:
    """The sheet as Markdown, '' while there is no ranking of what is asked now."""
    if not view.settled:
        return ""
    from fitter.sheet.markdown import markdown as write_down

    return write_down(content(view))


def file_name(view: View) -> str:
    """Name of the file, of letters that every file system takes."""
    player = re.sub(r"[^\w-]+", "_", view.bench.player) or "player"
    return f"sheet-{player}-{today()}.pdf"


def write(view: View, text: str) -> Path:
    """Write the sheet to a file; its suffix says how.

    Raises
    ------
    InputError
        If the name does not serve, is a file that the bench reads, or cannot be written.
    """
    path = Path(text).expanduser()
    if path.suffix.casefold() not in SUFFIXES:
        do = "End the name with one of these."
        problem = Problem("file", repr(text), ", ".join(SUFFIXES), do)
        raise InputError("That is no name for a sheet.", [problem])
    b = view.bench
    inputs = [("the log", Path(b.log)), ("the card", Path(b.present))]
    inputs += [("the kit's", file) for file in kit_files(b.kit)]
    refuse_overwriting([("file", path)], inputs)
    raise_if(unwritable("file", path), "The sheet cannot be written there.")
    if path.suffix.casefold() in (".pdf", ".png"):
        from fitter.sheet import render

        draw = render.pdf if path.suffix.casefold() == ".pdf" else render.png
        write_whole(path, draw(content(view)))
    else:
        write_whole(path, markdown(view))
    return path


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
        rows = paragraphs(choice_words(view.bench.chosen, view), choice.room, "strong")
        if view.problem("sheet"):
            rows += paragraphs(view.problem("sheet"), choice.room, "error")
        choice.show(rows)
        try:
            text = markdown(view)
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
        return Ask("print", "Print the sheet to:", file_name(self.view), "a file; Enter writes it")


def choose(pane: Pane, view: View, option: str) -> None:
    """Record what was chosen: at once when it is what was recommended, else with the reason."""
    assert view.answer is not None
    verdict = view.answer.ranking.verdict
    recommended = verdict.option or ""

    def done(reason: str | None) -> None:
        if reason:
            chosen = Choice(option, recommended, verdict.action, reason)
            pane.post_message(Change("choose", chosen=chosen))
            pane.post_message(Say(choice_words(chosen, view)))

    if option == recommended:
        done(CHOICE_REASONS[0])
        return
    title = f"{option_words(option, view)} instead of {option_words(recommended, view)}: why?"
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
        text = option_words(o, view)
        named.append((o, f"{text} (recommended)" if o == verdict else text))
    pane.app.push_screen(Pick("What does the player take?", named), done)
