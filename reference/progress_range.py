"""Whether a split of progress finds the causes that were planted: coverage of its 80 % intervals.

``python -m reference.progress_range [PLAYERS] [WORLD ...]``: invented players of the virtual range come
back after months in another air, with a level that moved, half of them with another club, half of these
with balls of the anchor club too. Strike, flight and answers are those of the range's own engine, which
shares nothing with the advisor's. What each cause truly did is its Shapley value over the true mean carry.
"""

from __future__ import annotations

import csv
import itertools
import math
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np

from fitter.advice.options import Option
from fitter.base.conditions import Conditions
from fitter.base.errors import FitterError
from fitter.kit.club import from_kit
from fitter.physics.air import density
from fitter.progress.joint import together
from fitter.progress.progress import progress
from fitter.progress.split import CAUSES, UNEXPLAINED, split
from fitter.progress.visits import Hit, read
from fitter.shots.reader.intake import read as read_log
from reference.virtual_range import engine
from reference.virtual_range.device import COLUMNS
from reference.virtual_range.engine import Floats
from reference.virtual_range.players import MPH, RPM, UNITS, YARD, Player, stream
from reference.virtual_range.shop import KIT
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import DEG, WORLDS

STAYS = 0.85
"""Share of the variance of a device's offsets that is the same at every visit (J)."""
EVEN = 256
"""Swings over which the true mean carry is taken."""
BALLS = (12, 22)
ANCHOR = 6
DRAWS = 128
BALL_OF_DAY = 0.004
"""SD of a factor on drag and lift of one day's balls (J)."""
NOISE = {k: v for k, v in COLUMNS.items() if k not in ("total (yd)", "offline (yd)")}


@dataclass(frozen=True)
class Day:
    """What is true of one visit.

    Parameters
    ----------
    speed, wider : float
        Factors on club speed and on the scatter of the strike.
    strike, swing : ndarray
        Sums on toe and high, m, and on attack, path, face and loft, rad.
    option : Option
        Club.
    air : Conditions
        As told; `density`, kg/m3, and `wind`, m/s along the line, are true.
    density, wind, ball : float
    """

    speed: float
    wider: float
    strike: Floats
    swing: Floats
    option: Option
    air: Conditions
    density: float
    wind: float
    ball: float


def planted(player: Player, k: int, option: Option) -> Day:
    """Draw a visit; the first is the player as he is."""
    rng = stream(player.number, "visit", k)
    z = rng.standard_normal(12) * (k > 0)
    told = Conditions(temperature_c=rng.uniform(5.0, 32.0), pressure_pa=100.0 * rng.uniform(930.0, 1030.0))
    a = rng.standard_normal(4)
    true = density(told.temperature_c + 2.0 * a[0], told.pressure_pa + 300.0 * a[1], told.humidity)
    return Day(
        1.0 + 0.012 * (k > 0) + 0.02 * z[0], math.exp(0.12 * z[1]), 1e-3 * np.array([4.0, 3.0]) * z[2:4],
        DEG * np.array([0.9, 1.2, 1.0, 0.8]) * z[4:8], option, told, float(true),
        0.7 * a[2], 1.0 + BALL_OF_DAY * a[3],
    )  # fmt: skip


def swung(player: Player, base: Floats, day: Day, causes: Sequence[str] = CAUSES) -> Floats:
    """Swings with those of a day's own causes that are named."""
    out = base.copy()
    if "speed" in causes:
        out[:, engine.SPEED] *= day.speed
    if "strike" in causes:
        mean = player.mean[engine.TOE :]
        out[:, engine.TOE :] = mean + day.strike + day.wider * (out[:, engine.TOE :] - mean)
    if "delivery" in causes:
        out[:, engine.ATTACK : engine.LOFT + 1] += day.swing
    return out


def carried(
    truth: Truth, swings: Floats, options: tuple[Option, Option], place: Day
) -> tuple[Floats, Floats, Floats]:
    """Deliveries with the second club, against the first, starts, and carries in a day's air."""
    out, built = truth.changed(swings, options[1], options[0])
    starts = engine.strike(out, np.repeat(built.head[None], len(out), axis=0), truth.law)
    # An even wind is still air that moves along: fly beside it, and add its way.
    along, up = starts[:, 0] * np.cos(starts[:, 1]), starts[:, 0] * np.sin(starts[:, 1])
    beside = starts.copy()
    beside[:, 0], beside[:, 1] = np.hypot(along + place.wind, up), np.arctan2(up, along + place.wind)
    thick = place.density / engine.DENSITY
    drag, lift, decay = truth.ball
    finish = engine.fly(beside, truth.air, (drag * thick, lift * thick, decay), truth.turf)
    return out, starts, finish[:, engine.X] - place.wind * finish[:, engine.TIME]


def true_parts(truth: Truth, days: tuple[Day, Day]) -> dict[str, float]:
    """Shapley value of every cause over the true mean carry, m, and what balls of the day did besides."""
    player, (old, new) = truth.player, days
    base = swung(player, player.swings(EVEN, "truth", even=True), old)
    worth = {}
    for chosen in itertools.product((False, True), repeat=len(CAUSES)):
        named = [c for c, taken in zip(CAUSES, chosen, strict=True) if taken]
        place = new if "conditions" in named else old
        fair = Day(**{**place.__dict__, "ball": 1.0})
        swings = swung(player, base, new, [c for c in named if c in CAUSES[:3]])
        option = new.option if "club" in named else old.option
        worth[chosen] = float(carried(truth, swings, (old.option, option), fair)[2].mean())
    n, found = len(CAUSES), {}
    for i, cause in enumerate(CAUSES):
        found[cause] = sum(
            math.factorial(sum(s)) * math.factorial(n - sum(s) - 1) / math.factorial(n)
            * (worth[(*s[:i], True, *s[i + 1 :])] - v)
            for s, v in worth.items()
            if not s[i]
        )  # fmt: skip
    far = max(worth.values())
    found[UNEXPLAINED] = -0.45 * far * (new.ball - old.ball)
    return found


def write(path: Path, truth: Truth, swings: Floats, options: tuple[Option, Option], day: Day, k: int) -> None:
    """Write what a device shows of balls; a part of its offsets stays, a part is the day's."""
    player = truth.player
    out, starts, carry = carried(truth, swings, options, day)
    # Balls of the day: 1 % more drag and lift cost 0.45 % of the carry (computed with the range's own ball).
    carry = carry * (1.0 - 0.45 * (day.ball - 1.0))
    shown = np.column_stack([
        out / UNITS, starts[:, 0] / MPH, starts[:, 1:3] / DEG, starts[:, 3] / RPM, starts[:, 4] / DEG,
        carry / YARD,
    ])  # fmt: skip
    stays, own = stream(player.number, "device"), stream(player.number, "device of the day", k)
    rng = stream(player.number, "readings", k, path.name)
    # The offsets first, so that the balls of both clubs of a day share them.
    offsets = {
        name: bias
        * (math.sqrt(STAYS) * stays.standard_normal() + math.sqrt(1.0 - STAYS) * own.standard_normal())
        for name, (_, _, _, bias) in NOISE.items()
    }
    noise = player.number_of("noise")
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["shot", "player", "hand", *NOISE])
        for i, values in enumerate(shown):
            row = []
            for value, (name, (kind, _, sd, _)) in zip(values, NOISE.items(), strict=True):
                error = noise * sd * rng.standard_normal() + offsets[name]
                told = value * (1.0 + error) if kind else value + error
                row.append(f"{told:.2f}")
            writer.writerow([i + 1, f"P{player.number}", "right", *row])


def one(
    number: int, world: str, folder: Path
) -> tuple[dict[str, tuple[float, float, float, float]], str] | None:
    """One player: true value, centre and interval of every part, m, and how his clubs were told apart."""
    heads, shafts = tuple(h.code for h in KIT.heads), tuple(s.code for s in KIT.shafts)
    player = Player.draw(number, WORLDS[world], heads, shafts)
    if not 80.0 < player.speed_mph < 125.0:
        return None
    truth, rng = Truth(player), stream(number, "progress")
    codes = [player.present, player.present]
    kind = ("same club", "same club", "anchor", "no anchor")[number % 4]
    if kind != "same club":
        codes[1] = f"{rng.choice([h for h in heads if h not in codes[0]])}/{rng.choice(shafts)}"
    clubs = [from_kit(truth.parts.kit, c) for c in codes]
    options = [Option(c.code, "-", c) for c in clubs]
    days = planted(player, 0, options[0]), planted(player, 1, options[1])
    hits = []
    for k, day in enumerate(days):
        path = folder / f"{number}_{k}.csv"
        swings = swung(player, player.swings(int(rng.integers(*BALLS)), f"visit {k}"), day)
        write(path, truth, swings, (options[0], day.option), day, k)
        anchor = None
        if kind == "anchor" and k == 1:
            beside = folder / f"{number}_{k}_anchor.csv"
            swings = swung(player, player.swings(ANCHOR, f"anchor {k}"), day)
            write(beside, truth, swings, (options[0], options[0]), day, k)
            anchor = read_log(beside)
        hits.append(Hit(date(2026, 1 + 5 * k, 1), read_log(path), day.air, clubs[k], anchor, clubs[0]))
    try:
        visits = read(hits)
    except FitterError:
        return None
    groups = [g for v in visits for g in (v.main, v.anchor) if g is not None]
    found = split(together(groups, DRAWS, 1), visits, 0, 1, 1)
    true = true_parts(truth, days)
    rest = found.total.value_m - sum(true[c] for c in CAUSES)
    every = sum(true.values())
    true[UNEXPLAINED] = rest
    rows = {p.cause: (true[p.cause], p.value_m, p.low_m, p.high_m) for p in found.parts}
    rows["all"] = (every, found.total.value_m, found.total.low_m, found.total.high_m)
    return rows, kind


def report(players: int, world: str) -> str:
    """Table of one world."""
    told: dict[str, list[tuple[float, float, float, float]]] = {}
    kinds: dict[str, int] = {}
    with tempfile.TemporaryDirectory() as folder:
        for number in range(players):
            answer = one(number, world, Path(folder))
            if answer is None:
                continue
            rows, kind = answer
            kinds[kind] = kinds.get(kind, 0) + 1
            for cause, row in rows.items():
                # Without another club nothing is planted, and nothing is told.
                names = (
                    [cause] if cause != "club" else ["club", f"club, {kind}"] if kind != "same club" else []
                )
                for name in names:
                    told.setdefault(name, []).append(row)
    lines = [
        f"World {world!r}: " + ", ".join(f"{n} {k}" for k, n in sorted(kinds.items())), "",
        "| part | players | inside 80 % | true SD m | half width | RMS error | median error | mean error |",
        "|---|--:|--:|--:|--:|--:|--:|--:|",
    ]  # fmt: skip
    for name, rows_ in told.items():
        true, mid, low, high = np.array(rows_).T
        inside = float(np.mean((low <= true) & (true <= high)))
        error = mid - true
        error_of_it = math.sqrt(inside * (1 - inside) / len(true))
        lines.append(
            f"| {name} | {len(true)} | {100 * inside:.0f} % ± {100 * error_of_it:.0f} "
            f"| {true.std():.1f} | {0.5 * (high - low).mean():.1f} | {math.sqrt((error**2).mean()):.1f} "
            f"| {np.median(np.abs(error)):.1f} | {error.mean():+.1f} |"
        )
    return "\n".join(lines)


FORM = {
    "speed": 0.007, "strike": 1e-3 * np.array([1.5, 1.5]), "swing": DEG * np.array([0.4, 0.6, 0.5, 0.4]),
}  # fmt: skip
"""SDs of a player's form from day to day (J)."""
WANDER = 0.006
"""SD of a level that strays for weeks (J), of half of the players; forgotten in two months."""
MONTHS = (0, 2, 4, 6, 9, 11)
"""When a player of a year comes."""


@dataclass(frozen=True)
class Year:
    """What a year of one player told.

    Parameters
    ----------
    true, pace, low, high : float
        Pace, % a month.
    told : bool
        Whether a pace was told.
    believed : dict of str to bool
        Of two visits between which nothing moved but form: whether a change was believed.
    """

    wanders: bool
    true: float
    pace: float
    low: float
    high: float
    told: bool
    believed: dict[str, bool]


def year(number: int, world: str, folder: Path) -> Year | None:
    """Six visits of a player who gains a steady share of speed, or nothing, with one club."""
    heads, shafts = tuple(h.code for h in KIT.heads), tuple(s.code for s in KIT.shafts)
    player = Player.draw(number, WORLDS[world], heads, shafts)
    if not 80.0 < player.speed_mph < 125.0:
        return None
    truth, rng = Truth(player), stream(number, "year")
    pace = 0.0 if number % 2 else float(rng.normal(0.4, 0.4))
    club = from_kit(truth.parts.kit, player.present)
    option = Option(club.code, "-", club)
    wanders, astray = number % 4 > 1, float(rng.standard_normal())
    hits = []
    for k, month in enumerate(MONTHS):
        if k:
            kept = math.exp(-(month - MONTHS[k - 1]) / 2.0)
            astray = kept * astray + math.sqrt(1.0 - kept**2) * float(rng.standard_normal())
        z, place = rng.standard_normal(8), planted(player, k, option)
        form = 1.0 + float(FORM["speed"]) * z[0] + wanders * WANDER * astray
        day = Day(
            (1.0 + 0.01 * pace * month) * form, 1.0, FORM["strike"] * z[1:3], FORM["swing"] * z[3:7],
            option, place.air, place.density, place.wind, place.ball,
        )  # fmt: skip
        path = folder / f"{number}_{k}.csv"
        swings = swung(player, player.swings(int(rng.integers(*BALLS)), f"visit {k}"), day)
        write(path, truth, swings, (option, option), day, k)
        hits.append(Hit(date(2025 + month // 12, 1 + month % 12, 1), read_log(path), day.air, club))
    try:
        found = progress(hits, draws=DRAWS)
        still = progress(hits[:2], draws=DRAWS)
    except FitterError:
        return None
    assert found.pace is not None
    assert still.since_last is not None
    middle = float(found.pace.values.mean()) / 100.0
    against = still.since_last
    steady = pace == 0.0 and not wanders
    believed = {name: against.believed(name) for name in against.figures} if steady else {}
    value, low, high = (v / middle for v in found.pace.pace)
    # Against the middle of the year, as the pace is told.
    scale = 1.0 / (1.0 + 0.01 * pace * float(np.mean(MONTHS)))
    return Year(wanders, pace * scale, value, low, high, not found.pace.told, believed)


def years(players: int, world: str) -> str:
    """Pace and smallest believable changes of one world."""
    with tempfile.TemporaryDirectory() as folder:
        every = [y for n in range(players) if (y := year(n, world, Path(folder))) is not None]
    lines = [f"World {world!r}, players with six visits:", ""]
    for wanders in (False, True):
        some = [y for y in every if y.wanders == wanders]
        inside = np.mean([y.low <= y.true <= y.high for y in some])
        error = math.sqrt(float(np.mean([(y.pace - y.true) ** 2 for y in some])))
        moving, still = [y for y in some if y.true], [y for y in some if not y.true]
        lines.append(
            f"- {len(some)} whose level {'strays for weeks' if wanders else 'is steady but for the day'}: "
            "the pace lies "
            f"inside its 80 % interval in {100 * inside:.0f} %, RMS error {error:.2f} % a month. "
            f"A pace is told of {sum(y.told for y in moving)} of {len(moving)} who have one "
            "(0.4 +- 0.4 % a month), and of "
            f"{sum(y.told for y in still)} of {len(still)} who have none."
        )
    still = [y for y in every if y.believed]
    shares = ", ".join(
        f"{name} {100 * np.mean([y.believed[name] for y in still]):.0f} %" for name in still[0].believed
    )
    lines.append(
        f"- A change between the first two visits of {len(still)} players who stayed the same but for the "
        f"day's form is believed in (to be expected: 5 %): {shares}."
    )
    return "\n".join(lines)


def main(argv: Sequence[str]) -> None:
    """Print a table for every world."""
    players = int(argv[0]) if argv else 200
    for world in argv[1:] or ("near", "all"):
        print(report(players, world), "\n", flush=True)
        print(years(players, world), "\n", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
