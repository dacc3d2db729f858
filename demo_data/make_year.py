"""Make a year of visits to the demo shop: two invented players who come back, as a device wrote it down.

Run as ``python -m demo_data.make_year [FOLDER]``. Ball, strike, heads and the device's noise are those of
`make_demo`. Y1 trains for speed over six visits, in air from frost to midsummer. Y2 changed clubs twice, gained
from the first change alone, and hit half a dozen balls with the first club each time. What they did is hidden in
`YEARS`; no judged number of the advisor enters.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from demo_data import make_demo
from fitter import demo
from fitter.base.units import DEG, MPH, RPM, YARD
from fitter.kit.club import Club, from_kit
from fitter.kit.inventory import Kit
from fitter.physics import air, engine, vectors

Floats = NDArray[np.float64]

COLUMNS = tuple(c for c in make_demo.COLUMNS if c not in ("total (yd)", "offline (yd)"))
LABELLED = ("shot", "player", "hand", "build", *COLUMNS[3:])
DEVICE = (0.006, 0.002)
"""Share of club speed that the device reads too high: always, and its SD from day to day."""
LOFT, LENGTH = 0.9, 0.0065
"""Share of a head's loft that reaches the delivery; share of club speed that an inch brings."""


@dataclass(frozen=True)
class Came:
    """One visit.

    Parameters
    ----------
    day : str
    balls, anchor : int
        With the day's own club, and with the first one beside it.
    mean : tuple of float
        The player's level with the first club: mph; attack, path, face, dynamic loft deg; toe, high mm.
    club : str
        HEAD/SHAFT, or a length in inches behind it.
    celsius, hpa : float
        As the shop wrote them down.
    wind : float
        m/s along the line, from behind positive: nobody told it.
    """

    day: str
    balls: int
    anchor: int
    mean: tuple[float, ...]
    club: str
    celsius: float
    hpa: float
    wind: float


SEEDS = {"Y1": 20261010, "Y2": 20251117}
SDS = {
    "Y1": (1.2, 0.9, 1.3, 1.7, 1.0, 8.0, 6.0),
    "Y2": (1.1, 1.0, 1.4, 1.9, 1.1, 9.0, 7.0),
}
YEARS = {
    "Y1": (
        Came("2025-11-08", 16, 0, (103.6, 0.6, 1.0, 0.6, 14.4, -5.0, 1.0), "H3/S5", 7.0, 1016.0, -0.4),
        Came("2026-01-17", 14, 0, (104.4, 0.8, 1.2, 0.9, 14.4, -4.5, 2.0), "H3/S5", 3.0, 1024.0, 0.3),
        Came("2026-03-14", 18, 0, (106.0, 1.0, 0.8, 0.5, 14.6, -4.0, 1.5), "H3/S5", 11.0, 1009.0, 0.6),
        Came("2026-05-16", 15, 0, (107.0, 1.6, 1.0, 0.7, 14.9, -2.5, 2.5), "H3/S5", 19.0, 1014.0, -0.5),
        Came("2026-07-25", 17, 0, (108.6, 1.9, 1.4, 1.1, 15.0, -1.5, 2.5), "H3/S5", 29.0, 1012.0, 0.2),
        Came("2026-10-10", 16, 0, (110.0, 2.2, 1.2, 0.8, 15.2, -1.0, 3.0), "H3/S5", 13.0, 1018.0, -0.3),
    ),
    "Y2": (
        Came("2025-11-15", 15, 0, (92.0, -2.4, -0.6, 0.3, 11.6, -2.0, -2.0), "H1/S1", 8.0, 1013.0, 0.2),
        Came("2026-02-21", 14, 0, (92.3, -2.2, -0.4, 0.2, 11.8, -2.5, -1.0), "H1/S1", 6.0, 1021.0, -0.3),
        Came("2026-04-18", 16, 6, (91.8, -2.3, -0.7, 0.5, 11.7, -2.0, -1.5), "H6/S1", 16.0, 1011.0, 0.4),
        Came("2026-07-04", 14, 6, (92.4, -1.9, -0.5, 0.2, 12.0, -1.5, -1.0), "H6/S1", 26.0, 1015.0, -0.2),
        Came("2026-09-26", 15, 6, (92.2, -2.0, -0.6, 0.4, 11.9, -2.0, -1.0), "H6/S8", 17.0, 1010.0, 0.3),
    ),
}  # fmt: skip
SHAFT = {"S8": (-0.004, 0.3)}
"""What the player does with another shaft than the first: share of club speed, delivered loft deg."""


def place(came: Came) -> engine.World:
    """Ball, strike and turf of the demo in the air of a visit."""
    thick = float(air.density(came.celsius, 100.0 * came.hpa, 0.6))
    usual = make_demo.place()
    around = engine.air_vector(thick, float(air.viscosity(came.celsius)), (came.wind, 0.0))
    return engine.World(usual.law, usual.model, usual.turf, around)


def swings(code: str, number: int, balls: int, which: str) -> Floats:
    """Deliveries with the first club, shape (balls, 7): m/s, rad, m."""
    came, sd = YEARS[code][number], SDS[code]
    rng = np.random.default_rng([int(code[1:]), number, len(which), SEEDS[code]])
    deed = np.array(came.mean) + np.array(sd) * rng.standard_normal((balls, 7))
    deed[:, 2] -= 0.6 * (deed[:, 1] - came.mean[1])
    deed[:, 4] += 0.4 * (deed[:, 1] - came.mean[1])
    return np.asarray(deed * np.array([MPH, DEG, DEG, DEG, DEG, 1e-3, 1e-3]))


def with_club(deed: Floats, club: Club, first: Club) -> tuple[Floats, Floats]:
    """Deliveries with another club, and its head."""
    head, loft, _ = make_demo.body(club)
    out = deed.copy()
    out[:, vectors.LOFT] += LOFT * (loft - make_demo.body(first)[1])
    speed, more = SHAFT.get(club.shaft.code, (0.0, 0.0))
    longer = club.length_in.value - first.length_in.value
    out[:, vectors.CLUB_SPEED] *= 1.0 + speed + LENGTH * longer
    out[:, vectors.LOFT] += more * DEG
    return out, head


def flown(
    code: str, number: int, balls: int, club: Club, first: Club, which: str = "own"
) -> tuple[Floats, Floats]:
    """Deliveries (balls, 7) of a visit and what comes of them, (balls, vectors.RESULT)."""
    deed, head = with_club(swings(code, number, balls, which), club, first)
    change = np.zeros((1, 1, vectors.CHANGE))
    change[..., [vectors.CLUB_SPEED, vectors.SCATTER]] = 1.0
    nothing = np.array([[[1.0, 0.0, 0.0, 1.0, 0.0]]])
    world = place(YEARS[code][number])
    return deed, np.asarray(engine.strike_to_rest(deed, change, head[None, None], nothing, world)[0, 0])


def rows(code: str, number: int, kit: Kit) -> list[dict[str, str]]:
    """Rows of one visit's log: warm-up is over, the first club goes first where it is hit."""
    came, first = YEARS[code][number], from_kit(kit, YEARS[code][0].club, make_demo.LENGTH_IN)
    own = from_kit(kit, came.club, make_demo.LENGTH_IN)
    rng = np.random.default_rng([int(code[1:]), number, 20261011])
    offset = 1.0 + DEVICE[0] + DEVICE[1] * rng.standard_normal()
    written: list[dict[str, str]] = []
    hit = [(first, came.anchor, YEARS[code][0].club, "anchor")] if came.anchor else []
    for club, balls, label, which in [*hit, (own, came.balls, came.club, "own")]:
        deed, out = flown(code, number, balls, club, first, which)
        shown = {
            "club speed (mph)": deed[:, vectors.CLUB_SPEED] / MPH * offset,
            "attack (deg)": deed[:, vectors.ATTACK] / DEG,
            "path (deg)": deed[:, vectors.PATH] / DEG,
            "face (deg)": deed[:, vectors.FACE] / DEG,
            "dynamic loft (deg)": deed[:, vectors.LOFT] / DEG,
            "ball speed (mph)": out[:, vectors.START_SPEED] / MPH,
            "launch (deg)": out[:, vectors.START_ELEVATION] / DEG,
            "direction (deg)": out[:, vectors.START_AZIMUTH] / DEG,
            "spin (rpm)": out[:, vectors.START_SPIN] / RPM,
            "spin axis (deg)": out[:, vectors.START_TILT] / DEG,
            "carry (yd)": out[:, vectors.CARRY] / YARD,
            "toe (mm)": deed[:, vectors.TOE] * 1e3,
            "high (mm)": deed[:, vectors.HIGH] * 1e3,
        }
        for i in range(balls):
            row = {"shot": str(len(written) + 1), "player": code, "hand": "right", "build": label}
            for name, values in shown.items():
                noise = make_demo.NOISE[name] * rng.standard_normal()
                value = values[i] * (1.0 + noise) if name in make_demo.SHARES else values[i] + noise
                row[name] = f"{value + 0.0:.{make_demo.DIGITS.get(name, 1)}f}"
            written.append(row)
    return written


def listed(code: str) -> str:
    """File of the visits of one player."""
    came = YEARS[code]
    lines = [
        "# Visits of one player of the demo shop. Everything here is invented.",
        f'player = "{code}"', 'hand = "right"', 'kit = "../.."',
    ]  # fmt: skip
    if any(c.anchor for c in came):
        lines.append(f'anchor = "{came[0].club}"')
    for c in came:
        lines += ["", "[[visit]]", f"day = {c.day}", f'log = "{c.day}.csv"', f'club = "{c.club}"']
        lines.append(f'air = "temperature={c.celsius:g}C pressure={c.hpa:g}hPa humidity=60%"')
    return "\n".join(lines) + "\n"


def make(folder: Path, codes: Sequence[str] = tuple(YEARS)) -> None:
    """Write the year into a folder, one folder a player."""
    kit = Kit.load(demo.folder())
    for code in codes:
        home = folder / code
        home.mkdir(parents=True, exist_ok=True)
        (home / "visits.toml").write_text(listed(code), encoding="utf-8")
        for number, came in enumerate(YEARS[code]):
            names = LABELLED if any(c.anchor for c in YEARS[code]) else COLUMNS
            with (home / f"{came.day}.csv").open("w", encoding="utf-8", newline="") as file:
                writer = csv.DictWriter(file, names, lineterminator="\n", extrasaction="ignore")
                writer.writeheader()
                writer.writerows(rows(code, number, kit))


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent / "year")
