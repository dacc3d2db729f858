"""Rows of a batch: one of a session, one of an option, each value with where it comes from."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, fields, replace
from typing import Any, TypeVar

import numpy as np

from fitter.advice.losses import Loss
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored, best_of_tiers
from fitter.advice.verdict import worth_a_fitting
from fitter.base.units import INCH, METRIC
from fitter.display import levers
from fitter.display import verdict as sentences
from fitter.display.notes import breach
from fitter.display.shots import all_aside
from fitter.display.values import Values
from fitter.remember.visit import Remembered

Row = TypeVar("Row", "PlayerRow", "OptionRow")
DIGITS = 4
"""Digits after the point of every number: more than anybody measures, fewer than processors differ in."""
RANKED = "ranked"
FEW = "too few to rank"
UNRANKED = "not ranked"
BROKEN = "broken file"
FAILED = "failed"
STATUSES = {
    RANKED: "everything that the log can carry",
    FEW: "fewer shots than a ranking needs: carry and losses alone",
    UNRANKED: "the log lacks what a ranking needs: carry and losses where they can be told",
    BROKEN: "the file could not be read",
    FAILED: "a fault of the program, not of the file",
}
"""What may stand under 'status', and what it means."""


def _from(get: Callable[[Ranking], Any], otherwise: Any = None) -> Any:
    """Field that a ranking fills; ``otherwise`` without one."""
    return field(default=otherwise, metadata={"get": get})


def _balance(name: str, end: str = "mid") -> Any:
    """Field of a figure of the balance of the option that the verdict names."""

    def get(ranking: Ranking) -> float | None:
        span = None if ranking.named is None else getattr(ranking.named.balance, name)
        return None if span is None else float(getattr(span, end))

    return _from(get)


def _option(get: Callable[[Scored], Any]) -> Any:
    """Field of an option that is not the attribute of the same name."""
    return field(metadata={"get": get})


@dataclass(frozen=True)
class PlayerRow:
    """One session of one player in one line; None, or '', where nothing can be said.

    Distances in m and speeds in m/s; gains in ``gain_unit``, with the ends of their 80 % intervals.

    Parameters
    ----------
    player, session, hand, present, club, ball : str
        Code of the roster, else the name in the log; the file; hand; present club as the roster has it, and
        under its id in the options; ball.
    status : str
        Key of `STATUSES`.
    shots, used, set_aside : int
        Shots in the log, kept, set aside as misreads.
    aside_reasons : str
        Number of each shot set aside, and why.
    carry_m, weak_carry_m : float or None
        Mean and 20th percentile with the present club.
    carry_from : str
        'replay' (the model through the measured shots), 'measured' (of the log) or 'flight' (of the starts).
    club_speed_mps : float or None
        Mean of the kept shots.
    loss_cause, loss_remedy : str
        What costs the most carry, and the change that was tried.
    loss_m : float or None
        Carry that it costs.
    objective, gain_unit : str
        What the gains are gains of.
    best_a, best, best_tier : str
        Best option of tier A and of all, by expected gain.
    worth : str
        Worth a fitting: 'yes', 'perhaps', 'no', or '' without a ranking; see `verdict.worth_a_fitting`.
    p_worth : float or None
        The probability behind ``worth``.
    measure_first : str
        The step that saves most doubt a minute.
    action, option, text, text_metric : str
        The verdict: change, trade, keep, test or measure; its option; its sentence in yards and in metres.
    carry_change_m, total_change_m, spread_change_m, fairway_change, strokes_change : float or None
        What the option that the verdict names changes against the present club, with the ends of their 80 %
        intervals (`scored.Balance`).
    reason, notes : str
        Why it is not ranked; what to know before trusting a number.
    sheet : str
        File of the sheet in the folder of sheets.
    """

    player: str
    session: str
    status: str
    hand: str = ""
    present: str = ""
    club: str = ""
    ball: str = ""
    shots: int = 0
    used: int = _from(lambda r: r.counts["shots"] - r.counts["set_aside"], 0)
    set_aside: int = _from(lambda r: r.counts["set_aside"], 0)
    aside_reasons: str = _from(lambda r: all_aside(r.shots), "")
    carry_m: float | None = _from(lambda r: r.present.carry_m)
    weak_carry_m: float | None = _from(lambda r: r.present.weak_carry_m)
    carry_from: str = _from(lambda r: "replay", "")
    club_speed_mps: float | None = _from(lambda r: r.present.predicted["club_speed_mps"][1])
    loss_cause: str = ""
    loss_m: float | None = None
    loss_remedy: str = ""
    objective: str = ""
    gain_unit: str = _from(lambda r: r.objective.unit, "")
    best_a: str = ""
    best_a_gain: float | None = None
    best_a_gain_low: float | None = None
    best_a_gain_high: float | None = None
    best: str = ""
    best_tier: str = ""
    best_gain: float | None = None
    best_gain_low: float | None = None
    best_gain_high: float | None = None
    worth: str = _from(lambda r: worth_a_fitting(r.verdict)[0], "")
    p_worth: float | None = _from(lambda r: worth_a_fitting(r.verdict)[1])
    measure_first: str = _from(lambda r: sentences.step(r.next[0], Values.of(r)) if r.next else "", "")
    action: str = _from(lambda r: r.verdict.action, "")
    option: str = _from(lambda r: r.verdict.option or "", "")
    text: str = _from(lambda r: sentences.verdict(r), "")
    text_metric: str = _from(lambda r: sentences.verdict(r, METRIC), "")
    carry_change_m: float | None = _balance("carry_m")
    carry_change_low_m: float | None = _balance("carry_m", "low")
    carry_change_high_m: float | None = _balance("carry_m", "high")
    total_change_m: float | None = _balance("total_m")
    total_change_low_m: float | None = _balance("total_m", "low")
    total_change_high_m: float | None = _balance("total_m", "high")
    spread_change_m: float | None = _balance("spread_m")
    spread_change_low_m: float | None = _balance("spread_m", "low")
    spread_change_high_m: float | None = _balance("spread_m", "high")
    fairway_change: float | None = _balance("fairway")
    fairway_change_low: float | None = _balance("fairway", "low")
    fairway_change_high: float | None = _balance("fairway", "high")
    strokes_change: float | None = _balance("strokes")
    strokes_change_low: float | None = _balance("strokes", "low")
    strokes_change_high: float | None = _balance("strokes", "high")
    reason: str = ""
    notes: str = ""
    sheet: str = ""

    @property
    def scored(self) -> bool:
        """Whether the line says anything of the player's ball."""
        return self.status == RANKED or self.carry_m is not None


@dataclass(frozen=True, kw_only=True)
class OptionRow:
    """One possible change of one player, computed in full; distances in m.

    The present club stands first, with tier 'present'. `p_best` and `tied` hold among a session's rows.
    Fields have the names and meanings of `fitter.advice.scored.Scored`.
    """

    player: str
    session: str
    id: str = _option(lambda s: s.option.id)
    tier: str = _option(lambda s: "present" if s.option.tier == "-" else s.option.tier)
    head: str = _option(lambda s: s.option.club.head.code)
    setting: float = _option(lambda s: s.option.club.loft_change_deg)
    loft_deg: float
    face_angle_deg: float
    lie_deg: float
    shaft: str = _option(lambda s: s.option.club.shaft.code)
    length_in: float = _option(lambda s: s.length_m / INCH)
    ball_forward_mm: float = _option(lambda s: s.option.ball_forward_mm)
    tee_mm: float = _option(lambda s: s.option.tee_mm)
    swing_weight: str
    total_mass_g: float
    club_speed_mps: float = _option(lambda s: s.predicted["club_speed_mps"][1])
    ball_speed_mps: float = _option(lambda s: s.predicted["ball_speed_mps"][1])
    launch_deg: float = _option(lambda s: s.predicted["launch_deg"][1])
    spin_rpm: float = _option(lambda s: s.predicted["spin_rpm"][1])
    apex_m: float = _option(lambda s: s.predicted["apex_m"][1])
    carry_m: float
    carry_gain_m: float = _option(lambda s: s.carry_gain.mean)
    carry_gain_low_m: float = _option(lambda s: s.carry_gain.low)
    carry_gain_high_m: float = _option(lambda s: s.carry_gain.high)
    total_gain_m: float = _option(lambda s: s.total_gain.mean)
    weak_carry_m: float
    offline_sd_m: float | None
    offline_sd_change_m: float | None
    fairway: float | None = _option(lambda s: s.fairway and s.fairway.mid)
    fairway_change: float | None = _option(lambda s: s.balance.fairway and s.balance.fairway.mid)
    strokes: float | None = _option(lambda s: s.strokes and s.strokes.mid)
    strokes_change: float | None = _option(lambda s: s.balance.strokes and s.balance.strokes.mid)
    gain: float = _option(lambda s: s.value_gain.mean)
    gain_low: float = _option(lambda s: s.value_gain.low)
    gain_high: float = _option(lambda s: s.value_gain.high)
    gain_unit: str
    threshold: float
    p_better: float
    p_best: float
    p_worthwhile: float
    tied: bool
    availability: str = _option(lambda s: s.option.availability)
    price: float | None = _option(lambda s: s.option.price)
    rules: str = _option(lambda s: sentence(map(breach, s.option.rules)))


@dataclass(frozen=True)
class Outcome:
    """What one job gives back: plain values only, so that it can travel and be kept."""

    row: PlayerRow
    options: tuple[OptionRow, ...] = ()
    sheet: bytes = b""
    memory: Remembered | None = None


def ranked(row: PlayerRow, ranking: Ranking) -> PlayerRow:
    """Row of a session with everything that its ranking says."""
    best = best_of_tiers(ranking.options)
    values = {f.name: f.metadata["get"](ranking) for f in fields(PlayerRow) if f.metadata}
    values |= largest(ranking.losses)
    if top := max(best, key=lambda s: s.value_gain.mean, default=None):
        values |= _promised("best", top) | {"best_tier": top.option.tier}
    if free := next((s for s in best if s.option.tier == "A"), None):
        values |= _promised("best_a", free)
    return replace(row, **values)


def _promised(name: str, s: Scored) -> dict[str, Any]:
    g = s.value_gain
    return {name: s.option.id, f"{name}_gain": g.mean, f"{name}_gain_low": g.low, f"{name}_gain_high": g.high}


def largest(losses: Iterable[Loss]) -> dict[str, Any]:
    """Fields of the cause that costs the most carry, none without causes."""
    most = max(losses, key=lambda loss: loss.carry_m, default=None)
    if most is None:
        return {}
    return {"loss_cause": most.cause, "loss_m": most.carry_m, "loss_remedy": levers.remedy(most)}


def option_rows(row: PlayerRow, ranking: Ranking) -> tuple[OptionRow, ...]:
    """Present club, options and breaches of a ranking; sides as the player sees them."""
    own: dict[str, Any] = {"player": row.player, "session": row.session, "gain_unit": ranking.objective.unit}
    found = []
    for s in (ranking.present, *ranking.options, *ranking.breaches):
        values = {f.name: _value(s, f.name, f.metadata) for f in fields(OptionRow) if f.name not in own}
        if ranking.hand == "left":
            values["face_angle_deg"] = -values["face_angle_deg"]
        found.append(rounded(OptionRow(**own, **values)))
    return tuple(found)


def _value(s: Scored, name: str, metadata: Any) -> Any:
    value = metadata["get"](s) if metadata else getattr(s, name)
    return float(value) if type(value) is int else value


def rounded(row: Row) -> Row:
    """Row with every number rounded, None for what is no number, and clean words."""
    return replace(row, **{name: _plain(value) for name, value in vars(row).items()})


def _plain(value: Any) -> Any:
    if isinstance(value, float):
        return round(float(value), DIGITS) + 0.0 if np.isfinite(value) else None
    return clean(value) if isinstance(value, str) else value


def clean(words: str) -> str:
    """Words of a file without control characters, line ends and marks that turn the direction of reading.

    Examples
    --------
    >>> clean("P1\\tof\\nthe  day\\x00 \\u202e")
    'P1 of the day?'
    """
    spaced = " ".join(words.split())
    marks = "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"
    kept = (c for c in spaced if c not in marks)
    return "".join("?" if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") else c for c in kept).strip()


def sentence(words: Iterable[str]) -> str:
    """Several remarks as one line."""
    return clean("; ".join(w.strip().rstrip(".") for w in words if w.strip()))
