"""Shots: the log as a table, decisions on single shots, one picture at a time."""

from __future__ import annotations

from typing import ClassVar

import numpy as np
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from fitter.base.units import strike_place
from fitter.display import doubts
from fitter.display.shots import all_aside
from fitter.shots.annotations import REASONS
from fitter.tui import flights, pictures
from fitter.tui.answer import option_of
from fitter.tui.bench import Typed, mark_strike, restore, set_aside
from fitter.tui.bench import assign as given_to
from fitter.tui.dialogs import Pick
from fitter.tui.foot import Key
from fitter.tui.lines import Line, Lines, heading, line, paragraphs
from fitter.tui.mending import confirmed, doubts_of, mended
from fitter.tui.messages import Change, Entered, Moved, Pressed, Say
from fitter.tui.screens.pane import Pane
from fitter.tui.shot_form import ShotForm
from fitter.tui.shot_table import table, why_marked
from fitter.tui.view import View

PICTURES = ("pattern", "strikes", "speed", "flight")
STACKED = 27
"""Lines from which on two pictures stand over each other, the one that is looked at on top."""
NARROW = 100
"""Below so many columns of the window the picture stands in the table's place."""


class ShotsPane(Pane):
    """Table to the left, picture to the right."""

    FOCUS: ClassVar[str] = "shots-table"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("v", "v", "picture", help="next picture"),
        Key("space", "Space", "aside/restore", "aside", "set aside with a reason, or restore"),
        Key("e", "e", "hit with", help="say which club hit the shot, or it and all later ones"),
        Key("m", "m", "mark strike", "mark", "place the strike mark: arrows or mouse, Enter"),
        Key("t", "t", "type a shot", "type", "type a shot: bare numbers, or a cell each"),
        Key("enter", "Enter", "edit", help="edit a shot that was typed"),
        Key("up", "↑↓", "shot"),
    )
    MENDING: ClassVar[tuple[Key, ...]] = (
        Key("y", "y", "mend the log", "mend", "accept what would mend a log that contradicts itself"),
        Key("n", "n", "it is right", "right", "say that the doubted columns are right as they stand"),
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
        reading = view.shots
        if reading is None or not len(reading.session):
            text = "No shots yet. Name the session's log on 1 Set-up, or type a shot: t."
            problem = view.problem("log")
            shots.show([*paragraphs(problem, shots.room, "error"), line((text, "dim"))])
            remark.show([])
            picture.show([])
            return
        head, rows = table(reading, view.units, shots.room)
        newest = rows[0].key if rows else ""
        # Who looks at the newest shot looks at the next one when it comes.
        follows = newest != self.newest and shots.cursor in ("", self.newest)
        self.newest = newest
        shots.show(rows, head, newest if follows else None)
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
        assert view.shots is not None
        for sentence in why_marked(view.shots, self.shot, view.units):
            rows += paragraphs(sentence, width, "warn" if sentence.startswith("x") else "", "  ")
        others = all_aside(view.shots.session, "x ")
        if others and not rows:
            rows += paragraphs(f"set aside: {others}", width, "dim", "  ")
        for doubt in view.shots.seen.doubts:
            cure = "y accepts that, n says it is right as it is" if doubt.cure else "n says that it is right"
            rows += paragraphs(f"{doubts.sentence(doubt, view.units)} ({cure})", width, "warn")
        if view.shots.fresh is not None:
            for caution in view.shots.fresh.cautions:
                rows += paragraphs(caution, width, "warn")
        for notice in view.shots.session.notices:
            rows += paragraphs(notice, width, "dim")
        return rows

    def drawn(self, view: View, width: int, height: int) -> list[Line]:
        """The picture that is looked at; where there is room the next one under it."""
        assert view.shots is not None
        looked_at = "strikes" if self.placing is not None else PICTURES[self.picture]
        height -= 1
        last = self.legend(view, width)
        if height < STACKED or self.placing is not None:
            return [*self.one(looked_at, view, width, height), last]
        under = PICTURES[(self.picture + 1) % len(PICTURES)]
        upper = self.one(looked_at, view, width, height - max(height // 3, 11) - 1)
        lower = self.one(under, view, width, height - len(upper) - 1)
        return [*upper, line(""), *lower, last]

    def legend(self, view: View, width: int) -> Line:
        """What the marks mean."""
        assert view.shots is not None
        tired = view.shots.fresh is not None and bool(view.shots.fresh.tired.any())
        return pictures.legend(view.shots, width, self.shot, "t tired" if tired else "")

    def one(self, name: str, view: View, width: int, height: int) -> list[Line]:
        """One picture; the shot under the cursor is marked in each."""
        assert view.shots is not None
        reading, units, shot = view.shots, view.units, self.shot
        if name == "strikes":
            return pictures.strikes(reading, width, height, self.placing, shot)
        if name == "speed":
            return pictures.speed(reading, width, height, units, shot)
        if name == "flight":
            return self.flight(view, width, height)
        which = "total" if view.bench.objective == "total" else "carry"
        return pictures.pattern(reading, width, height, units, which, shot)

    def flight(self, view: View, width: int, height: int) -> list[Line]:
        """Flight of the shot under the cursor over the one that is expected of its club."""
        assert view.shots is not None
        at = [i for i, s in enumerate(view.shots.session.shot) if int(s) == self.shot]
        like = None
        if view.answer is not None and at:
            build = view.shots.builds[at[0]]
            option = option_of(view.answer, build, view.kit)
            if option is not None:
                name = f"expected, {view.words_of(option.option.id) if build else 'present'}"
                like = flights.of_option(option, name, view.units)
        mine = [flights.of_shot(view.shots, at[0], like, view.units)] if at else []
        drawn = flights.side([*([like] if like else []), *mine], width, height, view.units)
        return drawn or [heading("The flight from the side"), line(("Launch and carry are needed.", "dim"))]

    def on_moved(self, message: Moved) -> None:
        """Say what is to be said of the shot."""
        message.stop()
        if self.view is not None and self.view.shots is not None:
            self.put_remark(self.view)
            picture = self.lines("shots-picture")
            if picture.display:
                picture.show(self.drawn(self.view, picture.room, picture.size.height))

    def on_entered(self, message: Entered) -> None:
        """Edit a shot that was typed."""
        message.stop()
        view = self.view
        if view is None or view.shots is None or message.sender is not self.lines("shots-table"):
            return
        session, typed = view.shots.session, view.bench.typed
        at = int(np.flatnonzero(session.shot == self.shot)[0]) - (len(session) - len(typed))
        if at < 0:
            words = "A shot of the log stays as it was measured: Space sets it aside, m marks its strike."
            self.post_message(Say(words))
            return

        def take(shot: Typed) -> None:
            self.desk.put_shot(at, shot)

        before = typed[at - 1] if at else None
        title = f"Shot {self.shot}, with {view.words_of(typed[at].build)}"
        self.app.push_screen(ShotForm(title, view.bench.units, take, typed[at], before))

    newest = ""
    """The newest shot when the table was drawn."""

    def on_pressed(self, message: Pressed) -> None:
        """Place a mark by the mouse."""
        message.stop()
        if message.sender is self.lines("shots-picture") and self.placing is not None and self.view:
            picture = self.lines("shots-picture")
            self.placing = pictures.at_cell(
                picture.room, picture.size.height - 1, message.column, message.row, self.view.bench.hand
            )
            self.keep()

    @property
    def keys(self) -> tuple[Key, ...]:
        """Keys that count now."""
        if self.placing is not None:
            return self.PLACING
        return (*self.MENDING, *self.KEYS) if doubts_of(self.view) else self.KEYS

    @property
    def takes_enter(self) -> bool:
        """Enter keeps the mark."""
        return self.placing is not None

    def enter(self) -> None:
        """Keep the mark."""
        self.keep()

    def put_back(self) -> None:
        """Leave the mark that is being placed."""
        if self.placing is not None:
            self.leave()
        else:
            self.open()

    def assign(self) -> None:
        """Give the shot, or it and all later ones, to another build."""
        shot = self.shot
        if self.view is None or not shot:
            self.post_message(Say("There is no shot to assign.", "warn"))
            return
        view = self.view

        def done(key: str | None) -> None:
            if key is None:
                return
            every = key == "*"
            last = view.bench.seen if every else shot
            shots = tuple(range(shot, max(last, shot) + 1))
            build = view.bench.in_hand if every else key
            self.post_message(Change(f"assign shot {shot}", **given_to(view.bench, shots, build)))
            which = f"Shots {shot} to {shots[-1]} were" if len(shots) > 1 else f"Shot {shot} was"
            self.post_message(Say(f"{which} hit with {view.words_of(build)}. u takes that back."))

        choices = [*view.builds(), ("*", f"this and all later shots: {view.hand_name}")]
        self.app.push_screen(Pick(f"Shot {shot} was hit with:", choices), done)

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
        if self.view is None or self.view.shots is None or not self.shot:
            return
        bench, shot = self.view.bench, self.shot
        at = [i for i, s in enumerate(self.view.shots.session.shot) if int(s) == shot]
        if at and self.view.shots.session.set_aside[at[0]]:
            self.post_message(Change(f"restore shot {shot}", **restore(bench, shot)))
            self.post_message(Say(f"Shot {shot} counts again. u takes that back."))
            return

        def done(reason: str | None) -> None:
            if reason:
                self.post_message(Change(f"set shot {shot} aside", **set_aside(bench, shot, reason)))
                self.post_message(Say(f"Shot {shot} is set aside: {reason}. u takes that back."))

        title = f"Set shot {shot} aside: why? (a poor result is no reason)"
        self.app.push_screen(Pick(title, [(r, r) for r in REASONS]), done)

    def yes(self) -> None:
        """Correct the columns as the doubts say."""
        for message in mended(self.view):
            self.post_message(message)

    def no(self) -> None:
        """Say that the doubted columns are right."""
        for message in confirmed(self.view):
            self.post_message(message)

    def start_placing(self) -> None:
        """Place the strike mark of the shot under the cursor."""
        if self.view is None or self.view.shots is None or not self.shot:
            self.post_message(Say("There is no shot to mark.", "warn"))
            return
        session = self.view.shots.session
        at = int(next(i for i, s in enumerate(session.shot) if int(s) == self.shot))
        toe, high = session.value("strike_toe_mm")[at], session.value("strike_high_mm")[at]
        self.placing = (float(toe) if toe == toe else 0.0, float(high) if high == high else 0.0)
        self.picture, self.alone = PICTURES.index("strikes"), True
        self.draw_if_shown()
        self.lines("shots-picture").focus()
        self.say_place()

    def say_place(self) -> None:
        """Say where the mark stands."""
        if self.placing is not None:
            place = strike_place(*self.placing)
            self.post_message(Say(f"Shot {self.shot}: {place} mm. Arrows move, Enter keeps, Esc leaves."))

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
