"""Many sessions: speed by workers, memory by number, broken files, a kill in the middle.

``python -m reference.batch_benchmark [N] [--draws N]`` with N sessions of 20 shots each (1,000) and some
440 options, one file in twenty broken; writes batch_benchmark.md if N is at least 1,000. Try 40 first.
Figures are of one machine: read them against each other, and run it on an idle one.
"""

from __future__ import annotations

import argparse
import csv
import json
import multiprocessing
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from demo_data import make_club_night, make_demo
from fitter import demo
from fitter.base.files import write_whole

SHOTS = 20
POISON = (
    b"", b"\x00\x01\x02\xff" * 50, b"shot,player,ball speed (mph)\n", b'shot,player\n1,"P1\n2,P1\n',
    b"{\"shots\": [", b"PK\x03\x04 not a workbook", b"PAR1 nor this",
    b"shot,club speed (mph)\n1,fast\n2,slow\n",    b"the till of the bar\n12.50\n", b"[1, 2, 3]",
)  # fmt: skip
"""What stands in broken files, in turn."""
EVERY = 20
"""One file in so many is broken."""
OUT = Path(__file__).parent / "batch_benchmark.md"


def make(folder: Path, sessions: int) -> list[str]:
    """Write the logs; return the names of the broken ones."""
    everybody = [replace(h, shots=SHOTS) for h in make_club_night.everybody().values()]
    rows = ["code;name;present"]
    broken = []
    for k in range(sessions):
        code = f"P{k + 1}"
        path = folder / f"{k:05d}.csv"
        if k % EVERY == EVERY // 2:
            path.write_bytes(POISON[k // EVERY % len(POISON)])
            broken.append(path.name)
            continue
        present = make_club_night.CLUBS[k % len(make_club_night.CLUBS)]
        player = demo.Player(code, path.name, "right", present, "carry", "")
        # The seed of a player's shots is in the code: no two sessions are the same.
        shots = make_demo.log(player, {code: everybody[k % len(everybody)]}, ())
        with path.open("w", encoding="utf-8", newline="") as file:
            out = csv.DictWriter(file, make_demo.COLUMNS, lineterminator="\n")
            out.writeheader()
            out.writerows(shots)
        rows.append(f"{code};;{present}")
    (folder / "roster.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return broken


def resident() -> tuple[float, float]:
    """Memory in MB that this process, and its largest worker, hold now; 0 where the system does not tell."""

    def of(pid: int) -> float:
        try:
            pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
        except (OSError, ValueError):
            return 0.0
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    workers = [of(p.pid) for p in multiprocessing.active_children() if p.pid]
    return of(os.getpid()), max(workers, default=0.0)


def one(folder: Path, out: Path, workers: int, draws: int) -> None:
    """Score the folder in this process and print what it took as JSON."""
    from fitter.batches.batch import batch
    from fitter.physics import engine

    engine.prepare()
    memory: dict[int, tuple[float, float]] = {}

    def progress(done: int, expected: float) -> None:
        memory[done] = resident()

    start = time.perf_counter()
    done = batch(
        [folder],
        demo.folder(),
        folder / "roster.csv",
        out=out,
        workers=workers,
        draws=draws,
        progress=progress,
    )
    seconds = time.perf_counter() - start
    marks = sorted({max(1, round(share * len(done.rows))) for share in (0.1, 0.25, 0.5, 1.0)})
    # The largest so far at each mark.
    peaks = {m: [max(v[i] for k, v in memory.items() if k <= m) for i in (0, 1)] for m in marks}
    print(
        json.dumps(
            {
                "seconds": seconds,
                "sessions": len(done.rows),
                "ranked": sum(r.status == "ranked" for r in done.rows),
                "broken": [b.session for b in done.broken],
                "resumed": done.resumed,
                "peaks": peaks,
            }
        )
    )


def command(folder: Path, out: Path, workers: int, draws: int) -> list[str]:
    """Command line of `one`."""
    words = ["--folder", str(folder), "--out", str(out), "--workers", str(workers), "--draws", str(draws)]
    return [sys.executable, "-m", "reference.batch_benchmark", *words]


def measured(*words: object) -> dict[str, object]:
    """Run `one` in a process of its own."""
    run = subprocess.run(command(*words), capture_output=True, text=True, check=True)  # type: ignore[arg-type]
    return dict(json.loads(run.stdout.strip().splitlines()[-1]))


def killed(folder: Path, out: Path, sessions: int, draws: int) -> int:
    """Start a batch with two workers and kill it in the middle; return what it left finished."""
    from fitter.batches.output import Journal

    journal = Journal.of(out)
    process = subprocess.Popen(
        command(folder, out, 2, draws), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    while process.poll() is None and len(journal) < sessions // 2:
        time.sleep(0.05)
    process.kill()
    process.wait()
    return len(journal)


def table(found: dict[int, dict[str, object]]) -> list[str]:
    """Lines of the report on speed and memory."""
    lines = [
        "| workers | s | sessions/s | peak MB of the parent, of a worker, by sessions done |",
        "|---|---|---|---|",
    ]
    for workers, run in found.items():
        seconds, sessions = float(str(run["seconds"])), int(str(run["sessions"]))
        peaks = "; ".join(f"{n}: {a:.0f}, {b:.0f}" for n, (a, b) in dict(run["peaks"]).items())  # type: ignore[call-overload]
        lines.append(f"| {workers} | {seconds:.0f} | {sessions / seconds:.2f} | {peaks} |")
    return lines


def main() -> None:
    """Run everything and print the report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sessions", nargs="?", type=int, default=1000)
    parser.add_argument("--draws", type=int, default=256)
    parser.add_argument("--folder", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--out", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--workers", type=int, help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.folder is not None:
        one(args.folder, args.out, args.workers, args.draws)
        return
    with tempfile.TemporaryDirectory() as base:
        folder = Path(base, "logs")
        folder.mkdir()
        broken = make(folder, args.sessions)
        found, outputs = {}, {}
        for workers in (1, 2):
            out = Path(base, f"{workers}.csv")
            found[workers] = measured(folder, out, workers, args.draws)
            outputs[workers] = out.read_bytes(), out.with_name(f"{workers}.options.csv").read_bytes()
            print(workers, found[workers]["seconds"], flush=True)
        out = Path(base, "killed.csv")
        left = killed(folder, out, args.sessions, args.draws)
        again = measured(folder, out, 2, args.draws)
        resumed = out.read_bytes(), out.with_name("killed.options.csv").read_bytes()
    options = outputs[1][1].count(b"\n") / max(1, int(str(found[1]["ranked"])))
    checks = {
        f"all {len(broken)} broken files are named, with 1 and with 2 workers": all(
            r["broken"] == broken for r in found.values()
        ),
        "1 and 2 workers give the same bytes": outputs[1] == outputs[2],
        f"killed with {left} sessions finished, resumed {again['resumed']} of them: the same bytes": (
            resumed == outputs[1] and 0 < int(str(again["resumed"])) < args.sessions
        ),
    }
    text = [
        "# Many sessions",
        "",
        f"{args.sessions} sessions of {SHOTS} shots, {options:.0f} options each, {args.draws} draws, "
        f"{len(broken)} broken files; {os.cpu_count()} cores. NumPy {np.__version__}.",
        "",
        *table(found),
        "",
        *(f"- {'yes' if good else 'NO'}: {words}" for words, good in checks.items()),
        "",
    ]
    print("\n".join(text))
    if args.sessions >= 1000:
        write_whole(OUT, "\n".join(text))
    if not all(checks.values()):
        sys.exit(1)


if __name__ == "__main__":
    main()
