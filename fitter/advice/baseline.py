"""The player's own shots as the prediction needs them: deliveries, starts, finishes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.advice.question import Question
from fitter.advice.response import Swing
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import DataError, Problem
from fitter.base.units import DEG, RPM
from fitter.kit.club import Club
from fitter.kit.mechanics import describe
from fitter.physics import vectors
from fitter.shots.annotations import with_everything
from fitter.shots.infer.delivery import Delivery
from fitter.shots.infer.infer import infer
from fitter.shots.infer.measurement import is_indoor
from fitter.shots.screen import screen_physics
from fitter.shots.session import Session, require

Floats = NDArray[np.float64]

NEEDED = ("club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm")
"""Channels without which no shot can be replayed; the rest of the delivery is inferred."""
INFERRED = ("attack_deg", "dynamic_loft_deg", "strike_toe_mm")
"""Channels whose absence the reader should know of."""


class Note(NamedTuple):
    """What the reader should know before trusting a number: a code of `display.verdict`, and its figures."""

    code: str
    values: tuple[Any, ...] = ()


def notices(session: Session) -> list[Note]:
    """What the reader of the log had to say, and which channels are left out."""
    said = [Note("notice", (words,)) for words in session.notices]
    return [*said, *(Note("channel left out", (x,)) for x in session.left_out)]


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
    """

    session: Session
    delivery: Delivery
    start: Floats
    carry: Floats
    total: Floats
    side: Floats
    shot: NDArray[np.int64]
    notes: tuple[Note, ...]

    def __len__(self) -> int:
        return len(self.delivery)

    @property
    def swing(self) -> Swing:
        """Mean delivery."""
        speed, attack, path, face, loft = self.delivery.mean[:, :5].mean(axis=0)
        return Swing(float(speed), float(attack), float(path), float(face), float(loft))

    def draw(self, n: int, seed: int, rival: NDArray[np.bool_]) -> Floats:
        """Draw deliveries, (n, shots, 7), each under the repair of the spin that its draw believes in."""
        rng = draws.generator(seed, "delivery", len(self))
        return self.delivery.sample(n, rng, rival.astype(np.int64))

    def points(self, n: int, seed: int, rival: NDArray[np.bool_]) -> dict[str, NDArray[np.int64]]:
        """Points of reference that the draws of `draw` believe in, (n,) each, see `Delivery.points`."""
        rng = draws.generator(seed, "delivery", len(self))
        return self.delivery.sample_points(n, rng, rival.astype(np.int64))

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
    delivery = infer(question.session, head)
    session = screen_physics(question.session, delivery, question.measured_at)
    if not session.set_aside.any():
        return of_session(session, head, delivery)
    return of_session(with_everything(session) if question.with_aside else session, head)


def of_session(session: Session, head: Floats, delivery: Delivery | None = None) -> Baseline:
    """Take the kept shots of a screened session as the baseline.

    Parameters
    ----------
    session : Session
        Screened.
    head : ndarray, shape (13,)
        The present club's, see `vectors.HEAD`.
    delivery : Delivery, optional
        Of the kept shots, where it was inferred before.

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
    if len(kept) < least:
        found = f"{len(kept)} kept of {len(session)}"
        do = "Hit more balls with the present club; ten to fifteen make a baseline."
        problem = Problem(session.source, found, f"at least {least} shots", do)
        raise DataError("Too few shots to rank anything.", [problem])
    delivery = infer(kept, head) if delivery is None else replace(delivery, session=kept)
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


def run_factor(baseline: Baseline, drawn: worlds.Drawn, flown: Floats, seed: int) -> Floats | None:
    """Factor on the run of each draw after the session's measured totals, (draws,), None if they do not tell.

    What the model misses of the run is a factor on it, no addend: a higher launch shortens a long run more
    than a short one. In logarithms the judged factor and the one that the mean measured run asks for are
    joined by their variances (Bishop 2006, eq. 2.141); the latter's is its standard error and what turfs
    differ from day to day and hole to hole.
    """
    session = baseline.delivery.session
    told = np.isfinite(baseline.total) & np.isfinite(baseline.carry) & ~is_indoor(session)
    for name in ("carry_m", "total_m"):
        told &= ~session.estimated.get(name, np.zeros(len(session), dtype=bool))
    a = current()
    if told.sum() < a.value("verdict.least_shots"):
        return None
    run = (baseline.total - baseline.carry)[told]
    modelled = (flown[..., vectors.TOTAL] - flown[..., vectors.CARRY])[:, told].mean(axis=1)
    if run.mean() < 1.0:
        return None
    now = drawn.world.turf[:, vectors.RUN_FACTOR]
    error = np.hypot(float(run.std(ddof=1) / run.mean()) / np.sqrt(len(run)), a.sd("turf.run_day"))
    prior = a.sd("turf.run_factor") ** 2
    weight = prior / (prior + error**2)
    z = draws.normals(len(now), seed, "run told")
    joined = np.exp(
        weight * np.log(now * run.mean() / np.maximum(modelled, 1.0)) + np.sqrt(weight) * error * z
    )
    # A draw in which the balls hardly run can be told nothing by a factor.
    return np.asarray(np.where(modelled < 1.0, 1.0, np.clip(joined, 0.2, 5.0) / now))
