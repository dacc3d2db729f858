"""Why: where the yards of the present club go, and what the change would bring back."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from fitter.display import levers, words
from fitter.display import verdict as sentences
from fitter.display.notes import noted
from fitter.display.text import fit
from fitter.tui import flights, pictures
from fitter.tui.beside import STARTS, block, reasons
from fitter.tui.foot import Key
from fitter.tui.lines import Line, Lines, heading, line, paragraphs
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View


def losses(view: View, width: int) -> list[Line]:
    """Where the yards go: each cause put right alone."""
    units = view.units
    rows = [heading("Where the present club's yards go (carry)")]
    found = view.reading.losses if view.reading is not None else ()
    if view.answer is not None and view.answer.ranking.losses:
        # The ranking knows the present club's head; the reading alone took an ordinary one.
        found = view.answer.ranking.losses
    if not found:
        problem = view.reading.error if view.reading is not None else ""
        text = problem or "No ball was read yet: there is nothing to explain."
        return [*rows, *paragraphs(text, width, "error" if problem else "dim")]
    most = max([x.carry_m for x in found] + [1e-9])
    room = max(min(width - 34, 40), 8)
    for x in found:
        bar, rest = block(max(x.carry_m, 0.0), most, room)
        low, high = (units.quantity(max(v, 0.0), "m", unit=False) for v in (x.low_m, x.high_m))
        size = units.distance(max(x.carry_m, 0.0))
        rows.append(line((fit(x.cause, 20), "strong"), (bar, "bar"), rest, f"{size:>8}"))
        spread = f"; {low} to {high} by single ball laws" if low != high else ""
        rows += paragraphs(f"  if {levers.remedied(x)}{spread}", width, "dim", "  ")
    rows.append(line(""))
    rows += paragraphs(
        "Each cause is put right alone. They overlap (a better strike also changes the spin), so they are "
        "not to be added.", width, "dim",
    )  # fmt: skip
    return rows


def brings(view: View, width: int) -> list[Line]:
    """What the option of the verdict brings back."""
    s = view.verdict_option()
    if view.answer is None or s is None:
        text = view.problem("rank") or ("No ranking yet." if not view.busy else "Ranking ...")
        return paragraphs(text, width, "error" if view.problem("rank") else "dim")
    ranking, units = view.answer.ranking, view.units
    title = f"The verdict: {words.ACTIONS[ranking.verdict.action]}"
    rows = [heading(title), *paragraphs(view.verdict_text, width), line("")]
    rows.append(heading(f"What {words.changed(s.option, view.answer.present)} brings, cause by cause"))
    rows += reasons(view, s, width, together=True) if s.reasons else [line(("not split up", "dim"))]
    rows += [line(""), line((f"{'the start of the ball':22}{'present':>9}{'then':>9}", "dim"))]
    for name, (label, core, digits) in STARTS.items():
        now, then = (
            units.quantity(o.predicted[name][1], core, digits, unit=False) for o in (ranking.present, s)
        )
        rows.append(
            line(f"{label:22}", f"{now:>9}", (f"{then:>9}", "strong"), (f" {units.unit(core)}", "dim"))
        )
    if not s.robust:
        rows += paragraphs("The ball laws disagree on the sign of this gain.", width, "warn")
    if ranking.flips:
        rows += [line(""), heading("What would turn the verdict")]
        for said in sentences.flips(ranking.flips, view.values):
            rows += paragraphs(said, width, "", "  ")
    return rows


def doubts(view: View, width: int) -> list[Line]:
    """Notes and cautions that go with the figures."""
    rows: list[Line] = []
    if view.reading is not None and view.reading.fresh is not None:
        for caution in view.reading.fresh.cautions:
            rows += paragraphs(caution, width, "warn")
    if view.answer is not None:
        for note in noted(view.answer.ranking.notes):
            rows += paragraphs(note[0].upper() + note[1:].rstrip(".") + ".", width, "dim")
    return [line(""), heading("To know before trusting a number"), *rows] if rows else []


PICTURES = ("flight", "above", "strikes", "")
"""Pictures in turn; '' gives the room to the words."""
WIDE, LEAST_HEIGHT = 100, 30
"""Columns from which on there are two halves, and lines from which on one of them holds a picture."""


class WhyPane(Pane):
    """Losses to the left, what the change brings to the right."""

    FOCUS: ClassVar[str] = "why-left"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("up", "↑↓", "scroll"),
        Key("v", "v", "picture", help="next picture, or none"),
        Key("equals_sign", "=", "what if"),
        Key("4", "4", "all options"),
    )

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.picture = 0

    def compose(self) -> ComposeResult:
        """Two columns; one below 100 columns."""
        with Horizontal():
            with Vertical(id="why-first"):
                yield Lines("why-left")
                yield Lines("why-under", focusable=False)
            with Vertical(id="why-second"):
                yield Lines("why-right", focusable=True)
                yield Lines("why-picture", focusable=False)

    def draw(self, view: View) -> None:
        """Put words and pictures on the screen."""
        width, height = self.app.size
        narrow = width < WIDE
        shown = PICTURES[self.picture]
        drawn = shown if view.answer is not None and (narrow or height >= LEAST_HEIGHT) else ""
        if narrow and not self.asked:
            drawn = ""
        self.show_only(why_under=bool(drawn) and narrow, why_picture=bool(drawn) and not narrow)
        left, right = self.lines("why-left"), self.lines("why-right")
        rows = losses(view, left.room)
        if narrow:
            left.show([*brings(view, left.room), line(""), *rows, *doubts(view, left.room)])
        else:
            left.show([*rows, *doubts(view, left.room)])
            right.show(brings(view, right.room))
        if drawn:
            place = self.lines("why-under" if narrow else "why-picture")
            place.show(self.drawn(drawn, view, place.room, place.content_size.height))

    asked = False
    """Whether a picture was asked for, where there is little room."""

    def drawn(self, name: str, view: View, width: int, height: int) -> list[Line]:
        """One picture: the flight, the balls from above, the strikes."""
        if name == "strikes" and view.reading is not None:
            return pictures.strikes(view.reading, min(width, 2 * height + 14), height)
        s = view.verdict_option()
        if name == "above":
            return flights.above(view, s, width, height)
        return flights.before_after(view, s, width, height)

    def next_picture(self) -> None:
        """Next picture, or none."""
        if self.app.size.width < WIDE and not self.asked:
            self.asked, self.picture = True, 0
        else:
            self.picture = (self.picture + 1) % len(PICTURES)
        self.draw_if_shown()
