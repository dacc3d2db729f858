"""Options: the ladder, why beside it, the bench under it."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from fitter.advice.options import AVAILABLE, TIERS, set_up_id
from fitter.advice.scored import Scored
from fitter.display import words
from fitter.tui import beside, flights, form, ladder, pictures, steps
from fitter.tui.answer import ON_BENCH, PRESENT
from fitter.tui.bench import Steps, toggle
from fitter.tui.columns import ORDERS, How
from fitter.tui.dialogs import Pick, Ticks
from fitter.tui.foot import Key
from fitter.tui.lines import Line, Lines, line, paragraphs
from fitter.tui.measured import look
from fitter.tui.messages import Ask, Change, Entered, InHand, Marked, Moved, Say, Selected, Stepped
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View

WIDE = 100
"""From so many columns on, why and bench stand beside the ladder."""
HIGH = 34
"""From so many lines on, pictures stand under both."""
LEAST_HEIGHT = 30
"""Lines from which on the costs of a change have columns, and a second line of heads."""
IN_TURN = ("words", "flight", "above")
"""What the one place beside or under the ladder shows in turn where there is little room."""
UNDER = ("flight", "strikes", "")
"""Pictures under the ladder in turn, where there is room; '' gives the room to the ladder."""
OUT_OF_RACK = ("stock buildable today", "stock to order")
"""What is hidden when only the rack counts."""


class OptionsPane(Pane):
    """Verdict, ladder, why, bench."""

    FOCUS: ClassVar[str] = "ladder"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("up", "↑↓", "option"),
        Key("enter", "Enter", "set-ups", help="open the club: all its set-ups, or close it"),
        Key("b", "b", "take in hand", "in hand", "take the option in hand: new shots take it"),
        Key("v", "v", "picture", help="next picture, or the reasons"),
        Key("g", "g", "bench steps", "bench", "bench steps; - and + there, z clears them"),
        Key("slash", "/", "search", help="search the ladder"),
        Key("o", "o", "order", help="sort by gain, spread, fairway, strokes, price, stock, carry"),
        Key("f", "f", "filter", help="filter: tier, kind of change, stock, rules"),
        Key("c", "c", "compare", help="compare: mark one, move to the other"),
        Key("p", "p", "pin", help="pin for a trial"),
        Key("i", "i", "trial", help="fair trial of the pinned clubs, or of those that deserve balls"),
        Key("x", "x", "choose", help="record the choice"),
        Key("h", "h", "hide", help="hide the club under the cursor; f brings it back"),
        Key("k", "k", "rack only", "rack", "only what is in the rack, or everything"),
        Key("dollar_sign", "$", "budget", help="most that parts may cost"),
        Key("s", "s", "every set-up", "all", "every set-up of every club"),
    )
    BENCH: ClassVar[tuple[Key, ...]] = (
        Key("up", "↑↓", "row"),
        Key("minus", "-", "less"),
        Key("plus", "+", "more"),
        Key("b", "b", "take in hand", "in hand"),
        Key("z", "z", "clear the bench", "clear"),
        Key("g", "g", "back to the ladder", "back"),
    )

    def compose(self) -> ComposeResult:
        """Verdict on top; ladder, and why with the bench."""
        yield Lines("verdict", focusable=False, most=4)
        with Horizontal(id="options-body"):
            with Vertical(id="options-main"):
                yield Lines("ladder")
                yield Lines("options-strip", focusable=False)
            with Vertical(id="options-side"):
                yield Lines("options-why", focusable=False)
                yield Lines("options-picture", focusable=False)
                yield Lines("bench")

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.drawn: tuple[tuple[object, ...], tuple[object, ...]] = ((), ())
        self.how = How()
        self.picture = 0
        self.moved = ""
        """Player whose cursor a person has moved: until then it stands on what the verdict names."""

    @property
    def keys(self) -> tuple[Key, ...]:
        """Keys that count now."""
        return self.BENCH if self.on_bench else self.KEYS

    def put_back(self) -> None:
        """End the comparison, then the search and the order; then back to the ladder."""
        if self.view is not None and self.view.marked:
            self.post_message(Marked(""))
        elif not self.on_bench and self.how.told:
            self.look(replace(self.how, search="", order=""))
        else:
            self.open()

    def look(self, how: How) -> None:
        """Look at the ladder otherwise."""
        self.how = how
        self.draw_if_shown()

    @property
    def roomy(self) -> bool:
        """Whether pictures have a place of their own."""
        return self.app.size.width >= WIDE and self.app.size.height >= HIGH

    @property
    def on_bench(self) -> bool:
        """Whether the bench has the keys."""
        return self.is_mounted and self.lines("bench").has_focus

    def draw(self, view: View) -> None:
        """Put the ladder on the screen."""
        narrow, on_bench = self.app.size.width < WIDE, self.on_bench
        answered = view.answer is not None
        strip = self.roomy and answered and bool(UNDER[self.picture % len(UNDER)])
        self.show_only(options_why=not (narrow and on_bench), bench=on_bench, options_strip=strip,
                       options_picture=self.roomy and answered and not on_bench)  # fmt: skip
        pictured = not self.roomy and bool(self.picture % len(IN_TURN))
        if pictured != self.has_class("-pictured"):
            # Another height: drawn once more when it is there.
            self.set_class(pictured, "-pictured")
            self.draw_if_shown()
        verdict, rows, why, bench = (self.lines(n) for n in ("verdict", "ladder", "options-why", "bench"))
        verdict.show(self.verdict(view, verdict.room))
        shown = (view.answer, view.on_bench, view.reading, view.bench, view.marked, view.trouble, view.kit,
                 self.how, self.picture)  # fmt: skip
        sizes = (rows.size, why.size, bench.size, self.lines("options-strip").size,
                 self.lines("options-picture").size, on_bench)  # fmt: skip
        if answered and self.alike(shown, sizes):
            return
        bench.show(steps.draw(view, bench.room))
        if view.answer is None and view.rough is not None:
            head, body = ladder.draw_rough(view.rough, view.bench, rows.room)
            rows.show(body, head)
            why.show([])
            return
        if view.answer is None:
            reading = view.reading is None and view.bench.log and not view.problem("log")
            text = (
                view.problem("rank")
                or view.busy
                or ("The log is being read." if reading else "")
                or "Nothing to rank yet: shots, kit and present club are needed."
            )
            rows.show(paragraphs(text, rows.room, "error" if view.problem("rank") else "dim"))
            why.show([])
            return
        seen = look(view)
        found = ladder.rungs(view.answer, view.bench, view.on_bench, seen.hand, self.how)
        costs = self.app.size.height >= LEAST_HEIGHT
        head, body = ladder.draw(view.answer, view.bench, found, seen, rows.room, self.how, costs)
        named = view.answer.ranking.verdict.option or PRESENT
        stays = self.moved == view.bench.player and rows.cursor in [r.key for r in body]
        rows.show(body, head, None if stays else named)
        self.put_beside(view)

    def alike(self, shown: tuple[object, ...], sizes: tuple[object, ...]) -> bool:
        """Whether everything under the verdict was drawn so before."""
        old, old_sizes = self.drawn
        self.drawn = shown, sizes
        same = len(old) == len(shown) and all(a is b for a, b in zip(old, shown, strict=True))
        return same and sizes == old_sizes

    def verdict(self, view: View, width: int) -> list[Line]:
        """The verdict in its one sentence."""
        if view.answer is None:
            text = "Rough order of a first look; gains and the verdict follow when they are computed."
            return paragraphs(text, width, "dim") if view.rough is not None else []
        if view.busy:
            return paragraphs(f"Before the change, {view.busy}: {view.verdict_text}", width, "dim")
        return paragraphs(view.verdict_text, width, "strong")

    def beside(self, view: View, width: int) -> list[Line]:
        """Why, or two options side by side; then what was measured and what to measure."""
        chosen = self.selected(view)
        rows: list[Line] = []
        marked = view.option(view.marked) if view.marked else None
        if view.problem("bench"):
            rows += paragraphs(view.problem("bench"), width, "error")
        if chosen is not None and marked is not None:
            return [*rows, *beside.side_by_side(view, marked, chosen, width)]
        if chosen is not None:
            rows += beside.why(view, chosen, width)
        for more in (beside.measured(view, width), beside.next_steps(view, width)):
            rows += [line(""), *more] if more else []
        return rows

    def put_beside(self, view: View) -> None:
        """Put on the screen what follows the cursor: reasons and pictures."""
        why, strip, above = (self.lines(n) for n in ("options-why", "options-strip", "options-picture"))
        chosen = self.selected(view)
        shown = IN_TURN[self.picture % len(IN_TURN)] if not self.roomy and not view.marked else "words"
        if shown == "words":
            why.show(self.beside(view, why.room))
        else:
            why.show(self.drawn_as(shown, view, chosen, why.room, why.size.height))
        if strip.display:
            name = UNDER[self.picture % len(UNDER)]
            strip.show(self.drawn_as(name, view, chosen, strip.room, strip.content_size.height))
        if above.display:
            above.show(self.drawn_as("above", view, chosen, above.room, above.content_size.height))

    def drawn_as(self, name: str, view: View, s: Scored | None, width: int, height: int) -> list[Line]:
        """One picture of the option under the cursor beside the present club."""
        if name == "strikes" and view.reading is not None:
            return pictures.strikes(view.reading, min(width, 2 * height + 12), height)
        if name == "above":
            return flights.above(view, s, width, height) or paragraphs(
                "From above: carry and side were not measured.", width, "dim"
            )
        return flights.before_after(view, s, width, height)

    def next_picture(self) -> None:
        """Next picture, or the reasons."""
        self.picture = (self.picture + 1) % len(UNDER)
        self.draw_if_shown()

    def selected(self, view: View) -> Scored | None:
        """Option under the cursor; the verdict's while it stands nowhere."""
        if self.on_bench and view.on_bench is not None:
            return view.on_bench
        return view.option(self.lines("ladder").cursor) or view.verdict_option()

    @property
    def key(self) -> str:
        """Id of the option under the cursor; '' for the present club."""
        key = self.lines("ladder").cursor
        return "" if key == PRESENT else key

    def on_moved(self, message: Moved) -> None:
        """Say why of another option."""
        message.stop()
        if message.sender is self.lines("ladder") and self.view is not None:
            self.moved = self.view.bench.player
            if self.view.answer is not None:
                self.put_beside(self.view)
            self.post_message(Selected(message.key))

    def on_entered(self, message: Entered) -> None:
        """Open the club: every set-up of it."""
        message.stop()
        if message.sender is self.lines("ladder"):
            self.open_club()
        else:
            self.on_stepped(Stepped(message.sender, message.key, 1))

    def on_stepped(self, message: Stepped) -> None:
        """Step a row of the bench."""
        message.stop()
        if self.view is None:
            return
        if message.sender is self.lines("bench"):
            label, fields = steps.stepped(self.view, message.key, message.by)
            if label:
                self.post_message(Change(label, **fields))
        else:
            self.post_message(Say("g opens the bench steps; - and + work there.", ""))

    def open_club(self) -> None:
        """Show every set-up of the club under the cursor, or its best alone."""
        s = None if self.view is None else self.view.option(self.lines("ladder").cursor)
        if self.view is None or self.view.answer is None or s is None or self.key in ("", ON_BENCH):
            self.post_message(Say("Enter opens a club of the ladder; b takes it in hand."))
            return
        built = s.option.built
        others = sum(x.option.built == built for x in self.view.answer.ranking.options) - 1
        if built not in self.how.opened and others < 1:
            self.post_message(Say("This club has one set-up that was computed. b takes it in hand."))
            return
        self.look(replace(self.how, opened=self.how.opened ^ {built}))

    def search(self) -> None:
        """Search the ladder; it follows each letter."""

        def put(text: str) -> bool:
            self.look(replace(self.how, search=text.strip()))
            return True

        hint = "words of a change, a head, a shaft, 'rack', 'tier A'; nothing shows all"
        self.desk.ask(Ask("Search the ladder:", put, self.how.search, hint, each=put))

    def order(self) -> None:
        """Sort the ladder by one of its columns."""

        def done(key: str | None) -> None:
            if key is not None:
                self.look(replace(self.how, order=key))

        choices = [(key, about) for key, (about, _) in ORDERS.items()]
        self.app.push_screen(Pick("The ladder, sorted by:", choices, self.how.order), done)

    def hide(self) -> None:
        """Hide the club under the cursor, in all its set-ups."""
        s = None if self.view is None else self.view.option(self.lines("ladder").cursor)
        if self.view is None or s is None or self.key in ("", ON_BENCH):
            self.post_message(Say("Only a club of the ladder can be hidden.", "warn"))
            return
        name = self.view.words_of(s.option.id)
        self.post_message(Change("hide", hidden=(*self.view.bench.hidden, ladder.club_key(s.option))))
        self.post_message(Say(f"Hidden: {name}, in every set-up. u takes that back."))

    def rack_only(self) -> None:
        """Show only what is in the rack, or everything again."""
        if self.view is None:
            return
        hidden = self.view.bench.hidden
        only = set(OUT_OF_RACK) <= set(hidden)
        rest = tuple(h for h in hidden if h not in OUT_OF_RACK)
        self.post_message(Change("rack only", hidden=rest if only else (*rest, *OUT_OF_RACK)))
        self.post_message(Say("Everything is shown." if only else "Only what is in the rack is shown."))

    def budget(self) -> None:
        """Ask for the most that parts may cost."""

        def put(text: str) -> bool:
            assert self.view is not None
            self.post_message(Change("budget", **form.read_budget(self.view, text)))
            return True

        now = "" if self.view is None or self.view.bench.budget is None else f"{self.view.bench.budget:g}"
        hint = "most that the bought parts may cost, such as 300; nothing for no limit"
        self.desk.ask(Ask("Budget:", put, now, hint))

    def toggle_bench(self) -> None:
        """Go to the bench, or back."""
        if self.on_bench:
            self.lines("ladder").focus()
        elif self.view is not None:
            self.show_only(bench=True)
            self.lines("bench").show(steps.draw(self.view, max(self.lines("bench").room, 30)))
            self.lines("bench").focus()
        self.draw_if_shown()

    def compare(self) -> None:
        """Mark an option to compare with, or end that."""
        marked = "" if self.view is None or self.view.marked else self.lines("ladder").cursor
        self.post_message(Marked(marked))
        if marked:
            self.post_message(Say("Move the cursor to the second option; c ends the comparison."))

    def every_set_up(self) -> None:
        """Every set-up, or the best of each club."""
        if self.view is not None:
            self.post_message(Change("every set-up", every_set_up=not self.view.bench.every_set_up))

    def clear_bench(self) -> None:
        """Put everything on the bench back."""
        self.post_message(Change("clear the bench", steps=Steps()))

    def take_in_hand(self) -> None:
        """Take the option under the cursor in hand."""
        if self.view is None or self.view.answer is None:
            self.post_message(Say("There is no option to take in hand yet.", "warn"))
            return
        key = self.key
        if key == ON_BENCH or (self.on_bench and self.view.on_bench is not None):
            assert self.view.on_bench is not None
            o = self.view.on_bench.option
            key = set_up_id(o.club.code, o.ball_forward_mm, o.tee_mm)
        self.post_message(InHand(key))

    def pin(self) -> None:
        """Pin the option for a trial."""
        if self.view is None or not self.key or self.key == ON_BENCH:
            self.post_message(Say("Only an option of the ladder can be pinned.", "warn"))
            return
        pins = toggle(self.view.bench.pins, self.key)
        self.post_message(Change("pin", pins=pins))
        self.post_message(
            Say(f"{'Pinned for a trial' if self.key in pins else 'No longer pinned'}: {self.key}.")
        )

    def filter(self) -> None:
        """Choose what the ladder shows."""
        if self.view is None:
            return
        items = [f"tier {t}" for t in TIERS] + [f"change {k}" for k in words.KINDS]
        items += [f"stock {s}" for s in AVAILABLE.values()] + ["rules broken"]
        items += [h for h in self.view.bench.hidden if h not in items]

        def named(item: str) -> str:
            kind, _, rest = item.partition(" ")
            return {"tier": f"tier {rest}: {TIERS.get(rest, '')}", "change": f"changes of {rest}",
                    "stock": rest, "rules": "options that break a rule",
                    "club": f"{rest}, hidden by hand"}.get(kind, item)  # fmt: skip

        def put(hidden: tuple[str, ...]) -> None:
            self.post_message(Change("filter", hidden=hidden))

        title = "The ladder shows [x]; Esc when done"
        self.app.push_screen(Ticks(title, [(i, named(i)) for i in items], self.view.bench.hidden, put))
