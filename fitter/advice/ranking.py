"""From predictions to a decision: gains with intervals, ties, and a verdict that may be 'keep'."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.advice.objectives import Objective
from fitter.advice.options import Option
from fitter.advice.predict import Prediction
from fitter.advice.reasons import Reason, reasons
from fitter.assumptions import load
from fitter.kit.build import swing_name
from fitter.kit.club import Club
from fitter.units import DEG, YARD

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
class Scored:
    """One option with everything that is predicted of it; m, deg, rpm as the names say.

    A left-handed player's sides are still in the right-handed frame here; `Ranking.as_dict` mirrors them.
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


@dataclass(frozen=True)
class Verdict:
    """What to do: change, keep or test; the option it names; one plain sentence, in yards and in metres."""

    action: str
    option: str | None
    text: str
    text_metric: str


@dataclass(frozen=True)
class _Say:
    """Distances for people in one unit."""

    unit: str
    scale: float

    def far(self, metres: float) -> str:
        return f"{metres / self.scale:.1f} {self.unit}"

    def ends(self, gain: Gain) -> str:
        low, high = gain.low / self.scale, gain.high / self.scale
        return f"80 % between {low:+.1f} and {high:+.1f} {self.unit}"

    def side(self, s: Scored) -> str:
        if s.offline_sd_change_m is None:
            return "; direction was not measured"
        return f", and its side SD changes by {s.offline_sd_change_m / self.scale:+.1f} {self.unit}"


def _verdict(action: str, option: str | None, sentence: Callable[[_Say], str]) -> Verdict:
    return Verdict(action, option, sentence(_Say("yd", YARD)), sentence(_Say("m", 1.0)))


@dataclass(frozen=True)
class Ranking:
    """A session's decision.

    Parameters
    ----------
    player, hand : str
    present : Scored
    options : tuple of Scored
        Best of each tier first, then by expected gain.
    verdict : Verdict
    objective : Objective
    laws : dict of str to float
        Weight of each ball law.
    notes : tuple of str
        What the reader should know before trusting a number.
    counts : dict of str to int
        Shots, set aside, options, draws.
    """

    player: str
    hand: str
    present: Scored
    options: tuple[Scored, ...]
    verdict: Verdict
    objective: Objective
    laws: dict[str, float]
    notes: tuple[str, ...]
    counts: dict[str, int]

    def as_dict(self) -> dict[str, Any]:
        """Plain values under the keys of the contract, sides as the player sees them."""
        sign = -1.0 if self.hand == "left" else 1.0
        return {
            "session": {"player": self.player, "hand": self.hand, **self.counts, "notes": list(self.notes)},
            "present": option_dict(self.present, self.objective, sign),
            "objective": {
                "name": self.objective.name, "label": self.objective.label, "unit": self.objective.unit,
            },
            "laws": self.laws,
            "options": [option_dict(o, self.objective, sign) for o in self.options],
            "verdict": {
                "action": self.verdict.action, "option": self.verdict.option, "text": self.verdict.text,
            },
            "next": [],
        }  # fmt: skip


def option_dict(s: Scored, objective: Objective, sign: float) -> dict[str, Any]:
    """One option under the keys of the contract; sign -1 mirrors a left-hander's sides back."""

    def side(value: float | None) -> float | None:
        return None if value is None else sign * value + 0.0

    o = s.option
    return {
        "id": o.id,
        "tier": o.tier,
        "head": o.club.head.code,
        "setting": o.club.loft_change_deg,
        "loft_deg": s.loft_deg,
        "face_angle_deg": side(s.face_angle_deg),
        "lie_deg": s.lie_deg,
        "shaft": o.club.shaft.code,
        "length_m": s.length_m,
        "ball_forward_mm": o.ball_forward_mm,
        "tee_mm": o.tee_mm,
        "swing_weight": s.swing_weight,
        "total_mass_g": s.total_mass_g,
        "predicted": {k: list(v) for k, v in s.predicted.items()},
        "carry_m": s.carry_m,
        "carry_gain_m": s.carry_gain.mean,
        "carry_gain_low_m": s.carry_gain.low,
        "carry_gain_high_m": s.carry_gain.high,
        "total_m": s.total_m,
        "total_gain_m": s.total_gain.mean,
        "total_gain_low_m": s.total_gain.low,
        "total_gain_high_m": s.total_gain.high,
        "weak_carry_m": s.weak_carry_m,
        "offline_sd_m": s.offline_sd_m,
        "offline_sd_change_m": s.offline_sd_change_m,
        "aim_shift_m": side(s.aim_shift_m),
        "value": s.value,
        "value_unit": objective.unit,
        "value_gain": s.value_gain.mean,
        "value_gain_low": s.value_gain.low,
        "value_gain_high": s.value_gain.high,
        "value_gain_low95": s.value_gain.low95,
        "value_gain_high95": s.value_gain.high95,
        "threshold": s.threshold,
        "p_better": s.p_better,
        "p_best": s.p_best,
        "p_worthwhile": s.p_worthwhile,
        "information": s.information,
        "tied": s.tied,
        "screened": s.screened,
        "availability": o.availability,
        "price": o.price,
        "rules": list(o.rules),
        "reasons": [
            {"cause": r.cause, "change": r.change, "unit": r.unit, "value": r.value, "carry_m": r.carry_m}
            for r in s.reasons
        ],
    }


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


def order(scored: list[Scored]) -> tuple[Scored, ...]:
    """Best of each tier first, then the rest by expected gain."""
    rest = sorted(scored, key=lambda s: -s.value_gain.mean)
    first: dict[str, Scored] = {}
    for s in rest:
        first.setdefault(s.option.tier, s)
    heads = [first[t] for t in "ABCDE" if t in first]
    return (*heads, *(s for s in rest if all(s is not h for h in heads)))


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


def decide(
    scored: list[Scored], draws: Floats, present: Club, objective: Objective, looked_at: int
) -> Verdict:
    """Change, test or keep.

    Change if the expected gain reaches the tier's threshold and P(gain > 0) is high enough; test if knowing
    the truth of an option that looks better would be worth more than half a yard, its threshold deducted;
    else keep. A club that nobody knows never earns a change. Among options within a yard of the best the
    cheaper tier and the fewer changes at once are preferred.

    Parameters
    ----------
    scored : list of Scored
        The present club first.
    draws : ndarray, shape (draws, options)
        Values of the objective, in the order of scored.
    present : Club
    objective : Objective
    looked_at : int
        Options in all, those of the first look included.
    """
    a = load()
    rows = range(1, len(scored))

    def simplest(i: int) -> tuple[int, int, float]:
        option = scored[i].option
        return "ABCDE".index(option.tier), option.steps(present), -scored[i].value_gain.mean

    sure = [
        i
        for i in rows
        if scored[i].value_gain.mean >= scored[i].threshold
        and scored[i].p_better >= a.value("verdict.probability")
    ]
    if sure:
        best = max(sure, key=lambda i: scored[i].value_gain.mean - scored[i].threshold)
        give = a.value("verdict.indifference") * YARD
        alike = [i for i in sure if float((draws[:, best] - draws[:, i]).mean()) <= give]
        pick = scored[min(alike, key=simplest)]
        if present.known:
            return _verdict(
                "change",
                pick.option.id,
                lambda say: (
                    f"Change to {pick.option.id}: expect {say.far(pick.value_gain.mean)} more "
                    f"{objective.label}, {say.ends(pick.value_gain)}; it is better than the present club "
                    f"with probability {pick.p_better:.2f}{say.side(pick)}."
                ),
            )
        return _verdict(
            "test",
            pick.option.id,
            lambda say: (
                f"Test {pick.option.id} beside the present club before anything is bought: the present "
                f"club's figures are not known, so the expected {say.far(pick.value_gain.mean)} may be "
                "the guess's."
            ),
        )
    worth = a.value("verdict.information") * YARD
    doubtful = [i for i in rows if scored[i].information >= worth and scored[i].value_gain.mean > 0.0]
    if doubtful:
        most = max(scored[i].information for i in doubtful)
        near = [i for i in doubtful if scored[i].information >= most - 0.5 * worth]
        simple = scored[min(near, key=simplest)]
        return _verdict(
            "test",
            simple.option.id,
            lambda say: (
                f"Test {simple.option.id} against the present club: on paper it is "
                f"{say.far(simple.value_gain.mean)} of {objective.label}, {say.ends(simple.value_gain)}; "
                "that is not sure enough to change."
            ),
        )
    if not rows:
        return _verdict("keep", None, lambda _: "Keep the present club: the kit holds nothing else.")
    most_gain = scored[max(rows, key=lambda i: scored[i].value_gain.mean)]
    return _verdict(
        "keep",
        None,
        lambda say: (
            f"Keep the present club: the best of {looked_at} options promises "
            f"{say.far(most_gain.value_gain.mean)} of {objective.label}, {say.ends(most_gain.value_gain)}, "
            f"and would have to reach {say.far(most_gain.threshold)} to be worth it."
        ),
    )
