"""Coverage and regret of the verdicts on the virtual range: ``python -m reference.virtual_range.run``."""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.rank import rank
from fitter.advice.ranking import Ranking
from fitter.advice.scored import Scored
from fitter.errors import DataError
from reference.virtual_range.players import MPH, Player, player, session, true_gains
from reference.virtual_range.shop import Shop, shop
from reference.virtual_range.worlds import WORLDS, World

Floats = NDArray[np.float64]

YARD = 0.9144
SAMPLE = 24
"""Options of each player, besides those that stand out, whose truth is found."""


@dataclass(frozen=True)
class Outcome:
    """What one verdict did, yd.

    Parameters
    ----------
    action : str
    speed_mph : float
    truth : ndarray, shape (options,)
        True gains of the options looked at, the best of each tier and the named one first among them.
    mean, low, high, low95, high95 : ndarray, shape (options,)
        What was predicted of them.
    first : ndarray of bool, shape (options,)
        Best of a tier.
    named : int or None
        Place of the option that the verdict names.
    limit : ndarray, shape (options,)
    """

    action: str
    speed_mph: float
    truth: Floats
    mean: Floats
    low: Floats
    high: Floats
    low95: Floats
    high95: Floats
    first: NDArray[np.bool_]
    named: int | None
    limit: Floats

    @property
    def best(self) -> float:
        """Best true gain net of its threshold, keeping counts 0."""
        return max(0.0, float((self.truth - self.limit).max()))

    def net(self, tested: bool = False) -> float:
        """True net gain of what the verdict says; a test counts what it would show if it tells the truth."""
        if self.named is None or self.action == "keep":
            return 0.0
        gain = float(self.truth[self.named] - self.limit[self.named])
        if self.action == "change":
            return gain
        return max(gain, 0.0) if tested else 0.0

    def net_of_largest(self) -> float:
        """True net gain of always taking the largest expected gain."""
        k = int(np.argmax(self.mean))
        return float(self.truth[k] - self.limit[k])


def outcome(p: Player, world: World, stock: Shop, measure: str, draws: int) -> Outcome | None:
    """Fit one player; None if the session could not carry a ranking."""
    try:
        found: Ranking = rank(session(p, world, stock), stock.kit, p.present, measure, draws=draws)
    except DataError:
        return None
    tiers: dict[str, Scored] = {}
    for s in found.options:
        tiers.setdefault(s.option.tier, s)
    rng = np.random.default_rng([p.seed, 59])
    some = rng.choice(len(found.options), min(SAMPLE, len(found.options)), replace=False)
    best = sorted(found.options, key=lambda s: -s.value_gain.mean)[:4]
    named = [s for s in found.options if s.option.id == found.verdict.option]
    wanted = {s.option.id: s for s in (*named, *tiers.values(), *best, *(found.options[i] for i in some))}
    rows = list(wanted.values())
    truth = true_gains(p, [s.option for s in rows], world, stock, measure) / YARD
    gains = np.array([s.value_gain for s in rows]) / YARD
    heads = {s.option.id for s in tiers.values()}
    return Outcome(
        found.verdict.action, p.mean[0] / MPH, truth, *gains.T[[0, 1, 2, 3, 4]],
        np.array([s.option.id in heads for s in rows]),
        0 if named else None, np.array([s.threshold for s in rows]) / YARD,
    )  # fmt: skip


def outcomes(world: World, players: int, measure: str, draws: int) -> list[Outcome]:
    """Fit every player of a world; each fifth player visits another shop."""
    found = []
    for k in range(players):
        stock = shop(world, k // 5)
        o = outcome(player(world, stock, 1000 + k), world, stock, measure, draws)
        if o is not None:
            found.append(o)
    return found


def share(values: Iterable[NDArray[np.bool_]]) -> float:
    """Mean of many yes and no, in percent."""
    joined = np.concatenate([np.atleast_1d(v) for v in values])
    return 100.0 * float(joined.mean()) if len(joined) else float("nan")


def summary(found: list[Outcome]) -> dict[str, float]:
    """Figures of one world and measure."""
    named = [o for o in found if o.named is not None and o.action == "change"]
    out = {f"verdict {a} %": share([np.array([o.action == a]) for o in found])
           for a in ("change", "measure", "test", "keep")}  # fmt: skip
    out["80 % interval holds, sampled options %"] = share(
        [(o.truth >= o.low) & (o.truth <= o.high) for o in found]
    )
    out["95 % interval holds, sampled options %"] = share(
        [(o.truth >= o.low95) & (o.truth <= o.high95) for o in found]
    )
    out["80 % interval holds, best of a tier %"] = share(
        [((o.truth >= o.low) & (o.truth <= o.high))[o.first] for o in found]
    )
    if named:
        out["80 % interval holds, changes named %"] = share(
            [np.array([o.low[0] <= o.truth[0] <= o.high[0]]) for o in named]
        )
        out["expected less true gain of changes, yd"] = float(
            np.mean([o.mean[0] - o.truth[0] for o in named])
        )
        out["true gain of changes, yd"] = float(np.mean([o.truth[0] for o in named]))
        out["changes that truly lose %"] = share([np.array([o.truth[0] < 0.0]) for o in named])
    out["best possible net gain, yd"] = float(np.mean([o.best for o in found]))
    out["net gain of the verdict, yd"] = float(np.mean([o.net() for o in found]))
    out["net gain if tests and gauges tell the truth, yd"] = float(np.mean([o.net(True) for o in found]))
    out["net gain of always the largest, yd"] = float(np.mean([o.net_of_largest() for o in found]))
    out["regret of the verdict, yd"] = out["best possible net gain, yd"] - out["net gain of the verdict, yd"]
    return out


def main() -> None:
    """Print the figures of both worlds."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--players", type=int, default=100)
    parser.add_argument("--draws", type=int, default=128)
    args = parser.parse_args()
    table = {}
    for name, world in WORLDS.items():
        for measure in ("carry", "total"):
            start = time.perf_counter()
            found = outcomes(world, args.players, measure, args.draws)
            table[f"{name} {measure}"] = summary(found)
            print(
                f"# {name} {measure}: {len(found)} players in {time.perf_counter() - start:.0f} s", flush=True
            )
            for low, high in ((0, 95), (95, 115), (115, 200)):
                part = [o for o in found if low <= o.speed_mph < high]
                if part:
                    s = summary(part)
                    print(
                        f"#   {low}-{high} mph: {len(part)} players, interval holds "
                        f"{s['80 % interval holds, sampled options %']:.0f} %, regret "
                        f"{s['regret of the verdict, yd']:.1f} yd"
                    )
    print("\n| figure | " + " | ".join(table) + " |")
    print("|---|" + "---|" * len(table))
    for row in next(iter(table.values())):
        print(f"| {row} | " + " | ".join(f"{t.get(row, float('nan')):.1f}" for t in table.values()) + " |")


if __name__ == "__main__":
    main()
