"""Options: the ladder, why beside it, the bench under it."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from fitter.advice.options import AVAILABLE, TIERS, set_up_id
from fitter.advice.scored import Scored
from fitter.display import words
from fitter.tui import beside, ladder, steps
from fitter.tui.answer import ON_BENCH, PRESENT
from fitter.tui.bench import Steps, toggle
from fitter.tui.dialogs import Ticks
from fitter.tui.foot import Key
from fitter.tui.lines import Line, Lines, line, paragraphs
from fitter.tui.measured import look
from fitter.tui.messages import Change, Entered, InHand, Marked, Moved, Say, Selected, Stepped
from fitter.tui.pictures import predicted
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View

WIDE = 100
"""From so many columns on, why and bench stand beside the ladder."""


LEAST_PICTURE = 10
"""Lines from which on a picture of both patterns is worth its room."""


class OptionsPane(Pane):
    """Verdict, ladder, why, bench."""

    FOCUS: ClassVar[str] = "ladder"
    KEYS: ClassVar[tuple[Key, ...]] = (
        Key("up", "↑↓", "option"),
        Key("b", "b", "take in hand", "in hand", "take the option in hand, as Enter does: new shots take it"),
        Key("g", "g", "bench steps", "bench", "bench steps; - and + there, z clears them"),
        Key("c", "c", "compare", help="compare: mark one, move to the other"),
        Key("f", "f", "filter", help="filter: tier, kind of change, stock, rules"),
        Key("p", "p", "pin", help="pin for a trial"),
        Key("s", "s", "every set-up", "all", "every set-up of every club"),
        Key("x", "x", "choose", help="record the choice"),
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
            yield Lines("ladder")
            with Vertical(id="options-side"):
                yield Lines("options-why", focusable=False)
                yield Lines("bench")

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.drawn: tuple[tuple[object, ...], tuple[object, ...]] = ((), ())

    @property
    def keys(self) -> tuple[Key, ...]:
        """Keys that count now."""
        return self.BENCH if self.on_bench else self.KEYS

    def put_back(self) -> None:
        """End the comparison; then back to the ladder."""
        if self.view is not None and self.view.marked:
            self.post_message(Marked(""))
        else:
            self.open()

    @property
    def on_bench(self) -> bool:
        """Whether the bench has the keys."""
        return self.is_mounted and self.lines("bench").has_focus

    def draw(self, view: View) -> None:
        """Put the ladder on the screen."""
        narrow = self.app.size.width < WIDE
        self.show_only(options_why=not (narrow and self.on_bench), bench=not narrow or self.on_bench)
        verdict, rows, why, bench = (self.lines(n) for n in ("verdict", "ladder", "options-why", "bench"))
        verdict.show(self.verdict(view, verdict.room))
        shown = (view.answer, view.on_bench, view.reading, view.bench, view.marked, view.trouble, view.kit)
        if view.answer is not None and self.alike(shown, (rows.room, why.room, bench.room, self.on_bench)):
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
        found = ladder.rungs(view.answer, view.bench, view.on_bench, seen.hand)
        head, body = ladder.draw(view.answer, view.bench, found, seen, rows.room)
        named = view.answer.ranking.verdict.option or PRESENT
        rows.show(body, head, None if rows.cursor else named)
        why.show(self.beside(view, why.room))

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
        left = self.lines("options-why").size.height - len(rows) - 1
        if chosen is not None and left >= LEAST_PICTURE:
            rows += [line(""), *predicted(view, chosen, width, min(left, width // 2))]
        return rows

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
            why = self.lines("options-why")
            why.show(self.beside(self.view, why.room))
            self.post_message(Selected(message.key))

    def on_entered(self, message: Entered) -> None:
        """Take the option in hand."""
        message.stop()
        if message.sender is self.lines("ladder"):
            self.take_in_hand()
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

    def toggle_bench(self) -> None:
        """Go to the bench, or back."""
        if self.on_bench:
            self.lines("ladder").focus()
        else:
            self.show_only(bench=True)
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

        def named(item: str) -> str:
            kind, _, rest = item.partition(" ")
            return {"tier": f"tier {rest}: {TIERS.get(rest, '')}", "change": f"changes of {rest}",
                    "stock": rest, "rules": "options that break a rule"}[kind]  # fmt: skip

        def put(hidden: tuple[str, ...]) -> None:
            self.post_message(Change("filter", hidden=hidden))

        title = "The ladder shows [x]; Esc when done"
        self.app.push_screen(Ticks(title, [(i, named(i)) for i in items], self.view.bench.hidden, put))
