"""The head of every screen: who plays what for what, and what is in hand."""

from __future__ import annotations

from rich.style import Style
from rich.text import Text
from textual.reactive import reactive
from textual.widget import Widget

from fitter.display import words
from fitter.display.text import fit
from fitter.tui.faults import Guarded
from fitter.tui.measured import look
from fitter.tui.view import View, cautions


def who(view: View, width: int) -> str:
    """Player, present club, objective, turf, shots: one line, shorter words where there is little room."""
    b = view.bench
    club = b.present if view.answer is None else words.club_words(view.answer.present)
    label = b.objective if view.answer is None else view.answer.ranking.objective.label
    wind = words.wind(b.conditions, view.units)
    air = "" if wind == "none" else f", wind {wind}"
    shots = short = ""
    if view.reading is not None:
        n, aside = len(view.reading.session), int(view.reading.session.set_aside.sum())
        shots, short = f" | {n} shot{'s' * (n != 1)}, {aside} set aside", f" | {n} shots, {aside} aside"
    name = b.player or "no player yet"
    found = f"{name}, {b.hand}-handed | present {club} | for {label}, {b.conditions.turf} turf{air}{shots}"
    if len(found) <= width:
        return found
    return f"{name}, {b.hand} | {b.present} | {label}, {b.conditions.turf}{air}{short}"


def balls(view: View) -> tuple[int, int]:
    """Balls hit with the build in hand, and balls hit in all."""
    if view.reading is None:
        return 0, 0
    mine = sum(b == view.bench.in_hand for b in view.reading.builds)
    return mine, len(view.reading.session)


def last_shot(view: View) -> str:
    """Whether the last shot was read: READ, SET ASIDE, PARTLY or NOT READ; NONE before the first."""
    if view.reading is None or not len(view.reading.session):
        return "NONE"
    session = view.reading.session
    if session.set_aside[-1]:
        return "SET ASIDE"
    needed = ("club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm")
    there = [session.value(n)[-1] == session.value(n)[-1] for n in needed]
    return "READ" if all(there) else "PARTLY" if any(there) else "NOT READ"


class Status(Guarded, Widget):
    """Head of every screen: two lines, and a third for what has to be seen first."""

    COMPONENT_CLASSES = {"status--who", "status--hand", "status--warn"}  # noqa: RUF012
    view: reactive[View | None] = reactive(None)

    def render(self) -> Text:
        """Two lines, or three."""
        if self.view is None:
            return Text("")
        width = self.size.width
        text = Text(no_wrap=True, overflow="crop")
        text.append(fit(" " + who(self.view, width - 1), width) + "\n", self._look("who"))
        warned = cautions(self.view)
        if warned:
            text.append(fit(" ! " + " ".join(warned), width) + "\n", self._look("warn"))
        mine, every = balls(self.view)
        trial = look(self.view).trial
        said = f" IN HAND {self.view.hand_name}   BALLS {mine} of {every}   LAST SHOT {last_shot(self.view)}"
        said += f"   {trial}" if trial and width >= 100 else ""
        text.append(fit(said, width), self._look("hand"))
        return text

    def _look(self, name: str) -> Style:
        return self.get_component_rich_style(f"status--{name}", partial=True)
