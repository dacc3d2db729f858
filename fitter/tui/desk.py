"""The desk behind the screens: it owns the state and sets workers to their tasks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from textual import work
from textual.app import App
from textual.reactive import reactive
from textual.widgets import Static
from textual.worker import Worker, WorkerState, WorkType, get_current_worker

from fitter.advice.scored import Scored
from fitter.base.assumptions import current, using
from fitter.base.errors import FitterError
from fitter.kit.inventory import Kit
from fitter.physics import compiled, engine
from fitter.tui import bench as benches
from fitter.tui import faults, saved
from fitter.tui.answer import Answer, Cancelled, Rough, ask, ask_bench
from fitter.tui.bench import RANKED, READ, Bench, Typed, Work
from fitter.tui.faults import Base, Ended, Guarded
from fitter.tui.foot import AskLine
from fitter.tui.messages import Ask
from fitter.tui.reading import Reading, arriving, same, stamp, understand
from fitter.tui.view import View
from fitter.tui.watch import POLL_S, Known, Source, look

T = TypeVar("T")

WORK = {
    "compile": ("compile", "Compiling the flight engine"), "kit": ("kit", "Reading the kit"),
    "read": ("log", "Understanding the shots"), "rank": ("rank", "The ranking"),
    "bench": ("bench", "The prediction"),
}  # fmt: skip
"""Groups of workers: the place where their trouble is said, and what they do."""
STANDING = ("save", "state", "history")
"""Places whose trouble is that of no player."""
FAULTS = 20
"""Failed handlers after which the screens are not to be trusted any more."""


class Desk(Guarded, App[None]):
    """State and workers; the screens see its `view` and nothing else."""

    view: reactive[View] = reactive(View())

    def __init__(self, state: Work, file: Path | None = None) -> None:
        super().__init__()
        self.file = file
        self.assumptions = current()
        self.known: dict[Source, Known] = {}
        self.looking: Worker[None] | None = None
        """Who reads the file now; what the shots say is worked out after that."""
        self.stale = True
        self.faults: list[BaseException] = []
        self.opened = False
        self.awaited = 0
        """A shot that was typed and is not understood yet."""
        self.set_reactive(Desk.view, View(work=state))

    # Faults of the program.

    def told(self, what: str, error: BaseException) -> str:
        """Write a report of a fault; give the sentence for its place."""
        self.faults.append(error)
        return faults.sentence(what, error, self.view)

    def _handle_exception(self, error: Exception) -> None:
        """Say that a handler failed and go on; before the first screen, or after too many, end so."""
        if self._exit or (self.opened and not self._screen_stack):
            # Keys that come after the one that quits find no screen.
            return
        words = self.told("What was just asked", error)
        if self.opened and self.is_running and len(self.faults) < FAULTS:
            self.say(words, "warn")
            return
        self.save()
        ended = Ended(words)
        ended.__cause__ = error
        super()._handle_exception(ended)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say at its place that a worker failed."""
        if event.state is WorkerState.ERROR and event.worker.error and event.worker.group in WORK:
            place, what = WORK[event.worker.group]
            words = self.told(what, event.worker.error)
            if place == "rank":
                self.put(rough=None, answer=None, busy="")
            elif place == "bench":
                self.put(on_bench=None)
            elif place == "log":
                self.put(arriving=None)
            self.trouble(place, words)
            self.say(words, "warn")

    def begin(self) -> None:
        """Read kit and log, compile behind the first screen, look after the log from now on."""
        self.opened = True
        if not compiled.cached():
            self.say("The flight engine is compiled once, behind this screen; the next start is quick.")
        self.compile()
        self.load_kit()
        self.read()
        self.set_interval(POLL_S, self.poll)

    @property
    def bench(self) -> Bench:
        """The player whose turn it is."""
        return self.view.bench

    @property
    def base(self) -> Base:
        """The window under whatever lies over it."""
        found = self.screen_stack[0]
        assert isinstance(found, Base)
        return found

    def put(self, **fields: Any) -> None:
        """Replace the view whole."""
        self.view = replace(self.view, **fields)

    def trouble(self, place: str, words: str = "") -> None:
        """Put a sentence at the place where it arose, or take it away."""
        rest = tuple((p, w) for p, w in self.view.trouble if p != place)
        found = (*rest, (place, words)) if words else rest
        if found != self.view.trouble:
            self.put(trouble=found)

    def to(self, state: Work) -> None:
        """Take a new state: save it, and ask anew what hangs on what changed."""
        old, new = self.view.bench, state.bench
        other = state.at != self.view.work.at or old.player != new.player
        self.put(work=state)
        self.save()
        moved = {f for f in (*RANKED, *READ, "steps") if getattr(old, f) != getattr(new, f)}
        if other:
            for group in ("rank", "bench", "read"):
                self.workers.cancel_group(self, group)
            self.put(busy="", reading=None, arriving=None, rough=None, answer=None, on_bench=None,
                     selected="", marked="",
                     trouble=tuple(t for t in self.view.trouble if t[0] in STANDING))  # fmt: skip
        self.stale |= bool(moved & set(RANKED)) or other
        if other or "kit" in moved:
            self.load_kit()
        if other or moved & set(READ):
            self.read()
        elif moved & set(RANKED):
            self.rank()
        elif "steps" in moved:
            self.predict_bench()

    def change(self, label: str, **fields: Any) -> None:
        """Change the bench."""
        self.to(benches.change(self.view.work, label, **fields))

    def save(self) -> None:
        """Write the work; what fails is said, and tried again with the next change."""
        if self.file is None:
            return
        try:
            saved.save(self.view.work, self.file)
            self.trouble("save")
        except (FitterError, OSError, ValueError) as error:
            self.trouble("save", f"The work cannot be saved: {error}")

    def say(self, words: str, style: str = "") -> None:
        """Put a sentence over the keys."""
        said = self.base.query_one("#said", Static)
        said.update(words)
        said.set_classes(f"-{style}" if style else "")

    def ask(self, message: Ask) -> None:
        """Ask for a line of text at once, so that the next key is its first letter."""
        self.base.query_one(AskLine).ask(message)

    # Work in threads: they hold no widget, and hand over frozen values.

    def run_worker(self, work: WorkType[T], *args: Any, **kwargs: Any) -> Worker[T]:
        """Start work; a thread, which sees no judged numbers of another, takes those of the app."""

        def judged() -> Any:
            assert callable(work)
            with using(self.assumptions):
                return work()

        return super().run_worker(judged if kwargs.get("thread") else work, *args, **kwargs)

    @work(thread=True, group="compile", exit_on_error=False)
    def compile(self) -> None:
        """Compile the kernels; once they are on disk that is half a second."""
        engine.prepare()

    @work(thread=True, exclusive=True, group="kit", exit_on_error=False)
    def load_kit(self) -> None:
        """Read the kit."""
        folder = self.bench.kit
        try:
            kit = Kit.load(folder) if folder else None
        except FitterError as error:
            self.call_from_thread(self.got_kit, None, str(error))
            return
        self.call_from_thread(self.got_kit, kit, "")

    def got_kit(self, kit: Kit | None, problem: str) -> None:
        """Take the kit."""
        self.put(kit=kit)
        self.trouble("kit", problem)
        if self.view.reading is not None:
            self.rank()

    def poll(self) -> None:
        """Look whether the log grew; who reads it already is not disturbed."""
        if self.looking is not None and not self.looking.is_finished:
            return
        if self.bench.log and stamp(self.bench.log) != self.known.get(self.source, Known()).stamp:
            self.read()

    @property
    def source(self) -> Source:
        """What is read of a file for the player at the bench."""
        return self.bench.log, self.bench.player, self.bench.hand, self.bench.maps

    def read(self) -> None:
        """Read the log anew where it changed, and understand the shots."""
        self.looking = self._read(self.source, self.known.get(self.source, Known()))

    @work(thread=True, exclusive=True, group="read", exit_on_error=False)
    def _read(self, source: Source, known: Known) -> None:
        worker = get_current_worker()
        known, names = look(source, known, self.told)
        if not self.call_from_thread(self.got_log, worker, source, known, names):
            return
        bench, before = self.bench, self.view.reading
        if before is not None and (rows := arriving(bench, known.session, before)) is not None:
            self.call_from_thread(self.got_rows, worker, rows)
        try:
            reading = understand(bench, known.session)
        except FitterError as error:
            self.call_from_thread(self.got_trouble, worker, str(error))
            return
        self.call_from_thread(self.got_reading, worker, reading)

    def got_log(self, worker: Worker[None], source: Source, known: Known, names: tuple[str, ...]) -> bool:
        """Take the log: new shots take the build in hand; several players all come to the bench.

        Nothing is taken, and False given back, when another player or another log is asked for by now.
        """
        self.known[source] = known
        if self.looking is worker:
            self.looking = None
        if worker.is_cancelled or source[:2] != self.source[:2]:
            return False
        logged = known.session
        if self.bench.player and (others := benches.brought(self.view.work, names)) is not None:
            self.to(others)
            self.say(f"At the bench from the log: {', '.join(names)}.")
            return False
        self.trouble("log", known.problem)
        if names and not self.bench.player:
            turn = " r gives the turn to the next." if len(names) > 1 else ""
            apart = " The typed shots stay with the player without a code." if self.bench.typed else ""
            self.put(work=benches.seated(self.view.work, names))
            self.say(f"At the bench from the log: {', '.join(names)}.{turn}{apart}")
        if logged is not None:
            before = self.bench.seen
            fields = benches.arrived(self.bench, len(logged))
            if logged.hand != self.bench.hand:
                # A column of the file goes before what was said of the hand.
                fields["hand"] = logged.hand
            self.put(work=benches.change(self.view.work, "", **fields))
            if fields or names:
                self.save()
            if before and len(logged) > before:
                self.say(f"Shot {len(logged)} came in, with {self.view.hand_name}.")
        self.known[self.source] = known
        return True

    def got_rows(self, worker: Worker[None], rows: Reading) -> None:
        """Show new shots before it is worked out what they say."""
        if not worker.is_cancelled:
            self.put(arriving=rows)

    def got_trouble(self, worker: Worker[None], words: str) -> None:
        """Say why the shots say nothing."""
        if not worker.is_cancelled:
            self.put(arriving=None)
            self.trouble("log", words)

    def got_reading(self, worker: Worker[None], reading: Reading) -> None:
        """Take what the shots say; rank, unless the present club's shots are what they were."""
        if worker.is_cancelled:
            return
        before = self.view.reading
        self.put(reading=reading, arriving=None)
        if self.awaited:
            self.say(*self.view.became(self.awaited))
            self.awaited = 0
        if self.stale or self.view.busy or before is None or not same(before, reading):
            self.rank()

    def rank(self) -> None:
        """Ask for a ranking."""
        view, self.stale = self.view, False
        if view.kit is None or view.reading is None or not len(view.reading.session):
            self.put(rough=None, answer=None, busy="")
            return
        self.put(rough=None, busy="ranking")
        self._rank(view)

    @work(thread=True, exclusive=True, group="rank", exit_on_error=False)
    def _rank(self, view: View) -> None:
        worker = get_current_worker()
        assert view.kit is not None
        assert view.reading is not None

        def take(rough: Rough) -> None:
            self.call_from_thread(self.got_rough, worker, rough)

        def report(done: int, every: int) -> None:
            if worker.is_cancelled:
                raise Cancelled
            if done:
                self.call_from_thread(self.got_progress, worker, done, every)

        bench = view.bench
        wanted = [bench.in_hand, *bench.pins, *([bench.chosen.option] if bench.chosen is not None else [])]
        try:
            answer = ask(bench, view.kit, view.reading, report, take, wanted)
            self.call_from_thread(self.got_answer, worker, answer, "")
        except Cancelled:
            return
        except FitterError as error:
            self.call_from_thread(self.got_answer, worker, None, str(error))

    def got_progress(self, worker: Worker[None], done: int, every: int) -> None:
        """Say how far the ranking is."""
        if not worker.is_cancelled:
            self.put(busy=f"{done} of {every} in full")

    def got_rough(self, worker: Worker[None], rough: Rough) -> None:
        """Take a rough order: it is shown until an answer is there."""
        if not worker.is_cancelled:
            self.put(rough=rough)

    def got_answer(self, worker: Worker[None], answer: Answer | None, problem: str) -> None:
        """Take a ranking, or why there is none."""
        if worker.is_cancelled:
            return
        self.put(rough=None, answer=answer, busy="")
        self.trouble("rank", problem)
        if answer is not None:
            self.predict_bench()

    @work(thread=True, exclusive=True, group="bench", exit_on_error=False)
    def predict_bench(self) -> None:
        """Predict what lies on the bench."""
        worker, view = get_current_worker(), self.view
        if view.kit is None or view.reading is None or view.answer is None:
            return
        try:
            found, problem = ask_bench(view.bench, view.kit, view.reading), ""
        except FitterError as error:
            found, problem = None, str(error)
        self.call_from_thread(self.got_bench, worker, found, problem)

    def got_bench(self, worker: Worker[None], found: Scored | None, problem: str) -> None:
        """Take the prediction of the bench."""
        if worker.is_cancelled:
            return
        self.put(on_bench=found)
        self.trouble("bench", problem)

    # What a person does.

    def take_shot(self, shot: Typed) -> None:
        """Take a typed shot; it is hit with the build in hand."""
        shots = 0 if self.view.reading is None else int(max([0, *self.view.reading.session.shot]))
        self.awaited = shots + 1
        self.change("the typed shot", typed=(*self.bench.typed, replace(shot, build=self.bench.in_hand)))

    def put_shot(self, at: int, shot: Typed) -> None:
        """Put a typed shot in the place of the one that was typed before."""
        typed = self.bench.typed
        last = 0 if self.view.reading is None else int(max([0, *self.view.reading.session.shot]))
        self.awaited = last - len(typed) + at + 1
        self.change("the typed shot", typed=(*typed[:at], shot, *typed[at + 1 :]))

    def add_player(self, code: str) -> bool:
        """Put another player at the bench."""
        self.to(benches.joined(self.view.work, code))
        self.say(f"{code} is at the bench: name the present club and the log.")
        return True

    def afresh(self) -> None:
        """Forget the decisions of this player."""
        self.to(benches.afresh(self.view.work))
        self.say("Decisions are forgotten; u brings them back.")
