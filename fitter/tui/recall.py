"""The desk with the shop's memory: kept when a page is printed, a turn ends or the bench is left."""

from __future__ import annotations

from collections.abc import Callable

from textual import work

from fitter.base.errors import FitterError
from fitter.tui import memory
from fitter.tui.desk import Desk
from fitter.tui.dialogs import Page, Pick, page_room
from fitter.tui.lines import Line, line, paragraphs
from fitter.tui.screens.trial import TrialScreen
from fitter.tui.view import View

NOBODY = (
    "Nobody is remembered yet: a player of your own is, when the sheet is printed or the bench left; "
    "nobody of the demo."
)


class Recall(Desk):
    """What the bench asks of the history, and gives to it."""

    def keep_in_mind(self, view: View) -> None:
        """Remember a ranked session; at once and here, since the bench may be closing."""
        if self.file is None or not memory.worth_keeping(view):
            return
        assert view.answer is not None
        try:
            self.say(memory.keep(view.bench, view.answer.ranking))
        except (FitterError, OSError) as error:
            self.trouble("history", f"The session is not remembered: {error}")
            self.say(self.view.problem("history"), "warn")
        else:
            self.trouble("history")

    def action_trial(self) -> None:
        """Open the trial of this player."""
        if self.view.reading is None or self.view.kit is None:
            self.say("A trial needs a kit and shots: 1 Set-up and 2 Shots.", "warn")
            return
        self.push_screen(TrialScreen(self.view))

    def action_players(self) -> None:
        """Show who is remembered; a visit that is chosen comes to the bench."""
        try:
            known = memory.players()
        except FitterError as error:
            self.say(str(error), "warn")
            return
        if not known:
            self.say(NOBODY)
            return

        def done(player: str | None) -> None:
            if player is not None:
                self.ask_visit(player)

        self.push_screen(Pick("Players who are remembered", known, self.bench.player), done)

    def ask_visit(self, player: str) -> None:
        """Ask what to do with a player: take up a visit, or read."""
        rows = [("story", "what was promised, chosen and measured"), ("months", "months at a glance")]
        rows += memory.visits(player)

        def done(key: str | None) -> None:
            if key == "story":
                self.show_page(
                    player,
                    "Remembered",
                    lambda: memory.story(player, self.view.units, page_room(self.size.width)),
                )
            elif key == "months":
                self.show_months(player)
            elif key is not None:
                self.take_up(player, key)

        self.push_screen(Pick(f"{player}: read, or take up a visit", rows), done)

    def take_up(self, player: str, which: str) -> None:
        """Put a remembered visit on the bench."""
        try:
            found = memory.taken_up(player, which, self.bench)
        except (FitterError, OSError) as error:
            self.say(str(error), "warn")
            return
        self.to(memory.seat_again(self.view.work, found))
        self.say(f"{player} is at the bench with that visit; its kit and club are those of the day.")

    def show_page(self, player: str, what: str, text: Callable[[], str]) -> None:
        """Show a page of words."""
        try:
            room = page_room(self.size.width)
            rows: list[Line] = []
            for row in text().splitlines():
                rows += [line(row)] if len(row) <= room else paragraphs(row, room, indent="    ")
        except FitterError as error:
            self.say(str(error), "warn")
            return
        self.push_screen(Page(f"{what}: {player}", rows))

    @work(thread=True, exclusive=True, group="months", exit_on_error=False)
    def show_months(self, player: str) -> None:
        """Lay a player's visits side by side, and show the page when it is done."""
        self.call_from_thread(self.say, f"{player}'s visits are laid side by side ...")
        view = self.view
        text = memory.months(player, view.bench.conditions, view.units, page_room(self.size.width))
        self.call_from_thread(self.say, "")
        self.call_from_thread(self.show_page, player, "Months", lambda: text)

    def action_months(self) -> None:
        """Show the months of the player at the bench."""
        player = self.bench.player
        if player.casefold() not in {code.casefold() for code, _ in memory.players()}:
            self.say(NOBODY if not player else f"{player} has no visit in the shop's memory yet.")
            return
        self.show_months(player)
