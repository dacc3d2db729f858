"""Lines of a screen as data: pieces of text with the name of a style, so that pictures need no widgets."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from fitter.display.text import clean
from fitter.tui.faults import Guarded
from fitter.tui.messages import Entered, Moved, Pressed, Stepped

STYLES = (
    "dim", "strong", "head", "zero", "bar", "pick", "hand", "mark", "warn", "error", "key",
    "ghost",
)  # fmt: skip
"""Names of styles; the looks are in fitter.tcss."""
Span = tuple[str, str]


@dataclass(frozen=True)
class Line:
    """One line of a screen.

    Parameters
    ----------
    spans : tuple of (str, str)
        Text and style name, '' for plain.
    key : str
        What the line stands for; '' if the cursor passes over it.
    """

    spans: tuple[Span, ...] = ()
    key: str = ""

    @property
    def text(self) -> str:
        """Text alone."""
        return "".join(t for t, _ in self.spans)


def line(*spans: Span | str, key: str = "") -> Line:
    """Line of pieces.

    Examples
    --------
    >>> line("a", ("b", "dim")).text
    'ab'
    """
    return Line(tuple(s if isinstance(s, tuple) else (s, "") for s in spans), key)


def paragraphs(words: str, width: int, style: str = "", indent: str = "") -> list[Line]:
    """Sentences folded to a width."""
    found = textwrap.wrap(clean(words), max(width, 12), subsequent_indent=indent, break_on_hyphens=False)
    return [line((row, style)) for row in found]


def merged(cells: Sequence[Span]) -> list[Span]:
    """Join neighbours of one style."""
    out: list[Span] = []
    for text, style in cells:
        if out and out[-1][1] == style:
            out[-1] = (out[-1][0] + text, style)
        else:
            out.append((text, style))
    return out


def heading(words: str) -> Line:
    """Line that names what follows."""
    return line((words, "head"))


class Lines(Guarded, ScrollView, can_focus=True):
    """Rows under a heading that stays; rows with a key can stand under the cursor."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"lines--{name}" for name in (*STYLES, "cursor", "cursor-far")}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "move(-1)", "up", show=False),
        Binding("down,j", "move(1)", "down", show=False),
        Binding("pageup", "move(-10)", "page up", show=False),
        Binding("pagedown", "move(10)", "page down", show=False),
        Binding("home", "move(-100000)", "first", show=False),
        Binding("end", "move(100000)", "last", show=False),
        Binding("enter", "enter", "open", show=False),
        Binding("plus,right,equals_sign", "step(1)", "+", show=False),
        Binding("minus,left", "step(-1)", "-", show=False),
    ]

    def __init__(self, id: str, focusable: bool = True, most: int = 0) -> None:
        super().__init__(id=id)
        self.most = most
        self.can_focus = focusable
        self.head: list[Line] = []
        self.rows: list[Line] = []
        self.cursor = ""
        self._base = Style.null()

    def show(self, rows: Sequence[Line], head: Sequence[Line] = (), cursor: str | None = None) -> None:
        """Put lines on the screen; the cursor stays on its key, or goes to the first."""
        self.head, self.rows = list(head), list(rows)
        keys = self.keys
        if cursor is not None:
            self.cursor = cursor
        if self.cursor not in keys:
            self.cursor = keys[0] if keys else ""
        if self.most:
            # As high as what it says, up to a limit.
            border = self.gutter.height
            self.styles.height = min(len(self.head) + len(self.rows), self.most) + border
        wide = max([cell_len(r.text) for r in (*self.head, *self.rows)], default=0)
        self.virtual_size = Size(
            wide if self.styles.overflow_x == "auto" else 0, len(self.head) + len(self.rows)
        )
        self._keep_in_sight()
        self.refresh()

    @property
    def room(self) -> int:
        """Columns for a line, beside the scroll bar."""
        return max(self.scrollable_content_region.width, 1)

    @property
    def keys(self) -> list[str]:
        """Keys of the rows, in order."""
        return [r.key for r in self.rows if r.key]

    def render_lines(self, crop: Region) -> list[Strip]:
        """Lines of a part of the widget; what all of them stand on is looked up once."""
        self._base = self.rich_style
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        """Row of the widget: heading rows do not scroll."""
        x, top = self.scroll_offset
        width = self.size.width
        if y < len(self.head):
            found: Line | None = self.head[y]
        else:
            k = y - len(self.head) + top
            found = self.rows[k] if k < len(self.rows) else None
        base = self._base
        if found is None:
            return Strip.blank(width, base)
        under = bool(found.key) and found.key == self.cursor and self.can_focus
        if under:
            base += self.get_component_rich_style(
                "lines--cursor" if self.has_focus else "lines--cursor-far", partial=True
            )
        segments = [Segment(text, base + self._style(name)) for text, name in found.spans]
        strip = Strip(segments).simplify()
        return strip.crop_extend(x, x + width, base)

    def _style(self, name: str) -> Style:
        if not name:
            return Style.null()
        return self.get_component_rich_style(f"lines--{name}", partial=True)

    def action_move(self, by: int) -> None:
        """Move the cursor."""
        keys = self.keys
        if not keys:
            self.scroll_relative(y=by, animate=False)
            return
        at = keys.index(self.cursor) if self.cursor in keys else 0
        self._put(keys[min(max(at + by, 0), len(keys) - 1)])

    def _put(self, key: str) -> None:
        if key != self.cursor:
            self.cursor = key
            self._keep_in_sight()
            self.refresh()
            self.post_message(Moved(self, key))

    def _keep_in_sight(self) -> None:
        at = next((k for k, r in enumerate(self.rows) if r.key and r.key == self.cursor), None)
        if at is None or not self.size.height:
            return
        # The first row brings what stands above it into sight.
        first = 0 if self.keys and self.cursor == self.keys[0] else at
        self.scroll_to_region(
            Region(self.scroll_offset.x, first, 1, at - first + 1 + len(self.head)), animate=False, force=True
        )

    def action_enter(self) -> None:
        """Open the line under the cursor."""
        if self.cursor:
            self.post_message(Entered(self, self.cursor))

    def action_step(self, by: int) -> None:
        """Step the line under the cursor."""
        if self.cursor:
            self.post_message(Stepped(self, self.cursor, by))

    def on_click(self, event: events.Click) -> None:
        """Select a row, step it by its signs, open it by a second click; or tell the place of a picture."""
        offset = event.get_content_offset(self)
        if offset is None:
            return
        self.post_message(Pressed(self, offset.x, offset.y))
        k = offset.y - len(self.head) + self.scroll_offset.y
        if offset.y < len(self.head) or not 0 <= k < len(self.rows) or not self.rows[k].key:
            return
        row, at = self.rows[k], 0
        before = self.cursor
        self._put(row.key)
        for text, name in row.spans:
            size = cell_len(text)
            if name == "key" and at <= offset.x + self.scroll_offset.x < at + size:
                self.post_message(Stepped(self, row.key, -1 if "-" in text or "‹" in text else 1))
                return
            at += size
        if before == row.key:
            self.post_message(Entered(self, row.key))

    def on_focus(self) -> None:
        """Show where the cursor is."""
        self.refresh()

    def on_blur(self) -> None:
        """Show that the cursor rests."""
        self.refresh()
