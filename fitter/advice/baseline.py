"""The player's own shots as the prediction needs them: deliveries, starts, finishes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.advice.question import Question
from fitter.advice.response import Swing
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import DataError, Problem
from fitter.base.units import DEG, RPM
from fitter.kit.club import Club
from fitter.kit.mechanics import describe
from fitter.shots.annotations import with_everything
from fitter.shots.contradictions import why
from fitter.shots.freshness import freshness
from fitter.shots.infer.delivery import Delivery
from fitter.shots.infer.infer import infer
from fitter.shots.infer.measurement import OPEN, is_indoor
from fitter.shots.screen import screen_physics
from fitter.shots.session import Session, require
from fitter.strike_models import leads, strike_models

Floats = NDArray[np.float64]

NEEDED = ("ball_speed_mps", "launch_deg", "spin_rpm")
"""Channels without which no shot can be replayed; the rest of the delivery is inferred."""
INFERRED = ("club_speed_mps", "attack_deg", "dynamic_loft_deg", "strike_toe_mm")
"""Channels whose absence the reader should know of."""


class Note(NamedTuple):
    """What the reader should know before trusting a number: a code of `display.verdict`, and its figures."""

    code: str
    values: tuple[Any, ...] = ()


def notices(session: Session) -> list[Note]:
    """What the reader of the log had to say, and which channels are left out."""
    said = [Note("notice", (words,)) for words in session.notices]
    return [*said, *(Note("channel left out", (x,)) for x in session.left_out)]


def doubts(session: Session) -> list[Note]:
    """What the log contradicts, for an answer whose first sentence does not say it."""
    return [Note("doubt", (doubt,)) for doubt in session.doubts]


@dataclass(frozen=True)
class Baseline:
    """Kept shots of the present club, right-handed frame.

    Parameters
    ----------
    session : Session
        All shots with their flags, the kept ones and those set aside.
    delivery : Delivery
        Posterior of the kept shots: what was not measured is inferred, with its doubt.
    start : ndarray, shape (shots, 5)
        Measured start (m/s, rad, rad, rad/s, rad), NaN where missing.
    carry, total, side : ndarray, shape (shots,)
        Measured finish, m, NaN where missing; side right +.
    shot : ndarray of int, shape (shots,)
        Shot numbers of the log.
    notes : tuple of Note
        What was filled.
    stale : Baseline or None
        The same with warm-up and tired shots, where these were left out.
    """

    session: Session
    delivery: Delivery
    start: Floats
    carry: Floats
    total: Floats
    side: Floats
    shot: NDArray[np.int64]
    notes: tuple[Note, ...]
    stale: Baseline | None = None

    def __len__(self) -> int:
        return len(self.delivery)

    @property
    def withheld(self) -> tuple[Note, ...]:
        """Why these shots cannot earn a change: codes of doubts; 'club speed' where it was not measured."""
        codes: dict[str, None] = dict.fromkeys(d.code for d in self.session.doubts)
        measured = np.isfinite(self.delivery.session.value("club_speed_mps"))
        if 2 * measured.sum() < len(measured):
            codes["club speed"] = None
        return tuple(Note(code) for code in codes)

    @property
    def swing(self) -> Swing:
        """Mean delivery."""
        speed, attack, path, face, loft = self.delivery.mean[:, :5].mean(axis=0)
        return Swing(float(speed), float(attack), float(path), float(face), float(loft))

    def draw(self, n: int, seed: int) -> tuple[Floats, Floats]:
        """Draw deliveries, (n, shots, 7), and the strike models under which they are true, (n, 15).

        What the shots tell of the strike counts: the repair of the spin, its size, gear effect and falls of
        restitution belong to the delivery of their draw. Which repair is true is told only where attack and
        loft were measured: from the ball alone their odds hang on how the player's scatter was judged.
        """
        rng, share = draws.generator(seed, "delivery", len(self)), self._repair_share
        deliveries, open_to = self.delivery.sample_with_calibrations(n, rng, self._rival(n, seed))
        return deliveries, strike_models(n, seed, open_to[:, OPEN:], share)

    @property
    def _repair_share(self) -> float | None:
        swing = [self.delivery.session.value(name) for name in ("attack_deg", "dynamic_loft_deg")]
        told = np.isfinite(swing).all(axis=0).mean() > 0.5
        return float(self.delivery.repairs[0]) if told else None

    def _rival(self, n: int, seed: int) -> NDArray[np.int64]:
        """Which repair each draw takes for true, (n,): 1 for the rival."""
        return (~leads(n, seed, self._repair_share)).astype(np.int64)

    @property
    def outdoors(self) -> bool:
        """Whether any shot was hit outdoors, where totals can be measured."""
        return not bool(is_indoor(self.session).all())

    def points(self, n: int, seed: int) -> dict[str, NDArray[np.int64]]:
        """Points of reference that the draws of `draw` believe in, (n,) each, see `Delivery.points`."""
        rng = draws.generator(seed, "delivery", len(self))
        return self.delivery.sample_points(n, rng, self._rival(n, seed))

    @property
    def has_direction(self) -> bool:
        """Whether anything measured tells the ball's direction."""
        return bool(np.isfinite(self.start[:, 2]).any() or np.isfinite(self.side).any())


def screened(session: Session, head: Floats, measured_in: Conditions | None = None) -> Session:
    """Set aside the shots whose channels contradict each other, given the present club's head (13,).

    The air in which they were measured is in the frame of the session's values; standard when silent.
    """
    require(session, NEEDED)
    return screen_physics(session, infer(session, head), measured_in)


def present_head(club: Club) -> Floats:
    """Head of a club at the centre of its figures, as the strike takes it, shape (13,)."""
    return np.asarray(describe([club], current().value("club.reference_speed_mps")).kernel_heads()[0, 0])


def baseline(question: Question) -> Baseline:
    """Screen the shots of a question and take those that are kept.

    Parameters
    ----------
    question : Question
        In the frame of its shots (`Question.right_handed`).

    Raises
    ------
    InputError
        If a needed channel was not measured at all.
    DataError
        If too few shots are left to carry a ranking.
    """
    head = present_head(question.present)
    require(question.session, NEEDED)
    asked = question.session.evenly(int(current().value("verdict.most_shots")))
    delivery = infer(asked, head)
    session = screen_physics(asked, delivery, question.measured_at)
    if question.with_aside and session.set_aside.any():
        found = of_session(with_everything(session), head)
    else:
        found = of_session(session, head, delivery)
    found = _fresh(found, head)
    if len(asked) < len(question.session):
        found = replace(found, notes=(Note("many shots", (len(asked), len(question.session))), *found.notes))
    return found


def _fresh(found: Baseline, head: Floats) -> Baseline:
    """Leave out warm-up and tired shots where enough fresh ones are there; either way a note says it."""
    kept = found.delivery.session
    fresh = freshness(kept, found.delivery)
    stale = fresh.stale
    if not stale.any():
        return found
    figures = int(fresh.warm_up.sum()), int(fresh.spent.sum())
    if (~stale).sum() < current().value("player.fresh_least"):
        return replace(found, notes=(Note("stale kept", figures), *found.notes))
    gone = {int(s) for s in kept.shot[stale]}
    session = found.session.take(np.array([int(s) not in gone for s in found.session.shot]))
    new = of_session(session, head, found.delivery)
    return replace(new, notes=(Note("stale", figures), *new.notes), stale=found)


def of_session(session: Session, head: Floats, delivery: Delivery | None = None) -> Baseline:
    """Take the kept shots of a screened session as the baseline.

    Parameters
    ----------
    session : Session
        Screened.
    head : ndarray, shape (13,)
        The present club's, see `vectors.HEAD`.
    delivery : Delivery, optional
        Of all its shots, where it was inferred before.

    Raises
    ------
    InputError
        If a needed channel was not measured at all.
    DataError
        If too few shots are left to carry a ranking.
    """
    require(session, NEEDED)
    kept = session.kept()
    least = int(current().value("verdict.least_shots"))
    if len(kept) < least <= len(session) and 2 * len(kept) < len(session):
        # Most players hit some ball that can be read: the file is wrong.
        raise DataError("Nearly every shot is set aside: the file is wrong, not the player.", [why(session)])
    if len(kept) < least:
        found = f"{len(kept)} kept of {len(session)}"
        do = "Hit more balls with the present club; ten to fifteen make a baseline."
        problem = Problem(session.source, found, f"at least {least} shots", do)
        raise DataError("Too few shots to rank anything.", [problem])
    delivery = infer(kept, head) if delivery is None else delivery.of(kept)
    notes = [
        Note("inferred", (name, missing, len(kept)))
        for name in INFERRED
        if (missing := int(np.isnan(kept.used(name)).sum()))
    ]
    start = np.stack(
        [
            kept.used("ball_speed_mps"),
            kept.used("launch_deg") * DEG,
            kept.used("direction_deg") * DEG,
            kept.used("spin_rpm") * RPM,
            kept.used("spin_axis_deg") * DEG,
        ],
        axis=1,
    )
    for name in ("ball_speed_mps", "launch_deg", "spin_rpm"):
        missing = int(np.isnan(kept.used(name)).sum())
        if missing:
            notes.append(Note("predicted", (name, missing, len(kept))))
    return Baseline(
        session, delivery, start, kept.value("carry_m"), kept.value("total_m"), kept.value("offline_m"),
        kept.shot, tuple(notes),
    )  # fmt: skip
