"""What 24 balls are worth: the belief after them, the largest mean of the same balls, the advisor on paper.

Run ``OPENBLAS_NUM_THREADS=1 nice python -m reference.virtual_range.after_balls PLAYERS``. Players and worlds
are those of the range; nobody is left out for what is true of him. The clubs of a trial are those of the rack
that paper promises most of; balls come in mirrored order from a swing that tires.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

import numpy as np

from fitter.advice.balls import OBSERVED, Balls
from fitter.advice.baseline import baseline
from fitter.advice.belief import Belief
from fitter.advice.options import Option, enumerate_options, present_club
from fitter.advice.prediction import predict
from fitter.advice.question import ask
from fitter.base.errors import FitterError
from fitter.shots.reader.intake import read
from reference.virtual_range import course, engine
from reference.virtual_range.device import write_log
from reference.virtual_range.engine import Floats
from reference.virtual_range.players import RPM, YARD, Player, stream
from reference.virtual_range.shop import KIT
from reference.virtual_range.strategies import CARRY_ERROR, CLUBS, plain
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import DEG, WORLDS

BALLS = 24
OTHERS = (1, 3, 5)
"""Clubs besides the present one."""
TRUE = 2048
"""True swings of each club."""
FIRST = 7000
"""First number of the players."""
ERRORS = {"ball_speed_mps": 0.004, "launch_deg": 0.2, "spin_rpm": 80.0}
"""SD of one reading; a share for the speed (J, as for the logs)."""


def hit(truth: Truth, clubs: list[Option], visit: int = 0) -> tuple[Balls, Floats]:
    """Balls of a mirrored trial, and the carries as the device shows them, m; each visit has its own."""
    player, k = truth.player, len(clubs)
    run = BALLS // (2 * k)
    half = np.repeat(np.arange(k), run)
    order = np.concatenate([half, half[::-1]])
    again = f" visit {visit}" if visit else ""
    swings = player.tired(player.swings(len(order), f"after balls {k}{again}"))
    starts, finishes = np.empty((len(order), 5)), np.empty((len(order), engine.FINISH))
    for c, option in enumerate(clubs):
        mine = order == c
        one = player.held_in(swings[mine] + player.day(option.id + again))
        start, finish = truth.hit([clubs[0], option], one)
        starts[mine], finishes[mine] = start[1], finish[1]
    z = stream(player.number, "after balls" + again, k).standard_normal((len(order), 5))
    values = {name: np.full(len(order), np.nan) for name in OBSERVED}
    values["ball_speed_mps"] = starts[:, 0] * (1.0 + ERRORS["ball_speed_mps"] * z[:, 0])
    values["launch_deg"] = starts[:, 1] / DEG + ERRORS["launch_deg"] * z[:, 1]
    values["spin_rpm"] = starts[:, 3] / RPM + ERRORS["spin_rpm"] * z[:, 2]
    values["carry_m"] = finishes[:, engine.X] * (1.0 + CARRY_ERROR * z[:, 3])
    found = tuple(o.club for o in clubs)
    where = np.full(len(order), max(visit, 1), dtype=np.int64)
    carries = np.array([values["carry_m"][order == c].mean() for c in range(k)])
    return Balls(found, order, where, np.arange(len(order)) * 1.0, values, ("trial",)), carries


def one_player(number: int, world: str) -> list[dict[str, float]]:
    """Records of one player, one for each number of clubs; none where the advisor refuses the log."""
    heads, shafts = tuple(h.code for h in KIT.heads), tuple(s.code for s in KIT.shafts)
    player = Player.draw(number, WORLDS[world], heads, shafts)
    truth = Truth(player)
    kit, club = truth.parts.kit, present_club(truth.parts.kit, player.present)
    options = enumerate_options(kit, club)
    rack = [o for o in options[1:] if plain(o) in CLUBS]
    with tempfile.TemporaryDirectory() as folder:
        session = read(write_log(truth, options[0], Path(folder) / "log.csv").path)
    try:
        question = ask(session, kit, player.present, "carry", draws=192).right_handed()
        base = baseline(question)
    except FitterError:
        return []
    some = (options[0], *rack)
    prediction = predict(some, question, base)
    belief = Belief.of(prediction, seed=question.seed)
    swings = player.swings(TRUE, "truth", even=True)
    true = truth.hit(some, swings)[1][..., engine.X].mean(axis=1)
    costs = np.array([course.cost(o.tier, true[0] / YARD) for o in some])
    net = (true - true[0]) / YARD - costs
    promised = prediction.gain.mean(axis=0) / YARD - costs
    out = []
    for others in OTHERS:
        best = np.argsort(-promised[1:], kind="stable")[:others] + 1
        at = [0, *(int(i) for i in best)]
        balls, carries = hit(truth, [some[i] for i in at])
        gain = belief.given(balls).draws["gain"][:, at] / YARD
        after = gain.mean(axis=0) - costs[at]
        raw = (carries - carries[0]) / YARD - costs[at]
        low, high = np.quantile(gain, [0.1, 0.9], axis=0)
        real = (true[at] - true[0]) / YARD
        top = net[at].max()
        out.append({
            "number": number, "others": others,
            "belief": top - net[at][np.argmax(after)], "raw": top - net[at][np.argmax(raw)],
            "paper": top - net[at][np.argmax(promised[at])], "keep": top - net[0],
            "inside": float(((low <= real) & (real <= high))[1:].mean()),
        })  # fmt: skip
    return out


def saved(rows: list[dict[str, float]], other: str, rng: np.random.Generator) -> tuple[float, float, float]:
    """Share of a rule's regret that the belief saves, and its 95 % interval over players."""
    by_player: dict[float, list[dict[str, float]]] = {}
    for r in rows:
        by_player.setdefault(r["number"], []).append(r)
    sums = np.array([[sum(r[k] for r in own) for k in ("belief", other)] for own in by_player.values()])
    picks = rng.integers(0, len(sums), (2000, len(sums)))
    drawn = 1.0 - sums[picks, 0].sum(axis=1) / sums[picks, 1].sum(axis=1)
    low, high = np.quantile(drawn, [0.025, 0.975])
    return float(1.0 - sums[:, 0].sum() / sums[:, 1].sum()), float(low), float(high)


def main(argv: list[str]) -> None:
    """Run so many players in the world where all differs, keep their records, and print a table."""
    count, world = int(argv[0]), argv[1] if len(argv) > 1 else "all"
    rows, refused = [], 0
    for number in range(FIRST, FIRST + count):
        found = one_player(number, world)
        rows += found
        refused += not found
    rng = np.random.default_rng(1)
    print(f"world '{world}', {count} players, {refused} logs refused; carry, {BALLS} balls; regret in yd")
    print("| clubs | belief | largest mean | paper | keep | saved of mean | saved of paper | inside 80 % |")
    print("|---|---|---|---|---|---|---|---|")
    for others in (*OTHERS, None):
        some = [r for r in rows if others in (None, r["others"])]
        means = [f"{np.mean([r[k] for r in some]):.2f}" for k in ("belief", "raw", "paper", "keep")]
        spans = ["{:.0%} ({:.0%} to {:.0%})".format(*saved(some, k, rng)) for k in ("raw", "paper")]
        inside = f"{np.mean([r['inside'] for r in some]):.3f}"
        print("|", " | ".join([str(others or "all"), *means, *spans, inside]), "|")
    if len(argv) > 2:
        Path(argv[2]).write_text(json.dumps(rows))


if __name__ == "__main__":
    main(sys.argv[1:])
