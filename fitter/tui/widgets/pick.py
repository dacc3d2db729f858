"""A list to choose from, over the screen: by arrow keys, by number, or by mouse."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from fitter.tui.lines import Line, line
from fitter.tui.messages import Entered
from fitter.tui.widgets.lines import Lines


class Pick(ModalScreen[str | None]):
    """Give back the key of what was chosen, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "leave", "back")]

    def __init__(self, title: str, choices: Sequence[tuple[str, str]], cursor: str = "") -> None:
        super().__init__()
        self.words, self.choices, self.first = title, list(choices), cursor

    def compose(self) -> ComposeResult:
        """Title, list, keys."""
        with Vertical(id="pick"):
            yield Static(self.words, id="pick-title", markup=False)
            yield Lines("pick-lines")
            yield Static("Enter or its number: choose   Esc: back", id="pick-keys", markup=False)

    def on_mount(self) -> None:
        """Fill the list."""
        rows: list[Line] = []
        for k, (key, text) in enumerate(self.choices):
            number = f"{k + 1} " if k < 9 else "  "
            rows.append(line((number, "key"), text, key=key or "-"))
        lines = self.query_one(Lines)
        lines.show(rows, cursor=self.first or None)
        lines.styles.height = min(len(rows), max(self.app.size.height - 8, 3))
        lines.focus()

    def on_entered(self, message: Entered) -> None:
        """Take the line that was opened."""
        message.stop()
        self.dismiss(message.key)

    def on_key(self, event: events.Key) -> None:
        """Take a line by its number."""
        if event.character and event.character.isdigit():
            k = int(event.character) - 1
            if 0 <= k < len(self.choices):
                event.stop()
                self.dismiss(self.choices[k][0] or "-")

    def action_leave(self) -> None:
        """Choose nothing."""
        self.dismiss(None)


class Page(ModalScreen[None]):
    """A page of lines over the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,question_mark,enter", "leave", "back")]

    def __init__(self, title: str, rows: Sequence[Line]) -> None:
        super().__init__()
        self.words, self.rows = title, list(rows)

    def compose(self) -> ComposeResult:
        """Title, lines, keys."""
        with Vertical(id="pick", classes="-page"):
            yield Static(self.words, id="pick-title", markup=False)
            yield Lines("pick-lines")
            yield Static("Esc: back", id="pick-keys", markup=False)

    def on_mount(self) -> None:
        """Fill the page."""
        lines = self.query_one(Lines)
        lines.show(self.rows)
        lines.styles.height = min(len(self.rows), max(self.app.size.height - 8, 3))
        lines.focus()

    def action_leave(self) -> None:
        """Back."""
        self.dismiss(None)
