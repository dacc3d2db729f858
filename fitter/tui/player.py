"""The large view: the last ball in letters that a player reads from three metres."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from fitter.base.units import Units
from fitter.tui import large
from fitter.tui.faults import Guarded
from fitter.tui.last import last_ball
from fitter.tui.lines import Line, Lines, line
from fitter.tui.view import View


def _put(text: str, style: str, room: int, most: int) -> list[Line]:
    scale = large.fitting(text, room, most)
    if not scale:
        return [line((text, style))]
    return [line((row, style)) for row in large.draw(text, scale)]


def page(view: View, width: int, height: int) -> list[Line]:
    """Club, the ball's distance and side, and what was predicted for it."""
    ball, units = last_ball(view), view.units
    most = 4 if height >= 34 else 2
    if ball is None:
        return [*_put("NO BALL YET", "strong", width, most), line(""), line(f"In hand: {view.hand_name}")]
    club = "present" if not ball.build else view.words_of(ball.build)
    rows = [line((f"Ball {ball.shot}, hit with", "dim")), *_put(club, "hand", width, 1), line("")]
    if ball.measured is None or ball.state in ("set aside", "not read"):
        rows += _put(ball.state.upper(), "warn", width, most)
    else:
        far = units.quantity(ball.measured, "m", 0, unit=False)
        side = "" if ball.side is None else units.side(units.value(ball.side, "m"), digits=0)
        rows.append(line((f"{ball.label}, {_unit(units)}" + (", and its side" if side else ""), "dim")))
        rows += _put(f"{far}  {side}".strip(), "pick", width, most)
    rows.append(line(""))
    if ball.predicted is not None:
        low, high = (units.quantity(v, "m", 0, unit=False) for v in ball.predicted)
        rows.append(line((f"predicted for this club, {_unit(units)}: 8 balls of 10 between", "dim")))
        rows += _put(f"{low}-{high}", "strong", width, max(most - 1, 1))
        rows += [
            line(""),
            line(
                (f"{ball.verdict} what was predicted" if ball.verdict == "inside" else ball.verdict, "hand")
            ),
        ]
    return rows


def _unit(units: Units) -> str:
    return "metres" if units.metric else "yards"


class PlayerView(Guarded, ModalScreen[None]):
    """The last ball, large; it follows the log until a key closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,l,q,enter,space", "leave", "back")]

    def __init__(self, view: View) -> None:
        super().__init__()
        self.view = view

    def compose(self) -> ComposeResult:
        """The page and how to leave it."""
        with Vertical(id="player"):
            yield Lines("player-lines")
            yield Static("l or Esc: back to the bench", id="player-keys", markup=False)

    def on_mount(self) -> None:
        """Take the keys."""
        self.set_focus(self.query_one(Lines))

    def on_resize(self) -> None:
        """Draw for the size."""
        self.show_view(self.view)

    def show_view(self, view: View) -> None:
        """Show what is known now."""
        self.view = view
        if self.is_mounted:
            shown = self.query_one(Lines)
            shown.show(page(view, max(self.app.size.width - 8, 20), self.app.size.height))

    def action_leave(self) -> None:
        """Back."""
        if self.app.screen is self:
            self.dismiss(None)
