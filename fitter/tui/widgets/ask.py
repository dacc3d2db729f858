"""One line to type into, with its prompt, a hint, and the error where it arose."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Input, Static

from fitter.tui.guard import Guarded
from fitter.tui.messages import Ask


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
