"""Set-up: who plays what, where, for what; what is asked before a ball is hit."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal

from fitter.advice.options import TIERS
from fitter.display import words
from fitter.display.text import fit
from fitter.tui.bench import CAUTIONS, SAFETY, WANTED, Bench, answer_caution
from fitter.tui.foot import Key
from fitter.tui.form import Setting
from fitter.tui.lines import Line, Lines, heading, line, paragraphs
from fitter.tui.messages import Ask, Change, Entered, Say, Stepped, Turn
from fitter.tui.screens.pane import Pane
from fitter.tui.settings import BY_KEY, shown
from fitter.tui.view import View, warnings

LABELS = 26
"""Columns of a label."""
ASKED = tuple(f"caution {key}" for key in CAUTIONS)
"""Questions that are answered by y and n."""
TOUR = (
    "+ takes the newest log here, Enter types another; it brings its players along. Then the present club.",
    "2 Shots shows the balls as they come: what counts, what is set aside and why.",
    "4 Options ranks what the shop can build, each with its 80 % interval; 3 Why says where the yards go.",
    "5 Sheet is the page that the player takes home: x records the choice, w prints it.",
)
"""What somebody is told who opens the bench for the first time."""
FIRST = ("log", "kit", "present")
"""What a first answer needs, in order."""
STILL = {
    "log": "There is no other log in this folder or the folders in it: Enter types where it is.",
    "present": "Name the kit folder first: its clubs can be stepped through. Enter types a card's file.",
}
"""What is said where a step finds nothing."""
WORDS = ("player", "present", "kit", "log", "ball")
"""Settings whose own words stand in the line when they are typed anew."""


def wanted_next(bench: Bench, done: str) -> str:
    """Line that is wanted next: what a first answer needs, then the questions; where it is if nothing is."""
    there = {"log": bool(bench.log), "kit": bool(bench.kit), "present": bench.present != "unknown"}
    open_ = [k for k in FIRST[FIRST.index(done) + 1 :] if not there[k]]
    open_ += [f"caution {k}" for k in CAUTIONS if not bench.caution(k)]
    return open_[0] if open_ else done


def form(view: View, width: int) -> list[Line]:
    """Rows of the form, under the names of their groups."""
    rows: list[Line] = []
    for place in ("save", "state"):
        rows += paragraphs(view.problem(place), width, "error")
    group = ""
    for s in shown(view):
        if s.group != group:
            group = s.group
            rows += [line("")] if rows else []
            rows.append(heading(group))
        value = s.show(view)
        room = max(width - LABELS - 6, 10)
        style = "warn" if value.endswith(" !") else "dim" if value.startswith("(") else "strong"
        steps = s.step is not None or (s.key == "player" and len(view.work.benches) > 1)
        left, right = (("‹ ", "key"), (" ›", "key")) if steps else (("  ", ""), ("", ""))
        if len(value) > room:
            value = "…" + value[-(room - 1) :]
        rows.append(line(("  " + fit(s.label, LABELS), ""), left, (value, style), right, key=s.key))
        problem = view.problem(s.key)
        if s.key == "present" and view.kit is not None and view.answer is None:
            problem = view.problem("rank")
        if problem:
            rows += [line(("    " + p.text, "error")) for p in paragraphs(problem, width - 6)]
    return rows


def beside_form(view: View, width: int) -> list[Line]:
    """What is known so far, and what is still to be asked."""
    b = view.bench
    rows: list[Line] = []
    if view.reading is None or not len(view.reading.session):
        rows.append(heading("In four sentences"))
        for sentence in TOUR:
            rows += paragraphs(sentence, width, "", "  ")
        rows.append(line(""))
    if b.scene:
        rows += [*paragraphs(b.scene, width), line("")]
    for sentence in warnings(b):
        rows += paragraphs(sentence, width, "warn")
    left = [k for k in WANTED if not b.caution(k)]
    rows.append(heading("Still to be asked"))
    todo = [f"{k}" for k in left]
    if b.sets_face == "unknown":
        todo.append("how the face is set")
    rows += paragraphs(", ".join(todo) if todo else "nothing: go on with 2 Shots or 4 Options", width)
    rows.append(line(""))
    rows.append(heading("The shop can offer"))
    if view.kit is None:
        rows += paragraphs("no kit yet: name its folder, and the ladder has something to rank", width, "dim")
    else:
        rows.append(line(f"{len(view.kit.heads)} heads, {len(view.kit.shafts)} shafts"))
        if view.answer is not None:
            offered = view.answer.ranking.offered
            rows += [
                line((f" {t} ", "strong"), f"{offered[t]:4d}  ", (TIERS[t], "dim"))
                for t in TIERS
                if t in offered
            ]
            rows.append(line(""))
            rows.append(heading("The present club"))
            rows += present_words(view)
    rows.append(line(""))
    rows += paragraphs(SAFETY, width, "dim")
    return rows


def present_words(view: View) -> list[Line]:
    """Figures of the present club that were measured or judged."""
    assert view.answer is not None
    p, c = view.answer.ranking.present, view.answer.present
    if not c.known:
        return [line(("not known: no verdict can be 'change'", "warn"))]
    gauged = "gauged" if c.head.figure("loft_deg").measured else "stamped or judged: gauge it"
    return [
        line(f"{words.club_words(c)}"),
        line(f"loft {p.loft_deg:.1f} deg ", (f"({gauged})", "dim")),
        line(f"swing weight {p.swing_weight}, {p.total_mass_g:.0f} g in all"),
    ]


class SetupPane(Pane):
    """The form, and what is known beside it."""

    FOCUS: ClassVar[str] = "setup-form"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("up", "↑↓", "line"),
        Key("minus", "-", "less", help="step a value (also ← →)"),
        Key("plus", "+", "more", help="step a value"),
        Key("enter", "Enter", "type", help="type a value; Tab completes paths and codes"),
        Key("y", "y/n", "yes or no", help="answer yes or no, and go on to the next question"),
        Key("a", "a", "add player", help="add a player"),
    )

    def compose(self) -> ComposeResult:
        """Form and side."""
        with Horizontal():
            yield Lines("setup-form")
            yield Lines("setup-side", focusable=False)

    def draw(self, view: View) -> None:
        """Put the form on the screen."""
        left, right = self.lines("setup-form"), self.lines("setup-side")
        left.show(form(view, left.room))
        right.show(beside_form(view, right.room))

    @property
    def setting(self) -> Setting | None:
        """Setting under the cursor."""
        return BY_KEY.get(self.lines("setup-form").cursor)

    def on_stepped(self, message: Stepped) -> None:
        """Step a setting."""
        message.stop()
        setting = BY_KEY.get(message.key)
        if self.view is None or setting is None:
            return
        if setting.key == "player" and len(self.view.work.benches) > 1:
            self.post_message(Turn(message.by))
        elif setting.key in ASKED:
            self.post_message(Say("y says yes, n says no."))
        elif setting.step is None:
            self.post_message(Say("Enter types it."))
        else:
            fields = setting.step(self.view, message.by)
            if all(getattr(self.view.bench, name) == value for name, value in fields.items()):
                self.post_message(Say(STILL.get(setting.key, "There is nothing else to step to.")))
            self.post_message(Change(setting.label, **fields))

    def on_entered(self, message: Entered) -> None:
        """Open a setting."""
        message.stop()
        self.enter()

    @property
    def takes_enter(self) -> bool:
        """The next key may be the first letter of what is typed."""
        return True

    def enter(self) -> None:
        """Type the setting under the cursor, or step it where there is nothing to type."""
        setting = self.setting
        if self.view is None or setting is None:
            return
        if setting.read is None:
            self.on_stepped(Stepped(self, setting.key, 1))
            return
        value = str(getattr(self.view.bench, setting.key)) if setting.key in WORDS else ""
        complete = None if setting.complete is None else partial(setting.complete, self.view)
        take = partial(self.read, setting)
        self.desk.ask(Ask(f"{setting.label}:", take, value, setting.hint, complete=complete))

    def yes(self) -> None:
        """Answer the question under the cursor."""
        self.answer("yes")

    def no(self) -> None:
        """Answer the question under the cursor."""
        self.answer("no")

    def answer(self, word: str) -> None:
        """Take an answer, and go on to the next question."""
        lines = self.lines("setup-form")
        if self.view is None or lines.cursor not in ASKED:
            self.post_message(Say("y and n answer a question: move to one of 'Before a ball is hit'."))
            return
        key = lines.cursor.removeprefix("caution ")
        self.post_message(Change(CAUTIONS[key], **answer_caution(self.view.bench, key, word)))
        lines.action_move(1)

    def read(self, setting: Setting, text: str) -> bool:
        """Take what was typed."""
        assert self.view is not None
        assert setting.read is not None
        fields = setting.read(self.view, text)
        self.post_message(Change(setting.label, **fields))
        if setting.key in FIRST:
            self.lines("setup-form").cursor = wanted_next(replace(self.view.bench, **fields), setting.key)
        return True

    def add(self) -> None:
        """Add a player."""
        hint = "such as P5; no names are needed"
        self.desk.ask(Ask("Code of the new player:", self.desk.add_player, "", hint))
