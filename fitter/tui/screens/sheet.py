"""What the player takes home: preview and file, with what was chosen against what was recommended."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Markdown

from fitter.base.errors import FitterError, InputError, Problem, raise_if
from fitter.base.files import refuse_overwriting, unwritable, write_whole
from fitter.display.shots import flag_lines
from fitter.kit.inventory import kit_files
from fitter.sheet import render
from fitter.sheet.content import Settings
from fitter.sheet.content import content as fill
from fitter.sheet.markdown import markdown as write_down
from fitter.tui.bench import CHOICE_REASONS, Choice
from fitter.tui.dialogs import Pick
from fitter.tui.foot import AskLine, Key
from fitter.tui.lines import Lines, paragraphs
from fitter.tui.messages import Ask, Change, Printed, Say
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View

SUFFIXES = (".pdf", ".png", ".md", ".txt")


def today() -> str:
    """Date of the sheet."""
    return date.today().isoformat()


def choice_words(choice: Choice | None, view: View) -> str:
    """What was chosen, in a sentence."""
    if choice is None:
        return "Nothing is chosen yet: x records the choice."
    name = view.words_of(choice.option)
    meant = view.words_of(choice.recommended)
    if choice.option == choice.recommended:
        return f"Chosen as recommended ({choice.action}): {name}."
    return f"Chosen: {name}, because of {choice.reason}; recommended ({choice.action}): {meant}."


def content(view: View) -> dict[str, Any]:
    """The sheet as a dictionary.

    Raises
    ------
    InputError
        If what was chosen is no longer among the options.
    """
    assert view.answer is not None
    assert view.reading is not None
    b, choice = view.bench, view.bench.chosen
    other = choice is not None and choice.option != choice.recommended
    settings = Settings(
        metric=view.units.metric,
        where=b.conditions,
        there=None if b.measured == b.conditions else b.measured,
        chosen=(choice.option or "keep") if other and choice is not None else "",
        why=choice.reason if other and choice is not None else "",
        trial=tuple(f"Pinned for a trial: {view.words_of(p)}." for p in b.pins),
        flags=tuple(f.strip() for f in flag_lines(view.reading.session, view.units)),
    )
    return fill(view.answer.ranking, view.reading.present, settings)


def markdown(view: View) -> str:
    """The sheet as Markdown, '' while there is no ranking of what is asked now."""
    if not view.settled:
        return ""
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
        draw = render.pdf if path.suffix.casefold() == ".pdf" else render.png
        write_whole(path, draw(content(view)))
    else:
        write_whole(path, markdown(view))
    return path


class SheetPane(Pane):
    """The page, and what was decided over it."""

    FOCUS: ClassVar[str] = "sheet-page"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("x", "x", "choose", help="record the choice"),
        Key("w", "w", "print to a file"),
        Key("up", "↑↓", "scroll"),
    )

    def compose(self) -> ComposeResult:
        """Decision, page."""
        yield Lines("sheet-choice", focusable=False, most=4)
        with VerticalScroll(id="sheet-page", can_focus=True):
            yield Markdown(id="sheet-text", open_links=False)

    def draw(self, view: View) -> None:
        """Put the page on the screen."""
        choice = self.lines("sheet-choice")
        rows = paragraphs(choice_words(view.bench.chosen, view), choice.room, "strong")
        try:
            text = markdown(view) or f"*{view.busy or 'There is no sheet before there is a ranking.'}*"
        except FitterError as error:
            rows += paragraphs(str(error), choice.room, "error")
            text = ""
        choice.show(rows)
        if text != self.shown:
            self.shown = text
            self.query_one(Markdown).update(text)

    shown = ""
    """Markdown of the page."""

    def print(self) -> None:
        """Ask where the sheet goes, once there is one."""
        if self.view is None or not self.view.settled:
            self.post_message(Say("There is no sheet before the ranking is computed.", "warn"))
            return
        name = file_name(self.view)
        self.desk.ask(Ask("Print the sheet to:", self.print_to, name, "a file; Enter writes it"))

    def print_to(self, text: str) -> bool:
        """Begin to print; the line stays until it is done."""
        self.print_sheet(text)
        return False

    @work(thread=True, exclusive=True, group="print", exit_on_error=False)
    def print_sheet(self, text: str) -> None:
        """Print the sheet; what fails is said under the line."""
        assert self.view is not None
        problem, file = "", None
        try:
            file = write(self.view, text)
        except FitterError as error:
            problem = str(error)
        except OSError as error:
            problem = f"{text}: {error.strerror or error}. Name another file."
        except Exception as error:
            problem = self.desk.told("Printing", error)
        self.app.call_from_thread(self.printed, file, problem)

    def printed(self, file: Path | None, problem: str) -> None:
        """Say where the sheet went."""
        asked = self.screen.query_one(AskLine)
        if file is None:
            asked.hint(problem, error=True)
            return
        asked.leave()
        self.post_message(Printed())
        self.post_message(Say(f"The sheet is printed to {file.resolve()}."))


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
    title = f"{view.words_of(option)} instead of {view.words_of(recommended)}: why?"
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
        text = view.words_of(o)
        named.append((o, f"{text} (recommended)" if o == verdict else text))
    pane.app.push_screen(Pick("What does the player take?", named), done)
