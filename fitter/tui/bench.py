"""Everything that fitter and player have decided, as one frozen value; pure functions make the next one."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError, Problem
from fitter.kit.offer import TIERS
from fitter.kit.parts import STOCK
from fitter.shots.vocabulary import OPEN_POINT
from fitter.trial.record import Record

CAUTIONS = {
    "pain": "any pain today?",
    "warm-up": "warmed up first?",
    "net": "net and mat looked over?",
    "club": "clubs looked over?",
}
"""What is asked before a ball is hit: key and words."""
WANTED = {"pain": "no", "warm-up": "yes", "net": "yes", "club": "yes"}
"""The answer that lets a session go on."""
SAFETY = (
    "Warm up, rest between blocks, stop on pain. Check nets, mats and clubs. Local rules and licensed "
    "practice come first; training is for qualified coaches."
)
CHOICE_REASONS = ("as recommended", "looks", "sound", "feel", "price", "stock", "something else")


@dataclass(frozen=True)
class Typed:
    """A shot that was typed in: channel and value as the player sees it, in the channel's own unit."""

    values: tuple[tuple[str, float], ...]
    build: str = ""


@dataclass(frozen=True)
class Choice:
    """What was chosen, what was recommended at that moment, and why they differ if they do."""

    option: str
    recommended: str
    action: str
    reason: str


@dataclass(frozen=True)
class Steps:
    """What lies on the bench against the present club: codes '' for present parts, changes in real steps."""

    head: str = ""
    shaft: str = ""
    sleeve: float | None = None
    length_in: float = 0.0
    head_g: float = 0.0
    ball_mm: float = 0.0
    tee_mm: float = 0.0


def _usual(name: str) -> float:
    """What a wish is measured by where nobody says more, by the judged numbers in force."""
    return current().value(f"score.{name}")


@dataclass(frozen=True)
class Bench:
    """One player at the bench.

    Parameters
    ----------
    player, hand : str
        Code and hand.
    log, kit, present : str
        File that is watched ('' when shots are typed), folder of the kit, words for the present club.
    objective, clear_yd, width_yd, hole_yd, grid_yd, balls, skill, trouble
        The player's wish; trouble is strokes lost beyond the rough, left and right; a hole of 0 yd stands for
        the usual ones.
    least_fairways, not_shorter
        The player's conditions: share of balls in the fairway (0 for none), no less total than now.
    conditions, measured : Conditions
        Where the decision applies, and where the shots were hit, as the player sees it.
    face_point, speed_point : str
        Where the device's numbers belong, see `vocabulary.POINTS` of shots; the log's own words go before.
    in_hand : str
        Id of the option in the player's hands; '' for the present club.
    seen : int
        Shots of the log that were there before: later ones take the build in hand.
    builds : tuple of (int, str)
        Shots given to another build by hand, '' for the present club.
    maps : tuple of (str, str)
        Corrections of the log's columns, header to channel, that a person accepted.
    aside, restored, strikes
        Decisions on single shots: reason, restored by hand, strike mark in mm (toe, high).
    hidden : tuple of str
        Filters that hide options, such as 'tier C' or 'stock order'.
    stock, tiers, budget, without_shafts, allow_breaches, any_shaft
        Limits of what is offered, see `fitter.kit.offer.Offer`.
    trial : Record or None
        The trial that was planned, with its balls.
    trial_counts : bool
        Whether the ranking takes its balls into account.
    """

    player: str = ""
    hand: str = "right"
    log: str = ""
    kit: str = ""
    present: str = "unknown"
    scene: str = ""
    sets_face: str = "unknown"
    face_point: str = OPEN_POINT
    speed_point: str = OPEN_POINT
    ball: str = ""
    units: str = "us"
    objective: str = "play"
    clear_yd: float = 230.0
    width_yd: float = field(default_factory=lambda: _usual("width_yd"))
    hole_yd: float = 0.0
    grid_yd: tuple[float, float] = field(
        default_factory=lambda: (_usual("grid_width_yd"), _usual("grid_depth_yd"))
    )
    balls: int = field(default_factory=lambda: round(_usual("balls")))
    skill: float = 1.0
    trouble: tuple[float, float] = (0.0, 0.0)
    least_fairways: float = 0.0
    not_shorter: bool = False
    conditions: Conditions = field(default_factory=Conditions)
    measured: Conditions = field(default_factory=Conditions)
    cautions: tuple[tuple[str, str], ...] = ()
    in_hand: str = ""
    seen: int = 0
    typed: tuple[Typed, ...] = ()
    builds: tuple[tuple[int, str], ...] = ()
    maps: tuple[tuple[str, str], ...] = ()
    aside: tuple[tuple[int, str], ...] = ()
    restored: tuple[int, ...] = ()
    strikes: tuple[tuple[int, float, float], ...] = ()
    pins: tuple[str, ...] = ()
    hidden: tuple[str, ...] = ()
    every_set_up: bool = False
    steps: Steps = field(default_factory=Steps)
    chosen: Choice | None = None
    stock: tuple[str, ...] = STOCK
    tiers: tuple[str, ...] = tuple(TIERS)
    budget: float | None = None
    without_shafts: tuple[str, ...] = ()
    allow_breaches: bool = False
    any_shaft: bool = False
    trial: Record | None = None
    trial_counts: bool = False

    def build_of(self, shot: int) -> str | None:
        """Build that a person gave to a shot, None when nobody did."""
        return dict(self.builds).get(shot)

    def caution(self, key: str) -> str:
        """Answer to a caution, '' when it was not asked yet."""
        return dict(self.cautions).get(key, "")


SHOTS = ("builds", "maps", "aside", "restored", "strikes", "typed", "log", "player")
READ = (*SHOTS, "hand", "present", "measured", "face_point", "speed_point")
"""Fields of a bench on which the reading of the shots hangs."""
BESIDE = ("scene", "ball", "units", "cautions", "in_hand", "seen", "pins", "hidden", "every_set_up", "steps",
          "chosen", "trial")  # fmt: skip
"""Fields on which neither the reading nor the ranking hangs."""
RANKED = tuple(f.name for f in dataclasses.fields(Bench) if f.name not in (*SHOTS, *BESIDE))
"""Fields on which the ranking hangs: every other one, so that a new one counts unless it is named above."""


@dataclass(frozen=True)
class Work:
    """The players of a session, whose turn it is, and what can be undone.

    Parameters
    ----------
    benches : tuple of Bench
    at : int
        Whose turn it is.
    past : tuple of (str, int, Bench)
        What was done, to whom, and how the bench was before; oldest first.
    light : bool
        Dark letters on a light ground.
    """

    benches: tuple[Bench, ...] = field(default_factory=lambda: (Bench(),))
    at: int = 0
    past: tuple[tuple[str, int, Bench], ...] = ()
    light: bool = False

    @property
    def bench(self) -> Bench:
        """The player whose turn it is."""
        return self.benches[self.at]


KEPT = 50
"""Steps that can be undone."""


def change(work: Work, label: str, **fields: Any) -> Work:
    """Change the bench; an empty label makes a change that undo passes over.

    Examples
    --------
    >>> undo(change(Work(), "hand", hand="left"))[0].bench.hand
    'right'
    """
    new = replace(work.bench, **fields)
    if new == work.bench:
        return work
    benches = (*work.benches[: work.at], new, *work.benches[work.at + 1 :])
    past = (*work.past, (label, work.at, work.bench))[-KEPT:] if label else work.past
    return replace(work, benches=benches, past=past)


def undo(work: Work) -> tuple[Work, str]:
    """Take the last change back; shots that arrived since stay, with the build that they took."""
    if not work.past:
        return work, ""
    label, at, before = work.past[-1]
    now = work.benches[at]
    if now.log == before.log and now.seen > before.seen:
        took = {s: b for s, b in now.builds if before.seen < s <= now.seen}
        before = replace(before, **arrived(before, now.seen))
        before = replace(before, builds=tuple(sorted({**dict(before.builds), **took}.items())))
    benches = (*work.benches[:at], before, *work.benches[at + 1 :])
    return replace(work, benches=benches, at=at, past=work.past[:-1]), label


def next_player(work: Work) -> Work:
    """Give the turn to the next player."""
    return replace(work, at=(work.at + 1) % len(work.benches))


def arrived(bench: Bench, shots: int) -> dict[str, Any]:
    """Fields that change when a log holds so many shots: new ones take the build in hand.

    Typed shots stand after those of the log, so what was decided on them moves up with them.
    """
    if shots == bench.seen:
        return {}
    more = shots - bench.seen
    fields: dict[str, Any] = {"seen": shots}
    if more > 0 and (bench.seen or bench.typed):
        fields |= _moved(bench, lambda s: s + more if s > bench.seen else s)
        new = dict.fromkeys(range(bench.seen + 1, shots + 1), bench.in_hand) if bench.seen else {}
        fields["builds"] = tuple(sorted({**new, **dict(fields["builds"])}.items()))
    return fields


def other_log(bench: Bench, log: str) -> dict[str, Any]:
    """Fields that change with another log: what was decided on its shots goes, on typed shots it stays."""
    if log == bench.log:
        return {}
    return {"log": log, "seen": 0, **_moved(bench, lambda s: s - bench.seen)}


def _moved(bench: Bench, to: Callable[[int], int]) -> dict[str, Any]:
    """Decisions on single shots with other numbers; a number below 1 drops the decision."""
    names = ("builds", "aside", "strikes")
    moved = {n: tuple((to(x[0]), *x[1:]) for x in getattr(bench, n) if to(x[0]) > 0) for n in names}
    return {**moved, "restored": tuple(to(s) for s in bench.restored if to(s) > 0)}


def joined(work: Work, code: str) -> Work:
    """Put another player at the bench, with the same kit and place.

    Raises
    ------
    InputError
        If the code is empty or taken.
    """
    if not code or code in {b.player for b in work.benches}:
        found = repr(code) if code else "nothing"
        problem = Problem("player", found, "a new code, such as P5", "Type another.")
        raise InputError("A player needs a code of their own.", [problem])
    b = work.bench
    new = Bench(player=code, kit=b.kit, conditions=b.conditions, units=b.units, ball=b.ball)
    return replace(work, benches=(*work.benches, new), at=len(work.benches))


STAYING = ("player", "hand", "log", "kit", "present", "scene", "units", "objective", "seen")
"""Fields that stay when a player starts afresh."""


def afresh(work: Work) -> Work:
    """Forget the decisions of the player whose turn it is."""
    fresh = Bench(**{k: getattr(work.bench, k) for k in STAYING})
    return change(work, "start afresh", **{f.name: getattr(fresh, f.name) for f in dataclasses.fields(fresh)})


def seated(work: Work, names: Sequence[str]) -> Work:
    """Bring the players of a log to the bench: the first takes the seat that nobody has a name for.

    Shots that were typed there before belong to none of them: they stay, without the log, on a seat of
    their own.

    Examples
    --------
    >>> [b.player for b in seated(Work((Bench(log="a.csv"),)), ["P1", "P2"]).benches]
    ['P1', 'P2']
    """
    now = work.bench
    plain = replace(now, typed=(), in_hand="", seen=0, **_moved(now, lambda s: 0))
    first = replace(plain if now.typed else now, player=names[0])
    known = {b.player for b in work.benches}
    fresh = replace(plain, cautions=(), pins=(), chosen=None)
    others = [replace(fresh, player=n) for n in names[1:] if n not in known]
    apart = [replace(now, **other_log(now, ""))] if now.typed else []
    benches = (*work.benches[: work.at], first, *work.benches[work.at + 1 :], *others, *apart)
    return replace(work, benches=benches)


LOG = "session log"
"""Label of the change that names another log."""


def brought(work: Work, names: Sequence[str]) -> Work | None:
    """Bring the players of a log that was just named for somebody who is not in it; None if it was not.

    Who sat there keeps the log from before; a seat on which nothing was decided is given up.
    """
    if not names or not work.past or work.past[-1][:2] != (LOG, work.at):
        return None
    log, before = work.bench.log, work.past[-1][2]
    plain = Bench(kit=before.kit, conditions=before.conditions, measured=before.measured,
                  units=before.units, ball=before.ball)  # fmt: skip
    bare = replace(plain, player=before.player, hand=before.hand, log=before.log, seen=before.seen)
    kept = [replace(b, **other_log(b, log)) if b.player in names else b for b in work.benches]
    kept[work.at : work.at + 1] = [] if before == bare else [before]
    known = {b.player for b in kept}
    benches = (*kept, *(replace(plain, player=n, log=log) for n in names if n not in known))
    at = next(k for k, b in enumerate(benches) if b.player == names[0])
    # Undo counts seats, and the seats are others now.
    return replace(work, benches=benches, at=at, past=())


def set_aside(bench: Bench, shot: int, reason: str) -> dict[str, Any]:
    """Fields that set a shot aside by hand."""
    kept = tuple((s, r) for s, r in bench.aside if s != shot)
    return {
        "aside": (*kept, (shot, reason)),
        "restored": tuple(s for s in bench.restored if s != shot),
    }


def correct(bench: Bench, pairs: Sequence[tuple[str, str]]) -> dict[str, Any]:
    """Fields that correct what was understood of columns, or confirm it."""
    return {"maps": tuple({**dict(bench.maps), **dict(pairs)}.items())}


def restore(bench: Bench, shot: int) -> dict[str, Any]:
    """Fields that bring a shot back, whoever set it aside."""
    return {
        "aside": tuple((s, r) for s, r in bench.aside if s != shot),
        "restored": tuple(sorted({*bench.restored, shot})),
    }


def assign(bench: Bench, shots: tuple[int, ...], build: str) -> dict[str, Any]:
    """Fields that give shots to a build."""
    return {"builds": tuple({**dict(bench.builds), **dict.fromkeys(shots, build)}.items())}


def mark_strike(bench: Bench, shot: int, toe_mm: float, high_mm: float) -> dict[str, Any]:
    """Fields that place a strike mark, mm to the toe and up."""
    kept = tuple(s for s in bench.strikes if s[0] != shot)
    return {"strikes": (*kept, (shot, toe_mm, high_mm))}


def answer_caution(bench: Bench, key: str, word: str) -> dict[str, Any]:
    """Fields that hold the answer to a caution."""
    return {"cautions": tuple({**dict(bench.cautions), key: word}.items())}


def toggle(items: tuple[str, ...], item: str) -> tuple[str, ...]:
    """Take an item out, or put it in.

    Examples
    --------
    >>> toggle(("a",), "b"), toggle(("a", "b"), "a")
    (('a', 'b'), ('b',))
    """
    return tuple(i for i in items if i != item) if item in items else (*items, item)
