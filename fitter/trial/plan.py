"""Which clubs deserve balls, in which order, and whether so many balls can settle anything."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.belief import Belief
from fitter.advice.options import AVAILABLE, Option
from fitter.advice.scored import tier_worth
from fitter.base import draws as keyed
from fitter.base.assumptions import current
from fitter.base.errors import DataError, InputError, Problem
from fitter.trial.designs import mirrored, swaps
from fitter.trial.information import over_zero
from fitter.trial.prospect import Prospect

Floats = NDArray[np.float64]

EFFORTS = ("full", "ordinary", "slow")
"""How hard and by whom balls are hit: each has its own cap of full drives a day."""
MOST_CLUBS = 3
"""Clubs beside the present one: a mirror of four takes 24 balls at the least."""
LOOKED_AT = 6
"""Clubs of which pairs and threes are tried."""
RUNS = (3, 4, 5)
"""Balls with a club before it is put away (common practice, no source)."""
MASKS = "ABCDEFGH"
ENDLESS = 1e6
"""Balls that stand for as many as anybody likes."""
TODAY = ("in hand", AVAILABLE["rack"], AVAILABLE["today"])


@dataclass(frozen=True)
class Budget:
    """What may be spent.

    Parameters
    ----------
    balls : int
        Full drives of the trial.
    minutes : float
    """

    balls: int
    minutes: float

    @classmethod
    def of(cls, balls: int | None, minutes: float | None, effort: str, hit: int = 0) -> Budget:
        """Budget under the cap of a day's full drives, those hit already taken off.

        Raises
        ------
        InputError
            If there is no such effort, or nothing can be spent.
        """
        problems = []
        if effort not in EFFORTS:
            problems.append(Problem("--effort", repr(effort), ", ".join(EFFORTS), "Name one of these."))
        for name, value in (("--most-balls", balls), ("--minutes", minutes)):
            if value is not None and not value > 0:
                problems.append(Problem(name, f"{value:g}", "more than 0", "Leave it out for the usual."))
        if problems:
            raise InputError("The trial's budget is not clear.", problems)
        a = current()
        cap = round(a.value(f"trial.cap_{effort}")) - hit
        most = cap if balls is None else min(balls, cap)
        return cls(max(most, 0), a.value("trial.minutes") if minutes is None else minutes)


@dataclass(frozen=True)
class Plan:
    """A trial before a ball is hit.

    Parameters
    ----------
    clubs : tuple of Option
        The present club first; each is hit as it is, without a moved ball or tee.
    codes : tuple of str
        Masked codes of the clubs, in their order.
    runs : tuple of int
        Index into the clubs of every run, in order.
    a_run : int
        Balls of a run.
    minutes : float
    worth : float
        Expected gain of deciding after it over deciding now, in the unit of the goal.
    decides : float
        Probability that the whole budget settles it.
    expected_balls : float
        Until it is settled or spent.
    settles : bool
        False where no number of balls on one day would settle it more often than not.
    seed : int
        Of the masks and the order.
    """

    clubs: tuple[Option, ...]
    codes: tuple[str, ...]
    runs: tuple[int, ...]
    a_run: int
    minutes: float
    worth: float
    decides: float
    expected_balls: float
    settles: bool
    seed: int

    @property
    def balls(self) -> int:
        """Balls of the whole trial."""
        return len(self.runs) * self.a_run

    @property
    def turn(self) -> int:
        """Balls from one mirror's end to the next."""
        return 2 * len(self.clubs) * self.a_run

    def club_of(self, ball: int) -> int:
        """Index of the club of a ball, counted from 0."""
        return self.runs[ball // self.a_run]

    @property
    def swaps(self) -> int:
        """How often another club is taken up."""
        return swaps(self.runs)


def minutes_of(runs: Sequence[int], a_run: int) -> float:
    """Minutes that an order of runs takes: balls and swaps (common practice, no source)."""
    a = current()
    seconds = len(runs) * a_run * a.value("trial.ball_s") + swaps(runs) * a.value("trial.swap_s")
    return float(seconds / 60.0)


def net_gains(belief: Belief) -> Floats:
    """Expected gains less what each option has to bring, shape (options,)."""
    p = belief.paper.prediction
    carry = float(p.carry[:, 0].mean())
    worth = np.array([tier_worth(o.tier, carry, p.yard) for o in belief.options])
    return np.asarray(belief.draws["gain"].mean(axis=0) - worth)


def candidates(belief: Belief) -> list[int]:
    """Options that can be mounted today and are another club than the present one, one place a club."""
    present = belief.options[0].club.code
    seen: dict[str, int] = {}
    for i, o in enumerate(belief.options):
        if not o.set_up and o.club.code != present and o.availability in TODAY and not o.rules:
            seen.setdefault(o.club.code, i)
    return list(seen.values())


def plan(belief: Belief, budget: Budget, seed: int = 1, only: Sequence[str] = (), lead: str = "") -> Plan:
    """Plan the trial that is expected to bring most within a budget.

    Parameters
    ----------
    belief : Belief
        With every club that may be tried among what was predicted.
    budget : Budget
    seed : int
    only : sequence of str
        Ids of options to try, of a set-up its club; the best by their value when silent.
    lead : str
        Code of the club that the verdict names: it is tried where it can be, else the one of most worth.

    Raises
    ------
    InputError
        If a club cannot be tried.
    DataError
        If the budget holds no mirror, or nothing can be mounted today.
    """
    net = net_gains(belief)
    able = candidates(belief)
    able = _only(belief, able, only) if only else able
    if not able:
        do = "Order or borrow one, or take what is in the rack: --stock rack,today."
        problem = Problem("the kit", "no other club that can be mounted today", "at least one", do)
        raise DataError("There is nothing to try today.", [problem])
    a, unit = current(), belief.paper.prediction.yard
    usual = 2 * RUNS[-1]
    if only:
        sets = [tuple(able)]
    else:
        leader, rivals = contenders(belief, net, able, lead)
        rivals = sorted(rivals, key=lambda i: (-Prospect.of(belief, net, [leader, i]).value(usual, seed), i))
        some = rivals[: LOOKED_AT - 1]
        sets = [(leader, *s) for k in range(MOST_CLUBS) for s in itertools.combinations(some, k)]
    tried: list[tuple[float, int, tuple[int, ...], tuple[int, ...], int]] = []
    for chosen in sets:
        prospect = Prospect.of(belief, net, chosen)
        for a_run in RUNS:
            for turns in range(1, 1 + budget.balls // (2 * (len(chosen) + 1) * a_run)):
                runs = mirrored(_shuffled(len(chosen) + 1, seed), turns)
                if minutes_of(runs, a_run) <= budget.minutes:
                    worth = prospect.value(2 * a_run * turns, seed)
                    tried.append((worth, len(runs) * a_run, chosen, runs, a_run))
    if not tried:
        least = 4 * RUNS[0]
        runs = mirrored((0, 1), 1)
        found = f"{budget.balls} balls, {budget.minutes:g} minutes"
        allowed = f"at least {least} balls and {minutes_of(runs, RUNS[0]):.0f} minutes for one club"
        problem = Problem("the budget", found, allowed, "Give more, or come back rested.")
        raise DataError("The budget holds no fair trial.", [problem])
    most = max(t[0] for t in tried)
    # Of trials that are nearly as good the shortest.
    enough = [t for t in tried if t[0] >= most - max(0.1 * most, 0.05 * unit)]
    worth, _, chosen, runs, a_run = min(enough, key=lambda t: (t[1], -t[0], t[2]))
    prospect = Prospect.of(belief, net, chosen)
    turns = len(runs) // (2 * (len(chosen) + 1))
    looks, who = [2 * a_run * (k + 1) for k in range(turns)], (0, *chosen)
    enough_m = a.value("trial.enough_yd") * unit
    done = settled(prospect, who, looks, enough_m, seed)
    settles = settled(prospect, who, [ENDLESS], enough_m, seed)[:, 0].mean() > 0.5
    first = np.where(done.any(axis=1), done.argmax(axis=1), turns - 1)
    clubs = (belief.options[0], *(belief.options[i] for i in chosen))
    return Plan(
        clubs=clubs,
        codes=masks(len(clubs), seed),
        runs=runs,
        a_run=a_run,
        minutes=minutes_of(runs, a_run),
        worth=worth,
        decides=float(done.any(axis=1).mean()),
        expected_balls=float((first + 1).mean() * 2 * len(clubs) * a_run),
        settles=bool(settles),
        seed=seed,
    )


def contenders(belief: Belief, net: Floats, able: Sequence[int], named: str = "") -> tuple[int, list[int]]:
    """Club that would be bought as things stand, which every trial holds, and those that may beat it.

    Parameters
    ----------
    belief : Belief
    net : ndarray, shape (options,)
    able : sequence of int
        Options that can be mounted.
    named : str
        Code of the club that the verdict names, '' where it names none.
    """
    lead = max(able, key=lambda i: (belief.options[i].club.code == named, net[i], -i))
    gain = belief.draws["gain"]
    ahead = gain - gain[:, [lead]] - (gain.mean(axis=0) - net)[None] + (gain.mean(axis=0) - net)[lead]
    chance = (ahead > 0.0).mean(axis=0)
    least = current().value("trial.contends")
    return lead, [i for i in able if i != lead and chance[i] >= least]


def settled(
    prospect: Prospect, who: Sequence[int], looks: Sequence[float], enough: float, seed: int
) -> NDArray[np.bool_]:
    """Whether each future is settled at each look, (futures, looks).

    Parameters
    ----------
    prospect : Prospect
    who : sequence of int
        Options between which the trial decides.
    looks : sequence of float
        Balls with each club.
    enough : float
        See `open_worth`, in the unit of the goal.
    seed : int
    """
    at = list(who)
    paths = prospect.paths(looks, seed)[..., at]
    found = [open_worth(paths[:, k], prospect.left(balls)[np.ix_(at, at)]) for k, balls in enumerate(looks)]
    return np.asarray(np.stack(found, axis=1) < enough)


def open_worth(net: Floats, covariance: Floats) -> Floats:
    """Most that could be had by knowing for certain whether another option beats the best, shape (n,).

    Parameters
    ----------
    net : ndarray, shape (n, options)
        Expected net gains.
    covariance : ndarray, shape (options, options)
        Of the gains, the same for all.
    """
    best = np.argmax(net, axis=1)
    own = np.diag(covariance)
    variance = own[None, :] + own[best][:, None] - 2.0 * covariance[best]
    sd = np.sqrt(np.maximum(variance, 0.0))
    far = net.max(axis=1, keepdims=True) - net
    worth = np.where(sd > 0.0, sd * over_zero(-far / np.where(sd > 0.0, sd, 1.0)), 0.0)
    return np.asarray(worth.max(axis=1))


def masks(clubs: int, seed: int) -> tuple[str, ...]:
    """Codes under which clubs are handed over, drawn by lot: nobody sees which one is the present one."""
    order = keyed.generator(seed, "masks").permutation(clubs)
    return tuple(MASKS[k] for k in order)


def _shuffled(clubs: int, seed: int) -> tuple[int, ...]:
    order = keyed.generator(seed, "first turn").permutation(clubs)
    return tuple(int(k) for k in order)


def _only(belief: Belief, able: Sequence[int], only: Sequence[str]) -> list[int]:
    by_id = {belief.options[i].id: i for i in able}
    clubs = {o.id: o.club.code for o in belief.options}
    only = [clubs[x] if x not in by_id and clubs.get(x) in by_id else x for x in only]
    problems = [
        Problem(
            "--try", repr(x), ", ".join(list(by_id)[:5]) or "none", "Name clubs that can be mounted today."
        )
        for x in only
        if x not in by_id
    ]
    if len(only) > MOST_CLUBS:
        problems.append(Problem("--try", f"{len(only)} clubs", f"up to {MOST_CLUBS}", "Try fewer at a time."))
    if problems:
        raise InputError("These clubs cannot be tried.", problems)
    return [by_id[x] for x in dict.fromkeys(only)]
