"""What a history tells people: players, visits, promises beside outcomes, the shop's record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from fitter.base.draws import NORMAL_80
from fitter.base.units import Units, counted
from fitter.display.text import WIDTH, clean, fitted, table, wrap
from fitter.display.trial import LABELS
from fitter.history.calibration import Calibration
from fitter.history.learning import Learned
from fitter.history.records import Entry, Fitting, Outcome, Player, Trial, Visit, kind_of

HOW = {
    "trial": "in a trial", "compare": "side by side on one day", "follow-up": "on another day",
    "told": "as somebody told",
}  # fmt: skip
SINGULAR = {"fitting": "decision", "tried": "set of balls"}
PLURAL = {"tried": "sets of balls"}
"""Kinds of entries whose words are others."""
SAYS = {
    "no sign": "no sign that the intervals are not honest",
    "too narrow": "the intervals are too narrow",
    "too wide": "the intervals are wider than they need be",
}
HEADERS = ("kind of change", "n", "inside 80 %", "squared miss", "measured - promised", "reading")
COVERS = (
    "Only this file is meant: backups and exported files, sheets and the shop's own copies of logs are "
    "not touched. Erase them by hand."
)


def players(found: Sequence[Player], counts: Mapping[str, Mapping[str, int]], last: Mapping[str, str]) -> str:
    """Who is remembered."""
    if not found:
        return "Nobody is remembered yet. Add --remember to rank, sheet, trial or batch."
    rows = [
        [p.code, p.hand or "", str(counts.get(p.code, {}).get("visit", 0)),
         str(counts.get(p.code, {}).get("fitting", 0)), last.get(p.code, ""), p.note]
        for p in found
    ]  # fmt: skip
    return table(["player", "hand", "visits", "decisions", "last visit", "note"], rows)


def visits(found: Sequence[Visit], units: Units, with_player: bool = False, width: int = WIDTH) -> str:
    """Visits, a line each."""
    if not found:
        return "No visit is remembered."
    rows = [
        [*([v.player] if with_player else []), v.day, v.club, f"{v.shots - v.set_aside} of {v.shots}",
         units.speed(v.club_speed_mps), v.log_name, v.digest[:8]]
        for v in found
    ]  # fmt: skip
    first = ["player"] if with_player else []
    heads = [*first, "day", "club", "shots used", "club speed", "log", "key"]
    return fitted(heads, rows, "l" * len(heads), width, ("log", "shots used"))


def player(
    who: Player, came: Sequence[Visit], decided: Sequence[Fitting], trials: Sequence[Trial],
    outcomes: Sequence[Outcome], units: Units, width: int = WIDTH,
) -> str:  # fmt: skip
    """One player: visits, what was advised and chosen, and what came of it."""
    lines = [
        f"{who.code}" + (f", {who.hand}-handed" if who.hand else "") + (f": {who.note}" if who.note else "")
    ]
    lines += [f"   told of health: {k}: {v}" for k, v in who.health.items()]
    lines += ["", visits(came, units, width=width)]
    for f in decided:
        lines += ["", wrap(f"{f.day}, for {f.goal} ({f.digest[:8]}): {f.text}", "   ", width)]
        if f.pick:
            lines.append(f"   The fitter's own pick before: {f.pick}.")
        if f.chosen:
            lines.append(f"   Chosen: {f.chosen}" + (f", {f.why}" if f.why else "") + ".")
    for t in trials:
        balls = len(t.record.get("balls", ()))
        state = "finished" if t.finished else "not finished"
        lines.append(f"{t.day}: trial of {counted(balls, 'ball')}, {state} ({t.digest[:8]}).")
    for o in outcomes:
        lines.append(wrap(f"{outcome(o, units)} ({o.digest[:8]})", "   ", width))
    return "\n".join(clean(row) for text in lines for row in text.split("\n"))


def counts(found: Mapping[str, int]) -> str:
    """Entries by kind."""
    return ", ".join(counted(n, SINGULAR.get(kind, kind), PLURAL.get(kind, "")) for kind, n in found.items())


def entry(found: Entry) -> str:
    """What one entry is, in few words."""
    kind = kind_of(found)
    return f"The {SINGULAR.get(kind, kind)} of {found.day}"


def outcome(found: Outcome, units: Units) -> str:
    """One promise and what was measured."""
    said = []
    for x in found.lessons:
        if x.what not in ("carry_m", "launch_deg", "spin_rpm"):
            continue
        name = LABELS[x.what][0]
        reach = NORMAL_80 * x.sd
        low, high = (_shown(v, x.what, units) for v in (x.expected - reach, x.expected + reach))
        said.append(f"{name} {_shown(x.measured, x.what, units, True)} (promised {low} to {high})")
    balls = f", {found.balls} balls" if found.balls else ""
    return f"{found.day}, {found.option} {HOW.get(found.how, found.how)}{balls}: " + "; ".join(said) + "."


def _shown(value: float, channel: str, units: Units, unit: bool = False) -> str:
    """A change of a channel, signed."""
    _, core, digits = LABELS[channel]
    return units.quantity(value, core, digits, sign=True, unit=unit)


def _size(value: float, channel: str, units: Units) -> str:
    """Size of an error of a channel, without its unit."""
    _, core, digits = LABELS[channel]
    return units.quantity(value, core, digits, unit=False)


def calibration(found: Calibration, units: Units) -> str:
    """The shop's record, by kind of change."""
    every = found.kinds[0]
    if not every.n:
        return (
            "No outcome is remembered yet: add --remember to a trial's result, or to rank with --hit. "
            "Until then nobody knows whether the shop's intervals held."
        )
    name = LABELS[found.channel][0]
    rows = [
        [h.kind, str(h.n), f"{100 * h.inside:.0f} %", f"{h.squared:.2f}",
         f"{_shown(h.bias, found.channel, units)} +- {_size(h.bias_sd, found.channel, units)}", h.verdict]
        for h in found.kinds
    ]  # fmt: skip
    lines = [
        f"What was promised of {name} and what was measured, {counted(every.n, 'outcome')}:", "",
        table(HEADERS, rows), "",
        wrap(
            f"Over all kinds: {SAYS[every.verdict]}. Inside: share of outcomes within the 80 % interval with "
            "the outcome's own noise; squared miss: 1 where intervals are honest, noise included. It is said "
            f"only at odds of {every.alarm:.0f} to 1, so that looking every evening raises a false alarm at "
            f"most 1 time in {every.alarm:.0f}."
        ),
    ]  # fmt: skip
    if found.picks:
        lines += ["", "Measured gains of carry by whose choice the club was:"]
        rows = [
            [p.who, str(p.n), f"{_shown(p.gain_m, 'carry_m', units, True)}",
             _size(p.se_m, "carry_m", units)]
            for p in found.picks
        ]  # fmt: skip
        lines.append(table(["choice", "n", "mean gain", "standard error"], rows))
    return "\n".join(lines)


def learned(found: Sequence[Learned], who: str) -> str:
    """What outcomes taught of a player."""
    if not found:
        return f"Nothing is learned of {who} yet: it takes balls with another club (trial, or rank --hit)."
    rows = [
        [
            x.name,
            f"{x.before_value:g} +- {x.before_sd:.2g}",
            f"{x.value:.3g} +- {x.sd:.2g}",
            x.unit,
            str(x.lessons),
        ]
        for x in found
    ]
    head = f"The player's own, laid over the judged numbers when {who} is ranked with the history:"
    return "\n".join([head, "", table(["judged number", "judged", "learned", "unit", "lessons"], rows)])


def data(value: Any) -> Any:
    """Records as plain values for JSON."""
    return msgspec.to_builtins(value)
