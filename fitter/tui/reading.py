"""A session as the bench has it: the log, what was typed, and every decision of a person."""

from __future__ import annotations

import os
import stat
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter.advice.losses import Loss, losses
from fitter.base.errors import FitterError
from fitter.shots.annotations import Decision, labels, set_aside
from fitter.shots.freshness import Freshness, freshness
from fitter.shots.infer.delivery import Delivery
from fitter.shots.infer.infer import infer
from fitter.shots.reader import intake
from fitter.shots.screen import screen, screen_physics
from fitter.shots.session import Session
from fitter.shots.vocabulary import CHANNELS, NUMBERS, OPEN_POINT, WORDS
from fitter.tui.bench import Bench

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Reading:
    """What the shots say.

    Parameters
    ----------
    session : Session
        All shots, n, right-handed frame.
    builds : tuple of str
        Build of each shot, '' for the present club.
    delivery : Delivery or None
        Of all shots; None when no ball was measured.
    fresh : Freshness or None
    losses : tuple of Loss
        Where the present club's yards go.
    error : str
        Why something could not be had, in sentences.
    new : int
        So many of the last shots are not worked out yet.
    """

    session: Session
    builds: tuple[str, ...]
    delivery: Delivery | None = None
    fresh: Freshness | None = None
    losses: tuple[Loss, ...] = ()
    error: str = ""
    new: int = 0

    @property
    def seen(self) -> Session:
        """The shots as the player sees them: a left-hander's are mirrored back."""
        return self.session.mirrored() if self.session.hand == "left" else self.session

    @property
    def present(self) -> Session:
        """Shots of the present club."""
        return self.session.take(np.array([not b for b in self.builds], dtype=bool))

    def of_build(self, build: str) -> NDArray[np.int64]:
        """Indices of a build's shots that are not set aside."""
        there = np.array([b == build for b in self.builds], dtype=bool) & ~self.session.set_aside
        return np.flatnonzero(there)


def assemble(bench: Bench, logged: Session | None) -> tuple[Session, tuple[str, ...]]:
    """Join log, typed shots, strike marks and decisions; give the session and the build of each shot."""
    session = _with_typed(bench, logged)
    values = dict(session.values)
    for name, column in (("strike_toe_mm", 1), ("strike_high_mm", 2)):
        if bench.strikes:
            filled = session.value(name).copy()
            for mark in bench.strikes:
                filled[session.shot == mark[0]] = mark[column]
            values[name] = filled
    own = _own_builds(bench, session)
    builds = tuple(
        own[i] if (said := bench.build_of(int(s))) is None else said for i, s in enumerate(session.shot)
    )
    # The shots' own word must not part the present club's shots once more.
    words = {k: v for k, v in session.words.items() if k not in ("build", "club")}
    session = replace(session, values=MappingProxyType(values), words=MappingProxyType(words))
    points = {"face_point": bench.face_point, "speed_point": bench.speed_point}
    session = session.saying({c: w for c, w in points.items() if w != OPEN_POINT})
    return by_hand(bench, session), builds


def by_hand(bench: Bench, session: Session) -> Session:
    """Apply decisions on single shots: set aside with a reason, or restored."""
    there = {int(s) for s in session.shot}
    chosen = [Decision((s,), r) for s, r in bench.aside if s in there]
    session = set_aside(session, chosen) if chosen else session
    back = np.isin(session.shot, bench.restored)
    if not back.any():
        return session
    flags = tuple(replace(f, set_aside=False) if f.shot in bench.restored else f for f in session.flags)
    return replace(session, set_aside=session.set_aside & ~back, flags=flags)


def _own_builds(bench: Bench, session: Session) -> list[str]:
    """Build words of log and typed shots; the present club's own name counts as the present club."""
    words = list(labels(session))
    present = bench.present.casefold()
    known = {w for w in words if w}
    alone = len(known) == 1 and all(words) and not any(t.build for t in bench.typed)
    return ["" if alone or w.casefold() == present else w for w in words]


def _with_typed(bench: Bench, logged: Session | None) -> Session:
    base = logged or Session(bench.player, bench.hand, "typed shots", {}, {}, {}, np.zeros(0, dtype=np.int64),
                             np.zeros(0, dtype=np.int64))  # fmt: skip
    if not bench.typed:
        return base
    n, more = len(base), len(bench.typed)
    turn = -1.0 if base.hand == "left" else 1.0
    values: dict[str, Floats] = {}
    for name in NUMBERS:
        new = np.array(
            [
                dict(t.values).get(name, np.nan) * (turn if CHANNELS[name].mirrored else 1.0)
                for t in bench.typed
            ]
        )
        if name in base.values or np.isfinite(new).any():
            values[name] = np.concatenate([base.value(name), new])
    words: dict[str, tuple[str, ...]] = {k: (*base.word(k), *[""] * more) for k in WORDS if k in base.words}
    words["build"] = (*base.word("build"), *(t.build for t in bench.typed))
    last = int(base.shot.max()) if n else 0
    estimated: Mapping[str, NDArray[np.bool_]] = {
        k: np.concatenate([base.estimated.get(k, np.zeros(n, dtype=bool)), np.zeros(more, dtype=bool)])
        for k in values
    }
    return screen(
        replace(
            base,
            values=MappingProxyType(values),
            words=MappingProxyType(words),
            estimated=MappingProxyType(dict(estimated)),
            shot=np.concatenate([base.shot, np.arange(last + 1, last + more + 1, dtype=np.int64)]),
            row=np.concatenate([base.row, np.zeros(more, dtype=np.int64)]),
            set_aside=np.concatenate([base.set_aside, np.zeros(more, dtype=bool)]),
        )
    )


def understand(bench: Bench, logged: Session | None) -> Reading:
    """Screen by physics, infer the delivery, find freshness and where the yards go; seconds of work."""
    session, builds = assemble(bench, logged)
    reading = Reading(session, builds)
    if not len(session) or not session.has("ball_speed_mps"):
        return reading
    there = bench.measured.mirrored() if session.hand == "left" else bench.measured
    try:
        inferred = infer(session)
        screened = by_hand(bench, screen_physics(session, inferred, there))
        delivery = inferred.of(screened)
        reading = replace(reading, session=screened, delivery=delivery, fresh=freshness(screened, delivery))
        own = reading.present
        mine = delivery if len(own) == len(screened) else delivery.of(own)
        return replace(reading, losses=losses(mine, there))
    except FitterError as error:
        return replace(reading, error=str(error))


def arriving(bench: Bench, logged: Session | None, before: Reading) -> Reading | None:
    """New shots as they stand in the log, before it is worked out what they say; None if there are none.

    Of the shots that were there before, what is known stays.
    """
    session, builds = assemble(bench, logged)
    n, more = len(before.session), len(session) - len(before.session)
    # Typed shots stand after those of the log, and move up when it grows.
    moved = [not np.array_equal(getattr(session, k)[:n], getattr(before.session, k)) for k in ("shot", "row")]
    if more <= 0 or any(moved):
        return None
    known = np.concatenate([before.session.set_aside, np.zeros(more, dtype=bool)])
    flags = (*before.session.flags, *(f for f in session.flags if f.shot not in before.session.shot))
    session = replace(session, set_aside=session.set_aside | known, flags=flags)
    fresh = before.fresh
    if fresh is not None:
        unknown, none = np.full(more, np.nan), np.zeros(more, dtype=bool)
        fresh = replace(
            fresh,
            peak_mps=np.concatenate([fresh.peak_mps, unknown]),
            line_mps=np.concatenate([fresh.line_mps, unknown]),
            tired=np.concatenate([fresh.tired, none]),
            warm_up=np.concatenate([fresh.warm_up, none]),
            spent=np.concatenate([fresh.spent, none]),
        )
    return Reading(session, builds, fresh=fresh, losses=before.losses, new=more)


def same(a: Reading, b: Reading) -> bool:
    """Whether two readings hold the same shots of the present club, so that a ranking still stands."""
    one, two = a.present, b.present
    return (
        np.array_equal(one.shot, two.shot)
        and np.array_equal(one.set_aside, two.set_aside)
        and one.values.keys() == two.values.keys()
        and all(np.array_equal(v, two.values[k], equal_nan=True) for k, v in one.values.items())
        and (one.hand, one.source) == (two.hand, two.source)
    )


YOUNG_S = 2.0
"""A log that changed within so many seconds may still be written: its last line counts when it has an end."""


def unfinished(log: str) -> bool:
    """Whether a log was just written to and its last line has no end yet."""
    try:
        state = os.stat(log)
        # A pipe would wait for ever, and holds no last line.
        if not stat.S_ISREG(state.st_mode) or time.time() - state.st_mtime > YOUNG_S:
            return False
        with open(log, "rb") as stream:
            stream.seek(max(os.fstat(stream.fileno()).st_size - 2, 0))
            return not stream.read().strip(b"\x00").endswith((b"\n", b"\r"))
    except (OSError, ValueError):
        return False


def mine(
    log: str, player: str, hand: str, maps: Sequence[tuple[str, str]] = (), live: bool = False
) -> tuple[Session | None, tuple[str, ...], str]:
    """Read one player's shots of a file.

    Parameters
    ----------
    log, player, hand : str
        File; code, '' when nobody said; the hand, which a column of the file goes before.
    maps : sequence of (str, str)
        Corrections of its columns.
    live : bool
        Leave out a last line without an end.

    Returns
    -------
    session : Session or None
    names : tuple of str
        Players to bring to the bench, when nobody was named yet or who was named is not in the file.
    problem : str
        Sentences, '' when all is well.
    """
    try:
        every = intake.read_all(log, player=player or None, hand=hand, header_map=dict(maps), live=live)
    except FitterError as error:
        return None, (), str(error)
    except OSError as error:
        return None, (), f"{log}: {error.strerror or error}"
    names = tuple(s.player for s in every)
    for session in every:
        if session.player.casefold() == player.casefold():
            return session, (), ""
    if not player:
        return every[0], names, ""
    who = ", ".join(names)
    return None, names, f"{log} has no player {player!r} but {who}: type one of these as the player."


@dataclass(frozen=True)
class Stamp:
    """Size and time of a file; (-1, -1) where there is none."""

    size: int = -1
    time_ns: int = -1


def stamp(path: str) -> Stamp:
    """Look at a file without opening it."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):  # a name with a null byte is none
        return Stamp()
    return Stamp(found.st_size, found.st_mtime_ns)
