"""What lies over a screen for a moment: a list to choose from, a list to tick, a page to read."""

from __future__ import annotations

import textwrap
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


WIDEST_PAGE = 100
"""Columns of the lines of a page, where there are so many."""


def page_room(columns: int) -> int:
    """Columns of the lines of a page in a window."""
    return max(min(WIDEST_PAGE, columns - 12), 30)


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


LADDER = (
    ("├──●──┤", "80 % interval of a gain, and its mean; the line is the present club"),
    ("╎", "the gain that is worth its tier: what the trouble or the money has to bring"),
    ("┐│┘", "not told apart from the best of those computed in full"),
    (">", "what the verdict names"),
    ("H", "in the player's hands"),
    ("*  c", "pinned for a trial; compared with"),
    ("◆", "what was measured with the build in hand"),
    ("A to E", "tier: nothing bought, bench work, shaft, head, head and shaft"),
    ("·", "another set-up of the club above it, or what lies on the bench"),
    ("P>0", "probability of any gain"),
    ("spread", "change of the spread across (SD), about the middle of the balls"),
    ("fairway", "change of the balls in the fairway, of 100"),
    ("strokes", "change of the strokes a hole: fewer, which is better, are negative"),
    ("rack", "stock: in the rack, buildable today, to order; here is what is in hand"),
)
FLIGHTS = (
    ("───", "the flight with the present club; its apex and landing angle beside it"),
    ("─ ─ #", "the flight and the balls that the option should give"),
    ("o|  #|", "where the ball lands, and where it stops"),
    ("o", "balls of the present club; the ring should hold 80 % of the next ones"),
    (": :", "the edges of the fairway"),
)
MARKS = (
    ("x", "shot set aside: it counts for nothing; the reason stands below"),
    ("t", "tired: slower than 95 % of the day's peak club speed"),
    ("?", "warned of: look at it, it counts"),
    ("o +  *", "balls by the build that hit them, the present club's first"),
    ("@", "the shot under the cursor"),
    ("M", "middle of the strikes"),
    ("ring", "should hold 80 % of the next balls"),
    ("L  R", "left and right of the target, as the player sees it"),
)
FORM = (
    ("‹ ›", "can be stepped with - and +"),
    ("(…)", "nothing was said yet"),
    ("!", "an answer that stops the session, or should"),
)
SIGNS: dict[str, tuple[tuple[str, str], ...]] = {
    "setup": FORM,
    "shots": MARKS,
    "why": (("█", "yards that come back, or gain by a cause"), *FLIGHTS),
    "options": (*LADDER, *FLIGHTS),
    "sheet": (),
}
"""Signs of each screen."""
HEAD = (
    ("large", "the last ball, and what 8 balls of 10 with its club should reach: the prediction's doubt and "
     "the scatter of single balls together"),
)  # fmt: skip


def help_lines(
    screen: str, label: str, here: Sequence[Key], everywhere: Sequence[Key], width: int = 64
) -> list[Line]:
    """Keys of a screen, keys everywhere, and what its signs mean, folded to a width."""
    rows: list[Line] = []

    def put(pairs: Sequence[tuple[str, str]], style: str) -> None:
        for sign, words in pairs:
            folded = textwrap.wrap(words, max(width - 14, 20))
            rows.append(line((f"  {sign:11}", style), folded[0]))
            rows.extend(line(f"{'':13}{more}") for more in folded[1:])
        rows.append(line(""))

    rows.append(heading(f"Keys on {label}"))
    put([(k.shown, k.help or k.does) for k in here], "key")
    if SIGNS.get(screen):
        rows.append(heading(f"Signs on {label}"))
        put(SIGNS[screen], "mark")
    rows.append(heading("Everywhere"))
    put([(k.shown, k.help or k.does) for k in everywhere], "key")
    put(HEAD, "mark")
    return rows + paragraphs(SAFETY, width, "dim")
