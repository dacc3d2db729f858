"""Options with everything that is predicted of them: gains with intervals, probabilities, thresholds."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import Objective
from fitter.advice.options import Option
from fitter.advice.predict import Prediction
from fitter.advice.reasons import Reason, reasons
from fitter.assumptions import load
from fitter.kit.build import swing_name
from fitter.units import DEG

Floats = NDArray[np.float64]

LOW, MID, HIGH = 0.1, 0.5, 0.9
"""An 80 % interval and its middle."""
TIE = load().value("verdict.tie")
"""An option is tied with the best while it is better with at least this probability."""
REFERENCE_CARRY_YD = load().value("verdict.reference_carry_yd")
"""Carry at which the thresholds of assumptions.toml stand."""


@dataclass(frozen=True)
class Gain:
    """A difference from the present club: mean and ends of the 80 and 95 % intervals."""

    mean: float
    low: float
    high: float
    low95: float
    high95: float


@dataclass(frozen=True)
class Finish:
    """Expected finish of one shot at the best aim, mean over the draws: m, side right positive."""

    shot: int
    carry_m: float
    total_m: float
    side_m: float
    total_side_m: float


@dataclass(frozen=True)
class Scored:
    """One option with everything that is predicted of it; m, deg, rpm as the names say.

    A left-handed player's sides are still in the right-handed frame here; `Ranking.as_dict` mirrors them.

    Parameters
    ----------
    expected_loss : float
        Mean by which the best option of a draw beats this one, in the objective's unit.
    loss_if_wrong : float
        Mean loss against the present club over the draws in which this option is worse.
    law_gains : dict of str to float
        Expected gain if one ball law is true.
    robust : bool
        Whether every law in play gives the gain the same sign.
    others : dict of str to (float, Gain)
        Value and gain under the other objectives, by name.
    start_deg, curve_m, right_share : float or None
        Mean start direction, mean curve from that line to the finish, share of balls that finish right of the
        target, all at the best aim; right positive, None when no direction was measured.
    finish : tuple of Finish
        Where each shot is expected to finish; of the present club and the best of each tier only.
    """

    option: Option
    loft_deg: float
    face_angle_deg: float
    lie_deg: float
    length_m: float
    swing_weight: str
    total_mass_g: float
    predicted: dict[str, tuple[float, float, float]]
    carry_m: float
    total_m: float
    carry_gain: Gain
    total_gain: Gain
    weak_carry_m: float
    offline_sd_m: float | None
    offline_sd_change_m: float | None
    aim_shift_m: float | None
    value: float
    value_gain: Gain
    threshold: float
    p_better: float
    p_best: float
    p_worthwhile: float
    information: float
    tied: bool
    reasons: tuple[Reason, ...] = ()
    screened: bool = False
    expected_loss: float = 0.0
    loss_if_wrong: float = 0.0
    law_gains: dict[str, float] = field(default_factory=dict)
    robust: bool = True
    others: dict[str, tuple[float, Gain]] = field(default_factory=dict)
    start_deg: float | None = None
    curve_m: float | None = None
    right_share: float | None = None
    finish: tuple[Finish, ...] = ()


def gains(values: Floats) -> list[Gain]:
    """Summarise differences from the first column, shape (draws, options), option by option."""
    d = values - values[:, :1]
    ends = np.quantile(d, [LOW, HIGH, 0.025, 0.975], axis=0)
    return [Gain(float(m), *map(float, e)) for m, e in zip(d.mean(axis=0), ends.T, strict=True)]


def thresholds(options: tuple[Option, ...], carry_m: float) -> Floats:
    """Smallest worthwhile gain of each option, m: by tier, in proportion to carry."""
    a, scale = load(), carry_m / REFERENCE_CARRY_YD
    return np.array(
        [0.0 if o.tier == "-" else a.value(f"verdict.tier_{o.tier.lower()}") * scale for o in options]
    )


def information(net: Floats) -> Floats:
    """Value of knowing each option's net gain before deciding, option by option, shape (options,).

    Two choices, change or keep: ``E[max(g, 0)] - max(E[g], 0)`` of the gain less its threshold, over draws of
    shape (draws, options).
    """
    return np.asarray(np.maximum(net, 0.0).mean(axis=0) - np.maximum(net.mean(axis=0), 0.0))


def score(p: Prediction, objective: Objective) -> list[Scored]:
    """Summaries of every option, in the order of the prediction."""
    values = getattr(p, objective.row)
    d = values - values[:, :1]
    carry_gains, total_gains, value_gains = gains(p.carry), gains(p.total), gains(values)
    limit = thresholds(p.options, float(p.carry[:, 0].mean()))
    best = np.argmax(d, axis=1)
    leader = int(np.argmax(d.mean(axis=0)))
    info = information(d - limit)
    aim, spread = getattr(p, f"{objective.side}_aim"), getattr(p, f"{objective.side}_spread")
    known = p.replay.baseline.has_direction
    ends = {k: np.quantile(v, [LOW, MID, HIGH], axis=0) for k, v in p.channels.items()}
    m = p.changes.centre
    found = []
    for i, option in enumerate(p.options):
        against_leader = float((d[:, i] >= d[:, leader]).mean())
        found.append(
            Scored(
                option=option,
                loft_deg=float(m.loft[0, i] / DEG),
                face_angle_deg=float(m.soled_face[0, i] / DEG),
                lie_deg=float(m.lie[0, i] / DEG),
                length_m=float(m.length[0, i]),
                swing_weight=swing_name(float(m.points[0, i])),
                total_mass_g=float(m.mass[0, i] * 1e3),
                predicted={k: (float(v[0, i]), float(v[1, i]), float(v[2, i])) for k, v in ends.items()},
                carry_m=float(p.carry[:, i].mean()),
                total_m=float(p.total[:, i].mean()),
                carry_gain=carry_gains[i],
                total_gain=total_gains[i],
                weak_carry_m=float(p.weak[:, i].mean()),
                offline_sd_m=float(spread[:, i].mean()) if known else None,
                offline_sd_change_m=float((spread[:, i] - spread[:, 0]).mean()) if known else None,
                aim_shift_m=float(aim[:, i].mean()) if known else None,
                value=float(values[:, i].mean()),
                value_gain=value_gains[i],
                threshold=float(limit[i]),
                p_better=float((d[:, i] > 0.0).mean()),
                p_best=float((best == i).mean()),
                p_worthwhile=float((d[:, i] >= limit[i]).mean()) if i else 0.0,
                information=float(info[i]),
                tied=i == leader or against_leader >= TIE,
            )
        )
    return found


def explain(p: Prediction, scored: list[Scored], objective: Objective, named: str | None) -> list[Scored]:
    """Add the reasons to the best option of each tier and to the one that the verdict names."""
    best: dict[str, int] = {}
    for i, s in enumerate(scored):
        if i and (
            s.option.tier not in best or s.value_gain.mean > scored[best[s.option.tier]].value_gain.mean
        ):
            best[s.option.tier] = i
    wanted = {*best.values(), *(i for i, s in enumerate(scored) if i and s.option.id == named)}
    return [replace(s, reasons=reasons(p, i, objective)) if i in wanted else s for i, s in enumerate(scored)]
