"""How soon a wrong club in hand is noticed, and how often a right one is doubted, by simulation.

Run ``OPENBLAS_NUM_THREADS=1 python -m reference.wrong_club CLUBS``. A demo player's prediction is the prior;
truths come from other random numbers. The club that is hit is 3 deg of loft off, with slopes of launch and
spin of its own; or right; or right with another spin slope and another answer of the player.
"""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np

from fitter import Kit, demo, read
from fitter.advice.balls import HOME, OBSERVED, Balls
from fitter.advice.baseline import baseline
from fitter.advice.belief import Belief
from fitter.advice.likelihood import likelihood
from fitter.advice.prediction import predict
from fitter.advice.question import Question, ask
from fitter.advice.rank import decided
from fitter.advice.roots import SCALE
from fitter.advice.spending import boundary, rounded
from fitter.advice.suspect import departure

SKILLS = {"good": 0.65, "average": 1.0, "poor": 1.45}
"""SD of one ball, times an ordinary amateur's (launch 1.8 deg, spin 400 rpm)."""
OFF = 3.0
"""Loft by which a wrong club is off, deg."""
TAILS = 5.0
ORDER = [0] * 3 + [1] * 6 + [0] * 6 + [1] * 6 + [0] * 6 + [1] * 12 + [0] * 6
KINDS = ("wrong", "right", "slopes")


class Range:
    """Balls of one player's clubs, drawn as the belief takes the world to be; units of `SCALE`."""

    def __init__(self, question: Question, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        found = decided(question)
        self.belief = Belief.of(found.prediction, seed=1)
        other = replace(question, seed=2).right_handed()
        truths = predict(self.belief.options, other, baseline(other))
        self.truth = Belief.of(truths, seed=2)
        roots = self.belief.paper.roots
        self.cov = {kind: roots.covariance(kind) for kind in ("own_day", "day", "drift", "scatter")}
        self.level = self.belief.paper.here / SCALE
        # Another head on the present shaft, both gauged.
        self.able = [
            o.club
            for o in self.belief.options
            if o.tier == "D" and o.club.head.loft_deg and o.club.head.loft_deg.sd <= 0.3
            and not (o.ball_forward_mm or o.tee_mm)
        ]  # fmt: skip

    def draw(self, kind: str) -> np.ndarray:
        """One draw of a kind of variation."""
        return self.rng.multivariate_normal(np.zeros(len(SCALE)), self.cov[kind])

    def errors(self, n: int, skill: float) -> np.ndarray:
        """Errors of single balls: a t of 5 degrees."""
        root = np.linalg.cholesky(self.cov["scatter"] * skill**2 * (TAILS - 2.0) / TAILS)
        z = self.rng.standard_normal((n, len(SCALE))) @ root.T
        return np.asarray(z / np.sqrt(self.rng.chisquare(TAILS, n) / TAILS)[:, None])

    def effect(self, code: str, kind: str) -> np.ndarray:
        """True effect of a club."""
        rng, step = self.rng, self.belief.paper.loft_step
        effect = self.truth.paper.effects([code])[rng.integers(len(self.truth.paper.values))].copy()
        if kind == "wrong":
            per_deg = np.array([0.0, -0.25, rng.uniform(0.7, 0.9), rng.uniform(180.0, 300.0)])
            effect[:4] += rng.choice([-1.0, 1.0]) * OFF * per_deg / SCALE[:4]
        if kind == "slopes":
            mean = self.belief.paper.effects([code]).mean(axis=0)
            loft = mean[2] / step[2]
            effect = mean + 0.0
            effect[3] += loft * (rng.uniform(180.0, 300.0) / SCALE[3] - step[3])
            effect[:4] += 0.7 * rng.standard_normal() * step
        return effect

    def noticed(self, kind: str, skill: float) -> int:
        """Ball of a club at which it is doubted; 99 if never."""
        club, own = self.able[self.rng.integers(len(self.able))], self.belief.options[0].club
        paper, n = self.belief.paper, len(ORDER)
        effect, day, drift = self.effect(club.code, kind), self.draw("day"), self.draw("drift")
        days = self.draw("own_day"), self.draw("own_day") + effect
        home = self.level + self.draw("day") + self.draw("own_day") + self.errors(14, skill)
        hit = self.level + day + np.arange(n)[:, None] * drift + np.array(days)[ORDER] + self.errors(n, skill)
        y = np.concatenate([home, hit]) * SCALE
        which, block = np.array([0] * 14 + ORDER), np.array([HOME] * 14 + [1] * n)
        order = np.concatenate([np.arange(14.0), np.arange(float(n))])
        values = {name: y[:, k] for k, name in enumerate(OBSERVED)}
        every = Balls((own, club), which, block, order, values)
        prior, mean = paper.prior([club.code]), paper.effects([club.code]).mean(axis=0)
        precision = np.asarray(np.linalg.inv(prior), dtype=np.float64)
        for balls, last in enumerate(np.flatnonzero(which == 1), start=1):
            seen = every.take(np.arange(len(which)) <= last)
            told = likelihood(seen, (club.code,), own.code, paper.roots, mean, precision)
            found = departure(told, prior, mean, paper.loft_step, 2.0 * self.cov["own_day"], 0)
            if found is not None and abs(found.z) >= boundary(balls, rounded(found.noise * balls)):
                return balls
        return 99


def main(clubs: int) -> None:
    """Print shares."""
    question = ask(read(demo.folder() / "P3.csv"), Kit.load(demo.folder()), "H5/S4", "carry")
    here = Range(question, 7)
    print("| player | club | within 5 balls | within 12 | within 24 |")
    print("|---|---|---|---|---|")
    for name, skill in SKILLS.items():
        for kind in KINDS:
            first = np.array([here.noticed(kind, skill) for _ in range(clubs)])
            print(f"| {name} | {kind} |", " | ".join(f"{(first <= k).mean():.3f}" for k in (5, 12, 24)), "|")


if __name__ == "__main__":
    main(int(sys.argv[1]))
