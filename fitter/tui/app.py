"""The app: it owns the state, sets workers to their tasks, and hands one frozen view to the screens."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar

from textual import work
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import ContentSwitcher, Static

from fitter.base.errors import FitterError
from fitter.tui import bench as benches
from fitter.tui.bench import Work
from fitter.tui.desk import Desk
from fitter.tui.dialogs import Page, Pick, page
from fitter.tui.foot import AskLine, Key, Keys
from fitter.tui.head import Status, hand_name
from fitter.tui.messages import Ask, Change, InHand, Say, Selected, Turn
from fitter.tui.screens import sheet
from fitter.tui.screens.options import OptionsPane
from fitter.tui.screens.pane import Pane
from fitter.tui.screens.range import RangePane
from fitter.tui.screens.sheet import SheetPane, ask_choice
from fitter.tui.screens.shots import ShotsPane, typed_shot
from fitter.tui.screens.why import WhyPane
from fitter.tui.themes import DARK, LIGHT
from fitter.tui.view import cautions

SCREENS = ("range", "shots", "why", "options", "sheet")
EVERYWHERE = (
    *(Key(str(k + 1), str(k + 1), name.capitalize()) for k, name in enumerate(SCREENS)),
    Key("n", "n", "next player", "next"),
    Key("u", "u", "undo"),
    Key("question_mark", "?", "help"),
    Key("q", "q", "quit"),
)
ONLY: dict[str, type[Pane] | tuple[type[Pane], ...]] = {
    "picture": ShotsPane, "aside": ShotsPane, "mark": ShotsPane, "bench": OptionsPane,
    "clear_bench": OptionsPane, "compare": OptionsPane, "filter": OptionsPane, "pin": OptionsPane,
    "every": OptionsPane, "add_or_assign": (ShotsPane, RangePane), "print": SheetPane,
}  # fmt: skip
"""Actions that mean something on some screens alone."""


class FitterApp(Desk):
    """A bench for a fitter and a player."""

    TITLE = "fitter"
    CSS_PATH = "fitter.tcss"
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-narrow"),
        (100, "-wide"),
        (150, "-rich"),
    ]
    VERTICAL_BREAKPOINTS = [(0, "-low"), (34, "-high")]  # noqa: RUF012
    # First of all: a key that comes while the loop is busy must not go to a widget that loses the focus.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, action, words, show=bool(words), priority=True)
        for key, action, words in (
            *((str(k + 1), f"go('{name}')", name.capitalize()) for k, name in enumerate(SCREENS)),
            ("n", "next_player", "next player"),
            ("u", "undo", "undo"),
            ("b", "in_hand", "build in hand"),
            ("t", "type_shot", "type a shot"),
            ("a", "add_or_assign", "assign shots, add a player"),
            ("v", "picture", "next picture"),
            ("space", "aside", "set aside or restore"),
            ("m", "mark", "mark the strike"),
            ("g", "bench", "bench steps"),
            ("z", "clear_bench", "clear the bench"),
            ("c", "compare", "compare"),
            ("f", "filter", "filter"),
            ("p", "pin", "pin for a trial"),
            ("s", "every", "every set-up"),
            ("x", "choose", "record the choice"),
            ("w", "print", "print the sheet"),
            ("question_mark", "help", "help"),
            ("q", "leave", "quit"),
            ("enter", "open_line", ""),
            ("escape", "put_back", ""),
            *((key, f"mark_by({x}, {y})", "") for key, x, y in
              (("left", -1, 0), ("right", 1, 0), ("up", 0, 1), ("down", 0, -1))),
        )
    ]  # fmt: skip

    def __init__(
        self,
        state: Work,
        file: Path | None = None,
        first: str = "range",
        restored: bool = False,
        told: str = "",
    ) -> None:
        super().__init__(state, file)
        if told:
            # Without a file nothing is saved, and every screen says so.
            self.set_reactive(Desk.view, replace(self.view, trouble=(("state" if file else "save", told),)))
        self.first, self.restored = first, restored
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = LIGHT.name if state.light else DARK.name

    def compose(self) -> ComposeResult:
        """Head, the five screens, sentence, question, keys."""
        yield Status(id="status").data_bind(Desk.view)
        with ContentSwitcher(initial=self.first, id="screens"):
            yield RangePane(id="range").data_bind(Desk.view)
            yield ShotsPane(id="shots").data_bind(Desk.view)
            yield WhyPane(id="why").data_bind(Desk.view)
            yield OptionsPane(id="options").data_bind(Desk.view)
            yield SheetPane(id="sheet").data_bind(Desk.view)
        yield Static("", id="said", markup=False)
        yield AskLine(id="ask")
        yield Keys(id="keys-here")
        yield Keys(id="keys-all")

    def on_mount(self) -> None:
        """Show the first screen, compile behind it, read the log, look after it."""
        self.action_go(self.first)
        if self.view.trouble:
            self.say(self.view.trouble[0][1], "warn")
        elif self.restored:
            self.say("Everything is as it was left: decisions, typed shots, pins. Ctrl+P can start afresh.")
        else:
            self.say("4 shows the verdict and its reason, 2 the shots; ? lists all keys.")
        self.begin()

    @property
    def pane(self) -> Pane:
        """The screen that is looked at."""
        found = self.base.query_one(ContentSwitcher).visible_content
        assert isinstance(found, Pane)
        return found

    # Messages of the screens.

    def watch_view(self) -> None:
        """Make room for a caution on every screen."""
        if self.is_running:
            self.base.set_class(bool(cautions(self.view)), "-warned")

    def on_turn(self, message: Turn) -> None:
        """Give the turn to another player."""
        for _ in range(message.by % len(self.view.work.benches)):
            self.to(benches.next_player(self.view.work))

    def on_change(self, message: Change) -> None:
        """Change the bench as a screen asks."""
        self.change(message.label, **message.fields)

    def on_say(self, message: Say) -> None:
        """Say a sentence."""
        self.say(message.words, message.style)

    def on_ask(self, message: Ask) -> None:
        """Ask for a line of text."""
        self.ask(message)

    def ask(self, message: Ask) -> None:
        """Ask for a line of text at once, so that the next key is its first letter."""
        self.base.query_one(AskLine).ask(message)

    def on_ask_line_left(self) -> None:
        """The keys go back to the screen."""
        self.pane.open()

    def on_ask_line_given(self, message: AskLine.Given) -> None:
        """Take a line of text; an error stays under it."""
        asked, text = self.base.query_one(AskLine), message.text
        try:
            if message.purpose == "shot":
                self.take_shot(text)
            elif message.purpose == "print":
                self.print_sheet(text)
                return
            elif message.purpose == "add":
                self.add_player(text)
            elif message.purpose.startswith("set "):
                error = self.base.query_one(RangePane).read(message.purpose[4:], text)
                if error is not None:
                    raise error
        except FitterError as error:
            asked.hint(str(error), error=True)
            return
        asked.close()
        self.pane.open()

    @work(thread=True, exclusive=True, group="print", exit_on_error=False)
    def print_sheet(self, text: str) -> None:
        """Print the sheet; what fails is said under the line."""
        problem, file = "", None
        try:
            file = sheet.write(self.view, text)
        except FitterError as error:
            problem = str(error)
        except OSError as error:
            problem = f"{text}: {error.strerror or error}. Name another file."
        except Exception as error:
            problem = self.told("Printing", error)
        self.call_from_thread(self.printed, file, problem)

    def printed(self, file: Path | None, problem: str) -> None:
        """Say where the sheet went."""
        asked = self.base.query_one(AskLine)
        if file is None:
            asked.hint(problem, error=True)
            return
        asked.close()
        self.pane.open()
        self.say(f"The sheet is printed to {file.resolve()}.")

    def on_selected(self, message: Selected) -> None:
        """Remember the option under the cursor; nothing has to be drawn for that."""
        self.set_reactive(Desk.view, replace(self.view, selected=message.key))

    def on_in_hand(self, message: InHand) -> None:
        """Take an option in hand as a screen asks."""
        self.take_in_hand(message.option)

    # Keys.

    @property
    def asking(self) -> bool:
        """Whether a line is typed or a page lies over the screen: then the keys are theirs."""
        return len(self.screen_stack) > 1 or self.base.query_one(AskLine).display

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keep keys to the screens where they mean something."""
        if action not in OWN_ACTIONS:
            return True
        if not self.is_running or not self.screen.is_mounted:
            return False
        if action == "put_back" and len(self.screen_stack) == 1:
            return True
        if self.asking:
            return False
        pane = self.pane
        if action == "open_line":
            return isinstance(pane, RangePane) or (isinstance(pane, ShotsPane) and pane.placing is not None)
        if action == "mark_by":
            return isinstance(pane, ShotsPane) and pane.placing is not None
        return action not in ONLY or isinstance(pane, ONLY[action])

    def on_keys_chosen(self, message: Keys.Chosen) -> None:
        """A key of the foot was clicked."""
        if not self.base.query_one(AskLine).display:
            self.simulate_key(message.key)

    def show_keys(self) -> None:
        """Show the keys that count here."""
        pane = self.pane
        keys = pane.KEYS
        if isinstance(pane, OptionsPane) and pane.on_bench:
            keys = OptionsPane.BENCH
        if isinstance(pane, ShotsPane) and pane.placing is not None:
            keys = ShotsPane.PLACING
        self.base.query_one("#keys-here", Keys).show(keys)
        self.base.query_one("#keys-all", Keys).show(EVERYWHERE, str(SCREENS.index(str(pane.id)) + 1))

    def on_descendant_focus(self) -> None:
        """Other keys may count now."""
        if self.base.is_mounted:
            self.show_keys()

    def action_go(self, name: str) -> None:
        """Go to a screen."""
        if self.base.query_one(ContentSwitcher).current != name:
            self.say("")
        self.base.query_one(ContentSwitcher).current = name
        self.show_keys()
        self.call_after_refresh(self.pane.open)

    def action_put_back(self) -> None:
        """Leave what was begun: a line that is typed first of all, wherever the keys are."""
        pane, asked = self.pane, self.base.query_one(AskLine)
        if asked.display:
            asked.leave()
        elif isinstance(pane, ShotsPane) and pane.placing is not None:
            pane.leave()
        elif self.view.marked:
            self.put(marked="")
        else:
            pane.open()
        self.show_keys()

    def action_leave(self) -> None:
        """Quit; everything is saved already."""
        self.save()
        self.exit()

    def action_open_line(self) -> None:
        """Type the setting under the cursor; keep a strike mark."""
        pane = self.pane
        if isinstance(pane, RangePane):
            question = pane.question()
            if question is not None:
                self.ask(question)
        elif isinstance(pane, ShotsPane):
            pane.keep()
            self.show_keys()

    def action_mark_by(self, x: int, y: int) -> None:
        """Move a strike mark."""
        self.base.query_one(ShotsPane).move_mark(x, y)

    def action_next_player(self) -> None:
        """Give the turn to the next player."""
        if len(self.view.work.benches) == 1:
            self.say("There is one player at the bench: a on 1 Range adds another.")
            return
        self.to(benches.next_player(self.view.work))
        self.say(f"{self.bench.player}'s turn.")

    def action_undo(self) -> None:
        """Take the last change back."""
        state, label = benches.undo(self.view.work)
        if not label:
            self.say("There is nothing to take back.")
            return
        self.to(state)
        self.say(f"Taken back: {label}.")

    def builds(self) -> list[tuple[str, str]]:
        """Builds that can be taken in hand: present, verdict, pins, those that hit shots."""
        view = self.view
        ids = ["", *([view.answer.ranking.verdict.option or ""] if view.answer else []), *self.bench.pins]
        ids += [*(view.reading.builds if view.reading else ()), self.bench.in_hand]
        return [(i, sheet.option_words(i, view)) for i in dict.fromkeys(ids)]

    def action_in_hand(self) -> None:
        """Take a build in hand: the option under the cursor, elsewhere from a list."""
        if isinstance(self.pane, OptionsPane):
            self.pane.take_in_hand()
            return

        def done(key: str | None) -> None:
            if key is not None:
                self.take_in_hand(key)

        self.push_screen(Pick("Which build is in hand?", self.builds(), self.bench.in_hand), done)

    def action_type_shot(self) -> None:
        """Type a shot."""
        self.ask(typed_shot())

    def action_add_or_assign(self) -> None:
        """Add a player on the range; give a shot to another build in the table."""
        if isinstance(self.pane, RangePane):
            self.ask(Ask("add", "Code of the new player:", "", "such as P5; no names are needed"))
            return
        pane = self.pane
        if not isinstance(pane, ShotsPane) or not pane.shot:
            self.say("There is no shot to assign.", "warn")
            return
        shot = pane.shot

        def done(key: str | None) -> None:
            if key is None:
                return
            every = key == "*"
            last = self.bench.seen if every else shot
            shots = tuple(range(shot, max(last, shot) + 1))
            build = self.bench.in_hand if every else key
            self.change(f"assign shot {shot}", **benches.assign(self.bench, shots, build))
            which = f"Shots {shot} to {shots[-1]} were" if len(shots) > 1 else f"Shot {shot} was"
            self.say(f"{which} hit with {sheet.option_words(build, self.view)}. u takes that back.")

        choices = [*self.builds(), ("*", f"this and all later shots: {hand_name(self.view)}")]
        self.push_screen(Pick(f"Shot {shot} was hit with:", choices), done)

    def action_picture(self) -> None:
        """Next picture."""
        self.base.query_one(ShotsPane).next_picture()

    def action_aside(self) -> None:
        """Set a shot aside, or restore it."""
        self.base.query_one(ShotsPane).toggle_aside()

    def action_mark(self) -> None:
        """Mark a strike."""
        self.base.query_one(ShotsPane).start_placing()
        self.show_keys()

    def action_bench(self) -> None:
        """Bench steps."""
        self.base.query_one(OptionsPane).toggle_bench()

    def action_clear_bench(self) -> None:
        """Clear the bench."""
        self.base.query_one(OptionsPane).clear_bench()

    def action_compare(self) -> None:
        """Mark an option to compare with, or end that."""
        key = self.base.query_one(OptionsPane).lines("ladder").cursor
        self.put(marked="" if self.view.marked else key)
        if self.view.marked:
            self.say("Move the cursor to the second option; c ends the comparison.")

    def action_filter(self) -> None:
        """Filters."""
        self.base.query_one(OptionsPane).filter()

    def action_pin(self) -> None:
        """Pin for a trial."""
        self.base.query_one(OptionsPane).pin()

    def action_every(self) -> None:
        """Every set-up, or the best of each club."""
        self.change("every set-up", every_set_up=not self.bench.every_set_up)

    def action_choose(self) -> None:
        """Record the choice."""
        if self.view.answer is None:
            self.say("There is nothing to choose before there is a ranking.", "warn")
            return
        ask_choice(self.pane, self.view)

    def action_print(self) -> None:
        """Print the sheet."""
        question = self.base.query_one(SheetPane).question()
        if question is not None:
            self.ask(question)

    def action_help(self) -> None:
        """Every key, and what the signs mean."""
        self.push_screen(Page("Keys and signs", page(str(self.pane.id))))

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Everything that a key does, by name."""
        for binding in self.BINDINGS:
            assert isinstance(binding, Binding)
            if binding.show and self.useful(binding.action.split("(")[0]):
                name = binding.description
                title = name if not binding.action.startswith("go(") else f"go to {name}"
                yield SystemCommand(
                    title[0].upper() + title[1:], f"key {binding.key}", self._runner(binding.action)
                )
        yield SystemCommand("Dark or light", "turn the colours over", self.turn_colours)
        words = "forget decisions, keep log and kit; undo brings them back"
        yield SystemCommand("Start this player afresh", words, self.afresh)

    def useful(self, action: str) -> bool:
        """Whether an action means something on this screen; the palette lies over it when it asks."""
        return action not in ONLY or isinstance(self.pane, ONLY[action])

    def _runner(self, action: str) -> Any:
        async def run() -> None:
            await self.run_action(action)

        return run

    def turn_colours(self) -> None:
        """Dark or light; it stays so."""
        light = self.theme == DARK.name
        self.theme = LIGHT.name if light else DARK.name
        self.to(replace(self.view.work, light=light))


OWN_ACTIONS = frozenset(b.action.partition("(")[0] for b in FitterApp.BINDINGS if isinstance(b, Binding))
"""Actions of the app's own keys."""
