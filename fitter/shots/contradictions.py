"""Whether a log contradicts itself: columns exchanged, signs turned, units mistaken; doubts and their cures.

A log is compared with what it would be if one thing in it were otherwise: two columns exchanged, the sign of
one turned, one or more in another unit. Each of these is scored by the same relations (`relations`), and what
explains the shots far better than the log as it stands is the likely cure. A relation that fails without a
cure is told too. A doubt changes no value: it is told, and no verdict may be 'change' while it stands.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import Problem
from fitter.base.units import UNITS
from fitter.shots.findings import Doubt
from fitter.shots.relations import POINTS, Relation, Surroundings, Values, relations
from fitter.shots.session import Column, Floats, Session
from fitter.shots.vocabulary import CHANNELS

MOST = 24
"""Shots of a log, evenly over it, by which it is judged: beyond some twenty a relation speaks no louder."""
SIGNS = ("attack_deg", "path_deg", "face_deg", "direction_deg", "spin_axis_deg", "offline_m", "strike_toe_mm",
         "strike_high_mm")  # fmt: skip
"""Channels that a device may count with the other sign."""
ANGLES = ("attack_deg", "path_deg", "face_deg", "dynamic_loft_deg", "launch_deg", "direction_deg")
SPEEDS = ("club_speed_mps", "ball_speed_mps")
FAR = ("carry_m", "total_m", "offline_m")
STRIKES = ("strike_toe_mm", "strike_high_mm")
SCALES: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = (
    (SPEEDS, ("mph", "m/s", "km/h")),
    (("club_speed_mps",), ("mph", "m/s", "km/h")),
    (("ball_speed_mps",), ("mph", "m/s", "km/h")),
    (FAR, ("yd", "m", "ft")),
    *(((name,), ("yd", "m", "ft")) for name in FAR),
    (("apex_m",), ("yd", "m", "ft")),
    (STRIKES, ("mm", "cm", "in")),
    *(((name,), ("mm", "cm", "in")) for name in STRIKES),
    (("spin_rpm",), ("rpm", "krpm", "rps", "rad/s")),
    *(((name,), ("deg", "rad")) for name in ("attack_deg", "path_deg", "face_deg", "dynamic_loft_deg",
                                             "launch_deg", "direction_deg", "spin_axis_deg", "descent_deg")),
)  # fmt: skip
"""Channels that share a unit, and units that people take for one another."""


@dataclass(frozen=True)
class Otherwise:
    """One thing that may be otherwise than the log says.

    Parameters
    ----------
    code : str
        'exchanged', 'sign' or 'unit'.
    channels : tuple of str
        Those that change.
    unit : str
        Unit in which their cells may be written, for 'unit'.
    factors : tuple of float
        By which their values change, for 'unit'.
    """

    code: str
    channels: tuple[str, ...]
    unit: str = ""
    factors: tuple[float, ...] = ()

    def applied(self, values: Values) -> dict[str, Floats]:
        """Values as they would be."""
        out = dict(values)
        if self.code == "exchanged":
            one, other = self.channels
            out[one], out[other] = values[other], values[one]
        elif self.code == "sign":
            out |= {name: -values[name] for name in self.channels}
        else:
            out |= {name: f * values[name] for name, f in zip(self.channels, self.factors, strict=True)}
        return out


def contradictions(session: Session, head: Floats, air: Conditions | None = None) -> tuple[Doubt, ...]:
    """Find what a session's channels contradict, with the likely cure.

    Parameters
    ----------
    session : Session
        n shots; those set aside by hand or as repeated rows do not count, those set aside as impossible do:
        a wrong unit makes every shot impossible.
    head : ndarray, shape (13,)
        See `vectors.HEAD`.
    air : Conditions, optional
        Where it was measured, in the frame of the values; standard if None.

    Returns
    -------
    tuple of Doubt
        Surest first; none where the log agrees with itself, or has too few shots to tell.
    """
    shown = _shown(session)
    if len(shown) < current().value("contradiction.least"):
        return ()
    units, at = _units(session), Surroundings(head, air or Conditions())
    found: list[Doubt] = []
    values: Values = shown.values
    for _ in range(3):
        best = _explained(values, units, at, _confirmed(session))
        if best is None:
            break
        otherwise, relation, before = best
        found.append(_doubt(session, otherwise, relation, before))
        values = otherwise.applied(values)
    left = _failing(values, at, _confirmed(session))
    said = {c for d in found for c in d.channels}
    found += [_doubt(session, None, r, None) for r in left if not said & set(r.channels[:1])]
    return tuple(found)


def _shown(session: Session) -> Session:
    """Shots by which the session is judged."""
    by_hand = {
        f.shot for f in session.flags if f.set_aside and f.reason in ("set aside by hand", "repeated row")
    }
    at = np.flatnonzero([int(s) not in by_hand for s in session.shot])
    if len(at) > MOST:
        at = at[np.linspace(0, len(at) - 1, MOST).round().astype(int)]
    kept = session.take(at)
    values = {k: v for k, v in kept.values.items() if CHANNELS[k].group != "setup" and np.isfinite(v).any()}
    guessed = {k for k, e in kept.estimated.items() if k in values and e.all()}
    return replace(kept, values={k: _possible(k, v) for k, v in values.items() if k not in guessed})


def _possible(name: str, values: Floats) -> Floats:
    """Values without single misreads; where most are impossible the column is wrong, and all stay."""
    low, high = CHANNELS[name].limits or (-np.inf, np.inf)
    out = (values < low) | (values > high)
    return values if 2 * out.sum() > np.isfinite(values).sum() else np.where(out, np.nan, values)


def _units(session: Session) -> dict[str, str]:
    """Unit in which each channel stands in the file."""
    return {c.channel: c.unit for c in session.columns.values() if c.channel and c.unit}


def _confirmed(session: Session) -> frozenset[str]:
    """Channels whose column a person has named: what they say is not doubted again."""
    return frozenset(c.channel for c in session.columns.values() if c.how == "as corrected")


def _every(values: Values, units: Mapping[str, str], confirmed: frozenset[str]) -> Iterator[Otherwise]:
    """Everything that may be otherwise."""
    there = [n for n in values if n not in confirmed]
    for one, other in combinations(there, 2):
        if CHANNELS[one].quantity == CHANNELS[other].quantity:
            yield Otherwise("exchanged", (one, other))
    for name in SIGNS:
        if name in there:
            yield Otherwise("sign", (name,))
    for names, spelled in SCALES:
        mine = tuple(n for n in names if n in there and units.get(n, CHANNELS[n].unit) in UNITS)
        if not mine or (len(names) > 1 and len(mine) < 2):
            continue
        now = {units.get(n, CHANNELS[n].unit or "") for n in mine}
        if len(now) > 1:
            continue
        here = UNITS[now.pop()]
        for unit in spelled:
            factor = UNITS[unit].factor / here.factor
            if abs(np.log(factor)) > 0.01 and UNITS[unit].quantity == here.quantity:
                yield Otherwise("unit", mine, unit, (factor,) * len(mine))


def score(values: Values, at: Surroundings) -> tuple[float, list[Relation]]:
    """Log likelihood of a set of values by all relations, and the relations; the better of both points."""
    best: tuple[float, list[Relation]] | None = None
    apart = any(n in values for n in STRIKES)
    for point in POINTS if apart else POINTS[:1]:
        found = relations(values, at, point)
        total = sum(map(likelihood, found)) + sum(_share(at, k, v) for k, v in values.items())
        if best is None or total > best[0] + 1e-9:
            best = float(total), found
    assert best is not None
    return best


def likelihood(relation: Relation) -> float:
    """Log likelihood of one relation, 0 at its best: an offset of the session, and scatter about it."""
    r = relation.residual[np.isfinite(relation.residual)]
    if len(r) < current().value("contradiction.least"):
        return 0.0
    middle = float(np.median(r))
    # A misread in one shot must not settle anything: residuals count up to four noises.
    around = np.minimum(np.abs(r - middle), 4.0 * relation.noise) / relation.noise
    most = current().value("intake.sign_most")
    shift = min(abs(middle) / relation.offset, 8.0)
    return -0.5 * min(len(r), most) * float(np.log1p(np.mean(around**2))) - 0.5 * shift**2


def _share(at: Surroundings, name: str, values: Floats) -> float:
    found: float = at.once(name, lambda v: _possible_share((name, v)), values)
    return found


def _possible_share(item: tuple[str, Floats]) -> float:
    """Log likelihood of values that no driver shot takes, and of strikes that never leave a point."""
    name, v = item
    there = v[np.isfinite(v)]
    low, high = CHANNELS[name].limits or (-np.inf, np.inf)
    out = float(((there < low) | (there > high)).mean()) if len(there) else 0.0
    if out > 0.5:
        return -20.0 * out
    warn = CHANNELS[name].warn
    middle = float(np.median(there)) if len(there) else 0.0
    unusual = 0.0 if warn is None or warn[0] <= middle <= warn[1] else -3.0
    least = _least_spread(name)
    still = len(there) > 5 and float(there.std()) < least
    return unusual - (12.0 if still else 0.0)


def _least_spread(name: str) -> float:
    """Scatter that every player has in a channel, in its unit; 0 where nothing is judged."""
    a = current()
    if name in STRIKES:
        return a.value("contradiction.strike_spread_mm")
    return a.value("contradiction.angle_spread_deg") if name in ANGLES else 0.0


def _explained(
    values: Values, units: Mapping[str, str], at: Surroundings, confirmed: frozenset[str]
) -> tuple[Otherwise, Relation | None, float] | None:
    """The one thing that explains the shots far better when it is otherwise, if there is one."""
    as_is, found = score(values, at)
    strong = current().value("contradiction.strong")
    if -as_is < strong:
        return None
    lacking = [(set(r.channels), -likelihood(r)) for r in found]
    lacking += [({k}, -_share(at, k, v)) for k, v in values.items()]
    tried = [
        (o, score(o.applied(values), at))
        for o in _every(values, units, confirmed)
        # No change can gain more than what is lacking where it acts.
        if sum(much for where, much in lacking if where & set(o.channels)) >= strong
    ]
    if not tried:
        return None
    otherwise, (best, after) = max(tried, key=lambda t: t[1][0] - 0.5 * len(t[0].channels))
    about = _worst(found, after)
    if best - as_is < strong or (otherwise.channels == ("total_m",) and not _mostly(about)):
        return None
    return otherwise, about, best - as_is


def _mostly(relation: Relation | None) -> bool:
    """Whether most shots show it: another unit is wrong in every row."""
    if relation is None:
        return True
    told = relation.residual[np.isfinite(relation.residual)]
    one_side = max((told > 0.0).sum(), (told < 0.0).sum())
    return bool(3 * one_side >= 2 * len(told))


def _worst(before: Sequence[Relation], after: Sequence[Relation]) -> Relation | None:
    """The relation of the log as it stands that gains most."""
    gained = {r.name + str(len(r.channels)): likelihood(r) for r in after}
    gains = {i: gained.get(r.name + str(len(r.channels)), 0.0) - likelihood(r) for i, r in enumerate(before)}
    best = max(gains, key=lambda i: gains[i], default=None)
    return before[best] if best is not None and gains[best] > 2.0 else None


def _failing(values: Values, at: Surroundings, confirmed: frozenset[str]) -> list[Relation]:
    """Relations that the middle of the shots breaks."""
    limit = current().value("contradiction.far")
    out = []
    for r in score(values, at)[1]:
        told = r.residual[np.isfinite(r.residual)]
        if len(told) < current().value("contradiction.least") or r.name in confirmed:
            continue
        short = r.name == "total_m" and 5.0 * (np.abs(told) > 2.0 * r.noise).sum() > len(told)
        if short or abs(float(np.median(told))) > limit * r.offset:
            out.append(r)
    return out


def _doubt(
    session: Session, otherwise: Otherwise | None, relation: Relation | None, gain: float | None
) -> Doubt:
    channels = otherwise.channels if otherwise else relation.channels if relation else ()
    found = expected = float("nan")
    shots = of = 0
    if relation is not None:
        good = np.isfinite(relation.residual)
        of, shots = int(good.sum()), int((np.abs(relation.residual[good]) > 2.0 * relation.noise).sum())
        if good.any() and abs(_middle(relation.residual[good])) > relation.offset:
            found, expected = (_middle(v[good]) for v in (relation.found, relation.expected))
    code = otherwise.code if otherwise else "disagrees"
    cure = _cure(session, otherwise) if otherwise else ()
    unit, about = otherwise.unit if otherwise else "", relation.name if relation else ""
    return Doubt(code, channels, cure, unit, about, shots, of, found, expected)


def why(session: Session) -> Problem:
    """Why most shots of a session are set aside: column and row where it began, and the likely cure."""
    reasons = Counter((f.channel, f.reason) for f in session.flags if f.set_aside)
    (channel, reason), times = (reasons.most_common(1) or [((session.source, "set aside by hand"), 0)])[0]
    first = next(
        (f.shot for f in session.flags if f.set_aside and (f.channel, f.reason) == (channel, reason)), 0
    )
    rows = session.row[session.shot == first]
    column = next((c for c in session.columns.values() if c.channel == channel), None)
    where = f"{session.source}, row {int(rows[0]) if len(rows) else '?'}"
    where += f", column {column.header!r}" if column else ""
    found = f"{channel}: {reason} in {times} of {len(session)} shots, from here on"
    cures = [f"--map '{header}={target}'" for d in session.doubts for header, target in d.cure]
    do = f"Try {' '.join(cures)}." if cures else "Compare the row with its header: a cell or a unit is wrong."
    return Problem(where, found, "values that a driver shot can take", do)


def _middle(values: Floats) -> float:
    there = values[np.isfinite(values)]
    return float(np.median(there)) if len(there) else float("nan")


def _cure(session: Session, otherwise: Otherwise) -> tuple[tuple[str, str], ...]:
    """Corrections, header to channel, that would make it so; none where a channel has no column."""
    headers: dict[str, Column] = {}
    for column in session.columns.values():
        if column.channel:
            headers.setdefault(column.channel, column)
    if any(n not in headers for n in otherwise.channels):
        return ()
    pairs = []
    for k, name in enumerate(otherwise.channels):
        column = headers[name]
        if otherwise.code == "exchanged":
            target = otherwise.channels[1 - k]
        elif otherwise.code == "sign":
            target = f"-{name}"
        else:
            target = f"{CHANNELS[name].label} ({otherwise.unit})"
        pairs.append((column.header, target))
    return tuple(pairs)
