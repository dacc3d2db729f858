"""One job to its outcome, wherever it runs: what is wrong with a session ends as a line, never as a stop."""

from __future__ import annotations

import os
from dataclasses import replace
from statistics import NormalDist
from types import MappingProxyType
from typing import Any

import numpy as np

from fitter.advice import losses
from fitter.advice.baseline import screened
from fitter.advice.pattern import weak_carry
from fitter.advice.rank import present_head, rank
from fitter.advice.result import Ranking, option_dict
from fitter.advice.scored import HIGH, LOW, REFERENCE_CARRY_YD, Gain, Scored, best_of_tiers
from fitter.advice.scored import worth as worth_of_a_yard
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import DataError, FitterError
from fitter.base.units import INCH, YARD
from fitter.batches import sheets
from fitter.batches.job import Job
from fitter.batches.rows import FAILED, FEW, RANKED, UNRANKED, OptionRow, Outcome, PlayerRow, clean, sentence
from fitter.shots import annotations as shot_settings
from fitter.shots.flagged import all_aside
from fitter.shots.infer.infer import infer
from fitter.shots.session import Session

DIGITS = 4
"""Digits after the point of every number: more than anybody measures, fewer than processors differ in."""


def start_worker(threads: int) -> None:
    """Set up a process of a pool: it leaves Ctrl-C to its parent, dies with it and shares the cores."""
    import multiprocessing
    import signal
    import threading

    os.environ["FITTER_THREADS"] = str(threads)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()

    def follow() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


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
        return _score(job)
    except Exception as error:
        reason = f"a fault of fitter itself: {type(error).__name__}: {error}"
        return Outcome(_round(_bare(job, FAILED, reason)))


def failed(job: Job, error: BaseException) -> Outcome:
    """Outcome of a job whose worker was lost."""
    return Outcome(_round(_bare(job, FAILED, f"the worker was lost: {type(error).__name__}: {error}")))


def worth(ranking: Ranking) -> tuple[str, float]:
    """Whether a player should come for a fitting, and the probability behind it.

    The probability is that of the most promising option to gain what makes a fitting worth its hour: the
    larger of its tier's threshold and ``batch.worth_gain`` (in proportion to carry, as the thresholds are),
    by a normal distribution through the ends of its 80 % interval; what is not known of the present club is
    in that. Where the objective is no distance, yards are turned into its unit as the thresholds are.
    'yes' from ``batch.worth_yes``, 'perhaps' from ``batch.worth_perhaps`` or if the verdict is to change
    something or to measure first, else 'no'.
    """
    a = current()
    least = a.value("batch.worth_gain") * worth_of_a_yard(ranking.objective)
    least *= ranking.present.carry_m / YARD / REFERENCE_CARRY_YD
    p = max((_reaches(o.value_gain, max(o.threshold, least)) for o in ranking.options), default=0.0)
    if p >= a.value("batch.worth_yes"):
        return "yes", p
    if p >= a.value("batch.worth_perhaps") or ranking.verdict.action in ("change", "measure"):
        return "perhaps", p
    return "no", p


def _reaches(gain: Gain, need: float) -> float:
    """Probability that a gain reaches what it needs."""
    within = NormalDist().inv_cdf(HIGH) - NormalDist().inv_cdf(LOW)
    spread = (gain.high - gain.low) / within
    if spread <= 0.0:
        return float(gain.mean >= need)
    return NormalDist(gain.mean, spread).cdf(2.0 * gain.mean - need)


def _score(job: Job) -> Outcome:
    s, notes = job.settings, list(job.notes)
    # The code stands on the sheet, not the name.
    session = replace(job.session, player=job.player)
    if job.ball and not session.has("ball"):
        words = dict(session.words) | {"ball": (job.ball,) * len(session)}
        session = replace(session, words=MappingProxyType(words))
    row = _bare(job, RANKED, "")
    try:
        session = _of_present(session, job.present)
        # What would turn a verdict stands on sheets alone, and takes half of the time.
        air = s.conditions, s.measured_in
        flips = bool(job.sheet)
        ranking = rank(
            session, s.kit, job.club, s.wish, *air, s.draws, s.seed, with_flips=flips, offer=s.offer
        )
    except FitterError as error:
        status = FEW if isinstance(error, DataError) else UNRANKED
        row = replace(row, status=status, reason=_reason(error), notes=sentence([*session.notices, *notes]))
        return Outcome(_round(_with_measured(row, session, job)))
    row = _with_ranking(row, ranking)
    row = _with_losses(row, session, job, ranking)
    options = tuple(
        _option_row(job, ranking, o) for o in (ranking.present, *ranking.options, *ranking.breaches)
    )
    page = b""
    if job.sheet:
        try:
            page = sheets.render(ranking, s)
            row = replace(row, sheet=f"{job.sheet}.pdf")
        except Exception as error:
            notes.append(f"no sheet could be printed: {type(error).__name__}: {error}")
    row = replace(row, notes=sentence(dict.fromkeys([*ranking.notes, *notes])))
    return Outcome(_round(row), options, page)


def _of_present(session: Session, present: str) -> Session:
    """Shots that describe the present club, where the log holds several builds or intents."""
    builds = {b.strip().casefold() for b in session.word("build")}
    named = present if present.strip().casefold() in builds else None
    return session.take(shot_settings.baseline(session, build=named))


def _bare(job: Job, status: str, reason: str) -> PlayerRow:
    return PlayerRow(
        player=job.player, session=job.label, status=status, hand=job.session.hand, present=job.present,
        club=clean(job.club.code),
        ball=job.ball or clean(next(filter(None, job.session.word("ball")), "")), shots=len(job.session),
        reason=sentence([reason]), objective=job.settings.wish.objective, notes=sentence(job.notes),
    )  # fmt: skip


def _reason(error: FitterError) -> str:
    return sentence([error.message, *map(str, error.problems)])


def _mean(values: Any) -> float | None:
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else None


def _screened(session: Session, job: Job) -> Session:
    """Session without the shots that contradict the strike, as far as its channels allow."""
    try:
        return screened(session, present_head(job.club), _there(job))
    except FitterError:
        return session


def _with_measured(row: PlayerRow, session: Session, job: Job) -> PlayerRow:
    """Carry and losses of a session that nothing can be ranked for."""
    session = _screened(session, job)
    kept = session.kept()
    carry, source = kept.value("carry_m"), "measured"
    if not np.isfinite(carry).any() and len(kept):
        carry, source = _flown(kept, job), "flight"
    carry = carry[np.isfinite(carry)]
    row = replace(
        row,
        used=len(kept),
        set_aside=len(session) - len(kept),
        aside_reasons=clean(all_aside(session)),
        club_speed_mps=_mean(kept.value("club_speed_mps")),
    )
    if len(carry):
        row = replace(
            row,
            carry_m=float(carry.mean()),
            weak_carry_m=weak_carry(carry, job.settings.draws, job.settings.seed),
            carry_from=source,
        )
    return _with_losses(row, session, job, None)


def _flown(kept: Session, job: Job) -> Any:
    """Carry of measured starts, m, NaN where a start is not complete."""
    from fitter.simulate.flight import fly

    where = _there(job)
    out = np.full(len(kept), np.nan)
    channels = [kept.value(n) for n in ("ball_speed_mps", "launch_deg", "spin_rpm")]
    for i in np.flatnonzero(np.isfinite(channels).all(axis=0)):
        speed, launch, spin = (float(c[i]) for c in channels)
        out[i] = fly(speed, launch, spin, conditions=where).carry_m
    return out


def _there(job: Job) -> Conditions:
    """Air of the session, in the frame of its values."""
    s = job.settings
    there = s.measured_in or s.conditions or Conditions()
    return there.mirrored() if job.session.hand == "left" else there


def _with_losses(row: PlayerRow, session: Session, job: Job, ranking: Ranking | None) -> PlayerRow:
    """Add the largest loss, by the ranking where it tells them."""
    found = ranking.losses if ranking is not None else ()
    if not found and session.has("ball_speed_mps") and session.has("spin_rpm"):
        try:
            found = losses.losses(infer(session, present_head(job.club)), _there(job))
        except FitterError:
            found = ()
    if not found:
        return row
    most = max(found, key=lambda loss: loss.carry_m)
    return replace(row, loss_cause=most.cause, loss_m=most.carry_m, loss_remedy=most.remedy)


def _with_ranking(row: PlayerRow, ranking: Ranking) -> PlayerRow:
    here, verdict = ranking.present, ranking.verdict
    of_tiers = best_of_tiers(ranking.options)
    best = max(of_tiers, key=lambda o: o.value_gain.mean, default=None)
    best_a = next((o for o in of_tiers if o.option.tier == "A"), None)
    word, p = worth(ranking)
    aside = ranking.counts["set_aside"]
    row = replace(
        row,
        shots=row.shots,
        used=ranking.counts["shots"] - aside,
        set_aside=aside,
        aside_reasons=clean(all_aside(ranking.shots)),
        carry_m=here.carry_m,
        weak_carry_m=here.weak_carry_m,
        carry_from="replay",
        club_speed_mps=here.predicted["club_speed_mps"][1],
        objective=ranking.objective.name,
        gain_unit=ranking.objective.unit,
        worth=word,
        p_worth=p,
        measure_first=clean(ranking.next[0].action) if ranking.next else "",
        action=verdict.action,
        option=verdict.option or "",
        text=clean(verdict.text),
        text_metric=clean(verdict.text_metric),
    )
    if best_a is not None:
        g = best_a.value_gain
        row = replace(
            row, best_a=best_a.option.id, best_a_gain=g.mean, best_a_gain_low=g.low, best_a_gain_high=g.high
        )
    if best is not None:
        g = best.value_gain
        row = replace(
            row, best=best.option.id, best_tier=best.option.tier,
            best_gain=g.mean, best_gain_low=g.low, best_gain_high=g.high,
        )  # fmt: skip
    return row


def _option_row(job: Job, ranking: Ranking, s: Scored) -> OptionRow:
    """One option under the keys of the contract, rounded, sides as the player sees them."""
    sign = -1.0 if ranking.hand == "left" else 1.0
    d = option_dict(s, ranking.objective, sign)
    middle = {name: d["predicted"][name][1] for name in ("club_speed_mps", "ball_speed_mps", "launch_deg",
                                                         "spin_rpm", "apex_m")}  # fmt: skip
    same = {k: v for k, v in d.items() if k in OptionRow.__dataclass_fields__}
    values = same | middle | {
        "player": job.player,
        "session": job.label,
        "tier": "present" if d["tier"] == "-" else d["tier"],
        "length_in": d["length_m"] / INCH,
        "gain": d["value_gain"],
        "gain_low": d["value_gain_low"],
        "gain_high": d["value_gain_high"],
        "gain_unit": d["value_unit"],
        "rules": sentence(d["rules"]),
        "availability": clean(d["availability"]),
    }  # fmt: skip
    return OptionRow(**{k: _rounded(v) for k, v in values.items()})


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, DIGITS) + 0.0 if np.isfinite(value) else None
    return clean(value) if isinstance(value, str) else value


def _round(row: PlayerRow) -> PlayerRow:
    return replace(row, **{k: _rounded(v) for k, v in vars(row).items()})
