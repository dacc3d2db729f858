"""Players who need nothing: how many are told to buy?

Each swings at 100 mph, meets the middle of the face on average, squarely, with the delivered loft that flies
furthest with his club; kept are those for whom no option truly gains a yard of carry net of its cost.

    python -m reference.virtual_range.needless [PLAYERS] [--world near] [--workers N]
"""

from __future__ import annotations

import argparse
import os
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from fitter.advice.options import enumerate_options, present_club
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.errors import FitterError
from fitter.shots.reader.intake import read
from reference.virtual_range import engine
from reference.virtual_range.device import write_log
from reference.virtual_range.players import MPH, Player
from reference.virtual_range.shop import KIT
from reference.virtual_range.trial import Judge
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import DEG, WORLDS

SPEED = 100.0 * MPH
LOFTS = np.arange(-4.0, 4.5, 1.0) * DEG
"""About the loft that a player was drawn with, one of which flies furthest."""
SWINGS = 512
BALLS = (6, 12, 24)
GOALS = ("carry", "play")
KINDS = {"free": "A", "bench work": "B", "bought": "CDE"}
"""What a change costs, by tiers."""


def centred(number: int, world: str) -> Player:
    """Player at 100 mph, square and centred, with the delivered loft that carries furthest."""
    heads, shafts = tuple(h.code for h in KIT.heads), tuple(s.code for s in KIT.shafts)
    player = Player.draw(number, WORLDS[world], heads, shafts)
    mean = player.mean.copy()
    mean[engine.SPEED] = SPEED
    mean[[engine.PATH, engine.FACE, engine.TOE, engine.HIGH]] = 0.0
    player = replace(player, mean=mean, shots=max(BALLS))
    truth = Truth(player)
    here = enumerate_options(truth.parts.kit, present_club(truth.parts.kit, player.present))[0]
    carries = []
    for step in LOFTS:
        swings = player.swings(SWINGS, "loft", even=True)
        swings[:, engine.LOFT] += step
        carries.append(truth.hit([here], swings)[1][0][:, engine.X].mean())
    mean = mean.copy()
    mean[engine.LOFT] += LOFTS[int(np.argmax(carries))]
    return replace(player, mean=mean)


def one(number: int, world: str) -> dict[str, str] | None:
    """Verdicts by goal and number of balls; None where an option would truly gain."""
    player = centred(number, world)
    truth = Truth(player)
    kit, club = truth.parts.kit, present_club(truth.parts.kit, player.present)
    options = {o.id: o for o in enumerate_options(kit, club)}
    judge = Judge(truth, options)
    close = sorted(options, key=lambda o: judge.net(o, "carry", coarse=True))[-4:]
    if max(judge.net(o, "carry") for o in close) > 1.0:
        return None
    with tempfile.TemporaryDirectory() as folder:
        session = read(write_log(truth, judge.here, Path(folder) / f"P{number}.csv").path)
    out = {}
    for goal in GOALS:
        for balls in BALLS:
            some = session.take(np.arange(min(balls, len(session))))
            try:
                found = rank(ask(some, kit, player.present, goal, draws=128), flips=False)
            except FitterError:
                out[f"{goal} {balls}"] = "refused"
                continue
            tier = "" if found.named is None else found.named.option.tier
            kind = next((k for k, tiers in KINDS.items() if tier and tier in tiers), "")
            out[f"{goal} {balls}"] = (
                f"change ({kind})" if found.verdict.action == "change" else found.verdict.action
            )
    return out


def run(players: int, world: str, workers: int) -> Iterator[dict[str, str]]:
    """Verdicts of the first players who need nothing."""
    os.environ.setdefault("FITTER_THREADS", "1")
    found, number = 0, 1
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        while found < players:
            some = range(number, number + 8 * workers)
            number += len(some)
            for answer in pool.map(one, some, [world] * len(some)):
                if answer is not None and found < players:
                    found += 1
                    yield answer


def main(argv: Sequence[str] | None = None) -> None:
    """Command line."""
    parser = argparse.ArgumentParser(prog="python -m reference.virtual_range.needless", description=__doc__)
    parser.add_argument("players", type=int, nargs="?", default=200)
    parser.add_argument("--world", default="near", choices=tuple(WORLDS))
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    args = parser.parse_args(argv)
    answers = list(run(args.players, args.world, args.workers))
    for key in answers[0]:
        counts = Counter(a[key] for a in answers)
        said = ", ".join(f"{name} {100 * n / len(answers):.1f} %" for name, n in counts.most_common())
        print(f"{key} balls, {len(answers)} players: {said}")


if __name__ == "__main__":
    main()
