"""What the gap to a distance is made of: conditions, equipment, strike, launch and spin, attack, speed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.curve import HIGH, LOW, Aim, Curve, Speeds, State
from fitter.advice.losses import attack_step
from fitter.base.units import DEG
from fitter.physics import vectors

Floats = NDArray[np.float64]

LOFTS_DEG = np.arange(-8.0, 8.01, 0.5)
"""Changes of delivered loft that are tried at the same attack."""


@dataclass(frozen=True)
class Part:
    """One part of the gap.

    Parameters
    ----------
    part : str
        'conditions', 'equipment', 'strike', 'strike, the rest', 'launch and spin', 'attack' or 'speed'.
    value_m, low_m, high_m : float
        Mean and 80 % interval over the draws.
    changed : bool
        Whether there is something to change: another air, another loft, speed to train.
    loft_change_deg : float
        Of the delivered loft, for 'launch and spin' and for 'attack'.
    attack_change_deg : float
        For 'attack': what a player may learn (`losses.attack_step`).
    """

    part: str
    value_m: float
    low_m: float
    high_m: float
    changed: bool = True
    loft_change_deg: float = 0.0
    attack_change_deg: float = 0.0


@dataclass(frozen=True)
class Budget:
    """A gap and its parts, in the order in which they are closed.

    Parameters
    ----------
    gap_m : float
        Distance less today's, as measured in the session's own air; the parts add up to it.
    parts : tuple of Part
    trained : Speeds
        Club speed that the distance needs once all other parts are had.
    speed_now_mps : float
        Today's with the club that the budget ends with.
    """

    gap_m: float
    parts: tuple[Part, ...]
    trained: Speeds
    speed_now_mps: float

    @property
    def speed_left_mps(self) -> float | None:
        """Expected club speed that is left to train, m/s; negative where there is some to spare."""
        return None if self.trained.expected is None else self.trained.expected - self.speed_now_mps


def budget(measured: State, states: Sequence[State], aim: Aim) -> Budget:
    """Split the gap in the order in which it can be closed: each part on top of those before.

    The order is that of cost: conditions, equipment, strike, delivered loft, attack, speed. Parts in
    sequence add up exactly and read as a plan, and what each adds depends on nothing that comes later.
    Shapley values would add up too, but would credit a new head with balls that nobody centres yet.

    Parameters
    ----------
    measured : State
        Present club in the session's own air.
    states : sequence of State
        Present club and, if there is one, the best option, where the distance is asked for.
    aim : Aim
    """
    first = measured.today(aim)
    distance, parts = first, []

    def add(part: str, after: Floats, changed: bool = True, loft: float = 0.0, attack: float = 0.0) -> None:
        nonlocal distance
        parts.append(_part(part, after - distance, changed, loft, attack))
        distance = after

    add("conditions", states[0].today(aim), measured is not states[0])
    best = states[-1]
    if len(states) > 1:
        add("equipment", best.today(aim))
    better, centred = _struck(best, better_half(_misses(best))), _struck(best, np.zeros(1))
    add("strike", better.today(aim))
    add("strike, the rest", centred.today(aim))
    loft, lofted = _best_loft(centred, aim)
    add("launch and spin", lofted, bool(loft), loft / DEG)
    attack = attack_step(_attack_deg(centred))
    if attack:
        centred = _raised(centred, attack * DEG)
        loft, lofted = _best_loft(centred, aim)
    add("attack", lofted, bool(attack), loft / DEG, attack)
    left = aim.distance_m - distance
    parts.append(_part("speed", left, bool(left.mean() > 0.0)))
    curve = Curve.of(centred, aim, loft)
    gap = aim.distance_m - float(first.mean())
    return Budget(gap, tuple(parts), curve.needed(aim.distance_m), float(centred.speeds.mean()))


def _part(name: str, gain: Floats, changed: bool = True, loft: float = 0.0, attack: float = 0.0) -> Part:
    low, high = np.quantile(gain, [LOW, HIGH])
    return Part(name, float(gain.mean()), float(low), float(high), changed, loft, attack)


def better_half(miss: Floats) -> Floats:
    """Root mean square miss of the better struck half of the shots over that of all, shape (draws,).

    Parameters
    ----------
    miss : ndarray, shape (draws, shots, 2)
        Strike place from the face centre, m; the half includes the middle shot.

    Examples
    --------
    >>> misses = np.array([[[0.0, 3.0], [4.0, 0.0], [0.0, 5.0], [0.0, 0.0]]])
    >>> better_half(misses).round(3)
    array([0.6])
    """
    square = np.sort((miss**2).sum(axis=2), axis=1)
    half = square[:, : (square.shape[1] + 1) // 2]
    return np.asarray(np.sqrt(half.mean(axis=1) / np.maximum(square.mean(axis=1), 1e-18)))


_PLACE = [vectors.TOE, vectors.HIGH]


def _misses(state: State) -> Floats:
    """Strike places with the club in hand, m, shape (draws, shots, 2)."""
    return np.asarray(state.replay.delivery[..., _PLACE] + state.changed.delivery[:, :1, _PLACE])


def _struck(state: State, share: Floats) -> State:
    """The same shots, each with a share (draws or 1,) of its miss of the face centre."""
    delivery, change = state.replay.delivery.copy(), state.changed.delivery.copy()
    for values in (delivery, change):
        values[..., _PLACE] *= share[:, None, None]
    return replace(
        state,
        replay=replace(state.replay, delivery=delivery),
        changed=replace(state.changed, delivery=change),
    )


def _attack_deg(state: State) -> float:
    """Mean attack with the club in hand, deg."""
    own = (
        state.replay.delivery[..., vectors.ATTACK].mean()
        + state.changed.delivery[:, 0, vectors.ATTACK].mean()
    )
    return float(own) / DEG


def _raised(state: State, more: float) -> State:
    """The same shots with another attack, rad, at the same delivered loft."""
    change = state.changed.delivery.copy()
    change[..., vectors.ATTACK] += more
    return replace(state, changed=replace(state.changed, delivery=change))


def _best_loft(state: State, aim: Aim) -> tuple[float, Floats]:
    """Change of delivered loft with the longest mean, rad, and the distances there (draws,)."""
    tried = [state.today(aim, float(step) * DEG) for step in LOFTS_DEG]
    k = int(np.argmax([values.mean() for values in tried]))
    return float(LOFTS_DEG[k] * DEG), tried[k]
