"""One session to its outcome, wherever it runs: what is wrong with it ends as a line, never as a stop."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from fitter.advice.baseline import present_head, screened
from fitter.advice.losses import losses
from fitter.advice.pattern import weak_carry
from fitter.advice.question import Question, shots_of
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.base.assumptions import using
from fitter.base.conditions import Conditions
from fitter.base.errors import DataError, FitterError
from fitter.batches.rows import (
    FAILED,
    FEW,
    RANKED,
    UNRANKED,
    Outcome,
    PlayerRow,
    largest,
    option_rows,
    ranked,
    rounded,
    sentence,
)
from fitter.display.notes import noted
from fitter.display.shots import all_aside
from fitter.remember.fittings import decision
from fitter.remember.visit import Remembered, Source
from fitter.sheet import render
from fitter.sheet.content import Settings, content
from fitter.shots.infer.infer import infer
from fitter.shots.session import Session
from fitter.simulate.flight import fly


@dataclass(frozen=True, eq=False)
class Job:
    """One session of one player, with everything that a worker needs: no file, no folder, no state.

    Parameters
    ----------
    key : str
        Digest of everything that decides the outcome.
    player, label : str
        Code; file.
    question : Question
        Session, present club and all settings.
    present : str
        Words for the present club.
    ball : str
        Of the roster, '' when it says nothing.
    sheet : str
        Name of the sheet's file without suffix, '' for none.
    metric : bool
        Of the sheet.
    notes : tuple of str
        What reading it brought to light.
    remember : str or None
        Digest of the kit, for the records of a history; None where nothing is remembered.
    """

    key: str
    player: str
    label: str
    question: Question
    present: str
    ball: str
    sheet: str
    metric: bool
    notes: tuple[str, ...]
    remember: str | None = None


def digest(words: Iterable[str]) -> str:
    """SHA-256 of several texts, each with its length before it."""
    total = hashlib.sha256()
    for word in words:
        data = word.encode("utf-8", "surrogatepass")
        total.update(len(data).to_bytes(8, "big") + data)
    return total.hexdigest()


def score(job: Job) -> Outcome:
    """Score one session.

    Parameters
    ----------
    job : Job

    Returns
    -------
    Outcome
        With the status 'failed' if the program itself is at fault.
    """
    try:
        with using(job.question.assumptions):
            return _score(job)
    except Exception as error:
        return Outcome(rounded(_bare(job, FAILED, f"a fault of fitter itself: {_named(error)}")))


def failed(job: Job, error: BaseException) -> Outcome:
    """Outcome of a job whose worker was lost."""
    return Outcome(rounded(_bare(job, FAILED, f"the worker was lost: {_named(error)}")))


def _named(error: BaseException) -> str:
    return f"{type(error).__name__}: {error}"


def _score(job: Job) -> Outcome:
    question, notes = replace(job.question, session=_session(job)), list(job.notes)
    try:
        own = shots_of(question.session, question.kit, question.present, job.present)
        question = replace(question, session=own)
        # What would turn a verdict stands on sheets alone, and takes half of the time.
        ranking = rank(question, flips=bool(job.sheet))
    except FitterError as error:
        status = FEW if isinstance(error, DataError) else UNRANKED
        row = _bare(job, status, sentence([error.message, *map(str, error.problems)]))
        row = replace(row, notes=sentence([*question.session.notices, *notes]))
        return Outcome(rounded(replace(row, **_measured(question))))
    row = ranked(_bare(job, RANKED, ""), ranking)
    page = b""
    if job.sheet:
        given = Settings(
            metric=job.metric,
            where=question.conditions,
            there=question.measured_in,
            local_length_rule=question.offer.local_length_rule,
        )
        try:
            page = render.pdf(content(ranking, ranking.shots, given))
            row = replace(row, sheet=f"{job.sheet}.pdf")
        except Exception as error:
            notes.append(f"no sheet could be printed: {_named(error)}")
    row = replace(row, notes=sentence(dict.fromkeys([*noted(ranking.notes), *notes])))
    memory = None if job.remember is None else _records(job, ranking)
    return Outcome(rounded(row), option_rows(row, ranking), page, memory)


def _records(job: Job, ranking: Ranking) -> Remembered:
    """Records of a session: the player's own rows of the log, and what was recommended."""
    source = Source(Path(job.label), present=job.present, alone=False, kit_digest=job.remember or "")
    return decision(ranking, source)


def _session(job: Job) -> Session:
    """Session under the player's code, which stands on the sheet, and with the ball of the roster."""
    session = replace(job.question.session, player=job.player)
    if job.ball and not session.has("ball"):
        words = dict(session.words) | {"ball": (job.ball,) * len(session)}
        session = replace(session, words=MappingProxyType(words))
    return session


def _bare(job: Job, status: str, reason: str) -> PlayerRow:
    session = job.question.session
    return PlayerRow(
        player=job.player, session=job.label, status=status, hand=session.hand, present=job.present,
        club=job.question.present.code, ball=job.ball or next(filter(None, session.word("ball")), ""),
        shots=len(session), reason=reason, objective=job.question.goal.objective, notes=sentence(job.notes),
    )  # fmt: skip


def _measured(question: Question) -> dict[str, Any]:
    """Fields of a session that nothing can be ranked for: carry and losses as far as its channels allow."""
    question = question.right_handed()
    there = question.measured_in or question.conditions
    session, head = question.session, present_head(question.present)
    with suppress(FitterError):
        session = screened(session, head, there)
    kept = session.kept()
    speeds = kept.value("club_speed_mps")
    speeds = speeds[np.isfinite(speeds)]
    found: dict[str, Any] = {
        "used": len(kept),
        "set_aside": len(session) - len(kept),
        "aside_reasons": all_aside(session),
        "club_speed_mps": float(speeds.mean()) if len(speeds) else None,
    }
    carry, source = kept.value("carry_m"), "measured"
    if not np.isfinite(carry).any():
        carry, source = _flown(kept, there), "flight"
    carry = carry[np.isfinite(carry)]
    if len(carry):
        weak = weak_carry(carry, question.draws, question.seed)
        found |= {"carry_m": float(carry.mean()), "weak_carry_m": weak, "carry_from": source}
    if session.has("ball_speed_mps") and session.has("spin_rpm"):
        with suppress(FitterError):
            found |= largest(losses(infer(session, head), there))
    return found


def _flown(kept: Session, there: Conditions) -> Any:
    """Carry of measured starts, m, NaN where a start is not complete."""
    out = np.full(len(kept), np.nan)
    channels = [kept.value(n) for n in ("ball_speed_mps", "launch_deg", "spin_rpm")]
    for i in np.flatnonzero(np.isfinite(channels).all(axis=0)):
        speed, launch, spin = (float(c[i]) for c in channels)
        out[i] = fly(speed, launch, spin, conditions=there).carry_m
    return out
