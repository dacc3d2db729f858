"""A form for one shot: a line for bare numbers, and a labelled cell for each figure."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from fitter.base.errors import FitterError, Problem, raise_if
from fitter.base.units import Units
from fitter.shots.vocabulary import CHANNELS
from fitter.tui.bench import Typed
from fitter.tui.faults import Guarded
from fitter.tui.typed import CELLS, read_cell, read_shot, words_of

GROUPS = {"swing": "Swing", "strike": "Strike", "start": "Start", "finish": "Finish"}


def unit_of(channel: str, units: Units) -> str:
    """Unit of a cell, with its sides where it has them."""
    about = CHANNELS[channel]
    unit = units.unit(about.unit or "")
    sides = {"strike_toe_mm": ", toe/heel", "strike_high_mm": ", high/low"}.get(channel, "")
    return f"{unit}{', L/R' if about.mirrored else sides}"


class ShotForm(Guarded, ModalScreen[None]):
    """Take one shot; Enter gives it, Escape leaves it.

    Parameters
    ----------
    title : str
    units : str
    take : callable
        Takes the shot; raises FitterError with what is wrong with it.
    shown : Typed or None
        The shot that is edited.
    last : Typed or None
        The shot before: bare numbers are read in its order.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "back"),
        Binding("down", "step(1)", show=False, priority=True),
        Binding("up", "step(-1)", show=False, priority=True),
    ]

    def __init__(
        self,
        title: str,
        units: str,
        take: Callable[[Typed], None],
        shown: Typed | None = None,
        last: Typed | None = None,
    ) -> None:
        super().__init__()
        self.words, self.units, self.take, self.edited, self.last = title, units, take, shown, last

    def compose(self) -> ComposeResult:
        """Line, cells in four groups, what is wrong, keys."""
        units = Units(self.units)
        known = dict(words_of(self.edited, units)) if self.edited is not None else {}
        before = dict(words_of(self.last, units)) if self.last is not None else {}
        with Vertical(id="shot-form"):
            yield Static(self.words, id="pick-title", markup=False)
            order = " ".join(before) if before else ""
            hint = f"all at once: {order}" if order else "all at once: club 131 ball 186 launch 14 ..."
            yield Input(placeholder=hint, id="shot-line")
            with Horizontal(id="shot-cells"):
                for group, name in GROUPS.items():
                    with Vertical(classes="shot-group"):
                        yield Static(name, classes="shot-head", markup=False)
                        for word, channel in CELLS.items():
                            if CHANNELS[channel].group != group:
                                continue
                            label = f"{word}, {unit_of(channel, units)}"
                            yield Static(label, classes="shot-label", markup=False)
                            yield Input(
                                known.get(word, ""), placeholder=before.get(word, ""), id=f"cell-{word}"
                            )
            yield Static("", id="shot-wrong", markup=False)
            yield Static("Enter: take the shot   Tab ↑↓: next cell   Esc: back", id="pick-keys", markup=False)

    def on_mount(self) -> None:
        """The line has the keys; of a shot that is edited, its first figure."""
        fields = list(self.query(Input))
        for field in fields:
            field.cursor_blink = False
        filled = [f for f in fields if f.value]
        self.set_focus(filled[0] if filled else fields[0])
        if filled:
            filled[0].action_select_all()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """What is typed replaces what stands there."""
        if isinstance(event.widget, Input):
            event.widget.action_select_all()

    def action_step(self, by: int) -> None:
        """Next cell, or the one before."""
        if by > 0:
            self.focus_next(Input)
        else:
            self.focus_previous(Input)

    def cells(self) -> Iterator[tuple[str, str]]:
        """Words of the cells and what stands in them."""
        for word in CELLS:
            text = self.query_one(f"#cell-{word}", Input).value.strip()
            if text:
                yield word, text

    def read(self) -> Typed:
        """The shot as it was typed; the line goes before the cells.

        Raises
        ------
        InputError
            With everything that cannot be read.
        """
        build = self.edited.build if self.edited is not None else ""
        problems: list[Problem] = []
        values: dict[str, float] = {}
        for word, text in self.cells():
            try:
                values[CELLS[word]] = read_cell(word, text, self.units)
            except FitterError as error:
                problems += getattr(error, "problems", [])
        text = self.query_one("#shot-line", Input).value.strip()
        raise_if(problems, "This shot cannot be read.")
        if text or not values:
            values |= dict(read_shot(text, self.units, build, self.last).values)
        order = list(CELLS.values())
        return Typed(tuple(sorted(values.items(), key=lambda v: order.index(v[0]))), build)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Give the shot; what is wrong with it is said under the cells."""
        event.stop()
        try:
            self.take(self.read())
        except FitterError as error:
            wrong = self.query_one("#shot-wrong", Static)
            wrong.update(str(error))
            return
        self.action_leave()

    def action_leave(self) -> None:
        """Back."""
        if self.app.screen is self:
            self.dismiss(None)
