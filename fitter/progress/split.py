"""A change of carry between two visits, split by cause: the parts add up to what was measured.

Each cause is credited with its mean effect over all orders in which the causes can be changed from one
visit to the other (Shapley 1953, Contributions to the Theory of Games II, 307-317), in every draw of what
is not known. The causes are told for the player's level, not for the balls that happened to be hit; what
they leave of the measured change is unexplained: ball and device of the day, and the luck of so few balls.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter import world as worlds
from fitter.advice.options import Option
from fitter.advice.response import Response, Swing, changes
from fitter.base import draws
from fitter.base.assumptions import current
from fitter.base.units import DEG
from fitter.physics import engine, vectors
from fitter.progress import weather
from fitter.progress.joint import Together, X, parts
from fitter.progress.visits import Group, Visit
from fitter.shots.infer import measurement
from fitter.simulate.flight import spin_ratio

Floats = NDArray[np.float64]

CAUSES = ("speed", "strike", "delivery", "club", "conditions")
UNEXPLAINED = "unexplained"
_COLUMNS = {
    "speed": [vectors.CLUB_SPEED],
    "strike": [vectors.TOE, vectors.HIGH],
    "delivery": [vectors.ATTACK, vectors.PATH, vectors.FACE, vectors.LOFT],
}
"""Columns of a delivery that belong to each cause of the player's own."""
_MOVED = [vectors.CLUB_SPEED, vectors.ATTACK, vectors.PATH, vectors.FACE, vectors.LOFT]
"""Columns on which a club acts."""


@dataclass(frozen=True)
class Part:
    """One part of a change of carry, m: its centre and the ends of its 80 % interval."""

    cause: str
    value_m: float
    low_m: float
    high_m: float


@dataclass(frozen=True)
class Change:
    """Change from one visit to another.

    Parameters
    ----------
    since, to : int
        Numbers of the visits.
    total : Part
        Typical carry as it was measured, each in its own air; its interval is that of so few balls.
    parts : tuple of Part
        In the order of `CAUSES`, and what is unexplained; they add up to the total.
    anchored : bool
        Whether the anchor club told what another club did; True where the club stayed the same.
    """

    since: int
    to: int
    total: Part
    parts: tuple[Part, ...]
    anchored: bool

    def part(self, cause: str) -> Part:
        """One part by its name."""
        return next(p for p in self.parts if p.cause == cause)


def split(drawn: Together, visits: tuple[Visit, ...], since: int, to: int, seed: int) -> Change:
    """Split the change between two visits.

    Parameters
    ----------
    drawn : Together
        Of all visits.
    visits : tuple of Visit
    since, to : int
        Numbers of the visits, in the order of time.
    seed : int
    """
    old, new = visits[since].main, visits[to].main
    n = len(drawn.models)
    at = drawn.place(old), drawn.place(new)
    club, anchored = club_change(drawn, visits, (since, to), seed)
    pairs, weights = paired(len(old), len(new), seed)
    face = _face(drawn, at, old.club.code != new.club.code, seed)
    carried = _Carried(drawn, (old, new), at, club, face, pairs, weights, seed)
    sets = list(itertools.product((False, True), repeat=len(CAUSES)))
    worth = carried(sets, drawn.shots(at[0]), drawn.shots(at[1]))
    credit = {c: _credit(worth, i, len(CAUSES)) for i, c in enumerate(CAUSES)}
    for sign, group in ((-1.0, old), (1.0, new)):
        credit["conditions"] = credit["conditions"] + sign * weather.hidden(group, n, seed)
    measured = [weather.measured(g) for g in (old, new)]
    observed = float(measured[1].mean() - measured[0].mean())
    found = [_part(c, v) for c, v in credit.items()]
    rest = observed - sum(p.value_m for p in found)
    found.append(_part(UNEXPLAINED, -np.sum(list(credit.values()), axis=0), rest))
    return Change(since, to, _measured(measured, n, seed), tuple(found), anchored)


def _measured(carries: list[Floats], n: int, seed: int) -> Part:
    """Change of the mean carry, with what so few balls leave open of either mean (Student's t)."""
    rng = draws.generator(seed, "progress.measured")
    old, new = (
        float(c.mean()) + rng.standard_t(len(c) - 1, n) * float(c.std(ddof=1)) / math.sqrt(len(c))
        for c in carries
    )
    return _part("all", new - old, float(carries[1].mean() - carries[0].mean()))


def _part(cause: str, values: Floats, centre: float | None = None) -> Part:
    """Part of draws; about another centre the interval moves along."""
    middle = float(values.mean())
    low, high = (float(v) - middle for v in draws.interval(values))
    value = middle if centre is None else centre
    return Part(cause, value, value + low, value + high)


def _credit(worth: dict[tuple[bool, ...], Floats], i: int, n: int) -> Floats:
    """Shapley value of cause i among n in every draw."""
    total: Floats = np.zeros(())
    for chosen, value in worth.items():
        if not chosen[i]:
            size = sum(chosen)
            share = math.factorial(size) * math.factorial(n - size - 1) / math.factorial(n)
            total = total + share * (worth[(*chosen[:i], True, *chosen[i + 1 :])] - value)
    return total


def paired(n: int, m: int, seed: int) -> tuple[NDArray[np.int64], Floats]:
    """Pairs of two visits' balls, (pairs, 2), and weights in which every ball of either counts alike.

    Examples
    --------
    >>> pairs, weights = paired(3, 2, 1)
    >>> [round(float(weights[pairs[:, 1] == k].sum()), 6) for k in (0, 1)], len(pairs)
    ([0.5, 0.5], 4)
    """
    rng = draws.generator(seed, "progress.pairs", n, m)
    one, other = rng.permutation(n), rng.permutation(m)
    edges = np.unique(np.concatenate([np.arange(n + 1) * m, np.arange(m + 1) * n]))
    start = edges[:-1]
    return np.stack([one[start // m], other[start // n]], axis=1), np.diff(edges) / (n * m)


@dataclass(frozen=True, eq=False)
class _Carried:
    """Mean carry of balls that take some causes from one visit and the rest from the other."""

    drawn: Together
    groups: tuple[Group, Group]
    at: tuple[int, int]
    club: Floats
    face: tuple[Floats, Floats]
    pairs: NDArray[np.int64]
    weights: Floats
    seed: int

    def __call__(
        self, sets: list[tuple[bool, ...]], old: Floats, new: Floats
    ) -> dict[tuple[bool, ...], Floats]:
        """Mean carry of each set of causes that are the new visit's, m, (draws,) each."""
        one, other = old[:, self.pairs[:, 0]], _moved(new[:, self.pairs[:, 1]], self.club, -1.0)
        calibration = self.drawn.calibrations[:, list(self.at)].mean(axis=1)
        deeds = list(dict.fromkeys(s[:-1] for s in sets))
        launched = {s: self._launched(s, one, other, calibration) for s in deeds}
        n = len(self.drawn.models)
        start = np.mean([g.start.mean(axis=0) for g in self.groups], axis=0)
        found: dict[tuple[bool, ...], Floats] = {}
        for air, group in zip((False, True), self.groups, strict=True):
            chosen = [s for s in sets if s[-1] == air]
            if not chosen:
                continue
            s = spin_ratio(start[[vectors.SPEED]], start[[vectors.SPIN]])
            names = worlds.law_names(group.air)
            world = worlds.drawn(group.air, n, self.seed, worlds.law_weights(names, s)).world
            rows = np.concatenate([launched[s[:-1]] for s in chosen], axis=1)
            carry = engine.fly(rows, world)[..., vectors.CARRY].reshape(n, len(chosen), -1)
            found |= {s: carry[:, k] @ self.weights for k, s in enumerate(chosen)}
        return found

    def _launched(self, chosen: tuple[bool, ...], old: Floats, new: Floats, calibration: Floats) -> Floats:
        """Starts (draws, pairs, 5)."""
        deed = old.copy()
        for name, taken in zip(CAUSES[:-2], chosen[:-1], strict=True):
            if taken:
                deed[..., _COLUMNS[name]] = new[..., _COLUMNS[name]]
        if chosen[-1]:
            deed = _moved(deed, self.club, 1.0)
        head = self.groups[int(chosen[-1])].head
        own = calibration.copy()
        own[:, measurement.RESTITUTION] += self.face[int(chosen[-1])]
        model = self.drawn.models.copy()
        model[:, vectors.COR] += own[:, measurement.RESTITUTION]
        start = engine.strikes(deed, head, model[:, None])
        start[..., vectors.ELEVATION] += own[:, None, measurement.LAUNCH]
        start[..., vectors.SPIN] *= np.exp(own[:, None, measurement.SPIN])
        start[..., vectors.TILT] += own[:, None, measurement.AXIS]
        return start


def _moved(shots: Floats, club: Floats, sign: float) -> Floats:
    """Deliveries with what a club does to them, (draws, 5), added (1) or taken off (-1)."""
    out = shots.copy()
    out[..., vectors.CLUB_SPEED] *= np.exp(sign * club[:, None, 0])
    out[..., _MOVED[1:]] += sign * club[:, None, 1:]
    return out


def _face(drawn: Together, at: tuple[int, int], other: bool, seed: int) -> tuple[Floats, Floats]:
    """Restitution of either club's face about the mean of both visits, (draws,) each.

    Of a difference between two visits another club explains the share that its part has of the variance.
    """
    n = len(drawn.models)
    if not other:
        return np.zeros(n), np.zeros(n)
    told = (
        drawn.calibrations[:, at[1], measurement.RESTITUTION]
        - drawn.calibrations[:, at[0], measurement.RESTITUTION]
    )
    day, club = (float(p[measurement.RESTITUTION]) ** 2 for p in parts())
    share = club / (club + day)
    noise = draws.normals(n, seed, "progress.face") * math.sqrt(2.0 * share * day)
    half = 0.5 * (share * told + noise)
    return -half, half


def club_change(
    drawn: Together, visits: tuple[Visit, ...], between: tuple[int, int], seed: int
) -> tuple[Floats, bool]:
    """What the new club does to the player's delivery, (draws, 5): log speed, attack, path, face, loft.

    Three sources, each with the weight of its precision: what the figures of the clubs promise, what the
    anchor club tells of the same days, and the change itself, of which the player's own part is judged.
    """
    old, new = (visits[k].main for k in between)
    n = len(drawn.models)
    if old.club.code == new.club.code:
        return np.zeros((n, len(_MOVED))), True
    levels = [_logged(drawn.level(drawn.place(g))) for g in (old, new)]
    swing = Swing(*(float(v) for v in drawn.level(drawn.place(old)).mean(axis=0)[:X][:5]))
    a = current()
    promised = changes([Option(new.club.code, "-", new.club)], old.club, swing, Response(n, seed)).delivery[
        :, 0
    ]
    wide = [
        a.sd(f"progress.club_{c}") for c in ("speed_pct", "attack_deg", "path_deg", "face_deg", "loft_deg")
    ]
    unit = np.array([0.01, DEG, DEG, DEG, DEG])
    noise = np.stack([draws.normals(n, seed, "progress.club", k) for k in range(len(_MOVED))], axis=1)
    # The first column of a club's change is a factor.
    prior = promised[:, _MOVED] + noise * np.array(wide) * unit
    prior[:, 0] = np.log(promised[:, 0]) + noise[:, 0] * wide[0] * unit[0]
    sources = [prior]
    own = np.array(
        [
            a.sd(f"progress.months_{c}")
            for c in ("speed_pct", "attack_deg", "path_deg", "face_deg", "loft_deg")
        ]
    )
    still = np.stack([draws.normals(n, seed, "progress.months", k) for k in range(len(_MOVED))], axis=1)
    sources.append(levels[1] - levels[0] - still * own * unit)
    beside = [_beside(drawn, visits[k], visits) for k in between]
    anchored = all(b is not None for b in beside)
    if anchored:
        sources.append(beside[1] - beside[0])  # type: ignore[operator]
    precision = np.stack([1.0 / np.maximum(s.var(axis=0), 1e-12) for s in sources])
    share = precision / precision.sum(axis=0)
    return np.asarray(sum(w * s for w, s in zip(share, sources, strict=True))), anchored


def _beside(drawn: Together, visit: Visit, visits: tuple[Visit, ...]) -> Floats | None:
    """The day's own club against the anchor, (draws, 5); None where nothing ties it to the anchor."""
    codes = {v.anchor.club.code for v in visits if v.anchor is not None}
    code = next(iter(codes)) if len(codes) == 1 else visits[0].main.club.code
    anchor = visit.with_club(code)
    if anchor is None:
        return None
    if anchor is visit.main:
        return np.zeros((len(drawn.models), len(_MOVED)))
    main, other = (_logged(drawn.level(drawn.place(g))) for g in (visit.main, anchor))
    return main - other


def _logged(level: Floats) -> Floats:
    """Columns on which a club acts, the logarithm of the speed first, (draws, 5)."""
    out = level[:, _MOVED].copy()
    out[:, 0] = np.log(out[:, 0])
    return out
