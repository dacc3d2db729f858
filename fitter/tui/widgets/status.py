"""The head of every screen: who plays what for what, and the line that is read from three metres."""

from __future__ import annotations

from rich.style import Style
from rich.text import Text
from textual.reactive import reactive
from textual.widget import Widget

from fitter.base.units import Units
from fitter.display import words
from fitter.tui.big import big
from fitter.tui.guard import Guarded
from fitter.tui.lines import fit
from fitter.tui.view import View, cautions, look


def who(view: View, width: int) -> str:
    """Player, present club, objective, turf, shots: one line, shorter words where there is little room."""
    b = view.bench
    club = b.present if view.answer is None else words.club_words(view.answer.present)
    label = b.objective if view.answer is None else view.answer.ranking.objective.label
    wind = words.wind(b.conditions, Units(b.units))
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


def hand_name(view: View) -> str:
    """Short name of the build in hand."""
    if not view.bench.in_hand:
        return "present"
    hand = view.hand_option()
    if hand is None or view.answer is None:
        return view.bench.in_hand
    c, o = hand.option.club, hand.option
    sleeve = f"{c.loft_change_deg:+g}" if c.loft_change_deg else ""
    ball = (
        f" ball {abs(o.ball_forward_mm):g} {'forward' if o.ball_forward_mm > 0 else 'back'}"
        if o.ball_forward_mm
        else ""
    )
    tee = f" tee {abs(o.tee_mm):g} {'higher' if o.tee_mm > 0 else 'lower'}" if o.tee_mm else ""
    return f"{c.head.code}{sleeve}/{c.shaft.code}{ball}{tee}"


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
    """Head of every screen; the second part grows to letters three lines high where there is room."""

    COMPONENT_CLASSES = {"status--who", "status--hand", "status--warn"}  # noqa: RUF012
    view: reactive[View | None] = reactive(None)

    def render(self) -> Text:
        """Two lines, or four."""
        if self.view is None:
            return Text("")
        width = self.size.width
        text = Text(no_wrap=True, overflow="crop")
        text.append(fit(" " + who(self.view, width - 1), width) + "\n", self._look("who"))
        warned = cautions(self.view)
        if warned:
            text.append(fit(" ! " + " ".join(warned), width) + "\n", self._look("warn"))
        mine, every = balls(self.view)
        name, last = hand_name(self.view), last_shot(self.view)
        trial = look(self.view).trial
        if self.size.height >= 4 + bool(warned):
            text.append(self._large(name, mine, every, last, trial, width))
        else:
            words_ = f" IN HAND {name}   BALLS {mine} of {every}   LAST SHOT {last}"
            words_ += f"   {trial}" if trial and width >= 100 else ""
            text.append(fit(words_, width), self._look("hand"))
        return text

    def _look(self, name: str) -> Style:
        return self.get_component_rich_style(f"status--{name}", partial=True)

    def _large(self, name: str, mine: int, every: int, last: str, trial: str, width: int) -> Text:
        """Three lines of large letters, with small words beside them."""
        text, look_ = Text(), self._look("hand")
        short = name.split(" ")[0]
        parts = [("in hand", name[len(short) :].strip(), short), ("balls", f"of {every}", str(mine)),
                 ("last shot", "", last)]  # fmt: skip
        room = width - sum(4 * len(p[2]) + 12 for p in parts)
        rows = ["", "", ""]
        for top, low, letters in parts:
            drawn = big(letters)
            side = max(len(top), min(len(low), 12)) + 1
            for k, small in enumerate((top, low[:12], low[12:24])):
                rows[k] += f" {small:>{side}} " + drawn[k]
        if room > 24 and trial:
            import textwrap

            left = width - max(len(r) for r in rows) - 3
            for k, small in enumerate(textwrap.wrap(trial, max(left, 12))[:3]):
                rows[k] += "   " + small
        for k, row in enumerate(rows):
            text.append(fit(row, width) + ("\n" if k < 2 else ""), look_)
        return text
