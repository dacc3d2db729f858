"""A player's fourth fitting, with what three trials before it taught, and without.

Run ``nice python -m reference.virtual_range.fourth PLAYERS [WORLD] [FIRST]``. At three visits two clubs of
the rack are tried beside the present one, 24 balls in mirrored order; at the fourth visit any option may be
named. Told: regret of the largest expected net gain by the judged numbers alone, with his own numbers
laid over them, with the balls of the three trials as evidence, and with both. Nobody is left out for what is
true of him.
"""

from __future__ import annotations

import json
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from fitter.advice.balls import NONE
from fitter.advice.baseline import baseline
from fitter.advice.belief import Belief
from fitter.advice.options import enumerate_options, present_club
from fitter.advice.prediction import predict
from fitter.advice.question import ask
from fitter.base.assumptions import defaults, using
from fitter.base.errors import FitterError
from fitter.history.learning import layer, learned
from fitter.remember.outcomes import lessons
from fitter.shots.reader.intake import read
from reference.virtual_range import course, engine
from reference.virtual_range.after_balls import hit
from reference.virtual_range.device import write_log
from reference.virtual_range.players import YARD, Player
from reference.virtual_range.shop import KIT
from reference.virtual_range.strategies import CLUBS, plain
from reference.virtual_range.trial import sample
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import WORLDS

VISITS, EACH = 3, 2
TRUE = 1024
FIRST = 9000
RULES = ("judged", "learned", "balls", "both", "keep")


def one_player(number: int, world: str) -> dict[str, float] | None:
    """Regret of each rule, yd net; None where the advisor refuses the log."""
    heads, shafts = tuple(h.code for h in KIT.heads), tuple(s.code for s in KIT.shafts)
    player = Player.draw(number, WORLDS[world], heads, shafts)
    truth = Truth(player)
    kit, club = truth.parts.kit, present_club(truth.parts.kit, player.present)
    every = {o.id: o for o in enumerate_options(kit, club)}
    here = next(iter(every.values()))
    rack = [o for o in every.values() if plain(o) in CLUBS and o is not here]
    named = [every[i] for i in sample(player, every, here)]
    some = (here, *{o.id: o for o in (*rack, *named)}.values())
    with tempfile.TemporaryDirectory() as folder:
        session = read(write_log(truth, here, Path(folder) / "log.csv").path)
    try:
        question = ask(session, kit, player.present, "carry", draws=192).right_handed()
        base = baseline(question)
    except FitterError:
        return None
    prediction = predict(some, question, base)
    true = truth.hit(some, player.swings(TRUE, "truth", even=True))[1][..., engine.X].mean(axis=1)
    costs = np.array([course.cost(o.tier, true[0] / YARD) for o in some])
    net = (true - true[0]) / YARD - costs
    promised = prediction.gain.mean(axis=0) / YARD - costs
    order = sorted(range(1, 1 + len(rack)), key=lambda i: -promised[i])
    belief = Belief.of(prediction, seed=question.seed)
    taught, balls = [], NONE
    for visit in range(1, VISITS + 1):
        at = order[(visit - 1) * EACH : visit * EACH]
        found, _ = hit(truth, [here, *(some[i] for i in at)], visit)
        balls = balls.joined(found)
        taught += [x for rows in lessons(belief.given(found), question).values() for x in rows]
    own = layer(learned(taught, defaults()), defaults(), "the player")
    with using(own):
        again = replace(question, assumptions=own)
        second = predict(some, again, baseline(again))
        both = Belief.of(second, seed=question.seed).given(balls)
    gains = {
        "judged": prediction.gain, "learned": second.gain, "balls": belief.given(balls).draws["gain"],
        "both": both.draws["gain"],
    }  # fmt: skip
    picks = {name: int(np.argmax(g.mean(axis=0) / YARD - costs)) for name, g in gains.items()} | {"keep": 0}
    real = (true - true[0]) / YARD
    inside = {}
    for name, g in gains.items():
        low, high = np.quantile(g[:, 1:] / YARD, [0.1, 0.9], axis=0)
        inside[f"{name} inside"] = float(((low <= real[1:]) & (real[1:] <= high)).mean())
    return {"number": number, **{name: float(net.max() - net[k]) for name, k in picks.items()}, **inside}


def main(argv: list[str]) -> None:
    """Run so many players and print a table."""
    count, world = int(argv[0]), argv[1] if len(argv) > 1 else "all"
    first = int(argv[2]) if len(argv) > 2 else FIRST
    rows = [r for n in range(first, first + count) if (r := one_player(n, world)) is not None]
    rng = np.random.default_rng(1)
    picks = rng.integers(0, len(rows), (2000, len(rows)))
    print(f"world '{world}', {len(rows)} of {count} players; carry; regret in yd net at the fourth fitting")
    print("| rule | regret | saved of judged (95 %) | inside 80 % |")
    print("|---|---|---|---|")
    table = {name: np.array([r[name] for r in rows]) for name in RULES}
    for name in RULES:
        drawn = 1.0 - table[name][picks].sum(axis=1) / table["judged"][picks].sum(axis=1)
        low, high = np.quantile(drawn, [0.025, 0.975])
        saved = 1.0 - table[name].sum() / table["judged"].sum()
        inside = np.mean([r[f"{name} inside"] for r in rows]) if name != "keep" else float("nan")
        print(f"| {name} | {table[name].mean():.2f} | {saved:.0%} ({low:.0%} to {high:.0%}) | {inside:.2f} |")
    if len(argv) > 3:
        Path(argv[3]).write_text(json.dumps(rows))


if __name__ == "__main__":
    main(sys.argv[1:])
