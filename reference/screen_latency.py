"""Does the screen stay awake while it ranks: `python -m reference.screen_latency [OPTIONS]`.

Opens the app without a terminal on the demo's first player with a kit of about 2,500 options, asks again
and again for a ranking, looks how late a tick of 20 ms comes, and how long the first and the full answer
take. With `--live` it writes balls into the log instead, at any moment between two looks, and takes the time
from each line to its row on the screen, to what it says, and to the full ranking.
"""

from __future__ import annotations

import argparse
import asyncio
import csv
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from fitter import demo
from fitter.tui.app import FitterApp
from fitter.tui.saved import demo_work

TICK = 0.02


PER_HEAD = 75
"""Options that a head of the demo brings, about."""


def many(folder: Path, options: int) -> None:
    """Write a kit whose heads are copied, each with another loft, until there are about so many options."""
    for name, column in (("heads", "head"), ("shafts", "shaft")):
        with (demo.folder() / f"{name}.csv").open(encoding="utf-8") as stream:
            rows = list(csv.DictReader(stream))
        # A head with its sleeve, places of the ball and shafts that can win gives some seventy-five options.
        count = max(len(rows), round(options / PER_HEAD)) if name == "heads" else len(rows)
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as stream:
            out = csv.DictWriter(stream, list(rows[0]))
            out.writeheader()
            for k in range(count):
                row = dict(rows[k % len(rows)])
                if k >= len(rows):
                    row[column] = f"{row[column]}x{k // len(rows)}"
                    row["loft_deg"] = f"{float(row['loft_deg'] or 10.0) + 0.07 * (k // len(rows)):.2f}"
                out.writerow(row)


async def measure(options: int, times: int) -> dict[str, float]:
    """Late ticks and answers, ms."""
    with tempfile.TemporaryDirectory() as name:
        many(Path(name), options)
        work = demo_work("P1")
        bench = replace(work.bench, kit=name, any_shaft=True)
        app = FitterApp(replace(work, benches=(bench,)), first="options")
        late: list[float] = []
        first: list[float] = []
        full: list[float] = []
        async with app.run_test(size=(120, 40)) as pilot:
            for _ in range(3):
                await pilot.pause()
                await app.workers.wait_for_complete()
            assert app.view.answer is not None
            count = app.view.answer.ranking.counts["options"]
            for _ in range(times):
                before, began = app.view.answer, time.perf_counter()
                app.rank()
                seen = False
                while app.view.busy:
                    tick = time.perf_counter()
                    await asyncio.sleep(TICK)
                    late.append(time.perf_counter() - tick - TICK)
                    if not seen and app.view.answer is not before:
                        seen = True
                        first.append(time.perf_counter() - began)
                full.append(time.perf_counter() - began)
    q = np.quantile(np.array(late) * 1e3, [0.5, 0.95, 1.0])
    return {
        "options": count,
        "ticks": len(late),
        "late_p50_ms": q[0],
        "late_p95_ms": q[1],
        "late_most_ms": q[2],
        "first_answer_ms": float(np.median(first) * 1e3),
        "full_answer_ms": float(np.median(full) * 1e3),
    }


async def live(options: int, times: int, seed: int = 1) -> dict[str, float]:
    """From a line in the log to its row, to what it says, and to the full ranking, ms."""
    rng = np.random.default_rng(seed)
    row: list[float] = []
    said: list[float] = []
    ranked: list[float] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        many(folder, options)
        work = demo_work("P1")
        log = folder / "P1.csv"
        head, *shots = Path(work.bench.log).read_text(encoding="utf-8").splitlines()
        log.write_text("\n".join([head, *shots]) + "\n", encoding="utf-8")
        bench = replace(work.bench, kit=name, log=str(log), any_shaft=True)
        app = FitterApp(replace(work, benches=(bench,)), first="shots")
        async with app.run_test(size=(120, 40)):
            while not app.view.settled:
                await asyncio.sleep(TICK)
            count = app.view.answer.ranking.counts["options"] if app.view.answer is not None else 0
            table = app.pane.lines("shots-table")
            for k in range(times):
                await asyncio.sleep(float(rng.uniform(0.5, 1.0)))
                number, like = len(shots) + 1 + k, shots[int(rng.integers(len(shots)))]
                with log.open("a", encoding="utf-8") as stream:
                    stream.write(f"{number},{like.partition(',')[2]}\n")
                began = time.perf_counter()
                while str(number) not in table.keys:
                    await asyncio.sleep(0.005)
                # A pause of the pilot would wait until nobody computes.
                while app.pane.due:
                    await asyncio.sleep(0.005)
                row.append(time.perf_counter() - began)
                while app.view.arriving is not None:
                    await asyncio.sleep(0.005)
                said.append(time.perf_counter() - began)
                while not app.view.settled:
                    await asyncio.sleep(0.005)
                ranked.append(time.perf_counter() - began)
    found = {"options": float(count), "lines": float(times)}
    for what, seconds in (("row", row), ("said", said), ("ranked", ranked)):
        found |= {f"{what}_p{q}_ms": float(np.quantile(seconds, q / 100) * 1e3) for q in (50, 95)}
    return found


def main(argv: Sequence[str] | None = None) -> int:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("options", nargs="?", type=int, default=2500)
    parser.add_argument("--times", type=int, default=4)
    parser.add_argument("--live", action="store_true", help="time balls that come into the log")
    args = parser.parse_args(argv)
    for name, value in asyncio.run((live if args.live else measure)(args.options, args.times)).items():
        print(f"{name:16} {value:8.1f}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
