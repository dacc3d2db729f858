"""Run the virtual range: players over any executor, resumable, in three sizes; keep what it found by name."""

from __future__ import annotations

import argparse
import gzip
import hashlib
import json
import os
import sys
import time
from collections.abc import Sequence
from concurrent.futures import Executor, ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path
from typing import Any, NamedTuple

from reference.virtual_range.measures import summary
from reference.virtual_range.report import RESULTS, write_report
from reference.virtual_range.trial import Record, run_player
from reference.virtual_range.worlds import WORLDS

BOTH = ("near", "all")
ALL_GOALS = ("carry", "total", "play", "fairway")


class Size(NamedTuple):
    """Players a world, draws, worlds (none for all), whether the two main worlds ask every goal."""

    players: int
    draws: int
    worlds: tuple[str, ...]
    every_goal: bool


SIZES = {
    "small": Size(4, 64, BOTH, False),
    "working": Size(100, 128, (), True),
    "full": Size(400, 128, (), True),
}
"""Small for the slow tests, working for the steps, full for every claim."""


def numbers(players: int, held: bool) -> list[int]:
    """Numbers of so many players: two of three for every report, each third one held for the last."""
    found: list[int] = []
    number = 0
    while len(found) < players:
        number += 1
        if (number % 3 == 0) == held:
            found.append(number)
    return found


def worlds_of(size: Size, held: bool) -> tuple[str, ...]:
    """Worlds of a size, without those that are held, or these alone."""
    return size.worlds if size.worlds and not held else tuple(w for w in WORLDS if WORLDS[w].held == held)


def goals_of(worlds: Sequence[str], size: Size, only: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """Goals that are asked in each world."""
    wide = (*BOTH, *(w for w in WORLDS if WORLDS[w].held))
    usual = {w: ALL_GOALS if size.every_goal and w in wide else ("carry",) for w in worlds}
    return {w: tuple(only) or goals for w, goals in usual.items()}


def _job(number: int, worlds: Sequence[str], goals: dict[str, tuple[str, ...]], draws: int) -> list[Record]:
    return run_player(number, worlds, goals, draws)


def run(
    players: Sequence[int],
    goals: dict[str, tuple[str, ...]],
    draws: int,
    pool: Executor | None = None,
    keep: Path | None = None,
) -> list[Record]:
    """Run players in worlds; the answer does not depend on the executor.

    Parameters
    ----------
    players : sequence of int
    goals : dict of str to tuple of str
        Goals of each world.
    draws : int
    pool : Executor, optional
        Where jobs go; this process when silent.
    keep : Path, optional
        Folder in which each player's records are kept: a run that was stopped goes on.
    """  # fmt: skip
    key = hashlib.sha256(json.dumps([goals, draws], sort_keys=True).encode()).hexdigest()[:12]
    found: dict[int, list[Record]] = {}
    todo = []
    for number in players:
        file = keep and keep / f"{key}-{number}.json.gz"
        if file and file.exists():
            found[number] = json.loads(gzip.decompress(file.read_bytes()))
        else:
            todo.append(number)
    jobs = {} if pool is None else {pool.submit(_job, n, tuple(goals), goals, draws): n for n in todo}
    ready = ((n, _job(n, tuple(goals), goals, draws)) for n in todo) if pool is None else (
        (jobs[f], f.result()) for f in as_completed(jobs)
    )  # fmt: skip
    for done, (number, records) in enumerate(ready, 1):
        # Through JSON in any case, so that a resumed run reads what a straight one computed.
        text = json.dumps(records)
        found[number] = json.loads(text)
        if keep:
            part = keep / f"{key}-{number}.part"
            part.write_bytes(gzip.compress(text.encode()))
            os.replace(part, keep / f"{key}-{number}.json.gz")
        if sys.stderr.isatty():
            print(f"\r{done} of {len(todo)}", end="", file=sys.stderr, flush=True)
    return [r for n in players for r in found[n]]


def summaries(records: Sequence[Record]) -> dict[str, dict[str, Any]]:
    """Summary of every world and goal."""
    groups: dict[tuple[str, str], list[Record]] = {}
    for r in records:
        groups.setdefault((r["world"], r["goal"]), []).append(r)
    out: dict[str, dict[str, Any]] = {}
    for (world, goal), some in groups.items():
        out.setdefault(world, {})[goal] = summary(some)
    return out


def main(argv: Sequence[str] | None = None) -> None:
    """Command line."""
    parser = argparse.ArgumentParser(prog="python -m reference.virtual_range", description=__doc__)
    parser.add_argument("size", choices=tuple(SIZES), nargs="?", default="small")
    parser.add_argument("--players", type=int, help="in place of the size's")
    parser.add_argument("--world", choices=tuple(WORLDS), action="append", help="in place of the size's")
    parser.add_argument("--goal", choices=ALL_GOALS, action="append", help="in place of the usual")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument(
        "--cluster", metavar="ADDRESS", help="scheduler of a dask cluster, in place of workers"
    )
    parser.add_argument("--records", type=Path, help="folder that keeps each player: a stopped run goes on")
    parser.add_argument(
        "--label", help=f"name under which the summary is kept in {RESULTS.name}/ and the report"
    )
    parser.add_argument(
        "--held-out", action="store_true", help="the players and worlds kept for the last report"
    )
    args = parser.parse_args(argv)
    size, begun = SIZES[args.size], time.perf_counter()
    worlds = tuple(args.world or worlds_of(size, args.held_out))
    for world in worlds:
        if WORLDS[world].held and not args.held_out:
            parser.error(f"'{world}' is kept for the last report of a round; --held-out opens it")
    who = numbers(args.players or size.players, args.held_out)
    goals = goals_of(worlds, size, args.goal or ())
    # A player is one job on one core.
    os.environ.setdefault("FITTER_THREADS", "1")
    if args.records:
        args.records.mkdir(parents=True, exist_ok=True)
    if args.cluster:
        from distributed import Client

        with Client(args.cluster) as client:
            records = run(who, goals, size.draws, client.get_executor(), args.records)
    elif args.workers == 1:
        records = run(who, goals, size.draws, None, args.records)
    else:
        with ProcessPoolExecutor(args.workers, mp_context=get_context("spawn")) as pool:
            records = run(who, goals, size.draws, pool, args.records)
    took = time.perf_counter() - begun
    result = {
        "label": args.label or args.size, "size": args.size, "players": len(who), "draws": size.draws,
        "held_out": args.held_out, "seconds": round(took), "workers": args.workers,
        "worlds": summaries(records),
    }  # fmt: skip
    if args.label:
        RESULTS.mkdir(exist_ok=True)
        (RESULTS / f"{args.label}.json").write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    print(write_report([result]))
    if args.held_out:
        print("These are the players and worlds that were held out: after this, they are no longer unseen.")
    print(f"{took:.0f} s, {60 * len(who) / took:.1f} players a minute", file=sys.stderr)
