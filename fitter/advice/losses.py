"""Where the yards go: what each cause costs a session's carry, if it alone were put right."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.units import DEG
from fitter.physics import engine, vectors
from fitter.shots.infer.delivery import Delivery
from fitter.simulate.flight import spin_ratio

Floats = NDArray[np.float64]

LOFTS_DEG = np.arange(-8.0, 8.01, 0.5)
SPINS = np.arange(0.5, 1.51, 0.05)
"""Changes that are tried for the best loft and the best spin."""


@dataclass(frozen=True)
class Loss:
    """One cause: mean carry that it costs, m, over the laws in play, and what would put it right.

    Parameters
    ----------
    cause : str
        'strike', 'delivered loft', 'spin', 'speed', 'attack' or 'direction and curve'.
    carry_m, low_m, high_m : float
        By the blend, and the smallest and largest by a single law.
    change : float or None
        What would put it right, where it is a change: of the delivered loft at the same attack, deg, of the
        spin at the same launch, as a share, or of the attack, deg.
    at_edge : bool
        Whether that is the last change that was tried, so that the best may lie beyond.
    loft : float or None
        Delivered loft, deg, with which a steeper or flatter attack goes furthest.
    place : (float, float) or None
        Mean strike of the session, mm to the toe and up.
    """

    cause: str
    carry_m: float
    low_m: float
    high_m: float
    change: float | None = None
    at_edge: bool = False
    loft: float | None = None
    place: tuple[float, float] | None = None

    @property
    def lever(self) -> str:
        """Who can mend it: 'club' (head, sleeve, shaft), 'set-up' (ball and feet) or 'swing' (a coach)."""
        return LEVERS[self.cause]


LEVERS = {
    "delivered loft": "club", "spin": "club", "strike": "set-up", "attack": "set-up", "speed": "swing",
    "direction and curve": "swing",
}  # fmt: skip
"""What is not for sale is set-up, tried today with ball and tee, or a coach's work."""


def losses(delivery: Delivery, conditions: Conditions | None = None) -> tuple[Loss, ...]:
    """Cost of strike, loft, spin, uneven speed and direction, each against the session as it was.

    Causes overlap: better strikes also change spin, so the numbers are not to be added. What the strike model
    cannot explain of a shot stays with that shot in every trial.

    Parameters
    ----------
    delivery : Delivery
        n shots; those set aside count for nothing.
    conditions : Conditions, optional
        Air of the session; standard when silent.

    Returns
    -------
    tuple of Loss
        Largest first; empty without kept shots.
    """
    where = conditions or Conditions()
    kept = ~delivery.session.set_aside & ~delivery.misread.any(axis=1)
    if not kept.any():
        return ()
    deed, start = delivery.mean[kept], delivery.start[kept]
    model = worlds.strike_models()[0]
    plain = engine.strikes(deed, delivery.head, model)
    drawn = worlds.central(where)
    weights = worlds.law_weights(drawn.names, spin_ratio(start[:, vectors.SPEED], start[:, vectors.SPIN]))

    def carried(starts: Floats) -> Floats:
        """Mean carry by each law of trials (trials, n, 5): (laws, trials)."""
        trials, n, _ = starts.shape
        out = engine.fly(starts.reshape(-1, vectors.LAUNCH), drawn.world)[..., vectors.CARRY]
        return np.asarray(out.reshape(len(drawn.names), trials, n).mean(axis=2))

    def struck(deeds: Floats) -> Floats:
        """Start of changed deliveries (trials, n, 7), each shot's own residual kept."""
        found = engine.strikes(deeds, delivery.head, model)
        found[..., [vectors.SPEED, vectors.SPIN]] *= (start / plain)[:, [vectors.SPEED, vectors.SPIN]]
        turned = [vectors.ELEVATION, vectors.AZIMUTH, vectors.TILT]
        found[..., turned] += (start - plain)[:, turned]
        return found

    now = carried(start[None])[:, 0]

    def best(trials: Floats) -> tuple[Floats, int]:
        values = carried(trials)
        k = int(np.argmax(weights @ values))
        return values[:, k] - now, k

    centred = deed.copy()
    centred[:, [vectors.TOE, vectors.HIGH]] = 0.0
    straight = deed.copy()
    straight[:, [vectors.PATH, vectors.FACE]] = 0.0
    fast = deed.copy()
    speed = deed[:, vectors.CLUB_SPEED]
    fast[:, vectors.CLUB_SPEED] = speed[speed >= np.median(speed)].mean()
    lofted = np.repeat(deed[None], len(LOFTS_DEG), axis=0)
    lofted[..., vectors.LOFT] += LOFTS_DEG[:, None] * DEG
    step = attack_step(float(deed[:, vectors.ATTACK].mean()) / DEG)
    raised = lofted.copy()
    raised[..., vectors.ATTACK] += step * DEG
    spun = np.repeat(start[None], len(SPINS), axis=0)
    spun[..., vectors.SPIN] *= SPINS[:, None]
    by_loft, at_loft = best(struck(lofted))
    by_spin, at_spin = best(spun)

    def loss(cause: str, gain: Floats, change: float | None = None, at_edge: bool = False) -> Loss:
        return Loss(cause, float(weights @ gain), float(gain.min()), float(gain.max()), change, at_edge)

    toe, high = deed[:, [vectors.TOE, vectors.HIGH]].mean(axis=0) * 1e3
    listed = [
        replace(loss("strike", best(struck(centred[None]))[0]), place=(float(toe), float(high))),
        loss("delivered loft", by_loft, float(LOFTS_DEG[at_loft]), _at_edge(at_loft, LOFTS_DEG)),
        loss("spin", by_spin, float(SPINS[at_spin] - 1.0), _at_edge(at_spin, SPINS)),
        loss("speed", best(struck(fast[None]))[0]),
        loss("direction and curve", best(struck(straight[None]))[0]),
    ]
    if step:
        by_attack, at = best(struck(raised))
        loft = float(deed[:, vectors.LOFT].mean()) / DEG + float(LOFTS_DEG[at])
        listed.append(replace(loss("attack", by_attack, step), loft=loft))
    return tuple(sorted(listed, key=lambda loss: -loss.carry_m))


def attack_step(attack_deg: float) -> float:
    """Change of attack that a player might learn, deg: towards what pays, and 0 where he is there."""
    a = current()
    room = a.value("lever.attack_deg") - attack_deg
    least, most = a.value("lever.least_attack_deg"), a.value("lever.attack_step_deg")
    return float(min(room, most)) if room >= least else 0.0


def _at_edge(at: int, tried: Floats) -> bool:
    return at in (0, len(tried) - 1)
