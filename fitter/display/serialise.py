"""Typed results as the JSON of the contract: plain values under its keys, sides as the player sees them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from fitter.advice.scored import DIRECTION, Gain, Scored, Span
from fitter.base.units import METRIC
from fitter.display import doubts, hit, levers, shots
from fitter.display import verdict as sentences
from fitter.display.bench import step_text
from fitter.display.device import device
from fitter.display.notes import breach, noted
from fitter.display.reading import DELIVERED
from fitter.display.text import plain
from fitter.display.values import Values
from fitter.shots.annotations import days, labels
from fitter.shots.vocabulary import POINTS
from fitter.strike_models import OPEN

if TYPE_CHECKING:
    from fitter.advice.audit import Audit
    from fitter.advice.curve import Needed
    from fitter.advice.flips import Flip
    from fitter.advice.losses import Loss
    from fitter.advice.reach import Reach
    from fitter.advice.result import Ranking
    from fitter.base.assumptions import Assumption
    from fitter.display.reading import Reading
    from fitter.kit.build import BuildSheet, ReadBack
    from fitter.shots.session import Session


MIRRORED = frozenset({
    "face_angle_deg", "aim_shift_m", "offline_mean_m", "start_deg", "curve_m", "side_m", "total_side_m",
})  # fmt: skip
"""Keys of an option whose sign flips for a left-handed player; besides these, `right_share` and the change of
the cause that has a side."""

SPREADS = {
    "across": ("offline_sd", "_m"), "across_change": ("offline_sd_change", "_m"),
    "along": ("distance_sd", "_m"), "along_change": ("distance_sd_change", "_m"),
}  # fmt: skip
"""Keys of the SDs of an option: stem, and the unit behind its ends."""


def ranking(found: Ranking) -> dict[str, Any]:
    """A session's decision."""
    objective, left = found.objective, found.hand == "left"
    many = {name: [option(o, objective.unit, left) for o in getattr(found, name)]
            for name in ("options", "breaches")}  # fmt: skip
    verdict, values, metric = found.verdict, Values.of(found), Values.of(found, METRIC)
    heard = found.heard
    if heard is not None:
        for row in many["options"]:
            row["hit"] = heard.hit.get(row["id"], 0)
    return {
        "session": {
            "player": found.player, "hand": found.hand, **found.counts,
            "notes": list(noted(found.notes)), "doubts": _doubts(found.shots),
        },
        "present": option(found.present, objective.unit, left),
        "objective": {
            "name": objective.name, "label": objective.label, "unit": objective.unit,
            "words": sentences.goal(found.question.goal), "strokes_per_yd": found.yard_of_play,
        },
        "laws": found.laws,
        "left_out": {**plain(found.left_out), "unit": objective.unit},
        "options": many["options"],
        "verdict": {
            "action": verdict.action, "option": verdict.option, "text": sentences.verdict(found),
            "why": verdict.why, "losses": list(verdict.losses),
            "withheld": [n.code for n in verdict.withheld],
            "try_now": None if verdict.try_now is None else verdict.try_now.option.id,
            "balance": None if found.named is None else plain(found.named.balance),
        },
        "flips": [_flip(f, (values, metric)) for f in found.flips or ()],
        "holds_with_wide_answers": found.sturdy,
        "next": [
            {"action": sentences.step(s, values), "kind": s.kind, "minutes": s.minutes, "option": s.option,
             "now": s.now, "after": s.after, "unit": s.unit}
            for s in found.next
        ],
        "losses": losses(found.losses),
        "what_if": None
        if found.by_the_change is None
        else {"changes": dict(found.question.what_if.told), "present": plain(found.by_the_change)},
        "flags": _flags(found.shots),
        "left_out_channels": [plain(x) for x in shots.seen(found.shots).left_out],
        "breaches": many["breaches"],
        "not_offered": found.not_offered,
        "alike": [
            {**plain(group), "unit": objective.unit,
             "text": sentences.alike(group, Values(objective), found.present.option.club.shaft.code)}
            for group in found.alike
        ],
        **({} if heard is None else {"belief": hit.told(heard)}),
    }  # fmt: skip


def losses(found: Sequence[Loss]) -> list[dict[str, Any]]:
    """Where the yards go, and what was tried."""
    return [
        {"cause": x.cause, "carry_m": x.carry_m, "low_m": x.low_m, "high_m": x.high_m,
         "remedy": levers.remedy(x), "lever": x.lever}
        for x in found
    ]  # fmt: skip


def _flip(found: Flip, values: tuple[Values, Values]) -> dict[str, Any]:
    now, then = sentences.circumstance(found)
    return {
        "what": found.what, "now": now, "then": then, "action": found.action, "option": found.option,
        "text": sentences.flip(found, values[0]), "text_metric": sentences.flip(found, values[1]),
    }  # fmt: skip


def option(found: Scored, value_unit: str, left: bool) -> dict[str, Any]:
    """One option with everything that is predicted of it."""
    o = found.option
    out: dict[str, Any] = {
        "id": o.id,
        "tier": o.tier,
        "head": o.club.head.code,
        "setting": o.club.loft_change_deg,
        "shaft": o.club.shaft.code,
        "ball_forward_mm": o.ball_forward_mm,
        "tee_mm": o.tee_mm,
        "availability": o.availability,
        "price": o.price,
        "rules": list(map(breach, o.rules)),
        "value_unit": value_unit,
    }
    for f in fields(found):
        value, unit = getattr(found, f.name), "" if f.name == "value_gain" else "_m"
        if isinstance(value, Gain):
            out |= {f"{f.name}{unit}": value.mean, f"{f.name}_low{unit}": value.low,
                    f"{f.name}_high{unit}": value.high}  # fmt: skip
        elif isinstance(value, Span):
            stem, end = SPREADS.get(f.name, (f.name, ""))
            out |= {f"{stem}{end}": value.mid, f"{stem}_low{end}": value.low, f"{stem}_high{end}": value.high}
        elif f.name == "others":
            out["others"] = {
                name: {"value": v, "gain": g.mean, "gain_low": g.low, "gain_high": g.high}
                for name, (v, g) in value.items()
            }
        elif f.name != "option":
            out["".join(SPREADS.get(f.name, (f.name,)))] = plain(value)
    out |= {"value_gain_low95": found.value_gain.low95, "value_gain_high95": found.value_gain.high95}
    return _mirrored(out) if left else out


def _mirrored(option: dict[str, Any]) -> dict[str, Any]:
    """Sides as a left-handed player sees them."""
    out: dict[str, Any] = {}
    for key, value in option.items():
        if key in MIRRORED and value is not None:
            out[key] = 0.0 - value
        elif key in ("finish", "reasons"):
            out[key] = [_mirrored(row) for row in value]
        elif key == "right_share" and value is not None:
            out[key] = 1.0 - value
        elif key == "change" and option["cause"] == DIRECTION:
            out[key] = 0.0 - value
        else:
            out[key] = value
    return out


def reach(found: Reach) -> dict[str, Any]:
    """The speed that a distance needs."""
    b, present = found.budget, needed(found.present)
    return {
        "session": {"player": found.player, "hand": found.hand, **found.counts},
        "distance_m": found.distance_m,
        "as": found.measure,
        "count": found.count,
        "width_m": found.width_m,
        **{k: v for k, v in present.items() if k != "option"},
        "present": present,
        "best": None if found.best is None else needed(found.best),
        "gap_m": b.gap_m,
        "budget": [
            {
                "part": p.part,
                "value_m": p.value_m,
                "low_m": p.low_m,
                "high_m": p.high_m,
                "words": sentences.part(p),
            }
            for p in b.parts
        ],
        "trained": {
            "club_speed_mps": b.speed_now_mps,
            "needed_club_speed_mps": b.trained.expected,
            "needed_club_speed_low_mps": b.trained.low,
            "needed_club_speed_high_mps": b.trained.high,
            "reason": sentences.SPEED_REASONS[b.trained.reason],
        },
        "speed_left_mps": b.speed_left_mps,
        "air_m": plain(found.air_m),
        "conditions": plain(found.conditions),
        "laws": found.laws,
        "notes": list(noted(found.notes)),
    }


def needed(found: Needed) -> dict[str, Any]:
    """What a distance needs with one club."""
    (now, low, high), (per, per_low, per_high) = found.now_m, found.m_per_mps
    speed, far = found.longest or (None, None)
    return {
        "option": found.option,
        "club_speed_mps": found.speed_now_mps,
        "needed_club_speed_mps": found.speed.expected,
        "needed_club_speed_low_mps": found.speed.low,
        "needed_club_speed_high_mps": found.speed.high,
        "reason": sentences.SPEED_REASONS[found.speed.reason],
        "longest_club_speed_mps": speed,
        "longest_m": far,
        "now_m": now,
        "now_low_m": low,
        "now_high_m": high,
        "m_per_mps": per,
        "m_per_mps_low": per_low,
        "m_per_mps_high": per_high,
        "p_reach_today": found.p_today,
    }


def assumptions(found: Sequence[Assumption]) -> dict[str, Any]:
    """Judged numbers by name."""
    return {a.name: {k: v for k, v in plain(a).items() if k != "name"} for a in found}


def audit(found: Audit) -> dict[str, Any]:
    """A kit: what is out of the ordinary, and what nobody measured on it."""
    told = plain(found)
    problems = told.pop("odd")
    return {**told, "problems": problems}


def build(sheet: BuildSheet, back: ReadBack | None = None, gains: Sequence[Gain] = ()) -> dict[str, Any]:
    """Bench sheet, what came back from the bench, and the gains in carry predicted again (ordered, built)."""
    found: dict[str, Any] = {
        "club": sheet.club,
        "head": sheet.head,
        "shaft": sheet.shaft,
        "swing_weight": sheet.swing_weight,
        "lines": [
            {
                "name": line.name,
                "unit": line.unit,
                "as_hit": line.as_hit.value,
                "as_ordered": line.as_ordered.value,
                "as_ordered_sd": line.as_ordered.sd,
                "measured": line.as_ordered.measured,
                "tolerance": line.tolerance,
            }
            for line in sheet.lines
        ],
        "steps": [step_text(step) for step in sheet.steps],
        "problems": plain(sheet.odd),
    }
    if back is not None:
        found["check"] = {"within": back.within, "checks": plain(back.checks)}
        if gains:
            found["check"]["carry_gain_m"] = {
                name: {"mean": g.mean, "low": g.low, "high": g.high}
                for name, g in zip(("as_ordered", "as_built"), gains, strict=True)
            }
    return found


def _flags(of: Session) -> list[dict[str, Any]]:
    """Flags as the player sees them, numbers in the channels' own units."""
    words = [(f, *shots.flag_words(f)) for f in shots.flags_seen(of)]
    return [
        {"shot": f.shot, "channel": f.channel, "reason": f.reason, "found": found, "expected": expected,
         "set_aside": f.set_aside}
        for f, found, expected in words
    ]  # fmt: skip


def _doubts(of: Session) -> list[dict[str, Any]]:
    """What the log contradicts, as the player sees it; figures in the unit of what it is about."""
    seen = (of.mirrored() if of.hand == "left" else of).doubts
    return [
        {"code": d.code, "channels": list(d.channels), "about": d.about, "unit": d.unit, "shots": d.shots,
         "of": d.of, "found": plain(d.found), "expected": plain(d.expected), "text": doubts.sentence(d),
         "cure": [f"{header}={target}" for header, target in d.cure]}
        for d in seen
    ]  # fmt: skip


def session(found: Reading) -> dict[str, Any]:
    """What a log holds of one player: shots with their inferred delivery, columns, flags."""
    of, seen = found.session, found.seen
    return {
        "player": of.player,
        "hand": of.hand,
        "source": of.source,
        "shots": [
            {
                "player": of.player,
                "shot": int(of.shot[i]),
                "row": int(of.row[i]),
                "set_aside": bool(of.set_aside[i]),
                **{name: float(values[i]) for name, values in seen.values.items()},
                **{name: words[i] for name, words in seen.words.items()},
                **_inferred(found, i),
            }
            for i in range(len(of))
        ],
        "columns": {h: {"channel": c.channel, "unit": c.unit, "how": c.how} for h, c in of.columns.items()},
        "flags": [{"player": of.player, **f} for f in _flags(of)],
        "problems": list(of.notices),
        "doubts": [{"player": of.player, **d} for d in _doubts(of)],
        "groups": [
            {"player": of.player, "kind": kind, "label": word, "shots": words.count(word)}
            for kind, words in (("club", labels(of)), ("day", days(of)))
            for word in dict.fromkeys(words)
            if len(set(words)) > 1
        ],
        "not_read": of.not_read,
        "left_out": [plain(x) for x in seen.left_out],
        **_of_delivery(found),
    }


def _inferred(found: Reading, i: int) -> dict[str, Any]:
    """Inferred delivery of one shot at the face centre, with SDs."""
    at = found.at(i)
    if at is None or found.delivery is None or found.fresh is None:
        return {}
    values: dict[str, Any] = {}
    for k, (name, scale) in enumerate(DELIVERED.items()):
        values[f"inferred_{name}"] = float(found.delivery.mean[at, k] * scale)
        values[f"{name}_sd"] = float(found.delivery.sd[at, k] * scale)
    return {**values, "under_fresh_line": bool(found.fresh.tired[at])}


def _of_delivery(found: Reading) -> dict[str, Any]:
    """Calibrations of the device, what is told of the strike (judged SDs), cautions, where the yards go."""
    if found.delivery is None or found.fresh is None:
        return {}
    return {
        "calibrations": {k: {"value": c.value, "sd": c.sd} for k, c in found.delivery.calibrations.items()},
        "strike": {
            name.removeprefix("strike."): {"value": float(v), "sd": float(s)}
            for name, v, s in zip(OPEN, *found.delivery.opened, strict=True)
        },
        "device": {
            "points": {
                name: {
                    **dict(zip(POINTS[name], (1.0 - p, p), strict=True)),
                    "told": found.session.told_point(name) is not None,
                }
                for name, p in found.delivery.points.items()
            },
            "noise": dict(found.delivery.noise),
            "text": device(found.seen, found.delivery, METRIC),
        },
        "cautions": list(found.fresh.cautions),
        "losses": losses(found.losses),
    }


def sessions(found: Sequence[Reading]) -> dict[str, Any]:
    """Sessions of several players under the same keys: each shot and each flag names its player."""
    if len(found) == 1:
        return session(found[0])
    each = [session(one) for one in found]
    return {
        "players": [{k: one[k] for k in ("player", "hand", "not_read")} for one in each],
        "source": each[0]["source"],
        "shots": [shot for one in each for shot in one["shots"]],
        "columns": {h: c for one in each for h, c in one["columns"].items()},
        "flags": [flag for one in each for flag in one["flags"]],
        "doubts": [doubt for one in each for doubt in one["doubts"]],
        "groups": [group for one in each for group in one["groups"]],
        "problems": list(dict.fromkeys(p for one in each for p in one["problems"])),
        "not_read": sum(one["not_read"] for one in each),
    }


def as_dict(result: Any) -> dict[str, Any]:
    """Any result as the JSON of its command: plain values under the keys of the contract."""
    made: dict[str, Callable[[Any], dict[str, Any]]] = {
        "Ranking": ranking,
        "Reach": reach,
        "BuildSheet": build,
        "Reading": session,
        "Audit": audit,
    }
    found = made.get(type(result).__name__)
    values: dict[str, Any] = plain(result) if found is None else found(result)
    return values
