"""Tables of what runs of the virtual range found, one beside the other."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from reference.virtual_range.strategies import STRATEGIES
from reference.virtual_range.trial import KINDS

HERE = Path(__file__).parent
ACTIONS = ("change", "trade", "test", "measure", "keep", "refused")
RESULTS, TABLES = HERE / "results", HERE / "tables.md"
HEAD = """# Virtual range: all tables

Written by `python -m reference.virtual_range.report` from the summaries in `results/`; report.md says what
they mean. In brackets: standard error, clustered by player. Regret is what perfect knowledge would have
gained more, costs of the tiers deducted; yd, or strokes a drive for play.

"""
Result = dict[str, Any]


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Lines of a table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return "\n".join([*lines, *("| " + " | ".join(r) + " |" for r in rows)])


def pct(x: float, error: float | None = None) -> str:
    """Share in per cent, with its standard error."""
    if x != x:
        return "-"
    return f"{100 * x:.0f}" if error is None or error != error else f"{100 * x:.0f} ({100 * error:.1f})"


def num(x: float, error: float | None = None, digits: int = 1) -> str:
    """Number with its standard error."""
    if x != x:
        return "-"
    return f"{x:.{digits}f}" if error is None or error != error else f"{x:.{digits}f} ({error:.{digits}f})"


def name_of(result: Result) -> str:
    """Label of a run, with its size; what was held out says so."""
    return f"{result['label']}{', HELD OUT' if result['held_out'] else ''}"


def overview(results: Sequence[Result]) -> str:
    """Coverage, width, slope, shots and regret of carry in every world, a run beside the other."""
    rows = []
    for world in dict.fromkeys(w for r in results for w in r["worlds"]):
        for r in results:
            s = r["worlds"].get(world, {}).get("carry")
            if s is None:
                continue
            c, g, v = s["kinds"]["all"], s["regret"], s["verdicts"]
            rows.append([
                world, name_of(r), str(s["players"]), pct(c["cover"], c["cover_se"]),
                num(c["score"], c["score_se"]), num(c["slope"], c["slope_se"], 2),
                pct(s["shots"]["lost"], s["shots"]["lost_se"]),
                pct(s["shots"]["found"], s["shots"]["found_se"]),
                num(g["keep"]["regret"]), num(g["largest mean of 7"]["regret"]),
                num(g["top of the ladder"]["regret"]), num(g["verdict"]["regret"]),
                f"{v['lose']} of {v['changes']}", pct(v["refused"]),
            ])  # fmt: skip
    head = ["world", "run", "players", "in 80 %", "interval score", "true per promised", "good lost %",
            "misreads found %", "regret: keep", "7 balls", "ladder", "verdict", "changes that lose",
            "refused %"]  # fmt: skip
    return table(head, rows)


def kinds(result: Result) -> str:
    """Coverage of 80 % intervals of carry by kind of change, in every world."""
    rows = []
    for world, goals in result["worlds"].items():
        found = next(iter(goals.values()))["kinds"]
        cells = []
        for kind in ("all", *KINDS):
            c = found.get(kind)
            cells.append(
                "-" if c is None else f"{pct(c['cover'], c['cover_se'])}, {num(c['slope'], None, 2)}"
            )
        rows.append([world, *cells])
    return table(["world", "all", *KINDS], rows)


def regret(result: Result) -> str:
    """Regret of every strategy in the worlds where every goal was asked."""
    parts = []
    for world, goals in result["worlds"].items():
        if len(goals) == 1 and len(result["worlds"]) > 2:
            continue
        rows = []
        for name in STRATEGIES:
            cells = []
            for goal, s in goals.items():
                g, digits = s["regret"][name], 3 if goal in ("play", "fairway") else 1
                cells.append(
                    f"{g['regret']:.{digits}f} [{g['low']:.{digits}f}, {g['high']:.{digits}f}]; "
                    f"{pct(g['loses'])}"
                )
            rows.append([name, *cells])
        told = f"World '{world}': regret with its 95 % interval; share that loses over 0.01 strokes, %"
        parts.append(told + "\n\n" + table(["strategy", *goals], rows))
    return "\n\n".join(parts)


def verdicts(result: Result) -> str:
    """What the advisor said, and what came of it."""
    rows = []
    for world, goals in result["worlds"].items():
        for goal, s in goals.items():
            v, n = s["verdicts"], s["named"]
            rows.append([
                f"{world}, {goal}", *(pct(v[a]) for a in ACTIONS),
                f"{v['lose']}, {v['lose_strokes']} of {v['changes']}", f"{v['missed']} of {v['keeps']}",
                f"{v['needless_bought']} of {v['needless']}",
                "-" if not n["n"] else f"{pct(n['cover'])}; {n['promised']:.2f}, {n['true']:.2f}",
            ])  # fmt: skip
    head = ["world, goal", *(f"{a} %" for a in ACTIONS), "changes that lose: goal, strokes",
            "keeps that missed", "who need nothing and buy", "named: in 80 %; promised, true"]  # fmt: skip
    return table(head, rows)


def probabilities(result: Result) -> str:
    """Stated probabilities against what happened: of a gain, of being best."""
    rows = []
    for world, goals in result["worlds"].items():
        for goal, s in goals.items():
            for what in ("gain", "best"):
                cells = "; ".join(f"{pct(p)}: {pct(q, e)}" for p, q, e, _ in s[what])
                rows.append([f"{world}, {goal}", what, cells])
    return table(["world, goal", "probability of", "stated %: true % (SE)"], rows)


def rest(result: Result) -> str:
    """Spread, inferred channels, fairways, power."""
    rows = []
    for world, goals in result["worlds"].items():
        s = next(iter(goals.values()))
        sp, inf = s["spread"], s["inferred"]
        told = "; ".join(
            f"{c.rpartition('_')[0]}: {pct(i['cover'], i['cover_se'])}, "
            f"{pct(i['mean_cover'], i['mean_cover_se'])}, {i['bias']:+.1f}"
            for c, i in inf.items()
        )  # fmt: skip
        fair = "-"
        if "fairway" in goals:
            f = goals["fairway"]["fairways"]
            fair = f"{100 * f['present'][0]:+.1f}; {100 * f['options']:+.1f}; " + ", ".join(
                f"{pct(a)}/{pct(b)}" for a, b in f["fifths"]
            )
        p = s["power"]
        rows.append([
            world, f"{num(sp['slope'], sp['slope_se'], 2)}, {num(sp['bias'])}, {num(sp['sd'])}", told or "-",
            fair,
            f"{p['regret_yd']:.1f}, {100 * p['coverage']:.1f}, {p['slope']:.2f}",
        ])  # fmt: skip
    head = ["world", "spread: true per promised, miss, SD yd", "inferred: shots in 80 %, means in 80 %, bias",
            "fairway, stated - true, points: present; options; fifths stated/true",
            "400 players tell apart: yd, points, slope"]  # fmt: skip
    return table(head, rows)


def write_report(results: Sequence[Result]) -> str:
    """All tables of some runs."""
    parts = ["## All worlds, carry\n\n" + overview(results)]
    for r in results:
        size = f"{r['players']} players, {r['draws']} draws, {r['seconds']} s with {r['workers']} workers"
        by_kind = "Coverage of the 80 % intervals, true per promised, by kind of change"
        parts.append(f"## {name_of(r)}: {size}")
        parts += [regret(r), verdicts(r), by_kind, kinds(r), probabilities(r), rest(r)]
    return "\n\n".join(parts) + "\n"


def main() -> None:
    """Write the tables of every summary that is kept, in the order in which they were made."""
    files = sorted(RESULTS.glob("*.json"))
    TABLES.write_text(
        HEAD + write_report([json.loads(f.read_text(encoding="utf-8")) for f in files]), encoding="utf-8"
    )


if __name__ == "__main__":
    main()
