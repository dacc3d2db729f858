"""Run the virtual range and print its tables."""

from __future__ import annotations

import argparse
import pickle
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path

from reference.virtual_range.summary import tables
from reference.virtual_range.trial import Record, run_player
from reference.virtual_range.worlds import WORLDS

OBJECTIVES = ("carry", "total")
HEAD = """# Virtual range: all tables

Written by `python -m reference.virtual_range -o reference/virtual_range/tables.md`; report.md says what
they mean.

"""


def run(
    players: int,
    draws: int,
    objectives: Sequence[str],
    worlds: Sequence[str] = tuple(WORLDS),
    workers: int = 1,
) -> list[Record]:
    """Run every player in every world; the answer does not depend on the number of workers."""
    jobs = [(world, number) for number in range(1, players + 1) for world in worlds]
    found: list[Record] = []
    if workers == 1:
        for world, number in jobs:
            found += run_player(world, number, objectives, draws)
    else:
        with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
            futures = [pool.submit(run_player, w, n, objectives, draws) for w, n in jobs]
            for done, future in enumerate(as_completed(futures), 1):
                found += future.result()
                if sys.stderr.isatty():
                    print(f"\r{done} of {len(jobs)}", end="", file=sys.stderr, flush=True)
    return sorted(found, key=lambda r: (r.world, r.objective, r.number))


def report(records: Sequence[Record]) -> str:
    """Tables of every world and objective."""
    parts = []
    for world in WORLDS:
        for objective in OBJECTIVES:
            part = [r for r in records if r.world == world and r.objective == objective]
            if part:
                parts.append(f"## World '{world}', {objective}\n\n{tables(part)}")
    return "\n\n".join(parts) + "\n"


def main(argv: Sequence[str] | None = None) -> None:
    """Command line."""
    parser = argparse.ArgumentParser(prog="python -m reference.virtual_range", description=__doc__)
    parser.add_argument("--players", type=int, default=100)
    parser.add_argument("--draws", type=int, default=128)
    parser.add_argument("--objective", choices=OBJECTIVES, action="append", help="both when silent")
    parser.add_argument("--world", choices=tuple(WORLDS), action="append", help="both when silent")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("-o", "--output", type=Path, help="write the tables to a file")
    parser.add_argument("--records", type=Path, help="keep the records (pickle) for a closer look")
    args = parser.parse_args(argv)
    begun = time.perf_counter()
    worlds, objectives = args.world or tuple(WORLDS), args.objective or OBJECTIVES
    records = run(args.players, args.draws, objectives, worlds, args.workers)
    took = time.perf_counter() - begun
    text = f"{HEAD}{args.players} players, {args.draws} draws.\n\n{report(records)}"
    if args.records:
        args.records.write_bytes(pickle.dumps(records))
    if args.output:
        args.output.write_text(text, encoding="utf-8")
    else:
        print(text)
    print(f"{took:.0f} s", file=sys.stderr)
