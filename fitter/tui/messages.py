"""What widgets say upwards; the app owns the state and answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from textual.message import Message


class Moved(Message):
    """The cursor of a list stands on another line."""

    def __init__(self, sender: Any, key: str) -> None:
        super().__init__()
        self.sender, self.key = sender, key


class Entered(Moved):
    """A line was opened: Enter, or a click on the line under the cursor."""


class Stepped(Moved):
    """A line was stepped: - or +, or a click on its signs."""

    def __init__(self, sender: Any, key: str, by: int) -> None:
        super().__init__(sender, key)
        self.by = by


class Pressed(Message):
    """A place of a picture was clicked: column and row of its cells."""

    def __init__(self, sender: Any, column: int, row: int) -> None:
        super().__init__()
        self.sender, self.column, self.row = sender, column, row


class Change(Message):
    """The bench is to change: label for undo, and the fields."""

    def __init__(self, label: str, **fields: Any) -> None:
        super().__init__()
        self.label, self.fields = label, fields


class Ask(Message):
    """A line of text is wanted.

    Parameters
    ----------
    prompt : str
    take : callable
        Takes the line; raises FitterError with what is wrong with it; gives back True when the line can
        close, False when it stays until the work that the line began is done.
    value, hint : str
        What stands there now, and what may be typed.
    each : callable, optional
        Hears of each letter.
    complete : callable, optional
        What begins so: Tab fills in what all of them share.
    """

    def __init__(
        self,
        prompt: str,
        take: Callable[[str], bool],
        value: str = "",
        hint: str = "",
        each: Callable[[str], object] | None = None,
        complete: Callable[[str], Sequence[str]] | None = None,
    ) -> None:
        super().__init__()
        self.prompt, self.take, self.value, self.hint = prompt, take, value, hint
        self.each, self.complete = each, complete


class Say(Message):
    """A sentence for the line above the keys."""

    def __init__(self, words: str, style: str = "") -> None:
        super().__init__()
        self.words, self.style = words, style


class Selected(Message):
    """The cursor of the ladder stands on an option."""

    def __init__(self, key: str) -> None:
        super().__init__()
        self.key = key


class Marked(Selected):
    """An option is marked to compare with; '' ends the comparison."""


class InHand(Selected):
    """An option goes into the player's hands; '' is the present club."""


class Turn(Message):
    """Another player's turn: so many further."""

    def __init__(self, by: int) -> None:
        super().__init__()
        self.by = by


class Printed(Message):
    """A sheet was printed."""
