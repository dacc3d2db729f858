"""A trial at the bench: begun from the shots before it, its balls typed or logged, its words and bars."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fitter.advice.balls import OBSERVED
from fitter.advice.scored import Scored
from fitter.base.units import counted
from fitter.display import trial as words
from fitter.display.text import fit
from fitter.kit.inventory import Kit
from fitter.trial import course
from fitter.trial.course import Next, Outcome, Start
from fitter.trial.plan import Budget, Plan
from fitter.trial.record import VERSION, Ball, Record
from fitter.tui import large
from fitter.tui.answer import question_of
from fitter.tui.bench import Bench, Typed
from fitter.tui.lines import Line, heading, line, paragraphs
from fitter.tui.reading import Reading
from fitter.tui.view import View

BALLS = (12, 18, 24, 30, 36, 48, 60)
"""Most balls of a trial, as the key steps through them; the day's cap goes before."""
BAR = 34
"""Columns of the picture of two intervals, at most."""


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
    last = first_shot(bench.trial)
    before = reading.session.shot <= last
    some = reading if before.all() else replace(
        reading, session=reading.session.take(before), builds=tuple(np.array(reading.builds)[before].tolist())
    )  # fmt: skip
    clubs = () if bench.trial is None else tuple(bench.trial.clubs)
    return course.start(question_of(replace(bench, trial=None), kit, some, bench.pins), clubs)


def first_shot(record: Record | None) -> float:
    """Number of the last shot before a trial; endless before there is one."""
    return float("inf") if record is None else float(record.asked.get("after_shot", float("inf")))


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
    record = Record(
        version=VERSION, asked={"after_shot": int(shots.max()) if len(shots) else 0, "log": bench.log},
        log_digest="", clubs=[o.id for o in found.clubs], codes=list(found.codes), runs=list(found.runs),
        a_run=found.a_run, seed=found.seed,
        promised={"minutes": found.minutes, "worth": found.worth, "decides": found.decides,
                  "expected_balls": found.expected_balls},
    )  # fmt: skip
    return record, found


def at(record: Record, begun: Start, plan: Plan | None = None) -> Course:
    """Where a trial stands; with balls the belief is made anew."""
    some = any(not b.aside for b in record.balls)
    outcome = course.outcome(record, begun) if some else None
    return Course(record, begun, plan, course.next_ball(record, begun), outcome)


def with_typed(record: Record, begun: Start, shot: Typed) -> Record:
    """Add a ball that was typed; channels that tell nothing of a club are left out.

    Raises
    ------
    FitterError
        If none is left.
    """
    told = {name: value for name, value in shot.values if name in OBSERVED}
    return record.with_balls(course.typed_balls(record, begun, [told]))[0]


def with_logged(record: Record, reading: Reading) -> Record:
    """Add the shots of the log that came after the trial began, each once."""
    session, after = reading.session, first_shot(record)
    there = {b.source for b in record.balls}
    new: list[Ball] = []
    for k in np.flatnonzero(session.shot > after):
        source = f"shot {int(session.shot[k])}"
        if source in there:
            continue
        values = {n: float(session.used(n)[k]) for n in OBSERVED if np.isfinite(session.used(n)[k])}
        if values:
            club = record.club_of(len(record.balls) + len(new))
            new.append(Ball(club, values, source, "misread" if session.set_aside[k] else ""))
    return record.with_balls(new)[0] if new else record


def page(found: Course, view: View, masked: bool, width: int, height: int) -> list[Line]:
    """The trial on the screen: what to mount in large type, intervals before and after, order card."""
    r, now = found.record, found.next
    rows = _large(found, width, 2 if height >= 34 else 1)
    rows += [line(""), *paragraphs(words.next_ball(now).split(" See ")[0], width, "strong"), line("")]
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
    shown = [values.shown(g) for pair in pairs for s in pair for g in (s.value_gain.low, s.value_gain.high)]
    low, high = min([0.0, *shown]), max([0.0, *shown])
    room = max(min(BAR, width - 44), 12)
    rows = [heading(f"{'code':5}{'club':22}{'balls':>5}   gain, {values.short_unit}, 80 %; | present club")]
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
            bar = _bar(s, low, high, room, values.shown)
            rows.append(line(f"{r.codes[k]:5}{fit(what, 21)} {count:>5} {gain}  ", (bar, style)))
    if found.outcome is not None and found.outcome.aside:
        rows.append(line((f"{counted(found.outcome.aside, 'ball')} set aside as misread", "warn")))
    return rows


def _pairs(found: Course) -> list[tuple[Scored, Scored]]:
    """Every club of the trial but the present one, now and on paper."""
    if found.outcome is not None:
        return list(found.outcome.clubs)
    known = {s.option.id: s for s in course.on_paper(found.begun)}
    return [(known[i], known[i]) for i in found.record.clubs[1:]]


def _bar(s: Scored, low: float, high: float, room: int, shown: Callable[[float], float]) -> str:
    """An interval on the scale, the present club at '|'."""
    span = max(high - low, 1e-9)

    def place(gain: float) -> int:
        return round((shown(gain) - low) / span * (room - 1))

    g = s.value_gain
    a, m, b = sorted((place(g.low), place(g.mean), place(g.high)))
    cells = [" "] * room
    cells[round((0.0 - low) / span * (room - 1))] = "|"
    for k in range(a, b + 1):
        cells[k] = "─"
    cells[a], cells[b], cells[m] = "├", "┤", "●"
    return "".join(cells)


__all__ = ["BALLS", "Course", "at", "begin", "page", "planned", "with_logged", "with_typed"]
