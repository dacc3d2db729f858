"""A trial at the bench: begun from the shots before it, its balls typed or logged, its words and bars."""

from __future__ import annotations

from dataclasses import dataclass, replace

import msgspec
import numpy as np

from fitter.advice.balls import OBSERVED
from fitter.advice.scored import Scored
from fitter.display import trial as words
from fitter.display.ladder import bar, scale_of
from fitter.display.text import fit
from fitter.kit.inventory import Kit
from fitter.trial import course
from fitter.trial.course import Next, Outcome, Start
from fitter.trial.plan import Budget, Plan
from fitter.trial.record import Record, of_plan
from fitter.tui import large
from fitter.tui.answer import before_trial, question_of
from fitter.tui.bench import Bench, Typed
from fitter.tui.lines import Line, heading, line, merged, paragraphs
from fitter.tui.reading import Reading
from fitter.tui.view import View

BALLS = (12, 18, 24, 30, 36, 48, 60)
"""Most balls of a trial, as the key steps through them; the day's cap goes before."""
BAR = 34
"""Columns of the picture of two intervals, at most."""
SOURCE = "log"
"""What balls out of the log are called in a record."""


@dataclass(frozen=True, eq=False)
class Course:
    """A trial that goes on.

    Parameters
    ----------
    record : Record
    begun : Start
    plan : Plan or None
        As it was made just now; None where the trial was taken up again.
    next : Next
    outcome : Outcome or None
        None before the first ball that counts.
    """

    record: Record
    begun: Start
    plan: Plan | None
    next: Next
    outcome: Outcome | None


def begin(bench: Bench, kit: Kit, reading: Reading) -> Start:
    """Get ready for balls: the ranking from the shots that were there before the trial.

    Raises
    ------
    FitterError
        If these shots cannot carry it.
    """
    some = before_trial(bench.trial, reading)
    clubs = () if bench.trial is None else tuple(bench.trial.clubs)
    return course.start(question_of(replace(bench, trial=None), kit, some, bench.pins), clubs)


def planned(begun: Start, bench: Bench, reading: Reading, most: int) -> tuple[Record, Plan]:
    """Plan a trial with the pinned clubs, or those that deserve balls.

    Raises
    ------
    FitterError
        If no club can be tried today.
    """
    pins = [p for p in bench.pins if p in begun.belief.ids]
    found = course.planned(begun, Budget.of(most, None, "ordinary"), pins)
    shots = reading.session.shot
    asked = {"after_shot": int(shots.max()) if len(shots) else 0, "log": bench.log}
    return of_plan(found, asked, None), found


def at(record: Record, begun: Start, bench: Bench, plan: Plan | None = None) -> Course:
    """Where a trial stands; with balls the belief is made anew. Pain told anywhere at the bench stops it."""
    some = any(not b.aside for b in record.balls)
    outcome = course.outcome(record, begun) if some else None
    hurt = bench.caution("pain") == "yes" and not record.pain
    following = course.next_ball(record.hurt("told at Set-up") if hurt else record, begun)
    return Course(record, begun, plan, following, outcome)


def without_last(record: Record) -> Record:
    """Take the last ball back; one out of the log, which would come again, is set aside."""
    *before, last = record.balls
    kept = [msgspec.structs.replace(last, aside="by hand")] if last.source.startswith(SOURCE) else []
    return msgspec.structs.replace(record, balls=[*before, *kept])


def with_typed(record: Record, begun: Start, shot: Typed) -> Record:
    """Add a ball that was typed; channels that tell nothing of a club are left out.

    Raises
    ------
    FitterError
        If none is left.
    """
    told = {name: value for name, value in shot.values if name in OBSERVED}
    return record.with_balls(course.typed_balls(record, begun, [told]))[0]


def logged(record: Record, reading: Reading) -> int:
    """How many shots of the log came after the trial began."""
    return int((reading.session.shot > record.asked.get("after_shot", np.inf)).sum())


def with_logged(record: Record, begun: Start, reading: Reading) -> Record:
    """Add the shots of the log that came after the trial began, each once."""
    after = reading.session.shot > record.asked.get("after_shot", np.inf)
    new = course.read_balls(record, begun, reading.session.take(after), SOURCE)
    return record.with_balls(new)[0]


def page(found: Course, view: View, masked: bool, width: int, height: int) -> list[Line]:
    """The trial on the screen: what to mount in large type, intervals before and after, order card."""
    r, now = found.record, found.next
    rows = _large(found, width, 2 if height >= 34 else 1)
    rows += [line(""), *paragraphs(words.next_ball(now, "").split(" See ")[0], width, "strong"), line("")]
    rows += _clubs(found, view, masked, width)
    if found.outcome is not None:
        values = words.values_of(found.begun, view.units)
        for said in words.warnings(found.outcome, values):
            rows += paragraphs(said, width, "warn")
    order = [f"[{r.codes[k]}]" if n == len(r.balls) // r.a_run and now.action == "hit" else r.codes[k]
             for n, k in enumerate(r.runs)]  # fmt: skip
    rows += [line(""), *paragraphs(f"Order, {r.a_run} balls each: {' '.join(order)}", width)]
    if r.feel:
        felt = "; ".join(f"{code}: {said}" for code, said in sorted(r.feel.items()))
        rows += paragraphs(f"Felt before numbers: {felt}.", width, "dim")
    if found.plan is not None and not r.balls:
        rows += paragraphs(words.promise(found.plan, found.begun, view.units), width)
        rows += paragraphs(words.CAUTIONS, width, "warn")
    return rows


def _large(found: Course, width: int, most: int) -> list[Line]:
    now = found.next
    if now.action == "hit":
        text = f"{'MOUNT ' if now.mount else ''}{now.code}   {now.ball}/{now.of}"
    else:
        text = {"enough": "ENOUGH", "spent": "DONE", "pain": "STOP"}[now.action]
    scale = large.fitting(text, width, most)
    rows = large.draw(text, scale) if scale else [text]
    style = "warn" if now.action == "pain" else "pick"
    return [line((row, style)) for row in rows]


def _clubs(found: Course, view: View, masked: bool, width: int) -> list[Line]:
    """Each club with its balls, its gain on paper and now, and both intervals on one scale."""
    r, values = found.record, words.values_of(found.begun, view.units)
    pairs = _pairs(found)
    scale = scale_of([s for pair in pairs for s in pair], values, max(min(BAR, width - 44), 12))
    rows = [heading(f"{'code':5}{'club':22}{'balls':>5}   gain, {values.short_unit}, 80 %; │ present club")]
    hit = found.outcome.hit if found.outcome is not None else {}
    own = hit.get(r.clubs[0], 0)
    rows.append(line(f"{r.codes[0]:5}{fit('present club', 21)} {own:5}"))
    for k, (now, paper) in enumerate(pairs, start=1):
        name = "-" if masked else values.name(now.option.id)
        balls = hit.get(now.option.id, 0)
        told = [(paper, name, "paper", "dim")]
        told += [(now, "with its balls", str(balls), "bar")] if balls else []
        for s, what, count, style in told:
            gain = f"{values.number(s.value_gain.mean, sign=True):>6}"
            picture = merged([(c, style if kind == "interval" else kind) for c, kind in bar(s, scale)])
            rows.append(line(f"{r.codes[k]:5}{fit(what, 21)} {count:>5} {gain}  ", *picture))
    aside = [f"{n} ({b.aside})" for n, b in enumerate(r.balls, 1) if b.aside]
    if aside:
        rows.append(line((f"set aside: ball {', '.join(aside)}", "warn")))
    return rows


def _pairs(found: Course) -> list[tuple[Scored, Scored]]:
    """Every club of the trial but the present one, now and on paper."""
    if found.outcome is not None:
        return list(found.outcome.clubs)
    known = {s.option.id: s for s in course.on_paper(found.begun)}
    return [(known[i], known[i]) for i in found.record.clubs[1:]]
