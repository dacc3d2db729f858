"""The head of every screen: who plays what for what, and what is in hand."""

from __future__ import annotations

from rich.cells import cell_len
from rich.style import Style
from rich.text import Text
from textual.reactive import reactive
from textual.widget import Widget

from fitter.base.units import counted
from fitter.display import words
from fitter.display.text import fit
from fitter.tui import large
from fitter.tui.faults import Guarded
from fitter.tui.last import last_ball
from fitter.tui.view import View, cautions


def who(view: View, width: int) -> str:
    """Player, present club, objective, turf, shots: one line, shorter words where there is little room."""
    b = view.bench
    club = b.present if view.answer is None else words.club_words(view.answer.present)
    label = b.objective if view.answer is None else view.answer.ranking.objective.label
    wind = words.wind(b.conditions, view.units)
    air = "" if wind == "none" else f", wind {wind}"
    shots = short = ""
    if view.shots is not None:
        n, aside = len(view.shots.session), int(view.shots.session.set_aside.sum())
        shots, short = f" | {n} shot{'s' * (n != 1)}, {aside} set aside", f" | {n} shots, {aside} aside"
    name = b.player or "no player yet"
    found = f"{name}, {b.hand}-handed | present {club} | for {label}, {b.conditions.turf} turf{air}{shots}"
    if len(found) <= width:
        return found
    return f"{name}, {b.hand} | {b.present} | {label}, {b.conditions.turf}{air}{short}"


def balls(view: View) -> tuple[int, int]:
    """Balls hit with the build in hand, and balls hit in all."""
    if view.shots is None:
        return 0, 0
    mine = sum(b == view.bench.in_hand for b in view.shots.builds)
    return mine, len(view.shots.session)


def said_of_last(view: View, width: int) -> str:
    """The last ball beside what was predicted for its club, in one line of ordinary type."""
    mine, every = balls(view)
    hand = f"IN HAND {view.hand_name}, {counted(mine, 'ball')} of {every}"
    ball = last_ball(view)
    if ball is None:
        return f"{hand} | NO BALL YET"
    units, parts = view.units, [f"LAST BALL {ball.shot}"]
    if ball.measured is None or ball.state in ("set aside", "not read"):
        parts.append(ball.state.upper())
    else:
        side = "" if ball.side is None else f", {units.across(ball.side)}"
        parts.append(f"{ball.label} {units.distance(ball.measured, 0)}{side}")
    if ball.predicted is not None:
        low, high = (units.quantity(v, "m", 0, unit=False) for v in ball.predicted)
        parts.append(f"| predicted {low} to {high}")
        parts.append(f": {ball.verdict}" if ball.verdict else "")
    last = " ".join(parts).replace(" :", ":").strip()
    both = f"{last} | {hand}"
    return both if len(both) <= width else last


LEAST_LARGE = 100
"""Columns from which on the line of large type has room."""


def large_line(view: View) -> list[list[tuple[str, str]]]:
    """Three rows: the last ball and what was predicted for its club in large type, words between them."""
    units, ball = view.units, last_ball(view)
    mine, every = balls(view)
    hand = [f"IN HAND: {view.hand_name}", f"{counted(mine, 'ball')} with it of {every}"]
    if ball is None:
        words = ["NO BALL YET", "", ""]
        return [[(f" {a:22}", "hand"), (b, "who")] for a, b in zip(words, [*hand, ""], strict=True)]
    which = "the present club" if not ball.build else view.words_of(ball.build)
    left = [f"LAST BALL {ball.shot}", which, "" if ball.state == "read" else ball.state.upper()]
    measured = "" if ball.measured is None else units.quantity(ball.measured, "m", 0, unit=False)
    side = "" if ball.side is None else units.across(ball.side)
    blocks: list[tuple[list[str], str]] = [([f" {fit(x, 20)} " for x in left], "hand")]
    if measured:
        blocks.append((large.draw(measured), "large"))
    said = [f"{units.distance_unit} {ball.label}", side, ball.verdict.upper()]
    if ball.predicted is not None:
        low, high = (units.quantity(v, "m", 0, unit=False) for v in ball.predicted)
        blocks.append(([f"  {fit(x, 10)} " for x in said], "hand"))
        blocks.append((large.draw(f"{low}-{high}"), "who"))
        blocks.append(([" predicted for it,", f" {units.distance_unit}, 8 balls of 10", ""], "who"))
    else:
        blocks.append(([f"  {fit(x, 21)}" for x in (said[0], said[1], "nothing predicted yet")], "hand"))
    blocks.append(([f"  {h}" for h in (*hand, "")], "hand"))
    return [[(texts[k], style) for texts, style in blocks] for k in range(3)]


class Status(Guarded, Widget):
    """Head of every screen: who plays what for what, the last ball, and what has to be seen first."""

    COMPONENT_CLASSES = {"status--who", "status--hand", "status--warn", "status--large"}  # noqa: RUF012
    view: reactive[View | None] = reactive(None)

    def render(self) -> Text:
        """Two lines; in a high window the last ball in three rows of large type."""
        if self.view is None:
            return Text("")
        width = self.size.width
        text = Text(no_wrap=True, overflow="crop")
        text.append(fit(" " + who(self.view, width - 1), width) + "\n", self._look("who"))
        warned = cautions(self.view)
        if warned:
            text.append(fit(" ! " + " ".join(warned), width) + "\n", self._look("warn"))
        if self.size.height - bool(warned) < 4 or width < LEAST_LARGE:
            text.append(fit(" " + said_of_last(self.view, width - 1), width), self._look("hand"))
            return text
        for k, row in enumerate(large_line(self.view)):
            left = width
            for piece, style in row:
                shown = fit(piece, left) if cell_len(piece) > left else piece
                text.append(shown, self._look(style))
                left -= cell_len(shown)
            text.append(" " * max(left, 0) + "\n" * (k < 2))
        return text

    def _look(self, name: str) -> Style:
        return self.get_component_rich_style(f"status--{name}", partial=True)
