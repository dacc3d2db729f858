"""Ways of choosing a club: what a player would end with under each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from fitter.advice.options import Option
from fitter.advice.result import Ranking
from reference.virtual_range import engine
from reference.virtual_range.course import strokes
from reference.virtual_range.engine import Floats
from reference.virtual_range.players import MPH, RPM, YARD, stream
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import DEG

CLUBS = ("H1/S2", "H2/S3", "H3/S2", "H4/S3", "H5/S5", "H6/S2", "H7/S3")
"""Clubs of the shop's rack that everybody hits, beside his own."""
BALLS = 7
CARRY_ERROR = 0.008
"""SD of one measured carry, share (J)."""
# Launch (deg) and spin (rpm) that a chart asks for at a ball speed (mph): common practice, no source, from
# memory.
CHART = np.array([
    (100.0, 17.0, 3400.0), (120.0, 15.5, 3000.0), (140.0, 14.0, 2700.0), (160.0, 12.5, 2400.0),
    (180.0, 11.0, 2100.0), (200.0, 10.0, 1900.0),
])  # fmt: skip


@dataclass
class Choice:
    """All that a strategy may look at for one player and one goal.

    Parameters
    ----------
    truth : Truth
    options : dict of str to Option
        By id; the first is the present club.
    goal : str
        'carry', 'total' or 'play'.
    ranking : Ranking or None
        The advisor's answer, None where it refused.
    """

    truth: Truth
    options: dict[str, Option]
    goal: str
    ranking: Ranking | None
    balls: dict[str, tuple[Floats, Floats]] = field(default_factory=dict)

    @cached_property
    def rack(self) -> tuple[str, ...]:
        """Ids of the clubs of the rack in a neutral set-up, his own first."""
        found = [next(iter(self.options))]
        for club in CLUBS:
            found += [i for i, o in self.options.items() if i != found[0] and plain(o) == club][:1]
        return tuple(dict.fromkeys(found))

    def hit(self, option: str) -> tuple[Floats, Floats]:
        """Seven balls with a club of the rack on one day, with what a device gets wrong: starts, finishes."""
        if option not in self.balls:
            truth, player = self.truth, self.truth.player
            here = next(iter(self.options.values()))
            swings = player.held_in(player.swings(BALLS, f"trial {option}") + player.day(option))
            starts, finishes = (x[1] for x in truth.hit([here, self.options[option]], swings))
            error = 1.0 + CARRY_ERROR * stream(player.number, "trial", option).standard_normal(BALLS)
            finishes[:, [engine.X, engine.TOTAL_X]] *= error[:, None]
            self.balls[option] = starts, finishes
        return self.balls[option]

    def worth(self, option: str) -> Floats:
        """What each of seven balls was worth for the goal: more is better."""
        finishes = self.hit(option)[1]
        if self.goal == "carry":
            return np.asarray(finishes[:, engine.X])
        if self.goal == "total":
            return np.asarray(finishes[:, engine.TOTAL_X])
        across = finishes[:, engine.TOTAL_Y] / YARD
        return -strokes(finishes[:, engine.TOTAL_X] / YARD, across - across.mean())


def plain(option: Option) -> str:
    """HEAD/SHAFT of an option where nothing else is changed, '' otherwise."""
    club = option.club
    moved = (
        option.ball_forward_mm or option.tee_mm or club.loft_change_deg or club.swap_g or club.tip_weight_g
    )
    return "" if moved else f"{club.head.code}/{club.shaft.code}"


def keep(c: Choice) -> str | None:
    """Change nothing."""
    return None


def at_random(c: Choice) -> str | None:
    """Take any option."""
    names = list(c.options)
    return names[int(stream(c.truth.player.number, "any").integers(len(names)))]


def largest_mean(c: Choice) -> str | None:
    """Hit seven balls with each of eight clubs, take the largest mean."""
    return max(c.rack, key=lambda o: float(c.worth(o).mean()))


def best_ball(c: Choice) -> str | None:
    """Hit seven balls with each of eight clubs, take the one with the best single ball."""
    return max(c.rack, key=lambda o: float(c.worth(o).max()))


def chart(c: Choice) -> str | None:
    """Hit seven balls with each of eight clubs, take the one nearest to a chart of launch and spin."""

    def far(option: str) -> float:
        speed, launch, _, spin, _ = c.hit(option)[0].mean(axis=0)
        wanted = [np.interp(speed / MPH, CHART[:, 0], CHART[:, k]) for k in (1, 2)]
        return float(((launch / DEG - wanted[0]) / 1.5) ** 2 + ((spin / RPM - wanted[1]) / 300.0) ** 2)

    return min(c.rack, key=far)


def promise(c: Choice) -> str | None:
    """Take the advisor's largest expected gain, whatever it costs."""
    return None if c.ranking is None else max(c.ranking.options, key=lambda s: s.value_gain.mean).option.id


def ladder_top(c: Choice) -> str | None:
    """Take what the advisor's ladder promises most after its cost, if that is anything."""
    if c.ranking is None:
        return None
    best = max(c.ranking.options, key=lambda s: s.value_gain.mean - s.threshold)
    return best.option.id if best.value_gain.mean > best.threshold else None


def verdict(c: Choice) -> str | None:
    """Change where the advisor says so; test, measure, trade and a refusal count as keep."""
    if c.ranking is None or c.ranking.verdict.action != "change":
        return None
    return c.ranking.verdict.option


STRATEGIES: dict[str, Callable[[Choice], str | None]] = {
    "keep": keep, "any option": at_random, "largest mean of 7": largest_mean, "best ball of 7": best_ball,
    "chart": chart, "largest promise": promise, "top of the ladder": ladder_top, "verdict": verdict,
}  # fmt: skip
"""Every strategy by name; one that plans its balls, or learns from a first fitting, is one entry more."""
