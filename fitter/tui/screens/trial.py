"""A fair trial at the bench: what to mount in large type, balls as they come, the belief as it narrows."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static
from textual.worker import get_current_worker

from fitter.base.assumptions import using
from fitter.base.errors import FitterError, InputError, Problem
from fitter.trial.course import Start
from fitter.trial.record import Record
from fitter.tui import bench as benches
from fitter.tui import trials
from fitter.tui.bench import Typed
from fitter.tui.dialogs import Page, Pick, page_room
from fitter.tui.faults import Guarded
from fitter.tui.foot import Key
from fitter.tui.lines import Line, Lines, paragraphs
from fitter.tui.reading import Reading
from fitter.tui.shot_form import ShotForm
from fitter.tui.trials import Course
from fitter.tui.view import View

if TYPE_CHECKING:
    from fitter.tui.recall import Recall

FEELINGS = ("better than mine", "as mine", "worse than mine", "not asked")
PAIN = (
    ("no", "no: on with the next club"),
    ("tired", "tired: rest first"),
    ("pain", "pain: the trial stops"),
)
HELP = (
    Key("", "t", "type a ball"),
    Key("", "u", "take the last ball back; one out of the log is set aside"),
    Key("", "F", "say how the last club felt"),
    Key("", "!", "pain, or tired"),
    Key("", "M", "hide or show which club a code is"),
    Key("", "B", "most balls"),
    Key("", "N", "plan anew; the balls so far are left out"),
    Key("", "x", "let ranking, page and memory count the balls"),
    Key("", "Esc", "back to the bench; the trial waits"),
)
KEYS = "t ball  u undo  F feel  ! pain  M mask  B most  N new  x count it  ?  Esc"
WAIT = "The trial is still being planned: a moment."
NO_MORE = "No more balls today: pain was told. Pain is a physician's."


class TrialScreen(Guarded, ModalScreen[None]):
    """The trial; Escape leads back to the bench, and the trial waits."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,i", "leave", "back"),
        Binding("t", "type_ball", "a ball"),
        Binding("F", "felt", "feel"),
        Binding("exclamation_mark", "pain", "pain"),
        Binding("M", "mask", "masks"),
        Binding("B", "more_balls", "most balls"),
        Binding("N", "again", "new plan"),
        Binding("x", "count", "take it into account"),
        Binding("u", "take_back", "take the last ball back"),
        Binding("question_mark", "help", "help"),
    ]

    def __init__(self, view: View) -> None:
        super().__init__()
        self.view = view
        self.course: Course | None = None
        self.newest: Record | None = None
        """With balls of which the belief does not know yet."""
        self.masked = False
        self.most = 2
        self.said = "The trial is planned from the shots so far ..."
        self.known: tuple[Reading | None, Start] | None = None
        """What was believed of all shots, where none is a trial's."""

    @property
    def desk(self) -> Recall:
        """The app."""
        return cast("Recall", self.app)

    def compose(self) -> ComposeResult:
        """The page, a sentence, the keys."""
        with Vertical(id="trial"):
            yield Lines("trial-lines")
            yield Static("", id="trial-said", markup=False)
            yield Static(KEYS, id="trial-keys", markup=False)

    def on_mount(self) -> None:
        """Begin behind the screen."""
        self.set_focus(self.query_one(Lines))
        self.draw()
        self.begin()

    def on_resize(self) -> None:
        """Draw for the size."""
        self.draw()

    def show_view(self, view: View) -> None:
        """Take what the log brought."""
        self.view = view
        if self.course is not None and view.reading is not None and not view.bench.trial_counts:
            there = sum(b.source.startswith(trials.SOURCE) for b in (self.newest or self.course.record).balls)
            if trials.logged(self.course.record, view.reading) > there:
                self.hear(view)

    def draw(self) -> None:
        """Put the trial on the screen."""
        if not self.is_mounted:
            return
        width = max(self.app.size.width - 8, 30)
        rows: list[Line] = paragraphs(self.said, width)
        if self.course is not None:
            rows = trials.page(self.course, self.view, self.masked, width, self.app.size.height)
        self.query_one(Lines).show(rows)
        self.query_one("#trial-said", Static).update(self.said if self.course is not None else "")

    def say(self, words: str) -> None:
        """Put a sentence over the keys."""
        self.said = words
        self.draw()

    # Behind the screen.

    @work(thread=True, exclusive=True, group="trial", exit_on_error=False)
    def begin(self) -> None:
        """Rank from the shots before the trial, and plan it where there is none."""
        worker, view = get_current_worker(), self.view
        course, said = None, ""
        try:
            if view.kit is None or view.reading is None:
                where = Problem("1 Set-up", "no kit or no shots", "both", "Name them first.")
                raise InputError("A trial cannot be planned yet.", [where])
            with using(self.desk.assumptions):
                known = self.known
                if view.bench.trial is None and known is not None and known[0] is view.reading:
                    begun = known[1]
                else:
                    begun = trials.begin(view.bench, view.kit, view.reading)
                if view.bench.trial is None:
                    self.known = (view.reading, begun)
                    most = trials.BALLS[self.most]
                    record, plan = trials.planned(begun, view.bench, view.reading, most)
                    course = trials.at(record, begun, view.bench, plan)
                else:
                    course = trials.at(view.bench.trial, begun, view.bench)
        except FitterError as error:
            said = str(error)
        except Exception as error:
            said = self.desk.told("Planning the trial", error)
        if not worker.is_cancelled:
            self.app.call_from_thread(self.got, course, said)

    @work(thread=True, exclusive=True, group="trial-log", exit_on_error=False)
    def hear(self, view: View) -> None:
        """Take balls out of the log, by the rule of every log."""
        worker, known = get_current_worker(), self.course
        assert known is not None
        assert view.reading is not None
        try:
            with using(self.desk.assumptions):
                record = trials.with_logged(self.newest or known.record, known.begun, view.reading)
        except FitterError as error:
            self.app.call_from_thread(self.say, str(error))
            return
        if not worker.is_cancelled:
            self.app.call_from_thread(self.take, record)

    @work(thread=True, exclusive=True, group="trial", exit_on_error=False)
    def update(self, record: Record) -> None:
        """Make the belief anew after balls."""
        worker, known, bench = get_current_worker(), self.course, self.view.bench
        assert known is not None
        try:
            with using(self.desk.assumptions):
                found, said = trials.at(record, known.begun, bench, known.plan), ""
        except Exception as error:
            found, said = None, self.desk.told("The trial", error)
        if not worker.is_cancelled:
            self.app.call_from_thread(self.got, found, said)

    def got(self, found: Course | None, said: str) -> None:
        """Show where the trial stands; at a swap ask for pain first, then how the club felt."""
        if found is None:
            self.say(said)
            return
        before, self.course = self.course, found
        self.said = ""
        mount = found.next.code if found.next.action == "hit" else ""
        option = next(
            (i for i, c in zip(found.record.clubs, found.record.codes, strict=True) if c == mount), ""
        )
        in_hand = "" if option in ("", found.record.clubs[0]) else option
        if found.record.balls and in_hand != self.desk.bench.in_hand:
            self.desk.change("", in_hand=in_hand)
        more = before is not None and len(found.record.balls) > len(before.record.balls)
        if more and found.record.balls[-1].aside:
            self.said = f"That ball is set aside: {found.record.balls[-1].aside}. u takes it back."
        if more and found.next.action == "hit" and found.next.mount:
            # Asked before the numbers of the club are shown.
            self.swap()
        else:
            self.draw()

    def take(self, record: Record) -> None:
        """Keep a trial, and make the belief anew."""
        self.newest = record
        self.desk.change("ball of the trial", trial=record)
        self.view = self.desk.view
        self.update(record)

    # Keys.

    def swap(self) -> None:
        """At every swap: pain, then how the last club felt, before its numbers."""

        def done(answer: str | None) -> None:
            if answer == "pain":
                self.hurt()
            elif answer == "tired":
                self.say("Rest until it feels fresh; tired swings spoil the comparison and the body.")
                self.action_felt()
            else:
                self.action_felt()

        self.app.push_screen(Pick("Swap. Any pain, or tired?", PAIN), done)

    def hurt(self) -> None:
        """The player told of pain: nothing more is hit."""
        bench = self.desk.bench
        self.desk.change("pain", **benches.answer_caution(bench, "pain", "yes"))
        if self.course is not None:
            self.take(self.course.record.hurt("told at the bench"))

    def action_pain(self) -> None:
        """Ask for pain, at any time."""
        if self.course is not None:
            self.swap()

    def action_felt(self) -> None:
        """How the last club felt."""
        if self.course is None or not self.course.record.balls or not self.course.record.balls[-1].club:
            # How the present club feels is what the others are held against.
            self.draw()
            return
        record = self.course.record
        code = record.codes[record.balls[-1].club]

        def done(words: str | None) -> None:
            if words and words != FEELINGS[-1] and self.course is not None:
                self.take(self.course.record.said(code, words))
            self.draw()

        self.app.push_screen(Pick(f"How did {code} feel?", [(w, w) for w in FEELINGS]), done)

    def action_type_ball(self) -> None:
        """Type the next ball."""
        if self.course is None or self.course.next.action in ("spent", "pain"):
            hurt = self.course is not None and self.course.next.action == "pain"
            self.say(WAIT if self.course is None else NO_MORE if hurt else "The planned balls are hit.")
            return
        code = self.course.next.code or self.course.record.codes[0]
        last = self.view.bench.typed[-1] if self.view.bench.typed else self.typed
        self.app.push_screen(ShotForm(f"A ball with {code}", self.view.bench.units, self.took, last=last))

    typed: Typed | None = None
    """The ball that was typed last: bare numbers stand in its order."""

    def took(self, shot: Typed) -> None:
        """Take a ball that was typed.

        Raises
        ------
        FitterError
            If it tells nothing of a club.
        """
        assert self.course is not None
        record = trials.with_typed(self.course.record, self.course.begun, shot)
        if len(record.balls) == len(self.course.record.balls) or not record.balls[-1].values:
            problem = Problem(
                "the ball", "nothing that tells of a club", "carry, spin, launch or a speed", "Type one."
            )
            raise InputError("This ball tells nothing.", [problem])
        self.typed = shot
        self.take(record)

    def action_take_back(self) -> None:
        """Take the last ball back."""
        if self.course is None or not self.course.record.balls:
            self.say("There is no ball to take back.")
            return
        self.take(trials.without_last(self.newest or self.course.record))

    def action_help(self) -> None:
        """Every key of the trial."""
        rows: list[Line] = []
        for key in HELP:
            rows += paragraphs(f"{key.shown:5}{key.does}", page_room(self.app.size.width), indent="     ")
        self.app.push_screen(Page("Keys of the trial", rows))

    def action_mask(self) -> None:
        """Hide or show which club a code is."""
        self.masked = not self.masked
        self.draw()

    def action_more_balls(self) -> None:
        """Step through the most balls; a trial that has begun keeps its plan."""
        if self.course is not None and self.course.record.balls:
            self.say("The trial has begun: N plans it anew, and its balls are left out.")
            return
        self.most = (self.most + 1) % len(trials.BALLS)
        self.course = None
        self.say(f"At most {trials.BALLS[self.most]} balls: planned anew ...")
        self.begin()

    def action_again(self) -> None:
        """Plan anew from everything that was hit so far."""
        self.desk.change("new trial", trial=None, trial_counts=False)
        self.view, self.course, self.newest = self.desk.view, None, None
        self.say("Planned anew ...")
        self.begin()

    def action_count(self) -> None:
        """Let the ranking, the page and the memory take the balls into account."""
        if self.course is None or self.course.outcome is None:
            self.say(WAIT if self.course is None else "There is no ball yet that could count.")
            return
        self.desk.change("the trial counts", trial=self.course.record, trial_counts=True)
        self.desk.say(
            "The trial counts: the ranking and the sheet are made with its balls; u takes that back."
        )
        self.action_leave()

    def action_leave(self) -> None:
        """Back to the bench; the trial waits there."""
        if self.app.screen is self:
            self.dismiss(None)
