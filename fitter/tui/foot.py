"""The foot of every screen: one line to type into while something is asked, and the keys."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.cells import cell_len
from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static

from fitter.base.errors import FitterError
from fitter.tui.faults import Guarded
from fitter.tui.messages import Ask


@dataclass(frozen=True)
class Key:
    """A key.

    Parameters
    ----------
    key, shown : str
        What is pressed, and what people read of it.
    does, brief : str
        What it does, and in fewer words where there is little room.
    help : str
        What the page of help says of it; `does` when silent.
    """

    key: str
    shown: str
    does: str
    brief: str = ""
    help: str = ""


class Keys(Guarded, Widget):
    """One line of keys that can be clicked; what does not fit is left out from the end."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"keys--key", "keys--here"}

    class Chosen(Message):
        """A key was clicked."""

        def __init__(self, key: str) -> None:
            super().__init__()
            self.key = key

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.keys: tuple[Key, ...] = ()
        self.here = ""
        self._spans: list[tuple[int, int, str]] = []

    def show(self, keys: tuple[Key, ...], here: str = "") -> None:
        """Show these keys; `here` is drawn as the place where one is."""
        self.keys, self.here = keys, here
        self.refresh()

    def render(self) -> Text:
        """One line."""
        text, self._spans, at = Text(no_wrap=True, overflow="crop"), [], 1
        text.append(" ")
        full = 1 + sum(cell_len(k.shown) + cell_len(k.does) + 3 for k in self.keys)
        for k in self.keys:
            does = k.brief if k.brief and full > self.size.width else k.does
            size = cell_len(k.shown) + 1 + cell_len(does)
            if at + size > self.size.width:
                break
            mine = k.key == self.here
            text.append(
                k.shown, self.get_component_rich_style("keys--here" if mine else "keys--key", partial=True)
            )
            text.append(" ")
            text.append(does, self.get_component_rich_style("keys--here", partial=True) if mine else "")
            self._spans.append((at, at + size, k.key))
            text.append("  ")
            at += size + 2
        return text

    def on_click(self, event: events.Click) -> None:
        """Press the key that was clicked."""
        for low, high, key in self._spans:
            if low <= event.x < high:
                self.post_message(self.Chosen(key))


class AskLine(Guarded, Vertical):
    """Hidden until something is asked; Enter gives the answer, Escape takes the question back."""

    # The keys stay here until the line is given or left.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "complete", show=False, priority=True),
        Binding("shift+tab", "stay", show=False),
    ]

    class Left(Message):
        """Nothing is asked any more: the keys go back to the screen."""

    def compose(self) -> ComposeResult:
        """Prompt, line, hint."""
        yield Static("", id="ask-prompt", markup=False)
        yield Input(id="ask-input", select_on_focus=False)
        yield Static("", id="ask-hint", markup=False)

    def on_mount(self) -> None:
        """Start hidden."""
        self.display = False
        self.take: Callable[[str], bool] | None = None
        self.each: Callable[[str], object] | None = None
        self.completes: Callable[[str], Sequence[str]] | None = None
        self.query_one(Input).cursor_blink = False

    def ask(self, question: Ask) -> None:
        """Show a question."""
        self.take, self.each, self.completes = question.take, None, question.complete
        self.query_one("#ask-prompt", Static).update(question.prompt)
        self.hint(question.hint)
        field = self.query_one(Input)
        field.value = question.value
        self.display = True
        self.screen.set_focus(field)
        # What is typed replaces what stands there.
        field.action_select_all()
        self.each = question.each

    def hint(self, words: str, error: bool = False) -> None:
        """Say what may be typed, or what was wrong."""
        shown = self.query_one("#ask-hint", Static)
        shown.update(words)
        shown.set_class(error, "-error")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Give the answer to whoever asked; what is wrong with it is said under it."""
        event.stop()
        try:
            if self.take is not None and self.take(event.value.strip()):
                self.leave()
        except FitterError as error:
            self.hint(str(error), error=True)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Tell whoever listens of each letter."""
        event.stop()
        if self.each is not None and self.display:
            self.each(event.value)

    def action_complete(self) -> None:
        """Fill in what everything that begins so shares; say what there is."""
        field = self.query_one(Input)
        found = list(self.completes(field.value)) if self.completes is not None else []
        if not found:
            self.hint("Nothing begins so." if self.completes is not None else "", error=False)
            return
        shared = found[0][: next((k for k, c in enumerate(zip(*found, strict=False)) if len(set(c)) > 1),
                                 min(map(len, found)))]  # fmt: skip
        if len(shared) > len(field.value):
            field.value = shared
            field.cursor_position = len(shared)
        if len(found) > 1:
            names = "  ".join(os.path.basename(f.rstrip(os.sep)) + os.sep * f.endswith(os.sep) for f in found)
            self.hint(f"{len(found)}: {names}")

    def action_stay(self) -> None:
        """Keep the keys."""

    def leave(self) -> None:
        """Hide again."""
        self.display, self.take, self.each = False, None, None
        self.post_message(self.Left())
