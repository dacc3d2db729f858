"""What lies over a screen for a moment: a list to choose from, a list to tick, a page to read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from fitter.display.text import clean
from fitter.tui.bench import SAFETY, toggle
from fitter.tui.faults import Guarded
from fitter.tui.foot import Key
from fitter.tui.lines import Line, Lines, heading, line, paragraphs


class Pick(Guarded, ModalScreen[str | None]):
    """Give back the key of what was chosen, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "leave", "back"),
        # Where the list has not taken the keys yet.
        Binding("enter", "take_highlighted", "choose", show=False),
    ]
    HINT = "Enter or its number: choose   Esc: back"

    def __init__(self, title: str, choices: Sequence[tuple[str, str]], cursor: str = "") -> None:
        super().__init__()
        self.words, self.choices, self.first = title, list(choices), cursor

    def compose(self) -> ComposeResult:
        """Title, list, keys."""
        with Vertical(id="pick"):
            yield Static(self.words, id="pick-title", markup=False)
            yield OptionList(
                *(Option(row) for row in self.rows()), id="pick-list", compact=True, markup=False
            )
            yield Static(self.HINT, id="pick-keys", markup=False)

    def rows(self) -> list[str]:
        """Words of the choices, with the numbers that take them."""
        return [f"{k + 1 if k < 9 else ' '} {clean(self.shown(k))}" for k in range(len(self.choices))]

    def shown(self, at: int) -> str:
        """Words of one choice."""
        return self.choices[at][1]

    def on_mount(self) -> None:
        """Give the keys to the list."""
        keys = [key for key, _ in self.choices]
        listed = self.query_one(OptionList)
        listed.highlighted = keys.index(self.first) if self.first in keys else 0
        self.set_focus(listed)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take the choice that was opened."""
        event.stop()
        self.take(event.option_index)

    def on_key(self, event: events.Key) -> None:
        """Take a choice by its number."""
        if event.character and event.character in "123456789" and int(event.character) <= len(self.choices):
            event.stop()
            self.take(int(event.character) - 1)

    def take(self, at: int) -> None:
        """Give back a choice, unless a key that was typed too fast finds the list closed or covered."""
        if self.app.screen is self:
            self.dismiss(self.choices[at][0])

    def action_take_highlighted(self) -> None:
        """Take the choice under the cursor."""
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self.take(at)

    def action_leave(self) -> None:
        """Choose nothing."""
        if self.app.screen is self:
            self.dismiss(None)


class Ticks(Pick):
    """Take items out and put them back until Escape; whoever asked hears of each change."""

    HINT = "Enter or its number: in or out   Esc: done"

    def __init__(
        self,
        title: str,
        choices: Sequence[tuple[str, str]],
        out: tuple[str, ...],
        put: Callable[[tuple[str, ...]], None],
    ) -> None:
        super().__init__(title, [*choices, ("", "show everything")])
        self.out, self.put = out, put

    def shown(self, at: int) -> str:
        """Words of one choice, with its tick."""
        key, text = self.choices[at]
        return f"[{' ' if key in self.out else 'x'}] {text}" if key else text

    def take(self, at: int) -> None:
        """Take an item out, or put it back."""
        key = self.choices[at][0]
        self.out = toggle(self.out, key) if key else ()
        listed = self.query_one(OptionList)
        for k, row in enumerate(self.rows()):
            listed.replace_option_prompt_at_index(k, row)
        listed.highlighted = at
        self.put(self.out)


class Page(Guarded, ModalScreen[None]):
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
        self.set_focus(lines)

    def action_leave(self) -> None:
        """Back."""
        if self.app.screen is self:
            self.dismiss(None)


SIGNS = (
    ("├──●──┤", "80 % interval of a gain, and its mean; the line is the present club"),
    ("╎", "the gain that is worth its tier"),
    ("┐│┘", "not told apart from the best of those computed in full"),
    ("> H * c", "verdict, in hand, pinned, compared with"),
    ("◆", "what was measured with the build in hand"),
    ("A to E", "nothing bought, bench work, shaft, head, head and shaft"),
    ("P>0", "probability of any gain"),
    ("x t ?", "shot set aside, under the fresh line, warned of"),
)


def help_lines(screen: str, here: Sequence[Key], everywhere: Sequence[Key]) -> list[Line]:
    """Keys of a screen, keys everywhere, and what the signs mean."""
    rows: list[Line] = []
    for title, keys in ((f"On {screen.capitalize()}", here), ("Everywhere", everywhere)):
        rows += [
            heading(title),
            *(line((f"  {k.shown:10}", "key"), k.help or k.does) for k in keys),
            line(""),
        ]
    rows += [heading("Signs"), *(line((f"  {k:10}", "mark"), words) for k, words in SIGNS), line("")]
    return rows + paragraphs(SAFETY, 64, "dim")
