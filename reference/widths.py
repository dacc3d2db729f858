"""How wide the 80 % intervals of plain changes are: ``python -m reference.widths [NAME]``.

Four players who do not exist hit twelve balls each; the same shots whatever the judged numbers are. With a
NAME, the figures are kept in tables/widths.csv as a column of that name, and widths.md is made anew from its
columns 'before' and 'after': before and after the strike, the run and the players' own answers were drawn.
"""

from __future__ import annotations

import csv
import io
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fitter.advice.baseline import baseline
from fitter.advice.options import Option
from fitter.advice.prediction import predict
from fitter.advice.question import ask
from fitter.base.conditions import Conditions
from fitter.base.files import write_whole
from fitter.base.units import DEG, MPH, RPM, YARD
from fitter.kit.club import Club
from fitter.kit.figures import Reading
from fitter.kit.parts import Head, Shaft
from fitter.physics import engine, vectors
from fitter.shots.session import Session
from fitter.simulate.strike import ordinary_head
from fitter.world import central, drawn, strike_models

TABLE = Path(__file__).parent / "tables" / "widths.csv"
PAGE = Path(__file__).parent / "widths.md"
SHOTS, DRAWS = 12, 512
PLAYERS = {
    "95 mph, attack -3, loft 11": (95.0, -3.0, 11.0),
    "112 mph, attack -1.3, loft 13.6": (112.0, -1.3, 13.6),
    "133 mph, attack +5, loft 20": (133.0, 5.0, 20.0),
    "133 mph, attack +5, loft 18": (133.0, 5.0, 18.0),
}
"""Club speed (mph), attack and delivered loft (deg), as in the worked intervals that are published."""
CHECK = "published check"
TOLD = "total, totals measured"
"""Measure of the total where the log holds totals, which tell of the run."""


@dataclass(frozen=True)
class Interval:
    """Expected gain and its 80 % interval, yd."""

    player: str
    change: str
    measure: str
    mean: float
    low: float
    high: float


def session(
    speed_mph: float,
    attack_deg: float,
    loft_deg: float,
    totals: bool = False,
    marked_mm: float | None = None,
) -> Session:
    """Twelve balls by a strike with a shift of 0.4 mm and the mean of the ball laws.

    Parameters
    ----------
    speed_mph, attack_deg, loft_deg : float
        Mean delivery.
    totals : bool
        Whether totals were measured beside the carries.
    marked_mm : float, optional
        Mean strike height, mm, of marked strikes; not marked, and 0, when silent.
    """
    rng = np.random.default_rng(5)
    spread = np.array([0.012 * speed_mph * MPH, 1.0 * DEG, 1.2 * DEG, 1.8 * DEG, 1.0 * DEG, 9e-3, 7e-3])
    high = (marked_mm or 0.0) * 1e-3
    mean = np.array([speed_mph * MPH, attack_deg * DEG, 0.0, 0.0, loft_deg * DEG, 0.0, high])
    z = rng.standard_normal((SHOTS, 7))
    deed = mean + spread * (z - z.mean(axis=0)) / z.std(axis=0)
    truth = np.zeros(vectors.MODEL)
    truth[[vectors.COR, vectors.COR_SLOPE, vectors.COR_SPEED, vectors.FRICTION]] = 0.822, -0.0015, 53.6, 0.4
    truth[[vectors.FALL_TOE, vectors.FALL_HIGH]] = 0.02 / 0.020**2, 0.02 / 0.016**2
    truth[[vectors.SHIFT_DOWN, vectors.SHIFT_CAP, vectors.ADDED_MASS]] = 0.4e-3, 0.35, 1.5e-3
    truth[vectors.ET_OVER] = 1.0
    start = engine.strikes(deed, ordinary_head(), truth)
    flown = engine.fly(start, central(Conditions()).world).mean(axis=0)
    values = {
        "club_speed_mps": deed[:, 0],
        "attack_deg": deed[:, 1] / DEG,
        "path_deg": deed[:, 2] / DEG,
        "face_deg": deed[:, 3] / DEG,
        "dynamic_loft_deg": deed[:, 4] / DEG,
        "ball_speed_mps": start[:, 0],
        "launch_deg": start[:, 1] / DEG,
        "direction_deg": start[:, 2] / DEG,
        "spin_rpm": start[:, 3] / RPM,
        "spin_axis_deg": start[:, 4] / DEG,
        "carry_m": flown[:, vectors.CARRY],
        "offline_m": flown[:, vectors.SIDE],
    }
    if totals:
        values["total_m"] = flown[:, vectors.TOTAL]
    if marked_mm is not None:
        values |= {"strike_toe_mm": deed[:, 5] * 1e3, "strike_high_mm": deed[:, 6] * 1e3}
    order = np.arange(1, SHOTS + 1)
    return Session("P", "right", "made up", values, {}, {}, order, order)


def _head(code: str, loft: float, gauged: bool) -> Head:
    if gauged:
        return Head(code, loft_deg=Reading(loft, 0.3), mass_g=Reading(200.0))
    return Head(code, stamped_loft_deg=Reading(loft - 0.96), mass_g=Reading(200.0))


def _shaft(code: str, cpm: float) -> Shaft:
    return Shaft(code, mass_g=Reading(60.0), frequency_cpm=Reading(cpm), length_in=Reading(46.0))


def changes(step: float) -> dict[str, tuple[Club, Option]]:
    """Changes that are looked at: the present club of each, and the option."""
    regular, stiff, length = _shaft("R", 245.0), _shaft("X", 272.0), Reading(45.25, 0.06)
    found = {}
    for words, gauged in (("lofts gauged", True), ("lofts stamped", False)):
        before = Club(_head("A", 10.5, gauged), regular, length)
        after = Club(_head("B", 10.5 + step, gauged), regular, length)
        found[f"{step:+g} deg, {words}"] = before, Option("after", "D", after)
    present = Club(_head("A", 10.5, True), regular, length)
    found["one flex stiffer"] = present, Option("after", "C", Club(present.head, stiff, length))
    found["ball 2 cm forward"] = present, Option("after", "A", present, ball_forward_mm=20.0)
    found["tee 1 cm higher"] = present, Option("after", "A", present, tee_mm=10.0)
    return found


def intervals() -> list[Interval]:
    """Every change for every player: carry, and total without and with measured totals."""
    found = []
    for player, swing in PLAYERS.items():
        for change, (club, option) in changes(-2.0 if swing[0] > 120 else 1.0).items():
            options = (Option(club.code, "-", club), option)
            for measure in ("carry", "total", TOLD):
                shots = session(*swing, totals=measure == TOLD)
                question = ask(shots, None, club, "total", draws=DRAWS).right_handed()
                p = predict(options, question, baseline(question))
                gain = np.diff(getattr(p, measure.split(",")[0]), axis=1)[:, 0] / YARD
                low, high = np.quantile(gain, [0.1, 0.9])
                found.append(Interval(player, change, measure, float(gain.mean()), float(low), float(high)))
    return found


REASONS = (
    ("lofts gauged", "spin per degree of loft is drawn, 170 to 290 rpm and 225 on average, where it was 291"),
    (
        "lofts stamped",
        "as with gauged lofts; the doubt of the stamps of two heads of no one kit is as it was",
    ),
    ("flex", "as with gauged lofts, on the little loft that a shaft brings"),
    ("ball", "the player's own answer is drawn beside follow and geometry; low strikes spin more"),
    ("tee", "vertical gear effect is drawn, 15 rpm per mm stronger on average; the player's own answer too"),
)
"""Why an interval moved, by what its change is called; the first that fits."""
RUN = {
    "total": "; the run's shape over the landing angle is drawn beside its size",
    TOLD: "; measured totals tell of size and shape of the run",
}
MOVED = 0.08
"""Share of the width before from which an interval counts as moved."""


def reason(change: str, measure: str) -> str:
    """Why an interval moved."""
    return next(words for key, words in REASONS if key in change) + RUN.get(measure, "")


def ends(cell: str) -> tuple[float, float]:
    """Ends of an interval as the table keeps it."""
    low, high = cell.split("..")
    return float(low), float(high)


def kept() -> list[dict[str, str]]:
    """Rows of the table."""
    if not TABLE.exists():
        return []
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def page() -> str:
    """The table as a page: before, after, and why."""
    lines = [
        "# How wide the intervals of plain changes are",
        "",
        "Made by `python -m reference.widths after`: 80 % intervals of the gain, yd, 512 draws; twelve balls",
        "with attack, face, loft and carry measured, no strike marks. 'Before' is the state in which the",
        "rise of tangential restitution that irons need began in the driver's range, the run had one shape,",
        "and players had no answer of their own to ball and tee.",
        "",
        "| player | change | measure | before | after | width | why it moved |",
        "|---|---|---|---|---|---|---|",
    ]
    for row in (r for r in kept() if r["player"] != CHECK):
        (a, b), (c, d) = ends(row["before"]), ends(row["after"])
        share = (d - c) / (b - a) - 1.0
        why = reason(row["change"], row["measure"]) if abs(share) >= MOVED else "moved little"
        cells = (
            row["player"], row["change"], row["measure"], f"{a:+.1f} to {b:+.1f}", f"{c:+.1f} to {d:+.1f}",
            f"{100 * share:+.0f} %", why,
        )  # fmt: skip
        lines.append("| " + " | ".join(cells) + " |")
    lines += [
        "",
        "Published checks are held at the centre of the judgement, as before; about them is drawn (80 %):",
        "",
        "| check | unit | before | after |",
        "|---|---|---|---|",
    ]
    for row in (r for r in kept() if r["player"] == CHECK):
        (a, b), (c, d) = ends(row["before"]), ends(row["after"])
        lines.append(f"| {row['change']} | {row['measure']} | {a:.0f} to {b:.0f} | {c:.0f} to {d:.0f} |")
    return "\n".join([*lines, ""])


def checks() -> list[Interval]:
    """What is drawn about published checks that are held at the centre of the judgement."""

    def struck(*deeds: tuple[float, ...]) -> np.ndarray:
        """Starts (draws, n, 5) of an ordinary head: mph, attack, loft (deg), toe, high (mm)."""
        rows = np.zeros((len(deeds), vectors.DELIVERY))
        for row, (mph, attack, loft, toe, high) in zip(rows, deeds, strict=True):
            row[:] = mph * MPH, attack * DEG, 0.0, 0.0, loft * DEG, toe * 1e-3, high * 1e-3
        return engine.strikes(rows, ordinary_head(), strike_models(DRAWS)[:, None])

    def spun(*deeds: tuple[float, ...]) -> np.ndarray:
        return struck(*deeds)[..., vectors.SPIN] / RPM

    def flown(start: np.ndarray, column: int) -> np.ndarray:
        return engine.fly(start, drawn(Conditions(), DRAWS, 1).world)[..., column] / YARD

    def run(launch: float) -> np.ndarray:
        start = np.array([[167 * MPH, launch * DEG, 0.0, 2686 * RPM, 0.0]])
        return (flown(start, vectors.TOTAL) - flown(start, vectors.CARRY))[:, 0]

    loft, up = spun((100, 0, 11, 0, 0), (100, 0, 15, 0, 0)), spun((100.7, 0, 13, 0, -1), (100.7, 0, 13, 0, 1))
    off = flown(struck(*((90.4, 0, 15, toe, 0) for toe in (0, 19, -19))), vectors.CARRY)
    found = {
        "robot, 120 mph, loft 13.0, attack +1.9: spin": ("rpm", spun((120, 1.9, 13.0, 0, 0))[:, 0]),
        "spin per degree of loft, 11 to 15 deg, 100 mph": ("rpm/deg", (loft[:, 1] - loft[:, 0]) / 4.0),
        "spin per mm up, 45 m/s": ("rpm/mm", (up[:, 1] - up[:, 0]) / 2.0),
        "robot, 19 mm toe or heel: carry lost": ("yd", off[:, 0] - off[:, 1:].mean(axis=1)),
        "tour drive, 167 mph, 10.9 deg, 2686 rpm: run": ("yd", run(10.9)),
        "the same at 5 deg: run": ("yd", run(5.0)),
        "the same at 16 deg: run": ("yd", run(16.0)),
    }
    return [
        Interval(CHECK, name, unit, float(values.mean()), *map(float, np.quantile(values, [0.1, 0.9])))
        for name, (unit, values) in found.items()
    ]


def main(words: list[str]) -> None:
    """Print the intervals, and keep them under a name if one is given."""
    found = [*intervals(), *checks()]
    for i in found:
        print(f"{i.player:34} {i.change:24} {i.measure:22} {i.mean:+6.1f} [{i.low:+.1f}, {i.high:+.1f}]")
    if words:
        _keep(words[0], found)


def _keep(name: str, found: list[Interval]) -> None:
    rows = {(r["player"], r["change"], r["measure"]): r for r in kept()}
    for i in found:
        key = {"player": i.player, "change": i.change, "measure": i.measure}
        row = rows.setdefault((i.player, i.change, i.measure), key)
        row[name] = f"{i.low:.1f}..{i.high:.1f}"
    text = io.StringIO()
    columns = list(dict.fromkeys(c for row in rows.values() for c in row))
    table = csv.DictWriter(text, columns, lineterminator="\n")
    table.writeheader()
    table.writerows(rows.values())
    write_whole(TABLE, text.getvalue())
    if {"before", "after"} <= set(columns):
        write_whole(PAGE, page())


if __name__ == "__main__":
    main(sys.argv[1:])
