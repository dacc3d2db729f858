"""Shots: the log as a table, decisions on single shots, one picture at a time."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from fitter.shots.annotations import REASONS
from fitter.shots.flagged import all_aside
from fitter.tui import pictures, table
from fitter.tui.bench import mark_strike, restore, set_aside
from fitter.tui.lines import Line, line, paragraphs
from fitter.tui.messages import Ask, Change, Entered, Moved, Pressed, Say, Stepped
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View
from fitter.tui.widgets.keys import Key
from fitter.tui.widgets.lines import Lines
from fitter.tui.widgets.pick import Pick

PICTURES = ("pattern", "strikes", "speed")
NARROW = 100
"""Below so many columns of the window the picture stands in the table's place."""


class ShotsPane(Pane):
    """Table to the left, picture to the right."""

    FOCUS: ClassVar[str] = "shots-table"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("v", "v", "picture"),
        Key("space", "Space", "aside/restore", "aside"),
        Key("a", "a", "assign"),
        Key("m", "m", "mark strike", "mark"),
        Key("t", "t", "type a shot", "type"),
        Key("up", "↑↓", "shot"),
    )
    PLACING: ClassVar[tuple[Key, ...]] = (
        Key("left", "←→↑↓", "move the mark"),
        Key("enter", "Enter", "keep it"),
        Key("escape", "Esc", "leave it"),
    )

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.picture = 0
        self.placing: tuple[float, float] | None = None
        self.alone = False

    def compose(self) -> ComposeResult:
        """Table, remark, picture."""
        with Horizontal():
            with Vertical(id="shots-left"):
                yield Lines("shots-table")
                yield Lines("shots-remark", focusable=False, most=8)
            yield Lines("shots-picture")

    def draw(self, view: View) -> None:
        """Put table, remark and picture on the screen."""
        narrow = self.app.size.width < NARROW
        self.show_only(shots_left=not (narrow and self.alone), shots_picture=not narrow or self.alone)
        shots, remark, picture = (self.lines(f"shots-{n}") for n in ("table", "remark", "picture"))
        reading = view.reading
        if reading is None or not len(reading.session):
            words = "No shots yet. Name the session's log on 1 Range, or type a shot: t."
            problem = view.problem("log")
            shots.show([*paragraphs(problem, shots.room, "error"), line((words, "dim"))])
            remark.show([])
            picture.show([])
            return
        head, rows = table.draw(reading, view.bench.units, shots.room)
        shots.show(rows, head)
        self.put_remark(view)
        picture.show(self.drawn(view, picture.room, picture.size.height))

    @property
    def shot(self) -> int:
        """Shot under the cursor, 0 without one."""
        return int(self.lines("shots-table").cursor or 0)

    def put_remark(self, view: View) -> None:
        """Put the remark under the table; without one the table has its room."""
        remark = self.lines("shots-remark")
        rows = self.remark(view, remark.room if remark.display else self.lines("shots-table").room)
        remark.display = bool(rows)
        remark.show(rows)

    def remark(self, view: View, width: int) -> list[Line]:
        """What is to be said of the shot under the cursor, of the log, and of the order of the shots."""
        rows: list[Line] = []
        if view.problem("log"):
            rows += paragraphs(view.problem("log"), width, "error")
        assert view.reading is not None
        for sentence in table.why_marked(view.reading, self.shot, view.bench.units):
            rows += paragraphs(sentence, width, "warn" if sentence.startswith("x") else "", "  ")
        others = all_aside(view.reading.session, "x ")
        if others and not rows:
            rows += paragraphs(f"set aside: {others}", width, "dim", "  ")
        if view.reading.fresh is not None:
            for caution in view.reading.fresh.cautions:
                rows += paragraphs(caution, width, "warn")
        for notice in view.reading.session.notices:
            rows += paragraphs(notice, width, "dim")
        return rows

    def drawn(self, view: View, width: int, height: int) -> list[Line]:
        """The picture that is looked at."""
        assert view.reading is not None
        reading, units = view.reading, view.bench.units
        height -= 1
        if self.placing is not None or PICTURES[self.picture] == "strikes":
            rows = pictures.strikes(reading, width, height, self.placing)
        elif PICTURES[self.picture] == "speed":
            rows = pictures.speed(reading, width, height, units)
        else:
            which = "total" if view.bench.objective == "total" else "carry"
            rows = pictures.pattern(reading, width, height, units, which)
        return [*rows, pictures.legend(reading, width)]

    def on_moved(self, message: Moved) -> None:
        """Say what is to be said of the shot."""
        message.stop()
        if self.view is not None and self.view.reading is not None:
            self.put_remark(self.view)

    def on_entered(self, message: Entered) -> None:
        """Enter keeps a strike mark."""
        message.stop()

    def on_stepped(self, message: Stepped) -> None:
        """Nothing to step here."""
        message.stop()

    def on_pressed(self, message: Pressed) -> None:
        """Place a mark by the mouse."""
        message.stop()
        if message.sender is self.lines("shots-picture") and self.placing is not None and self.view:
            picture = self.lines("shots-picture")
            self.placing = pictures.at_cell(
                picture.room, picture.size.height - 1, message.column, message.row, self.view.bench.hand
            )
            self.keep()

    def next_picture(self) -> None:
        """Next picture; in a narrow window the table is one of the round."""
        narrow = self.app.size.width < NARROW
        if narrow and not self.alone:
            self.alone = True
        elif narrow and self.picture == len(PICTURES) - 1:
            self.alone, self.picture = False, 0
        else:
            self.picture = (self.picture + 1) % len(PICTURES)
        self.draw_if_shown()

    def toggle_aside(self) -> None:
        """Set the shot aside, or bring it back."""
        if self.view is None or self.view.reading is None or not self.shot:
            return
        bench, shot = self.view.bench, self.shot
        at = [i for i, s in enumerate(self.view.reading.session.shot) if int(s) == shot]
        if at and self.view.reading.session.set_aside[at[0]]:
            self.post_message(Change(f"restore shot {shot}", **restore(bench, shot)))
            self.post_message(Say(f"Shot {shot} counts again. u takes that back."))
            return

        def done(reason: str | None) -> None:
            if reason:
                self.post_message(Change(f"set shot {shot} aside", **set_aside(bench, shot, reason)))
                self.post_message(Say(f"Shot {shot} is set aside: {reason}. u takes that back."))

        title = f"Set shot {shot} aside: why? (a poor result is no reason)"
        self.app.push_screen(Pick(title, [(r, r) for r in REASONS]), done)

    def start_placing(self) -> None:
        """Place the strike mark of the shot under the cursor."""
        if self.view is None or self.view.reading is None or not self.shot:
            self.post_message(Say("There is no shot to mark.", "warn"))
            return
        session = self.view.reading.session
        at = int(next(i for i, s in enumerate(session.shot) if int(s) == self.shot))
        toe, high = session.value("strike_toe_mm")[at], session.value("strike_high_mm")[at]
        self.placing = (float(toe) if toe == toe else 0.0, float(high) if high == high else 0.0)
        self.picture, self.alone = PICTURES.index("strikes"), True
        self.draw_if_shown()
        self.lines("shots-picture").focus()
        self.say_place()

    def say_place(self) -> None:
        """Say where the mark stands."""
        from fitter.display.words import strike

        if self.placing is not None:
            self.post_message(
                Say(f"Shot {self.shot}: {strike(*self.placing)} mm. Arrows move, Enter keeps, Esc leaves.")
            )

    def move_mark(self, right: int, up: int) -> None:
        """Move the mark by one millimetre on the picture."""
        if self.placing is None or self.view is None:
            return
        flip = 1.0 if self.view.bench.hand == "left" else -1.0
        toe = min(max(self.placing[0] + flip * right, -45.0), 45.0)
        self.placing = (toe, min(max(self.placing[1] + up, -25.0), 25.0))
        self.draw_if_shown()
        self.say_place()

    def keep(self) -> None:
        """Keep the mark."""
        if self.placing is not None and self.view is not None:
            fields = mark_strike(self.view.bench, self.shot, *self.placing)
            self.post_message(Change(f"mark the strike of shot {self.shot}", **fields))
            self.post_message(Say(f"The strike of shot {self.shot} is marked. u takes that back."))
        self.leave()

    def leave(self) -> None:
        """Stop placing."""
        self.placing, self.alone = None, False
        self.lines("shots-table").focus()
        self.draw_if_shown()


def typed_shot() -> Ask:
    """Question for a typed shot."""
    from fitter.tui.entry import EXAMPLE, SHORT

    hint = f"such as: {EXAMPLE}.  Words: {' '.join(SHORT)}"
    return Ask("shot", "A shot, a word and its number each:", "", hint)
