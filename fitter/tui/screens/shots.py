"""Shots: the log as a table, decisions on single shots, one picture at a time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

import numpy as np
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from fitter.base.units import Units, strike_place
from fitter.display import doubts, words
from fitter.display.shots import Column, all_aside, columns, flag_lines, reasons_of
from fitter.display.text import fit
from fitter.shots.annotations import REASONS
from fitter.shots.findings import Doubt
from fitter.tui import pictures
from fitter.tui.bench import assign, correct, mark_strike, restore, set_aside
from fitter.tui.dialogs import Pick
from fitter.tui.foot import Key
from fitter.tui.lines import Line, Lines, line, paragraphs
from fitter.tui.messages import Change, Moved, Pressed, Say
from fitter.tui.reading import Reading
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View

PICTURES = ("pattern", "strikes", "speed")
NARROW = 100
"""Below so many columns of the window the picture stands in the table's place."""


NAMES = 9
"""Least columns for the build."""
ROOM = 18
"""Columns from which on a reason stands in place of the build."""


def columns_in(reading: Reading, width: int) -> list[Column]:
    """Columns that were measured and find room."""
    there = columns(reading.session)
    left, chosen = width - NAMES - 7, set()
    for c in sorted(there, key=lambda c: c.need):
        if c.need == 1 or c.width + 1 <= left:
            chosen.add(c.channel)
            left -= c.width + 1
    return [c for c in there if c.channel in chosen]


def table(reading: Reading, units: Units, width: int) -> tuple[list[Line], list[Line]]:
    """Two heading lines, and one row a shot: the newest on top."""
    shown, seen = columns_in(reading, width), reading.seen
    spare = width - sum(c.width + 1 for c in shown) - 6
    names = max(NAMES, min(24, spare))
    groups, labels = " " * (5 + names), f" shot {fit('build', names - 1)}"
    for group in dict.fromkeys(c.group for c in shown):
        size = sum(c.width + 1 for c in shown if c.group == group)
        groups += " " + fit(f"{group} {'─' * size}", size - 1).replace("…", "─")
    for c in shown:
        labels += " " + fit(c.label, c.width, right=True)
    head = [line((groups, "head")), line((labels, "dim"))]
    tired = reading.fresh.tired if reading.fresh is not None else np.zeros(len(seen), dtype=bool)
    rows = []
    for i in reversed(range(len(seen))):
        aside, warned = bool(seen.set_aside[i]), any(f.shot == int(seen.shot[i]) for f in seen.flags)
        sign = "x" if aside else "t" if tired[i] else "?" if warned else " "
        spans: list[tuple[str, str]] = [
            (f"{sign}{int(seen.shot[i]):>4} ", "warn" if aside else "mark" if sign != " " else "dim"),
            (fit(_called(reading, i, names), names - 1), "hand" if reading.builds[i] else "dim"),
        ]
        for c in shown:
            text = c.cell(float(seen.value(c.channel)[i]), units)
            spans.append((" " + fit(text, c.width, right=True), "dim" if aside else ""))
        rows.append(line(*spans, key=str(int(seen.shot[i]))))
    return head, rows


def _called(reading: Reading, i: int, names: int) -> str:
    """Build of a shot; of a set-aside one the reason, where there is room for it."""
    if reading.session.set_aside[i] and names >= ROOM:
        reasons = reasons_of(reading.session, int(reading.session.shot[i]))
        if reasons:
            return reasons[0]
    return words.short_build(reading.builds[i])


def why_marked(reading: Reading, shot: int, units: Units) -> list[str]:
    """Sentences of one shot's flags."""
    at = [i for i, s in enumerate(reading.session.shot) if int(s) == shot]
    if not at:
        return []
    one = reading.session.take(np.array(at, dtype=np.int64))
    said = [f.strip() for f in flag_lines(one, units)]
    if reading.fresh is not None and reading.fresh.tired[at[0]]:
        said.append(f"t {words.FRESH}")
    return list(dict.fromkeys(said))


class ShotsPane(Pane):
    """Table to the left, picture to the right."""

    FOCUS: ClassVar[str] = "shots-table"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("v", "v", "picture", help="next picture"),
        Key("space", "Space", "aside/restore", "aside", "set aside with a reason, or restore"),
        Key("a", "a", "assign", help="give a shot to another build"),
        Key("m", "m", "mark strike", "mark", "place the strike mark: arrows or mouse, Enter"),
        Key("t", "t", "type a shot", "type"),
        Key("up", "↑↓", "shot"),
    )
    MENDING: ClassVar[tuple[Key, ...]] = (
        Key("y", "y", "mend the log", "mend", "accept what would mend a log that contradicts itself"),
        Key("k", "k", "it is right", "right", "say that the doubted columns are right as they stand"),
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
            text = "No shots yet. Name the session's log on 1 Range, or type a shot: t."
            problem = view.problem("log")
            shots.show([*paragraphs(problem, shots.room, "error"), line((text, "dim"))])
            remark.show([])
            picture.show([])
            return
        head, rows = table(reading, view.units, shots.room)
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
        for sentence in why_marked(view.reading, self.shot, view.units):
            rows += paragraphs(sentence, width, "warn" if sentence.startswith("x") else "", "  ")
        others = all_aside(view.reading.session, "x ")
        if others and not rows:
            rows += paragraphs(f"set aside: {others}", width, "dim", "  ")
        for doubt in view.reading.seen.doubts:
            cure = "y accepts that, k says it is right" if doubt.cure else "k says that it is right"
            rows += paragraphs(f"{doubts.sentence(doubt, view.units)} ({cure})", width, "warn")
        if view.reading.fresh is not None:
            for caution in view.reading.fresh.cautions:
                rows += paragraphs(caution, width, "warn")
        for notice in view.reading.session.notices:
            rows += paragraphs(notice, width, "dim")
        return rows

    def drawn(self, view: View, width: int, height: int) -> list[Line]:
        """The picture that is looked at."""
        assert view.reading is not None
        reading, units = view.reading, view.units
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
        return (*self.MENDING, *self.KEYS) if self._doubts() else self.KEYS

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

    def add(self) -> None:
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
            self.post_message(Change(f"assign shot {shot}", **assign(view.bench, shots, build)))
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

    def accept_cure(self) -> None:
        """Correct the columns as the doubts say."""
        pairs = [pair for d in self._doubts() for pair in d.cure]
        self._correct(pairs, "mend the log", "The columns are read as")

    def confirm_columns(self) -> None:
        """Say that the doubted columns are right."""
        session = (
            self.view.reading.session if self.view is not None and self.view.reading is not None else None
        )
        pairs = doubts.confirmed(self._doubts(), session) if session is not None else []
        self._correct(pairs, "confirm the log", "As they stand:")

    def _doubts(self) -> tuple[Doubt, ...]:
        return () if self.view is None or self.view.reading is None else self.view.reading.session.doubts

    def _correct(self, pairs: Sequence[tuple[str, str]], what: str, words: str) -> None:
        if not pairs or self.view is None:
            self.post_message(Say("There is nothing to mend in the log.", "warn"))
            return
        self.post_message(Change(what, **correct(self.view.bench, pairs)))
        said = ", ".join(f"{header} = {target}" for header, target in pairs)
        self.post_message(Say(f"{words} {said}. u takes that back."))

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
