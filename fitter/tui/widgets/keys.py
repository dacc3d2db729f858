"""The two lines at the foot: keys of the screen, and the keys that are the same everywhere."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len
from rich.text import Text
from textual import events
from textual.message import Message
from textual.widget import Widget

from fitter.tui.guard import Guarded


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

    COMPONENT_CLASSES = {"keys--key", "keys--here"}  # noqa: RUF012

    def on_click(self, event: events.Click) -> None:
        """Press the key that was clicked."""
        for low, high, key in self._spans:
            if low <= event.x < high:
                self.post_message(self.Chosen(key))
