"""Stopping a trial early, and what drifts do to it.

Players, clubs and worlds are those of the range. `stop`: trials of 60 balls that may end at each mirror's
end, by the advisor's own rule, against fixed trials of the same mean length. `drift`: the same balls with and
without a drift of the carry, the belief's gain compared where each of both stops.

    OPENBLAS_NUM_THREADS=1 python -m reference.virtual_range.stopping stop 200 all
    OPENBLAS_NUM_THREADS=1 python -m reference.virtual_range.stopping drift 2000
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fitter.advice.balls import OBSERVED, Balls
from fitter.advice.baseline import baseline
from fitter.advice.belief import Belief
from fitter.advice.options import enumerate_options, present_club
from fitter.advice.prediction import predict
from fitter.advice.question import ask
from fitter.base.assumptions import current
from fitter.base.errors import FitterError
from fitter.shots.reader.intake import read
from fitter.trial.designs import ends_of_turns, mirrored, spread_out
from fitter.trial.plan import net_gains, open_worth
from reference.virtual_range import course, engine
from reference.virtual_range.after_balls import ERRORS
from reference.virtual_range.device import write_log
from reference.virtual_range.engine import Floats
from reference.virtual_range.players import RPM, YARD, Player, stream
from reference.virtual_range.shop import KIT
from reference.virtual_range.strategies import CARRY_ERROR, CLUBS, plain
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import DEG, WORLDS

Ints = NDArray[np.int64]

A_RUN, MOST = 3, 60
TRUE = 2048
FIRST = 9000
"""First number of the players."""
TRIALS = 100
"""Trials of each player in `drift`."""


def _linear(order: Floats) -> Floats:
    return 0.3 * order


def _warming(order: Floats) -> Floats:
    return np.asarray(-8.0 * np.exp(-order / 6.0))


def _tiring(order: Floats) -> Floats:
    return np.asarray(-0.4 * np.maximum(order - 20.0, 0.0))


DRIFTS: dict[str, Callable[[Floats], Floats]] = {
    "0.3 yd a ball": _linear, "warm-up, 8 yd over six balls": _warming,
    "0.4 yd a ball from the 20th": _tiring,
}  # fmt: skip
"""Yards of carry by the number of the ball (J)."""


@dataclass(frozen=True)
class Bay:
    """A player with his own club and some others, and what would be true of them.

    Parameters
    ----------
    truth : Truth
    belief : Belief
        On paper, of these clubs alone.
    at : tuple of int
        Places of the clubs of a trial, the present one first.
    true, costs : ndarray, shape (options,)
        Gain of carry and what it costs, yd.
    """

    truth: Truth
    belief: Belief
    at: tuple[int, ...]
    true: Floats
    costs: Floats

    @classmethod
    def of(cls, number: int, world: str, others: int) -> Bay | None:
        """Bay of a player; None where the advisor refuses his log."""
        heads, shafts = tuple(h.code for h in KIT.heads), tuple(s.code for s in KIT.shafts)
        player = Player.draw(number, WORLDS[world], heads, shafts)
        truth = Truth(player)
        kit, club = truth.parts.kit, present_club(truth.parts.kit, player.present)
        options = enumerate_options(kit, club)
        some = (options[0], *(o for o in options[1:] if plain(o) in CLUBS))
        with tempfile.TemporaryDirectory() as folder:
            session = read(write_log(truth, options[0], Path(folder) / "log.csv").path)
        try:
            question = ask(session, kit, player.present, "carry", draws=192).right_handed()
            prediction = predict(some, question, baseline(question))
        except FitterError:
            return None
        swings = player.swings(TRUE, "truth", even=True)
        true = truth.hit(some, swings)[1][..., engine.X].mean(axis=1) / YARD
        costs = np.array([course.cost(o.tier, float(true[0])) for o in some])
        promised = prediction.gain.mean(axis=0) / YARD - costs
        best = np.argsort(-promised[1:], kind="stable")[:others] + 1
        belief = Belief.of(prediction, seed=question.seed)
        return cls(truth, belief, (0, *(int(i) for i in best)), true - true[0], costs)

    def hit(self, order: Ints, what: object) -> Floats:
        """What a device shows of balls with the clubs of a trial: (balls, 4), carry in m last."""
        player = self.truth.player
        swings = player.swings(len(order), f"stopping {what}")
        options = [self.belief.options[i] for i in self.at]
        found = np.empty((len(order), 4))
        for c, option in enumerate(options):
            mine = order == c
            mine_today = player.held_in(swings[mine] + player.day(option.id))
            start, finish = self.truth.hit([options[0], option], mine_today)
            found[mine] = np.column_stack(
                [start[1][:, 0], start[1][:, 1] / DEG, start[1][:, 3] / RPM, finish[1][:, engine.X]]
            )
        z = stream(player.number, "stopping", what).standard_normal(found.shape)
        share = np.array([ERRORS["ball_speed_mps"], 0.0, 0.0, CARRY_ERROR])
        add = np.array([0.0, ERRORS["launch_deg"], ERRORS["spin_rpm"], 0.0])
        return np.asarray(found * (1.0 + share * z) + add * z)

    def after(self, order: Ints, shown: Floats) -> tuple[Floats, float]:
        """Believed gains of the trial's clubs, yd, and what knowing for certain would still bring, yd."""
        values = {name: np.full(len(order), np.nan) for name in OBSERVED}
        for k, name in enumerate(("ball_speed_mps", "launch_deg", "spin_rpm", "carry_m")):
            values[name] = shown[:, k]
        clubs = tuple(self.belief.options[i].club for i in self.at)
        where = np.ones(len(order), dtype=np.int64)
        balls = Balls(clubs, order, where, np.arange(len(order)) * 1.0, values, ("trial",))
        then = self.belief.given(balls)
        at = list(self.at)
        gain = then.draws["gain"][:, at]
        left = float(open_worth(net_gains(then)[None, at], np.cov(gain, rowvar=False))[0])
        return np.asarray(gain.mean(axis=0) / YARD), left / YARD


def looks(clubs: int) -> tuple[int, ...]:
    """Balls after which a trial of so many clubs may stop."""
    return ends_of_turns(clubs, A_RUN, MOST // (2 * clubs * A_RUN))


def order_of(clubs: int) -> Ints:
    """Club of every ball."""
    return spread_out(mirrored(tuple(range(clubs)), len(looks(clubs))), A_RUN)


def stop(players: int, world: str) -> Iterator[str]:
    """Table of early stopping: two and three clubs."""
    enough = current().value("trial.enough_yd")
    yield "| clubs | balls: early, all | regret: early | fixed, as long on average | all balls | stopped |"
    yield "|---|---|---|---|---|---|"
    for others in (1, 2):
        rows = []
        order, at = order_of(others + 1), looks(others + 1)
        for number in range(FIRST, FIRST + players):
            bay = Bay.of(number, world, others)
            if bay is None:
                continue
            mine = list(bay.at)
            net = bay.true[mine] - bay.costs[mine]
            shown = bay.hit(order, others)
            told = [bay.after(order[:n], shown[:n]) for n in at]
            regret = [net.max() - net[int(np.argmax(gain - bay.costs[mine]))] for gain, _ in told]
            first = next((k for k, (_, left) in enumerate(told) if left < enough), len(at) - 1)
            rows.append((at[first], regret[first], first < len(at) - 1, *regret))
        found = np.array(rows, dtype=float)
        balls, each = found[:, 0].mean(), found[:, 3:].mean(axis=0)
        fixed = float(np.interp(balls, at, each))
        yield (
            f"| {others + 1} | {balls:.0f}, {at[-1]} | {found[:, 1].mean():.2f} | {fixed:.2f} "
            f"| {each[-1]:.2f} | {found[:, 2].mean():.0%} |"
        )


def drift(trials: int) -> Iterator[str]:
    """Table of what drifts add to the believed gain, early stops included, and to plain means hit AABB."""
    enough = current().value("trial.enough_yd")
    order = order_of(2)
    one_after_another = np.sort(order)
    added: dict[str, list[tuple[float, float]]] = {name: [] for name in DRIFTS}
    number = FIRST
    while len(added["0.3 yd a ball"]) < trials:
        bay = Bay.of(number, "near", 1)
        number += 1
        if bay is None:
            continue
        for k in range(TRIALS):
            shown = bay.hit(order, f"drift {k}")
            still = _stopped(bay, order, shown, enough)
            for name, curve in DRIFTS.items():
                moved = shown.copy()
                moved[:, 3] += curve(np.arange(len(order)) * 1.0) * YARD
                gone = curve(np.arange(len(order)) * 1.0)
                plain_means = gone[one_after_another == 1].mean() - gone[one_after_another == 0].mean()
                added[name].append((_stopped(bay, order, moved, enough) - still, plain_means))
    yield f"{len(added['0.3 yd a ball'])} trials of up to {len(order)} balls, two clubs, yd"
    yield "| drift | added to the believed gain (SE) | to plain means, all of one club first |"
    yield "|---|---|---|"
    for name, pairs in added.items():
        some = np.array(pairs)
        error = some[:, 0].std(ddof=1) / np.sqrt(len(some))
        yield f"| {name} | {some[:, 0].mean():+.2f} ({error:.2f}) | {some[:, 1].mean():+.1f} |"


def _stopped(bay: Bay, order: Ints, shown: Floats, enough: float) -> float:
    """Believed gain of the other club where the trial stops, yd."""
    gain = np.zeros(2)
    for n in looks(2):
        gain, left = bay.after(order[:n], shown[:n])
        if left < enough:
            break
    return float(gain[1])


def main(argv: list[str]) -> None:
    """Print a table."""
    what, count = argv[0], int(argv[1])
    print("\n".join(stop(count, argv[2] if len(argv) > 2 else "all") if what == "stop" else drift(count)))


if __name__ == "__main__":
    main(sys.argv[1:])
