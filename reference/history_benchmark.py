"""How a history bears ten thousand sessions: opening, finding, adding, the page of calibration.

Run ``python -m reference.history_benchmark`` on an idle machine. Each time stands beside that of a plain file
of the same bytes, read and written in the same run, so that a slow disk is seen as one.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from fitter.history.calibration import calibration
from fitter.history.records import Fitting, Lesson, Outcome, Player, Promise, Visit, digest
from fitter.history.store import Store

SESSIONS, SHOTS, PLAYERS = 10_000, 30, 2_000
TIMES = 9


def log_of(rng: np.random.Generator) -> bytes:
    """A log of made-up shots, as long as a real one."""
    values = rng.normal(
        [48.0, 1.0, 0.5, 14.0, 70.0, 13.0, 2600.0, 225.0], [1, 1, 1, 1, 1, 1, 200, 6], (SHOTS, 8)
    )
    return ("a,b,c,d,e,f,g,h\n" + "\n".join(",".join(f"{v:.2f}" for v in row) for row in values)).encode()


def entries(k: int, rng: np.random.Generator) -> tuple[str, list[Visit | Fitting | Outcome], bytes]:
    """One session with its decision, and an outcome in one of five."""
    who, raw = f"P{k % PLAYERS:04d}", log_of(rng)
    visit = Visit(
        player=who, digest=digest(who, raw), day=f"2026-{1 + k % 12:02d}-{1 + k % 28:02d}",
        log_name=f"{k}.csv", shots=SHOTS, club="H1/S1",
    )  # fmt: skip
    promises = [
        Promise(option=f"H{j}/S1", words=f"H{j}", kind="head", carry_m=[1.0, 5.0, 9.0],
                total_m=[0.0, 4.0, 8.0], value=[1.0, 5.0, 9.0])
        for j in range(12)
    ]  # fmt: skip
    fitting = Fitting(
        player=who, digest=digest(visit.digest, "f"), day=visit.day, visit=visit.digest, goal="carry",
        unit="m", action="change", text="Change to H2, expect to gain so much of carry. " * 3,
        promises=promises,
    )  # fmt: skip
    found: list[Visit | Fitting | Outcome] = [visit, fitting]
    if k % 5 == 0:
        rows = [
            Lesson(what=w, measured=float(rng.normal(5, 4)), noise=3.0, expected=5.0, sd=3.0,
                   slopes={"response.loft": 1.0}, at={"response.loft": 0.7})
            for w in ("carry_m", "launch_deg", "spin_rpm")
        ]  # fmt: skip
        kind = ("head", "shaft", "sleeve")[k % 3]
        found.append(Outcome(player=who, digest=digest(visit.digest, "o"), day=visit.day, option="H2/S1",
                             kind=kind, how="trial", lessons=rows))  # fmt: skip
    return who, found, raw


def timed(call: Callable[[], object], times: int = TIMES) -> float:
    """Median seconds of a call."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        found.append(time.perf_counter() - start)
    return float(np.median(found))


def fill(file: Path) -> None:
    """Ten thousand sessions in one transaction."""
    rng = np.random.default_rng(1)
    with Store(file) as store, store.writing():
        for k in range(SESSIONS):
            who, found, raw = entries(k, rng)
            store.remember(Player(code=who), found, {found[0].digest: raw})


def main() -> None:
    """Print the times."""
    with TemporaryDirectory() as folder:
        file, beside = Path(folder) / "history.sqlite", Path(folder) / "plain"
        fill(file)
        size = file.stat().st_size
        print(f"{SESSIONS:,} sessions, {SESSIONS * SHOTS:,} shots, {PLAYERS:,} players: {size / 1e6:.0f} MB")
        raw = file.read_bytes()

        def plain_write() -> None:
            with beside.open("wb", buffering=0) as out:
                out.write(raw[:20_000])

        def opening() -> None:
            Store(file).close()

        def finding() -> None:
            with Store(file, read_only=True) as store:
                store.known("P1234")
                store.entries(Visit, "P1234")

        rng, k = np.random.default_rng(2), [SESSIONS]

        def adding() -> None:
            who, found, log = entries(k[0], rng)
            k[0] += 1
            with Store(file) as store:
                store.remember(Player(code=who), found, {found[0].digest: log})

        def listing() -> None:
            with Store(file, read_only=True) as store:
                store.players()
                store.counts()
                store.last_days()

        def page() -> None:
            with Store(file, read_only=True) as store:
                calibration(store.entries(Outcome))

        reference = timed(file.read_bytes), timed(plain_write)
        print(f"beside it, plain files: all read {reference[0]:.3f} s, 20 kB written {reference[1]:.3f} s")
        for name, call in (
            ("opening", opening), ("finding a player", finding), ("adding a session", adding),
            ("listing all players", listing), ("page of calibration", page),
        ):  # fmt: skip
            print(f"{name:22}{timed(call):.3f} s")


if __name__ == "__main__":
    sys.exit(main())
