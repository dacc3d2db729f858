"""Made-up records."""

from __future__ import annotations

from fitter.history.records import Fitting, Lesson, Outcome, Player, Promise, Visit, digest


def visit(player: str, k: int, day: str = "2026-03-14") -> Visit:
    return Visit(
        player=player, digest=digest(player, str(k)), day=day, log_name=f"{k}.csv", shots=12, club="H1/S1"
    )


def fitting(player: str, k: int, day: str = "2026-03-14") -> Fitting:
    promise = Promise(
        option="H2/S1", words="H2", kind="head", carry_m=[1.0, 5.0, 9.0], total_m=[0.0, 4.0, 8.0],
        value=[1.0, 5.0, 9.0],
    )  # fmt: skip
    return Fitting(
        player=player, digest=digest(player, "fitting", str(k)), day=day, visit=digest(player, str(k)),
        goal="carry", unit="m", action="change", text="Change to H2.", recommended="H2/S1",
        promises=[promise],
    )  # fmt: skip


def outcome(
    player: str, k: int, measured: float, expected: float = 5.0, sd: float = 3.0, noise: float = 3.0,
    kind: str = "head", picked: str = "", slopes: dict[str, float] | None = None,
    at: dict[str, float] | None = None,
) -> Outcome:  # fmt: skip
    carry = Lesson(
        what="carry_m", measured=measured, noise=noise, expected=expected, sd=sd, slopes=slopes or {},
        at=at or {},
    )  # fmt: skip
    return Outcome(
        player=player, digest=digest(player, "outcome", str(k)), day="2026-04-01", option="H2/S1", kind=kind,
        how="trial", balls=12, picked=picked, lessons=[carry],
    )  # fmt: skip


def player(code: str) -> Player:
    return Player(code=code, hand="right")
