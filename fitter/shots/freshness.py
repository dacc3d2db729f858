"""Warm-up and tiredness, found in the order of the shots, and the fresh line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.shots.infer.delivery import Delivery
from fitter.shots.session import Session

Floats = NDArray[np.float64]

WARM = ("warm", "einschlag", "echauffement", "échauffement", "calent")
"""How a note begins that calls a shot warm-up."""


@dataclass(frozen=True)
class Freshness:
    """Speed by shot order, n shots; shots of another intent are never pooled.

    Parameters
    ----------
    peak_mps, line_mps : ndarray, shape (n,)
        The day's peak club speed among shots of the same intent, and the fresh line; NaN where unknown.
    tired : ndarray of bool, shape (n,)
        Shots under the fresh line.
    warm_up : ndarray of bool, shape (n,)
        Shots before the speed stepped up for good.
    warm_up_gain_mps : float
        How far it stepped up; 0 without a warm-up.
    trend_mps, trend_sd_mps : float
        Change of speed from one shot to the next after the warm-up, and its SD; NaN with too few shots.
    cautions : tuple of str
        Sentences that the reader should see; one slow swing between fast ones is marked, no more.
    spent : ndarray of bool, shape (n,)
        Shots after the speed fell for good.
    spent_loss_mps : float
        How far it fell; 0 where it did not.
    """

    peak_mps: Floats
    line_mps: Floats
    tired: NDArray[np.bool_]
    warm_up: NDArray[np.bool_]
    warm_up_gain_mps: float
    trend_mps: float
    trend_sd_mps: float
    cautions: tuple[str, ...]
    spent: NDArray[np.bool_]
    spent_loss_mps: float

    @property
    def stale(self) -> NDArray[np.bool_]:
        """Shots that describe another swing than the fresh one: warm-up, and those after the speed fell."""
        return self.warm_up | self.spent


def freshness(session: Session, delivery: Delivery | None = None) -> Freshness:
    """Find warm-up and tiredness in the order of a session's shots.

    Parameters
    ----------
    session : Session
        n shots; those set aside count for nothing.
    delivery : Delivery, optional
        Inferred from that session: its club speeds are less noisy than the measured ones, whose highest value
        is a lucky reading.

    Returns
    -------
    Freshness
    """
    a = current()
    n = len(session)
    speed = session.value("club_speed_mps") if delivery is None else delivery.mean[:, 0]
    known = np.isfinite(speed) & ~session.set_aside
    share = a.value("player.fresh_share") / 100.0
    peak, warm = np.full(n, np.nan), np.zeros(n, dtype=bool)
    intents = np.array(session.word("intent"), dtype=object)
    groups = [known & (intents == word) for word in dict.fromkeys(intents)]
    gain, least = 0.0, int(a.value("player.warm_up_least"))
    for group in groups:
        if group.any():
            peak[group] = speed[group].max()
    noted = [w.casefold().lstrip().startswith(WARM) for w in session.word("note")]
    warm |= known & np.array(noted, dtype=bool)
    groups = [g & ~warm for g in groups]
    largest = max(groups, key=lambda g: int(g.sum()), default=known)
    at = np.flatnonzero(largest)
    step = _step(speed[at], least)
    if step:
        warm[: at[step]] |= largest[: at[step]]
        gain = float(speed[at[step:]].mean() - speed[at[:step]].mean())
    trend, trend_sd = _trend(session.shot[at[step:]].astype(np.float64), speed[at[step:]], least)
    spent, loss = np.zeros(n, dtype=bool), 0.0
    after = at[step:]
    # Warm-up and tiredness by one rule: the same, seen from the last shot.
    end = len(after) - _step(speed[after][::-1], least)
    if end < len(after):
        spent[after[end] :] = largest[after[end] :]
        loss = float(speed[after[:end]].mean() - speed[after[end:]].mean())
    line = share * peak
    tired = np.zeros(n, dtype=bool)
    tired[known] = speed[known] < line[known]
    tired &= ~warm
    cautions = _cautions(session, known, tired, warm, spent)
    return Freshness(peak, line, tired, warm, gain, trend, trend_sd, cautions, spent, loss)


def _step(speed: Floats, least: int) -> int:
    """Shots before the speed stepped up for good, 0 without a step.

    Two means against one by the Bayesian information criterion (Schwarz 1978, Ann. Statist. 6, 461-464); the
    place of the step counts as two parameters, since it was looked for (Zhang & Siegmund 2007, Biometrics 63,
    22-32, find that a change point costs more than the one that the criterion allows it).
    """
    n = len(speed)
    if n < 2 * least:
        return 0
    whole = float(((speed - speed.mean()) ** 2).sum())
    best, place = whole, 0
    for k in range(2, n - least + 1):
        before, after = speed[:k], speed[k:]
        rest = float(((before - before.mean()) ** 2).sum() + ((after - after.mean()) ** 2).sum())
        if rest < best and after.mean() > before.mean():
            best, place = rest, k
    better = n * np.log(whole / best) > 3.0 * np.log(n) if best > 0.0 else place > 0
    return place if better else 0


def _trend(order: Floats, speed: Floats, least: int) -> tuple[float, float]:
    """Least-squares slope and its standard error (closed form); NaN with too few shots."""
    n = len(speed)
    if n < max(least, 3):
        return float("nan"), float("nan")
    t = order - order.mean()
    slope = float(t @ speed / (t @ t))
    rest = speed - speed.mean() - slope * t
    return slope, float(np.sqrt(rest @ rest / (n - 2) / (t @ t)))


def _cautions(
    session: Session,
    known: NDArray[np.bool_],
    tired: NDArray[np.bool_],
    warm: NDArray[np.bool_],
    spent: NDArray[np.bool_],
) -> tuple[str, ...]:
    said = []
    if warm.any():
        last = int(session.shot[warm].max())
        said.append(f"Shots up to {last} are warm-up: compare clubs on the shots after them.")
    if spent.any():
        first = int(session.shot[spent].min())
        said.append(
            f"From shot {first} on, club speed fell for good ({int(spent.sum())} shots): stop the block of "
            "full swings there. Tired swings spoil the comparison, and they are a risk to the body."
        )
        return tuple(said)
    order = np.flatnonzero(known)
    twice = tired[order][:-1] & tired[order][1:]
    if twice.any():
        first = int(session.shot[order[np.flatnonzero(twice)[0]]])
        share = current().value("player.fresh_share")
        said.append(
            f"From shot {first} on, speed falls under the fresh line ({share:.0f} % of the day's peak club "
            f"speed), in {int(tired.sum())} shots: stop the block of full swings there. Tired swings spoil "
            "the comparison, and they are a risk to the body."
        )
    return tuple(said)
