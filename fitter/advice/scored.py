"""Options with everything that is predicted of them: gains with intervals, probabilities, thresholds."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitter.advice.baseline import Note
from fitter.advice.options import TIERS, Option
from fitter.advice.prediction import Prediction
from fitter.base.assumptions import current
from fitter.base.units import DEG, YARD
from fitter.kit.body import swing_name

Floats = NDArray[np.float64]

LOW, MID, HIGH = 0.1, 0.5, 0.9
"""An 80 % interval and its middle."""

DIRECTION = "direction and curve"
"""The cause whose change has a side."""


class Gain(NamedTuple):
    """A difference from the present club: mean and ends of the 80 and 95 % intervals."""

    mean: float
    low: float
    high: float
    low95: float
    high95: float


class Span(NamedTuple):
    """A figure: lower end of its 80 % interval, mean, upper end."""

    low: float
    mid: float
    high: float


@dataclass(frozen=True)
class Balance:
    """What an option changes against the present club, draw by draw: every side of it, whatever is asked for.

    Parameters
    ----------
    carry_m, total_m : Span
    spread_m : Span or None
        Of the SD of the side about its own mean, where balls finish: wider is positive. None, as the next
        two, when no direction was measured.
    fairway : Span or None
        Share of the balls in the fairway.
    strokes : Span or None
        Strokes a hole: fewer, which is better, are negative.
    """

    carry_m: Span
    total_m: Span
    spread_m: Span | None
    fairway: Span | None
    strokes: Span | None


@dataclass(frozen=True)
class Finish:
    """Expected finish of one shot at the aim, mean over the draws: m, side right positive."""

    shot: int
    carry_m: float
    total_m: float
    side_m: float
    total_side_m: float


@dataclass(frozen=True)
class Reason:
    """One cause: by how much the start changes, and what that adds to the objective.

    Parameters
    ----------
    cause : str
        Key of `reasons.CAUSES`.
    change : float
        Mean change of the start: m/s, deg, rpm, or deg of direction.
    unit : str
        Of the change.
    value : float
        Share of the expected gain, in the objective's unit; the causes add up to the gain.
    carry_m : float
        The same of the carry, m.
    """

    cause: str
    change: float
    unit: str
    value: float
    carry_m: float


@dataclass(frozen=True)
class Scored:
    """One option with everything that is predicted of it; m, deg, rpm as the names say.

    A left-handed player's sides are still in the right-handed frame here; `display.serialise` mirrors them.

    Parameters
    ----------
    p_better, p_worthwhile : float
        Probability of any gain, and of one that reaches the threshold, against the present club alone.
    p_best : float
        Probability that it is the best of the set that was predicted together: the present club and the
        options computed in full (`Ranking.options`).
    tied : bool
        Whether it cannot be told apart from the best of that set.
    expected_loss : float
        Mean by which the best of that set in a draw beats this one, in the objective's unit.
    loss_if_wrong : float
        Mean loss against the present club over the draws in which this option is worse.
    law_gains : dict of str to float
        Expected gain if one ball law is true.
    robust : bool
        Whether every law in play gives the gain the same sign.
    offline_mean_m : float or None
        Side of the middle of the balls that come to rest, right +, before any aim; None, as all that follows,
        when no direction was measured.
    across, along : Span or None
        SDs of side and total distance about their own means, m: what aim cannot mend.
    across_change, along_change : Span or None
        Against the present club.
    aim_shift_m : float or None
        Mean aim, right +, as it is printed.
    fairway, fairway_first : Span or None
        Share of the balls in the fairway at an aim as some balls tell it, and at the printed aim before a
        ball is hit with the club (`pattern.Pattern.aim`).
    strokes : Span or None
        A hole, at that aim.
    balance : Balance
    others : dict of str to (float, Gain)
        Value and gain under the other objectives, by name.
    start_deg, curve_m, right_share : float or None
        Mean start direction, mean curve from that line to the finish, share of balls that finish right of the
        target, all at the aim; right positive, None when no direction was measured.
    withheld : tuple of Note
        What stands against changing to it, whatever it promises.
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
    offline_mean_m: float | None
    across: Span | None
    across_change: Span | None
    along: Span | None
    along_change: Span | None
    aim_shift_m: float | None
    fairway: Span | None
    fairway_first: Span | None
    strokes: Span | None
    balance: Balance
    value: float
    value_gain: Gain
    threshold: float
    p_better: float
    p_best: float
    p_worthwhile: float
    information: float
    tied: bool
    reasons: tuple[Reason, ...] = ()
    expected_loss: float = 0.0
    loss_if_wrong: float = 0.0
    law_gains: dict[str, float] = field(default_factory=dict)
    robust: bool = True
    others: dict[str, tuple[float, Gain]] = field(default_factory=dict)
    start_deg: float | None = None
    curve_m: float | None = None
    right_share: float | None = None
    withheld: tuple[Note, ...] = ()
    finish: tuple[Finish, ...] = ()

    @property
    def offline_sd_m(self) -> float | None:
        """Expected SD of the side about its own mean, m."""
        return None if self.across is None else self.across.mid

    @property
    def offline_sd_change_m(self) -> float | None:
        """Its expected change against the present club, m."""
        return None if self.across_change is None else self.across_change.mid


def gains(values: Floats) -> list[Gain]:
    """Summarise differences from the first column, shape (draws, options), option by option."""
    d = values - values[:, :1]
    ends = np.quantile(d, [LOW, HIGH, 0.025, 0.975], axis=0)
    return [Gain(float(m), *map(float, e)) for m, e in zip(d.mean(axis=0), ends.T, strict=True)]


def best_of_tiers(options: Iterable[Scored], each: int = 1, also: Collection[str] = ()) -> tuple[Scored, ...]:
    """Best clubs of each tier by expected gain, every club in its best set-up.

    Parameters
    ----------
    options : iterable of Scored
        The present club does not count.
    each : int
        Clubs of each tier.
    also : collection of str
        Ids of options that stand beside them.

    Returns
    -------
    tuple of Scored
        Cheapest tier first, then by expected gain.
    """
    best: dict[str, dict[tuple[object, ...], Scored]] = {tier: {} for tier in TIERS}
    ranked = sorted((s for s in options if s.option.tier in best), key=lambda s: -s.value_gain.mean)
    for s in ranked:
        clubs = best[s.option.tier]
        if len(clubs) < each:
            clubs.setdefault(s.option.built, s)
    kept = {s.option.id for clubs in best.values() for s in clubs.values()} | set(also)
    return tuple(s for tier in TIERS for s in ranked if s.option.tier == tier and s.option.id in kept)


def tier_worth(tier: str, carry_m: float, yard: float) -> float:
    """Smallest worthwhile gain of a tier, a yard's worth given: in proportion to carry."""
    a = current()
    if tier == "-":
        return 0.0
    scale = carry_m / YARD / a.value("verdict.reference_carry_yd") * yard
    return a.value(f"verdict.tier_{tier.lower()}") * scale


def spans(values: Floats) -> list[Span]:
    """Mean and 80 % interval of each column, (draws, options)."""
    low, high = np.quantile(values, [LOW, HIGH], axis=0)
    return [Span(*map(float, row)) for row in zip(low, values.mean(axis=0), high, strict=True)]


def balances(p: Prediction) -> list[Balance]:
    """What every option changes against the present club."""
    known = p.replay.baseline.has_direction

    def change(values: Floats, there: bool = True) -> Sequence[Span | None]:
        return spans(values - values[:, :1]) if there else [None] * values.shape[1]

    carry, total = spans(p.carry - p.carry[:, :1]), spans(p.total - p.total[:, :1])
    beside = (change(values, known) for values in (p.across, p.fairway, p.strokes))
    return [Balance(*row) for row in zip(carry, total, *beside, strict=True)]


def information(net: Floats) -> Floats:
    """Value of knowing each option's net gain before deciding, option by option, shape (options,).

    Two choices, change or keep: ``E[max(g, 0)] - max(E[g], 0)`` of the gain less its threshold, over draws of
    shape (draws, options).
    """
    return np.asarray(np.maximum(net, 0.0).mean(axis=0) - np.maximum(net.mean(axis=0), 0.0))


def score(p: Prediction) -> list[Scored]:
    """Summaries of every option, in the order of the prediction."""
    d = p.gain
    carry_m = float(p.carry[:, 0].mean())
    limit = np.array([tier_worth(o.tier, carry_m, p.yard) for o in p.options])
    leader = int(np.argmax(d.mean(axis=0)))
    best = np.bincount(np.argmax(d, axis=1), minlength=d.shape[1]) / len(d)
    worse = np.minimum(d, 0.0)
    m = p.changes.centre
    columns: dict[str, Floats] = {
        "loft_deg": m.loft[0] / DEG,
        "face_angle_deg": m.soled_face[0] / DEG,
        "lie_deg": m.lie[0] / DEG,
        "length_m": m.length[0],
        "total_mass_g": m.mass[0] * 1e3,
        "carry_m": p.carry.mean(axis=0),
        "total_m": p.total.mean(axis=0),
        "weak_carry_m": p.weak.mean(axis=0),
        "value": p.value.mean(axis=0),
        "threshold": limit,
        "p_better": (d > 0.0).mean(axis=0),
        "p_best": best,
        "p_worthwhile": np.where(np.arange(d.shape[1]) > 0, (d >= limit).mean(axis=0), 0.0),
        "information": information(d - limit),
        "expected_loss": d.max(axis=1).mean() - d.mean(axis=0),
        "loss_if_wrong": -worse.sum(axis=0) / np.maximum((worse < 0.0).sum(axis=0), 1),
    }
    table = np.stack(list(columns.values()), axis=-1).tolist()
    rows: list[dict[str, Any]] = [dict(zip(columns, row, strict=True)) for row in table]
    ends = {k: np.quantile(v, [LOW, MID, HIGH], axis=0).T.tolist() for k, v in p.channels.items()}
    tied = (d >= d[:, [leader]]).mean(axis=0) >= current().value("verdict.tie")
    gained = zip(gains(p.carry), gains(p.total), gains(d), strict=True)
    by_law = law_gains(p, d)
    return [
        Scored(
            option=option,
            swing_weight=swing_name(float(m.points[0, i])),
            predicted={k: (v[i][0], v[i][1], v[i][2]) for k, v in ends.items()},
            carry_gain=carry,
            total_gain=total,
            value_gain=value,
            balance=balance,
            **pattern,
            tied=bool(tied[i]) or i == leader,
            law_gains={name: float(g[i]) for name, g in by_law.items()},
            robust=all((g[i] > 0.0) == (value.mean > 0.0) for g in by_law.values()),
            withheld=crooked(row["face_angle_deg"], rows[0]["face_angle_deg"]),
            **row,
        )
        for i, (option, row, (carry, total, value), balance, pattern) in enumerate(
            zip(p.options, rows, gained, balances(p), patterns(p), strict=True)
        )
    ]


def crooked(face_deg: float, present_deg: float) -> tuple[Note, ...]:
    """What stands against a face that soles less square than is ordinary, and than the present one."""
    far = abs(face_deg) > max(current().value("ordinary.face_angle_deg"), abs(present_deg))
    return (Note("face", (face_deg,)),) if far else ()


PATTERN = (
    "offline_mean_m", "aim_shift_m", "across", "across_change", "along", "along_change", "fairway",
    "fairway_first", "strokes",
)  # fmt: skip
"""Fields of `Scored` that say where the balls finish."""


def patterns(p: Prediction) -> list[dict[str, Any]]:
    """Those fields of every option, None each when no direction was measured."""
    if not p.replay.baseline.has_direction:
        return [dict.fromkeys(PATTERN)] * len(p.options)
    middle, aim = (values.mean(axis=0).tolist() for values in (p.middle, p.aim))
    across, along, fairway, first, strokes = map(spans, (p.across, p.along, p.fairway, p.first, p.strokes))
    wider, longer = (spans(values - values[:, :1]) for values in (p.across, p.along))
    rows = zip(middle, aim, across, wider, along, longer, fairway, first, strokes, strict=True)
    return [dict(zip(PATTERN, row, strict=True)) for row in rows]


def law_gains(p: Prediction, d: Floats) -> dict[str, Floats]:
    """Expected gain of each option (options,) under every law that carries some weight."""
    drawn, least = p.replay.drawn, current().value("verdict.law_share")
    return {
        name: d[drawn.law == k].mean(axis=0)
        for k, name in enumerate(drawn.names)
        if (drawn.law == k).mean() >= least
    }
