"""Which difference between the worlds spoils what: one part of a world exchanged for the other world's."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context

import numpy as np

from reference.virtual_range.summary import by_kind, coverage_of
from reference.virtual_range.trial import Record, run_player
from reference.virtual_range.worlds import FAR, NEAR, World

PARTS: dict[str, tuple[str, ...]] = {
    "air": ("air", "drag", "lift"),
    "strike": ("strike",),
    "ground": ("turf", "run"),
    "parts": ("parts",),
    "answers": ("answers",),
}
ANSWERS: dict[str, tuple[str, ...]] = {
    "answers: head loft and face": ("loft", "face"),
    "answers: shaft and inertia": ("inertia", "bend", "shaft"),
    "answers: ball and tee": ("follow", "radius", "closure", "tee_attack", "tee_loft", "tee_strike"),
}


def mixed(what: str, base: World = NEAR, other: World = FAR) -> World:
    """Build the base world with one part of the other's; '' exchanges nothing."""
    if what in PARTS:
        return replace(base, **{name: getattr(other, name) for name in PARTS[what]})
    if what in ANSWERS:
        answers = replace(base.answers, **{name: getattr(other.answers, name) for name in ANSWERS[what]})
        return replace(base, answers=answers)
    return base


def _job(what: str, number: int, objective: str, draws: int) -> list[Record]:
    """Run one player; worlds hold functions, so that a process builds its own."""
    return run_player(mixed(what), number, [objective], draws, named=what or "near")


def table(players: int, draws: int, objective: str, workers: int = 2) -> str:
    """Coverage of the 80 % interval and SD of z by what an option changes, one row an exchange."""
    kinds = [*by_kind(), ("largest expected gain", lambda _, row: "leader" in row.roles)]
    names = ["", *PARTS, *ANSWERS]
    jobs = [(what, n, objective, draws) for what in names for n in range(1, players + 1)]
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        records = [r for found in pool.map(_job, *zip(*jobs, strict=True)) for r in found]
    lines = ["| exchanged | " + " | ".join(name for name, _ in kinds) + " | saved % |"]
    lines.append("|" + "---|" * (len(kinds) + 2))
    for what in names:
        part = [r for r in records if r.world == (what or "near")]
        cells = []
        for _, test in kinds:
            n, share, _, _, promised, true, z = coverage_of(part, test)
            cells.append(f"{100 * share:.0f}, {promised - true:+.1f}, {z:.1f}" if n else "-")
        oracle = float(np.mean([r.oracle for r in part]))
        saved = float(np.mean([r.followed for r in part])) / max(oracle, 1e-9)
        lines.append(f"| {what or 'nothing'} | " + " | ".join(cells) + f" | {100 * saved:.0f} |")
    return "\n".join(lines)


def main(argv: Sequence[str] | None = None) -> None:
    """Command line."""
    parser = argparse.ArgumentParser(prog="python -m reference.virtual_range.ablation", description=__doc__)
    parser.add_argument("--players", type=int, default=30)
    parser.add_argument("--draws", type=int, default=64)
    parser.add_argument("--objective", choices=("carry", "total"), default="carry")
    parser.add_argument("--workers", type=int, default=2)
    args = parser.parse_args(argv)
    print("In 80 %, promised - true (yd), SD of z.\n")
    print(table(args.players, args.draws, args.objective, args.workers))


if __name__ == "__main__":
    main()
