"""The two lines at the foot: keys of the screen, and the keys that are the same everywhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static

from fitter.display.text import shown_width
from fitter.tui.faults import Guarded
from fitter.tui.messages import Ask


@dataclass(frozen=True)
class Key:
    """A key: what is pressed, what people read of it, what it does in a word or two."""

    key: str
    shown: str
    does: str
    brief: str = ""
    """What it does where there is little room."""


class Keys(Guarded, Widget):
    """One line of keys that can be clicked; what does not fit is left out from the end."""

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
        full = 1 + sum(shown_width(k.shown) + shown_width(k.does) + 3 for k in self.keys)
        for k in self.keys:
            does = k.brief if k.brief and full > self.size.width else k.does
            size = shown_width(k.shown) + 1 + shown_width(does)
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

    COMPONENT_CLASSES = {"keys--key", "keys--here"}  # noqa: RUF012

    def on_click(self, event: events.Click) -> None:
        """Press the key that was clicked."""
        for low, high, key in self._spans:
            if low <= event.x < high:
                self.post_message(self.Chosen(key))


class AskLine(Guarded, Vertical):
    """Hidden until something is asked; Enter gives the answer, Escape takes the question back."""

    # The keys stay here until the line is given or left.
    BINDINGS: ClassVar[list[BindingType]] = [Binding("tab,shift+tab", "stay", show=False)]

    class Given(Message):
        """An answer."""

        def __init__(self, purpose: str, text: str) -> None:
            super().__init__()
            self.purpose, self.text = purpose, text

    class Left(Message):
        """The question was taken back."""

    def compose(self) -> ComposeResult:
        """Prompt, line, hint."""
        yield Static("", id="ask-prompt", markup=False)
        yield Input(id="ask-input", select_on_focus=False)
        yield Static("", id="ask-hint", markup=False)

    def on_mount(self) -> None:
        """Start hidden."""
        self.display = False
        self.purpose = ""
        self.query_one(Input).cursor_blink = False

    def ask(self, question: Ask) -> None:
        """Show a question."""
        self.purpose = question.purpose
        self.query_one("#ask-prompt", Static).update(question.prompt)
        self.hint(question.hint)
        field = self.query_one(Input)
        field.value = question.value
        self.display = True
        self.screen.set_focus(field)
        # What is typed replaces what stands there.
        field.action_select_all()

    def hint(self, words: str, error: bool = False) -> None:
        """Say what may be typed, or what was wrong."""
        shown = self.query_one("#ask-hint", Static)
        shown.update(words)
        shown.set_class(error, "-error")

    def close(self) -> None:
        """Hide again."""
        self.display = False
        self.purpose = ""

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Give the answer upwards."""
        event.stop()
        self.post_message(self.Given(self.purpose, event.value.strip()))

    def action_stay(self) -> None:
        """Keep the keys."""

    def leave(self) -> None:
        """Take the question back."""
        self.close()
        self.post_message(self.Left())
