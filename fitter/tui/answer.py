"""The ranking as the bench asks for it: a rough order first; what lies on the bench beside it."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitter.advice.balls import NONE, Balls
from fitter.advice.objectives import Goal, goal_for
from fitter.advice.options import AVAILABLE, Option, enumerate_options, present_club
from fitter.advice.question import DRAWS, Question
from fitter.advice.question import ask as question
from fitter.advice.race import RoughOrder
from fitter.advice.rank import predict_option, rank
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored
from fitter.base.errors import FitterError
from fitter.base.units import INCH, YARD
from fitter.kit.catalogue import tier_of, with_length
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer, offer
from fitter.kit.parts import STOCK
from fitter.kit.rules import breaches
from fitter.remember.outcomes import earlier
from fitter.trial.course import balls_with
from fitter.trial.record import Record
from fitter.tui.bench import Bench
from fitter.tui.reading import Reading

ON_BENCH = "on the bench"
"""Key of the row that follows the bench steps."""
PRESENT = "present club"
"""Key of the row of the present club."""


class Cancelled(Exception):
    """A newer question is asked: nobody waits for this answer."""


@dataclass(frozen=True, eq=False)
class Rough:
    """What is known before the answer: options in the order of a first look, best first, and no figures."""

    options: tuple[Option, ...]
    present: Club


@dataclass(frozen=True, eq=False)
class Answer:
    """A ranking and how it came about.

    Parameters
    ----------
    ranking : Ranking
    present : Club
    seconds : float
        From the question to this answer.
    """

    ranking: Ranking
    present: Club
    seconds: float

    def find(self, option: str) -> Scored | None:
        """Option of an id, or None."""
        for s in (self.ranking.present, *self.ranking.options, *self.ranking.breaches):
            if s.option.id == option:
                return s
        return None


def goal_of(bench: Bench) -> Goal:
    """Goal of a bench, sides as the player sees them.

    Raises
    ------
    InputError
        If something it needs was not said.
    """
    across, along = bench.grid_yd
    return goal_for(
        bench.objective,
        distance_m=bench.clear_yd * YARD,
        width_m=bench.width_yd * YARD,
        holes_m=(bench.hole_yd * YARD,) if bench.hole_yd else (),
        grid_width_m=across * YARD,
        grid_depth_m=along * YARD,
        balls=bench.balls,
        skill=bench.skill,
        left_penalty=bench.trouble[0],
        right_penalty=bench.trouble[1],
        least_fairways=bench.least_fairways or None,
        least_total_m=math.inf if bench.not_shorter else None,
    )


def offered(bench: Bench, kit: Kit) -> Offer:
    """What a bench offers, as `rank` takes it; a shaft that another kit had is forgotten.

    Raises
    ------
    InputError
        If a limit makes no sense.
    """
    codes = {s.shaft for s in kit.shafts}
    return offer(
        stock=bench.stock,
        tiers=bench.tiers,
        budget=bench.budget,
        without_shafts=tuple(s for s in bench.without_shafts if s in codes),
        allow_breaches=bench.allow_breaches,
        any_shaft=bench.any_shaft,
    )


def restored_of(bench: Bench, reading: Reading) -> bool:
    """Whether a person restored a shot of the present club: then nothing more is taken out."""
    return bool(set(bench.restored) & {int(s) for s in reading.present.shot})


def question_of(bench: Bench, kit: Kit, reading: Reading, builds: Collection[str] = ()) -> Question:
    """Question of a bench.

    Parameters
    ----------
    bench, kit, reading
    builds : collection of str
        What a person takes an interest in, computed in full: in hand, pinned, chosen; see `match`.

    Raises
    ------
    InputError
        If something it needs was not said.
    """
    club, limits = present_club(kit, bench.present), offered(bench, kit)
    if bench.trial_counts:
        # Its balls stand in a stretch of their own, those of the present club too.
        reading = before_trial(bench.trial, reading)
    spoken = [b for b in builds if b]
    near = Kit(
        tuple(h for h in kit.heads if any(h.head in b for b in spoken)),
        tuple(s for s in kit.shafts if any(s.shaft in b for b in spoken)),
    )
    options = enumerate_options(near, club, offered(bench, near))[1:] if spoken else ()
    named = (match(build, options, kit) for build in builds)
    by_hand = restored_of(bench, reading)
    asked = question(
        # What a person restored stays in: the rest of the misreads is taken out beforehand.
        reading.present.kept() if by_hand else reading.present,
        kit,
        club,
        goal_of(bench),
        conditions=bench.conditions,
        measured_in=bench.measured,
        offer=limits,
        sets_face=bench.sets_face,
        with_aside=by_hand,
        named=dict.fromkeys(o.id for o in named if o is not None),
        draws=DRAWS,
    )
    balls = remembered(bench, kit, club).joined(trial_balls(bench, kit, club))
    # Balls in hand are held against what was predicted before them; a trial counts when it is through.
    return replace(asked, evidence=balls) if len(balls) else replace(asked, on_paper=True)


def before_trial(record: Record | None, reading: Reading) -> Reading:
    """Shots that were there before a trial began."""
    if record is None:
        return reading
    before = reading.session.shot <= record.asked.get("after_shot", math.inf)
    if before.all():
        return reading
    builds = tuple(np.array(reading.builds)[before].tolist())
    return replace(reading, session=reading.session.take(before), builds=builds)


def remembered(bench: Bench, kit: Kit, present: Club) -> Balls:
    """Balls of earlier days; none of the demo, nor where the history cannot be read."""
    if not bench.player or bench.scene:
        return NONE
    try:
        return earlier(bench.player, kit, present)
    except FitterError:
        return NONE


def trial_balls(bench: Bench, kit: Kit, present: Club) -> Balls:
    """Balls of a trial that is taken into account; none where none is."""
    if bench.trial is None or not bench.trial_counts:
        return NONE
    return balls_with(
        bench.trial, {o.id: o.club for o in enumerate_options(kit, present, offered(bench, kit))}
    )


def ask(
    bench: Bench,
    kit: Kit,
    reading: Reading,
    report: Callable[[int, int], None],
    first: Callable[[Rough], None],
    builds: Collection[str] = (),
) -> Answer:
    """Rank.

    Parameters
    ----------
    bench, kit, reading
    report : callable
        Takes options done and all options; raises `Cancelled` when a newer question waits.
    first : callable
        Takes the rough order, where there is one.
    builds : collection of str
        See `question_of`.

    Raises
    ------
    Cancelled
        If a newer question waits.
    FitterError
        If the shots cannot carry an answer.
    """
    began = time.perf_counter()
    asked = question_of(bench, kit, reading, builds)

    def rough(order: RoughOrder) -> None:
        report(0, 1)
        first(Rough(order.options, asked.present))

    report(0, 1)
    ranking = rank(asked, progress=report, first=rough)
    report(0, 1)
    if asked.with_aside:
        shots = reading.present
        notes = tuple(n for n in ranking.notes if n.code != "all shots")
        counts = {**ranking.counts, "shots": len(shots), "set_aside": int(shots.set_aside.sum())}
        ranking = replace(ranking, notes=notes, counts=counts)
    return Answer(ranking, asked.present, time.perf_counter() - began)


def bench_option(bench: Bench, kit: Kit, present: Club) -> Option | None:
    """What lies on the bench as an option, None while nothing is changed."""
    s = bench.steps
    head = next((h for h in kit.heads if h.head == s.head), present.head)
    shaft = next((x for x in kit.shafts if x.shaft == s.shaft), present.shaft)
    same_head = head is present.head
    sleeve = s.sleeve if s.sleeve is not None else (present.loft_change_deg if same_head else 0.0)
    lie = next((y for x, y in head.positions if x == sleeve), 0.0)
    club = Club(
        head,
        shaft,
        present.length_in,
        sleeve,
        lie,
        place=present.place if same_head else "",
        swap_g=(present.swap_g if same_head else 0.0) + s.head_g,
        grip_mass_g=present.grip_mass_g if shaft is present.shaft else None,
        tip_cut_mm=present.tip_cut_mm if shaft is present.shaft else 0.0,
        tip_weight_g=present.tip_weight_g if shaft is present.shaft else 0.0,
        known=present.known or (not same_head and shaft is not present.shaft),
    )
    if s.length_in:
        club = with_length(club, club.length_in.value + s.length_in)
    if club.code == present.code and not s.ball_mm and not s.tee_mm:
        return None
    bought = [p for p, own in ((head, present.head), (shaft, present.shaft)) if p is not own]
    stock = AVAILABLE[max((p.stock for p in bought), key=STOCK.index)] if bought else "in hand"
    prices = [p.price for p in bought]
    return Option(
        ON_BENCH,
        tier_of(club, present),
        club,
        s.ball_mm,
        s.tee_mm,
        stock,
        breaches(head, club.length_in.value * INCH),
        None if None in prices else sum(p for p in prices if p is not None),
    )


def ask_bench(bench: Bench, kit: Kit, reading: Reading) -> Scored | None:
    """Predict what lies on the bench, with the same draws as the ranking; None while nothing is changed.

    Raises
    ------
    FitterError
        If the shots cannot carry an answer.
    """
    option = bench_option(bench, kit, present_club(kit, bench.present))
    return None if option is None else predict_option(question_of(bench, kit, reading), option)


def option_of(answer: Answer, build: str, kit: Kit | None) -> Scored | None:
    """Option that a build's words name: an id, or HEAD/SHAFT as in a log."""
    if not build:
        return answer.ranking.present
    found = match(build, [s.option for s in (answer.ranking.present, *answer.ranking.options)], kit)
    return None if found is None else answer.find(found.id)


def match(build: str, options: Sequence[Option], kit: Kit | None) -> Option | None:
    """Option that a build's words name: its id, or HEAD/SHAFT as in a log; None if there is none."""
    for o in options:
        if o.id == build:
            return o
    if not build or kit is None:
        return None
    try:
        club = present_club(kit, build)
    except (FitterError, OSError, ValueError):  # a log may name anything
        return None
    for o in options:
        c = o.club
        if (c.head.code, c.shaft.code, c.loft_change_deg) == (
            club.head.code, club.shaft.code, club.loft_change_deg,
        ) and not o.ball_forward_mm and not o.tee_mm:  # fmt: skip
            return o
    return None
