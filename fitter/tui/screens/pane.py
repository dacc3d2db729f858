"""What the five screens share: they see the view, draw only while they are shown, and name their keys."""

from __future__ import annotations

from typing import ClassVar, cast

from textual import on
from textual.containers import Vertical
from textual.reactive import reactive

from fitter.tui.desk import Desk
from fitter.tui.faults import Guarded
from fitter.tui.foot import Key
from fitter.tui.lines import Lines, paragraphs
from fitter.tui.messages import Moved
from fitter.tui.view import View


class Pane(Guarded, Vertical):
    """One screen."""

    KEYS: ClassVar[tuple[Key, ...]] = ()
    """Keys of this screen, most needed first."""
    FOCUS: ClassVar[str] = ""
    """Id of the widget that takes the keys when the screen is opened."""
    view: reactive[View | None] = reactive(None)
    due = False
    """Whether a drawing is on its way."""

    @property
    def desk(self) -> Desk:
        """The app."""
        return cast("Desk", self.app)

    @property
    def keys(self) -> tuple[Key, ...]:
        """Keys that count now."""
        return self.KEYS

    def watch_view(self) -> None:
        """Draw anew."""
        self.draw_if_shown()

    def on_show(self) -> None:
        """Draw what changed while the screen was away."""
        self.draw_if_shown()

    def on_resize(self) -> None:
        """Draw for the new size."""
        self.draw_if_shown()

    def draw_if_shown(self) -> None:
        """Draw once the messages that wait are through, unless nobody looks."""
        if not self.due and self.view is not None and self.display and self.is_mounted:
            self.due = True
            self.desk.base.once_drawn(self._draw, self)

    def _draw(self) -> None:
        self.due = False
        if self.view is not None and self.display and self.is_mounted and self.size.width:
            try:
                self.draw(self.view)
            except Exception as error:
                words = self.desk.told("Drawing this screen", error)
                lines = self.query(Lines).first()
                lines.show(paragraphs(words, lines.room, "error"))

    def show_only(self, **shown: bool) -> None:
        """Show some widgets and hide others, by id; what changes its size is drawn once more."""
        for name, wanted in shown.items():
            widget = self.query_one(f"#{name.replace('_', '-')}")
            if widget.display != wanted:
                widget.display = wanted
                self.draw_if_shown()

    def draw(self, view: View) -> None:
        """Put the view on the screen."""
        raise NotImplementedError

    def lines(self, name: str) -> Lines:
        """Lines widget of an id."""
        return self.query_one(f"#{name}", Lines)

    def open(self) -> None:
        """Take the keys."""
        self.draw_if_shown()
        self.query_one(f"#{self.FOCUS}").focus()

    def put_back(self) -> None:
        """Leave what was begun; take the keys."""
        self.open()

    @property
    def takes_enter(self) -> bool:
        """Whether Enter is for the screen, before the widget that has the keys."""
        return False

    def enter(self) -> None:
        """Do what Enter does on this screen."""

    @on(Moved)
    def stays(self, message: Moved) -> None:
        """What lines say to their screen stays there, whether it means something or not."""
        message.stop()
