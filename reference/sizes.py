"""Time and memory against rows of a log and options of a kit, a hundred to a million, with the limits' words.

Run ``python -m reference.sizes`` on an idle machine; it writes ``reference/sizes.md``. Each line is a process
of its own: processor seconds of the work alone, and the most memory that the process ever held.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from fitter import demo
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.errors import FitterError
from fitter.base.sources import limit
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.parts import Head, Shaft
from fitter.shots.infer.infer import infer
from fitter.shots.reader import intake
from fitter.shots.screen import screen_physics

SIZES = (100, 1_000, 10_000, 100_000, 1_000_000)
SLEEVES = 3
MOST = 300
"""Balls of one player of which the delivery is inferred: verdict.most_shots."""
OUT = Path(__file__).parent / "sizes.md"


def log(rows: int, path: Path) -> Path:
    """A log of one player: the swings of the demo's P4 over and over, each moved a little."""
    head, *shots = (demo.folder() / "P4.csv").read_text(encoding="utf-8").splitlines()
    table = np.array([[float(c) for c in line.split(",")[3:]] for line in shots])
    rng = np.random.default_rng(1)
    with path.open("w", encoding="utf-8") as out:
        out.write(head + "\n")
        for i in range(rows):
            row = table[i % len(table)] * (1.0 + 0.01 * rng.standard_normal(table.shape[1]))
            out.write(f"{i + 1},P4,right," + ",".join(f"{v:.1f}" for v in row) + "\n")
    return path


def kit(options: int) -> Kit:
    """Heads with three sleeve positions and shafts, about so many options with the ball positions."""
    side = max(2, round((options / (3 * SLEEVES)) ** 0.5))
    heads = tuple(
        Head(
            f"H{i}",
            loft_deg=Reading(8.0 + 4.0 * i / side, 0.3),
            mass_g=Reading(200.0),
            settings=(-1.0, 0.0, 1.0),
        )
        for i in range(side)
    )
    shafts = tuple(
        Shaft(f"S{j}", mass_g=Reading(45.0 + 40.0 * j / side), frequency_cpm=Reading(235.0 + 40.0 * j / side))
        for j in range(side)
    )
    return Kit(heads, shafts, "kit")


def measure(what: str, size: int, folder: Path) -> str:
    """What one line of the table says."""
    path = log(size if what in ("read", "infer") else 20, folder / "log.csv")
    shop = kit(size) if what == "options" else None
    # The first question compiles, or loads, what all others use.
    infer(intake.read(log(20, folder / "first.csv")))
    began = time.process_time()
    try:
        session = intake.read(path)
        if what == "infer":
            some = session.evenly(MOST)
            screen_physics(some, infer(some))
        if what == "options":
            found = rank(ask(session, shop, "H0/S0"), flips=False)
            size = found.counts["options"]
        said = ""
    except FitterError as error:
        said = str(error.problems[0]).replace(str(folder) + "/", "") if error.problems else error.message
    seconds = time.process_time() - began
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return json.dumps([size, seconds, memory, said])


TITLES = {
    "read": "Rows of one player: read, screened",
    "infer": "The same, with the deliveries of 300 of them",
    "options": "Options of a kit: ranked, 20 shots, 256 draws",
}


def main() -> None:
    """Measure every line and write the table."""
    lines = ["# Time and memory against size", "", __doc__.strip().split("\n")[0], ""]
    lines += ["| what | size | processor s | memory MB | said |", "|---|---|---|---|---|"]
    for what, title in TITLES.items():
        for size in SIZES:
            if what == "infer" and size > limit("rows"):
                continue
            with tempfile.TemporaryDirectory() as folder:
                call = [sys.executable, "-m", "reference.sizes", what, str(size), folder]
                done = subprocess.run(call, capture_output=True, text=True, check=True)
            true, seconds, memory, said = json.loads(done.stdout.splitlines()[-1])
            lines.append(f"| {title} | {true:,} | {seconds:.2f} | {memory:.0f} | {said} |")
            print(lines[-1], flush=True)
    OUT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    if len(sys.argv) == 4:
        print(measure(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])))
    else:
        main()
