"""The app: the five screens, the keys, and the answers to what the screens ask."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

from textual.actions import parse
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.command import CommandPalette
from textual.screen import Screen
from textual.widgets import ContentSwitcher, Static

from fitter.tui import bench as benches
from fitter.tui.bench import Work
from fitter.tui.desk import Desk
from fitter.tui.dialogs import Page, Pick, help_lines, page_room
from fitter.tui.faults import Base, Palette
from fitter.tui.foot import AskLine, Key, Keys
from fitter.tui.head import Status
from fitter.tui.messages import Ask, Change, InHand, Marked, Printed, Say, Selected, Turn
from fitter.tui.player import PlayerView
from fitter.tui.recall import Recall
from fitter.tui.screens.options import OptionsPane
from fitter.tui.screens.pane import Pane
from fitter.tui.screens.setup import SetupPane
from fitter.tui.screens.sheet import SheetPane, ask_choice
from fitter.tui.screens.shots import ShotsPane
from fitter.tui.screens.trial import TrialScreen
from fitter.tui.screens.why import WhyPane
from fitter.tui.shot_form import ShotForm
from fitter.tui.themes import DARK, LIGHT
from fitter.tui.view import cautions
from fitter.tui.what_if import WhatIfs

PANES: dict[str, type[Pane]] = {
    "setup": SetupPane, "shots": ShotsPane, "why": WhyPane, "options": OptionsPane, "sheet": SheetPane,
}  # fmt: skip
SCREENS = tuple(PANES)
LABELS = {"setup": "Set-up", "shots": "Shots", "why": "Why", "options": "Options", "sheet": "Sheet"}
"""What people read of the screens."""
EVERYWHERE = (
    *(Key(str(k + 1), str(k + 1), LABELS[name]) for k, name in enumerate(SCREENS)),
    Key("r", "r", "next player", "next"),
    Key("l", "l", "large"),
    Key("u", "u", "undo"),
    Key("question_mark", "?", "help"),
    Key("q", "q", "quit"),
)
"""Keys of the last line."""
HELP = (
    Key("", "1 2 3 4 5", ", ".join(LABELS.values())),
    Key("", "r", "next player's turn"),
    Key("", "b", "take a build in hand"),
    Key("", "t", "type a shot"),
    Key("", "l", "the last ball in large type, for the player"),
    Key("", "x", "record what the player takes"),
    Key("", "i", "fair trial: plan, next ball, result"),
    Key("", "j", "players who are remembered, their visits and what came of them"),
    Key("", "d", "months of this player side by side"),
    Key("", "=", "what if the swing changed: attack, strike, speed"),
    Key("", "w", "print the sheet to a file"),
    Key("", "u", "undo the last change"),
    Key("", "Tab", "next part of the screen"),
    Key("", "Ctrl+P", "everything by name; dark or light"),
    Key("", "q", "quit: all work is kept"),
)
"""What the page of help says of the keys that are the same everywhere."""


class FitterApp(Recall, WhatIfs):
    """A bench for a fitter and a player."""

    TITLE = "fitter"
    CSS_PATH = "fitter.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide"), (150, "-rich")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-low"), (34, "-high"), (46, "-tall")]  # noqa: RUF012
    # First of all: a key that comes while the loop is busy must not go to a widget that loses the focus.
    # "pane('name')" calls a method of the screen that is looked at, and counts where the screen has one.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, action, words, show=bool(words), priority=True)
        for key, action, words in (
            *((str(k + 1), f"go('{name}')", LABELS[name]) for k, name in enumerate(SCREENS)),
            ("r", "next_player", "next player's turn"),
            ("u", "undo", "undo"),
            ("b", "in_hand", "build in hand"),
            ("t", "type_shot", "type a shot"),
            ("a", "pane('add')", "add a player"),
            ("e", "pane('assign')", "say which club hit a shot"),
            ("v", "pane('next_picture')", "next picture"),
            ("space", "pane('toggle_aside')", "set aside or restore"),
            ("m", "pane('start_placing')", "mark the strike"),
            ("g", "pane('toggle_bench')", "bench steps"),
            ("z", "pane('clear_bench')", "clear the bench"),
            ("c", "pane('compare')", "compare"),
            ("f", "pane('filter')", "filter"),
            ("y", "pane('yes')", "yes"),
            ("n", "pane('no')", "no"),
            ("p", "pane('pin')", "pin for a trial"),
            ("slash", "pane('search')", "search"),
            ("o", "pane('order')", "order of the ladder"),
            ("h", "pane('hide')", "hide a club"),
            ("k", "pane('rack_only')", "only what is in the rack"),
            ("dollar_sign", "pane('budget')", "budget"),
            ("s", "pane('every_set_up')", "every set-up"),
            ("l", "large", "the last ball, large"),
            ("i", "trial", "fair trial"),
            ("j", "players", "players who are remembered"),
            ("d", "months", "months of this player"),
            ("equals_sign", "what_if", "what if the swing changed"),
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
        first: str = "setup",
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

    def get_default_screen(self) -> Screen[Any]:
        """Return the window, which goes on after a fault."""
        return Base(id="_default")

    def action_command_palette(self) -> None:
        """Open the list of commands."""
        if not isinstance(self.screen, CommandPalette):
            self.push_screen(Palette(id="--command-palette"))

    def compose(self) -> ComposeResult:
        """Head, the five screens, sentence, question, keys."""
        yield Status(id="status").data_bind(Desk.view)
        with ContentSwitcher(initial=self.first, id="screens"):
            for name, pane in PANES.items():
                yield pane(id=name).data_bind(Desk.view)
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
        """Make room for a caution on every screen; the large view follows the log."""
        if self.is_running:
            self.base.set_class(bool(cautions(self.view)), "-warned")
            if isinstance(self.screen, PlayerView | TrialScreen):
                self.screen.show_view(self.view)

    def on_turn(self, message: Turn) -> None:
        """Give the turn to another player."""
        self.to_player(message.by)

    def on_change(self, message: Change) -> None:
        """Change the bench as a screen asks."""
        self.change(message.label, **message.fields)

    def on_say(self, message: Say) -> None:
        """Say a sentence."""
        self.say(message.words, message.style)

    def on_printed(self, message: Printed) -> None:
        """What was printed is remembered."""
        self.keep_in_mind(self.view)

    def on_ask(self, message: Ask) -> None:
        """Ask for a line of text."""
        self.ask(message)

    def on_ask_line_left(self) -> None:
        """The keys go back to the screen."""
        self.pane.open()

    def on_selected(self, message: Selected) -> None:
        """Remember the option under the cursor; nothing has to be drawn for that."""
        self.set_reactive(Desk.view, replace(self.view, selected=message.key))

    def on_marked(self, message: Marked) -> None:
        """Remember the option to compare with."""
        self.put(marked=message.key)

    def on_in_hand(self, message: InHand) -> None:
        """Take an option in hand as a screen asks."""
        self.take_in_hand(message.key)

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
            return pane.takes_enter
        if action == "mark_by":
            return isinstance(pane, ShotsPane) and pane.placing is not None
        return action != "pane" or hasattr(pane, str(parameters[0]))

    def on_keys_chosen(self, message: Keys.Chosen) -> None:
        """A key of the foot was clicked."""
        if not self.base.query_one(AskLine).display:
            self.simulate_key(message.key)

    def show_keys(self) -> None:
        """Show the keys that count here."""
        pane = self.pane
        self.base.query_one("#keys-here", Keys).show(pane.keys)
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
        self.base.once_drawn(self.pane.open, self)

    def action_pane(self, name: str) -> None:
        """Do what only this screen can."""
        getattr(self.pane, name)()
        self.show_keys()

    def action_put_back(self) -> None:
        """Leave what was begun: a line that is typed first of all, wherever the keys are."""
        asked = self.base.query_one(AskLine)
        if asked.display:
            asked.leave()
        else:
            self.pane.put_back()
        self.show_keys()

    def action_leave(self) -> None:
        """Quit; everything is saved already, and the session goes into the shop's memory."""
        self.save()
        self.keep_in_mind(self.view)
        self.exit()

    def action_open_line(self) -> None:
        """Open the line under the cursor before another key goes there."""
        self.pane.enter()
        self.show_keys()

    def action_mark_by(self, x: int, y: int) -> None:
        """Move a strike mark."""
        self.base.query_one(ShotsPane).move_mark(x, y)

    def action_next_player(self) -> None:
        """Give the turn to the next player; what was found is remembered."""
        if len(self.view.work.benches) == 1:
            self.say("There is one player at the bench: a on 1 Set-up adds another.")
            return
        self.keep_in_mind(self.view)
        self.to_player(1)
        self.say(f"{self.bench.player}'s turn.")

    def action_undo(self) -> None:
        """Take the last change back."""
        state, label = benches.undo(self.view.work)
        if not label:
            self.say("There is nothing to take back.")
            return
        self.to(state)
        self.say(f"Taken back: {label}.")

    def action_in_hand(self) -> None:
        """Take a build in hand: the option under the cursor, elsewhere from a list."""
        if isinstance(self.pane, OptionsPane):
            self.pane.take_in_hand()
            return

        def done(key: str | None) -> None:
            if key is not None:
                self.take_in_hand(key)

        self.push_screen(Pick("Which build is in hand?", self.view.builds(), self.bench.in_hand), done)

    def action_type_shot(self) -> None:
        """Type a shot."""
        last = self.bench.typed[-1] if self.bench.typed else None
        title = f"A shot with {self.view.hand_name}"
        self.push_screen(ShotForm(title, self.bench.units, self.take_shot, last=last))

    def action_choose(self) -> None:
        """Record the choice."""
        if self.view.answer is None:
            self.say("There is nothing to choose before there is a ranking.", "warn")
            return
        ask_choice(self.pane, self.view)

    def action_print(self) -> None:
        """Print the sheet, from wherever one is."""
        self.base.query_one(ContentSwitcher).current = "sheet"
        self.base.query_one(SheetPane).print()
        self.show_keys()
        if not self.asking:
            self.base.once_drawn(self.pane.open, self)

    def to_player(self, by: int) -> None:
        """Give the turn to another player, so many further."""
        for _ in range(by % len(self.view.work.benches)):
            self.to(benches.next_player(self.view.work))

    def take_in_hand(self, option: str) -> None:
        """Give the player another build; new shots take it."""
        self.change("build in hand", in_hand=option)
        self.say(f"In hand: {self.view.hand_name}. New shots take it; u takes that back.")

    def action_large(self) -> None:
        """The last ball in large type, for the player."""
        self.push_screen(PlayerView(self.view))

    def action_help(self) -> None:
        """Every key, and what the signs mean."""
        pane = self.pane
        room = page_room(self.size.width)
        self.push_screen(
            Page("Keys and signs", help_lines(str(pane.id), LABELS[str(pane.id)], pane.KEYS, HELP, room))
        )

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Everything that a key does on this screen, by name; the palette lies over it when it asks."""
        for binding in self.BINDINGS:
            assert isinstance(binding, Binding)
            _, action, parameters = parse(binding.action)
            if binding.show and (action != "pane" or hasattr(self.pane, str(parameters[0]))):
                name = binding.description
                title = name if action != "go" else f"go to {name}"
                run = partial(self.run_action, binding.action)
                yield SystemCommand(title[0].upper() + title[1:], f"key {self.get_key_display(binding)}", run)
        yield SystemCommand("Dark or light", "turn the colours over", self.turn_colours)
        words = "forget decisions, keep log and kit; undo brings them back"
        yield SystemCommand("Start this player afresh", words, self.afresh)

    def turn_colours(self) -> None:
        """Dark or light; it stays so."""
        light = self.theme == DARK.name
        self.theme = LIGHT.name if light else DARK.name
        self.to(replace(self.view.work, light=light))


OWN_ACTIONS = frozenset(parse(b.action)[1] for b in FitterApp.BINDINGS if isinstance(b, Binding))
"""Actions of the app's own keys."""
