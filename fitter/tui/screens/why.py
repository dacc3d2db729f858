"""Why: where the yards of the present club go, and what the change would bring back."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal

from fitter.display import levers, words
from fitter.display import verdict as sentences
from fitter.display.notes import noted
from fitter.display.text import fit
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
        for f in ranking.flips:
            rows += paragraphs(sentences.flip(f, view.values), width, "", "  ")
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


class WhyPane(Pane):
    """Losses to the left, what the change brings to the right."""

    FOCUS: ClassVar[str] = "why-left"
    KEYS: ClassVar[tuple[Key, ...]] = (Key("up", "↑↓", "scroll"), Key("4", "4", "all options"))

    def compose(self) -> ComposeResult:
        """Two columns; one below 100 columns."""
        with Horizontal():
            yield Lines("why-left")
            yield Lines("why-right", focusable=True)

    def draw(self, view: View) -> None:
        """Put both on the screen."""
        left, right = self.lines("why-left"), self.lines("why-right")
        rows = losses(view, left.room)
        if self.app.size.width < 100:
            left.show([*brings(view, left.room), line(""), *rows, *doubts(view, left.room)])
            return
        left.show([*rows, *doubts(view, left.room)])
        right.show(brings(view, right.room))
