"""What a set of records says: regret, coverage, slopes, calibration; every interval clustered by player."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from reference.virtual_range.engine import Floats
from reference.virtual_range.strategies import STRATEGIES
from reference.virtual_range.trial import KINDS, Record

BOOTSTRAPS = 1000
LOSES = 0.01
"""Strokes a drive from which a change counts as a loss."""
MISSED = 3.0
"""Net yards from which a 'keep' counts as a missed gain; 0.01 strokes for play."""
NOTHING = 1.0
"""Net yards below which a player needs nothing."""
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
"""Ends of the bins of a stated probability."""
Row = dict[str, Any]


def share(hits: Iterable[tuple[float, float]]) -> tuple[float, float, int]:
    """Pooled ratio of (hits, looks) a player, its clustered SE, and the number of looks (Cochran's ratio)."""
    pairs = np.array([p for p in hits if p[1]], dtype=np.float64).reshape(-1, 2)
    if not len(pairs):
        return float("nan"), float("nan"), 0
    k, m = pairs.T
    ratio = float(k.sum() / m.sum())
    n = len(pairs)
    error = float(np.sqrt(((k - ratio * m) ** 2).sum() * n / max(n - 1, 1)) / m.sum())
    return ratio, error, int(m.sum())


def mean(values: Sequence[float]) -> tuple[float, float, int]:
    """Mean over players, its SE, their number."""
    x = np.array(values, dtype=np.float64)
    if not len(x):
        return float("nan"), float("nan"), 0
    return float(x.mean()), float(x.std(ddof=1) / np.sqrt(len(x))) if len(x) > 1 else float("nan"), len(x)


def slope(groups: Iterable[tuple[Floats, Floats]]) -> tuple[float, float, int]:
    """True gain per promised gain, by least squares through zero, with its clustered SE."""
    sums = [((x * y).sum(), (x * x).sum(), len(x)) for x, y in groups if len(x)]
    ratio, error, _ = share([(a, b) for a, b, _ in sums])
    return ratio, error, sum(n for _, _, n in sums)


def interval_score(low: float, high: float, true: float, level: float = 0.8) -> float:
    """Interval score (Gneiting & Raftery 2007, JASA 102, 359-378, eq. 43): width and what lies outside."""
    more = 2.0 / (1.0 - level)
    return high - low + more * max(low - true, 0.0) + more * max(true - high, 0.0)


def of_kind(record: Record, kind: str) -> list[Row]:
    """Sampled rows of one kind of change, '' for all."""
    return [r for r in record["rows"] if r["sampled"] and kind in ("", r["kind"])]


def coverage(records: Sequence[Record], kind: str = "") -> dict[str, float]:
    """Coverage of the 80 % intervals of sampled options, mean interval score, slope, means, with SEs."""
    hits, scores, pairs, promised, true = [], [], [], [], []
    for record in records:
        rows = of_kind(record, kind)
        if not rows:
            continue
        inside = [r["promised"][1] <= r["true"] <= r["promised"][2] for r in rows]
        hits.append((float(sum(inside)), float(len(rows))))
        scores.append(float(np.mean([interval_score(*r["promised"][1:], r["true"]) for r in rows])))
        x, y = np.array([r["promised"][0] for r in rows]), np.array([r["true"] for r in rows])
        pairs.append((x, y))
        promised.append(float(x.mean()))
        true.append(float(y.mean()))
    cover, error, n = share(hits)
    score, score_se, _ = mean(scores)
    tilt, tilt_se, _ = slope(pairs)
    return {
        "n": n, "cover": cover, "cover_se": error, "score": score, "score_se": score_se, "slope": tilt,
        "slope_se": tilt_se, "promised": mean(promised)[0], "true": mean(true)[0],
    }  # fmt: skip


def regrets(records: Sequence[Record], goal: str) -> dict[str, dict[str, float]]:
    """Mean regret of every strategy against perfect knowledge, net of costs, with 95 % bootstrap ends.

    In the goal's unit (yd or strokes); beside it the true strokes that a strategy gains, net of costs.
    """
    rng = np.random.default_rng(0)
    # Players whose logs were refused stay with their club; they count.
    perfect = np.array([r["perfect"] for r in records])
    picks = (
        rng.integers(len(records), size=(BOOTSTRAPS, len(records))) if len(records) else np.zeros((1, 0), int)
    )
    out = {}
    for name in STRATEGIES:
        ended = np.array([r["ends"][name][goal] for r in records])
        lost = perfect - ended
        low, high = np.quantile(lost[picks].mean(axis=1), [0.025, 0.975]) if len(lost) else (np.nan, np.nan)
        strokes = np.array([r["ends"][name]["play"] for r in records])
        out[name] = {
            "regret": float(lost.mean()), "low": float(low), "high": float(high), "gain": float(ended.mean()),
            "strokes": float(strokes.mean()), "loses": float((strokes < -LOSES).mean()),
        }  # fmt: skip
    return out


def verdicts(records: Sequence[Record], goal: str) -> dict[str, Any]:
    """Shares of the actions; changes that lose; gains that a 'keep' missed; players who need nothing."""
    found: dict[str, Any] = {"n": len(records)}
    for action in ("change", "trade", "test", "measure", "keep", "refused"):
        found[action] = float(np.mean([r["action"] == action for r in records])) if records else float("nan")
    changes = [r for r in records if r["action"] == "change"]
    ends = [r["ends"]["verdict"] for r in changes]
    found["changes"] = len(changes)
    found["lose_strokes"] = sum(e["play"] < -LOSES for e in ends)
    found["lose"] = sum(e[goal] < 0.0 for e in ends)
    limit = LOSES if goal == "play" else MISSED
    kept = [r for r in records if r["action"] == "keep"]
    found["keeps"], found["missed"] = len(kept), sum(r["perfect"] > limit for r in kept)
    needless = [r for r in records if r["perfect"] < NOTHING * (r["per_yard"] if goal == "play" else 1.0)]
    bought = [r for r in needless if r["action"] == "change" and _tier(r) not in ("", "A")]
    found["needless"], found["needless_bought"] = len(needless), len(bought)
    return found


def _tier(record: Record) -> str:
    """Tier of what the verdict names, '' where it names nothing."""
    return next((str(r["tier"]) for r in record["rows"] if r["named"]), "")


def named(records: Sequence[Record]) -> dict[str, float]:
    """What was promised and what is true of what the verdict names as a change."""
    rows = [(r, row) for r in records if r["action"] == "change" for row in r["rows"] if row["named"]]
    inside = [(float(row["promised"][1] <= row["true"] <= row["promised"][2]), 1.0) for _, row in rows]
    cover, error, n = share(inside)
    return {
        "n": n, "cover": cover, "cover_se": error,
        "promised": mean([row["promised"][0] for _, row in rows])[0],
        "true": mean([row["true"] for _, row in rows])[0],
    }  # fmt: skip


def calibration(
    records: Sequence[Record], stated: Callable[[Row], float | None], happened: Callable[[Row], float]
) -> list[tuple[float, float, float, int]]:
    """Stated probability against what happened, bin by bin: (mean stated, share, clustered SE, n)."""
    out = []
    for low, high in pairwise(BINS):
        hits, told = [], []
        for record in records:
            rows = [(p, happened(r)) for r in record["rows"] if r["sampled"] and (p := stated(r)) is not None]
            rows = [(p, h) for p, h in rows if low <= p < high or (high == 1.0 and p == 1.0)]
            if rows:
                hits.append((float(sum(h for _, h in rows)), float(len(rows))))
                told += [p for p, _ in rows]
        ratio, error, n = share(hits)
        if n:
            out.append((float(np.mean(told)), ratio, error, n))
    return out


def spread(records: Sequence[Record]) -> dict[str, float]:
    """True change of the spread across per promised, mean miss and its SD, yd."""
    pairs, misses = [], []
    for record in records:
        rows = [r["spread"] for r in record["rows"] if r["sampled"] and r["spread"] is not None]
        if rows:
            told = np.array([x[:2] for x in rows])
            pairs.append((told[:, 0], told[:, 1]))
            misses += list(told[:, 0] - told[:, 1])
    tilt, error, n = slope(pairs)
    return {"n": n, "slope": tilt, "slope_se": error, "bias": float(np.mean(misses)) if n else float("nan"),
            "sd": float(np.std(misses)) if n else float("nan")}  # fmt: skip


def shots(records: Sequence[Record]) -> dict[str, float]:
    """Share of good shots that were set aside, and of misreads that were found."""
    seen = [r["aside"] for r in records if r.get("aside")]
    lost, lost_se, good = share([(a[1], a[0]) for a in seen])
    found, found_se, bad = share([(a[3], a[2]) for a in seen])
    return {
        "lost": lost,
        "lost_se": lost_se,
        "good": good,
        "found": found,
        "found_se": found_se,
        "misreads": bad,
    }


def inferred(records: Sequence[Record]) -> dict[str, dict[str, float]]:
    """Coverage of 80 % intervals of what nobody measured: shots, the log's mean; mean error."""
    out = {}
    channels = sorted({c for r in records for c in r["inferred"]})
    for channel in channels:
        seen = [r["inferred"][channel] for r in records if channel in r["inferred"]]
        cover, error, n = share([(s[1], s[0]) for s in seen])
        middle, middle_se, players = share([(s[3], 1.0) for s in seen])
        out[channel] = {
            "n": n, "cover": cover, "cover_se": error, "mean_cover": middle, "mean_cover_se": middle_se,
            "players": players, "bias": mean([s[2] for s in seen])[0],
        }  # fmt: skip
    return out


def fairways(records: Sequence[Record]) -> dict[str, Any]:
    """Stated less true share of fairways: present club, sampled options, these in fifths."""
    found: dict[str, Any] = {}
    own = [(r["present_value"], r["present"]["fairway"]) for r in records if r["present_value"] is not None]
    found["present"] = mean([a - b for a, b in own])
    pairs = [(row["value"], row["true_value"], r["number"]) for r in records for row in r["rows"]
             if row["sampled"] and row["true_value"] is not None]  # fmt: skip
    found["options"] = mean([a - b for a, b, _ in pairs])[0] if pairs else float("nan")
    told = np.array([a for a, _, _ in pairs])
    found["fifths"] = []
    for part in np.array_split(np.argsort(told), 5) if len(pairs) >= 5 else []:
        some = [pairs[i] for i in part]
        found["fifths"].append(
            (float(np.mean([a for a, _, _ in some])), float(np.mean([b for _, b, _ in some])))
        )
    return found


def power(records: Sequence[Record], players: int = 400) -> dict[str, float]:
    """Smallest differences that so many players tell apart with 80 % power at 5 %, two paired runs.

    2.80 SE of a paired mean difference; the SD of a difference is taken as that of the largest mean's regret
    against the ladder's (yd), and coverage's clustered SE as it was found.
    """
    a = np.array(
        [r["ends"]["top of the ladder"]["carry"] - r["ends"]["largest mean of 7"]["carry"] for r in records]
    )
    b = coverage(records)
    n = max(len(records), 1)
    return {
        "regret_yd": float(2.80 * a.std(ddof=1) / np.sqrt(players)) if n > 1 else float("nan"),
        "coverage": 2.80 * np.sqrt(2.0) * b["cover_se"] * np.sqrt(n / players),
        "slope": 2.80 * np.sqrt(2.0) * b["slope_se"] * np.sqrt(n / players),
    }


def summary(records: Sequence[Record]) -> dict[str, Any]:
    """Everything about one world and goal, as plain numbers."""
    goal = records[0]["goal"]
    aim = "play" if goal == "fairway" else goal
    found: dict[str, Any] = {
        "players": len({r["number"] for r in records}),
        "verdicts": verdicts(records, aim),
        "regret": regrets(records, aim),
        "kinds": {kind or "all": c for kind in ("", *KINDS) if (c := coverage(records, kind))["n"]},
        "named": named(records),
        "gain": calibration(records, lambda r: r["p"], lambda r: float(r["true"] > 0.0)),
        "best": calibration(records, lambda r: r["p_best"], lambda r: float(r["best"])),
        "spread": spread(records),
        "shots": shots(records),
        "inferred": inferred(records),
        "power": power(records),
    }
    if goal == "fairway":
        found["fairways"] = fairways(records)
    return found
