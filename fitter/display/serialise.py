"""Typed results as the JSON of the contract: plain values under its keys, sides as the player sees them."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

from fitter.display.steps import step_text

if TYPE_CHECKING:
    from fitter.advice.audit import Audit
    from fitter.advice.reach import Reach
    from fitter.advice.result import Ranking
    from fitter.advice.scored import Gain
    from fitter.base.assumptions import Assumption
    from fitter.display.reading import Reading
    from fitter.kit.build import BuildSheet, ReadBack
    from fitter.simulate.flight import Flight
    from fitter.simulate.sensitivities import Slopes
    from fitter.simulate.strike import Strike


def dumps(value: Any, ascii_only: bool = False) -> str:
    """JSON text of a result; a number that does not exist becomes null."""
    return json.dumps(plain(value), indent=1, ensure_ascii=ascii_only, allow_nan=False)


def plain(value: Any) -> Any:
    """Dictionaries, lists, words and finite numbers alone: dataclasses by their fields, NaN as None."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    if hasattr(value, "tolist") and not isinstance(value, str):
        return plain(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def simulated(found: Flight | Strike, slopes: Slopes | None = None) -> dict[str, Any]:
    """One flight or strike, with its sensitivities if they were asked for."""
    more = {} if slopes is None else {"slopes": slopes.slopes}
    return {**plain(found), **plain(more)}


def ranking(found: Ranking) -> dict[str, Any]:
    """A session's decision."""
    return found.as_dict()


def reach(found: Reach) -> dict[str, Any]:
    """The speed that a distance needs."""
    return found.as_dict()


def assumptions(found: Sequence[Assumption]) -> dict[str, Any]:
    """Judged numbers by name."""
    return {a.name: {k: v for k, v in plain(a).items() if k != "name"} for a in found}


def audit(found: Audit) -> dict[str, Any]:
    """A kit that reads without fault, and what nobody measured on it."""
    return {**plain(found), "problems": []}


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
    }
    if back is not None:
        found["check"] = {"within": back.within, "checks": plain(back.checks)}
        if gains:
            found["check"]["carry_gain_m"] = {
                name: {"mean": g.mean, "low": g.low, "high": g.high}
                for name, g in zip(("as_ordered", "as_built"), gains, strict=True)
            }
    return found


def session(found: Reading) -> dict[str, Any]:
    """What a log holds of one player: shots with their inferred delivery, columns, flags."""
    from fitter.shots.flagged import flags_seen

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
        "flags": [{"player": of.player, **plain(f)} for f in flags_seen(of)],
        "problems": list(of.notices),
        "not_read": of.not_read,
        **_of_delivery(found),
    }


def _inferred(found: Reading, i: int) -> dict[str, Any]:
    """Inferred delivery of one shot at the face centre, with SDs."""
    from fitter.display.reading import DELIVERED

    if found.delivery is None or found.fresh is None:
        return {}
    values: dict[str, Any] = {}
    for k, (name, scale) in enumerate(DELIVERED.items()):
        values[f"inferred_{name}"] = float(found.delivery.mean[i, k] * scale)
        values[f"{name}_sd"] = float(found.delivery.sd[i, k] * scale)
    return {**values, "under_fresh_line": bool(found.fresh.tired[i])}


def _of_delivery(found: Reading) -> dict[str, Any]:
    """Calibrations of the device, cautions, and where the yards go."""
    if found.delivery is None or found.fresh is None:
        return {}
    return {
        "calibrations": {k: {"value": c.value, "sd": c.sd} for k, c in found.delivery.calibrations.items()},
        "cautions": list(found.fresh.cautions),
        "losses": plain(found.losses),
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
        "problems": list(dict.fromkeys(p for one in each for p in one["problems"])),
        "not_read": sum(one["not_read"] for one in each),
    }
