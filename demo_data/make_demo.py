"""Make the logs of the demo shop: what four invented players did, as a device with faults wrote it down.

Run as ``python demo_data/make_demo.py [FOLDER]``. The shop's own files (heads.csv, shafts.csv and players.toml)
are read, not made. The truth behind the logs is not the advisor's: another ball law, another mix
of the two spin repairs, other restitution, turf and arc, heads that differ from their gauged figures, and
players who answer a change in their own way. No judged number of the advisor enters, so that the demo is no
mirror and keeps its bytes. `truths` says what an option would really do, which no log shows.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fitter import demo
from fitter.base.units import DEG, MPH, RPM, YARD
from fitter.kit.club import Club, from_kit
from fitter.kit.inventory import Kit
from fitter.physics import air, ball, engine, geometry, vectors

Floats = NDArray[np.float64]

BALL = ball.Law(
    name="demo-ball",
    source="invented for the demo, inside the band of the published modern laws",
    era="modern",
    drag=(0.168, 0.52, 0.31, -0.40),
    lift=(0.058, 1.18, -1.25, 0.35),
    s_range=(0.02, 0.6),
    re_range=(0.5, 2.5),
)


@dataclass(frozen=True)
class Hidden:
    """Truth of one player, in a right-handed frame.

    Parameters
    ----------
    shots : int
    mean, sd : tuple of float
        Delivery with the present club: club speed mph; attack, path, face, dynamic loft deg; toe, high mm.
    drift : float
        mph a shot.
    loft, face : float
        Share of a head's loft and of its soled face angle that reaches the delivery.
    follow : float
        Share of the arc's geometry that is left when the ball is moved.
    tee_attack, tee_strike : float
        Degrees of attack for a cm of tee; share of the tee that reaches the strike's height.
    """

    shots: int
    mean: tuple[float, ...]
    sd: tuple[float, ...]
    drift: float
    loft: float
    face: float
    follow: float
    tee_attack: float
    tee_strike: float


HIDDEN = {
    "P1": Hidden(
        18, (131.5, 5.8, 2.2, 1.4, 20.0, -1.0, 2.0), (1.6, 1.0, 1.5, 1.9, 1.1, 9.0, 7.0), -0.05,
        loft=0.8, face=0.2, follow=0.4, tee_attack=0.5, tee_strike=0.6,
    ),
    "P2": Hidden(
        15, (89.0, -3.2, -1.0, 0.2, 10.8, -3.0, -3.0), (1.3, 1.1, 1.8, 2.2, 1.2, 10.0, 7.0), 0.02,
        loft=1.0, face=0.4, follow=0.7, tee_attack=0.8, tee_strike=0.4,
    ),
    "P3": Hidden(
        16, (101.0, 0.5, 1.5, 2.4, 14.2, -11.0, 1.0), (1.3, 1.0, 1.6, 2.2, 1.1, 7.0, 7.0), 0.0,
        loft=0.85, face=0.35, follow=0.5, tee_attack=0.7, tee_strike=0.5,
    ),
    "P4": Hidden(
        16, (104.5, 2.6, 0.5, 0.3, 15.6, 1.0, 4.0), (1.1, 0.8, 1.1, 1.4, 0.8, 7.0, 5.0), 0.0,
        loft=0.95, face=0.1, follow=0.3, tee_attack=0.6, tee_strike=0.5,
    ),
}  # fmt: skip
# What the gauge missed: true figure minus the one in heads.csv.
MISSED = {
    "H1": {"loft_deg": 0.2, "cg_up_mm": 0.4, "ct_us": -2.0},
    "H2": {"loft_deg": -0.1, "cg_depth_mm": -0.8, "ct_us": 1.0},
    "H3": {"loft_deg": 0.1, "cg_toe_mm": 0.5, "ct_us": 2.0},
    "H4": {"loft_deg": 0.3, "cg_up_mm": -0.3, "ct_us": -1.0},
    "H5": {"loft_deg": -0.2, "cg_depth_mm": 0.6, "ct_us": 3.0},
    "H6": {"loft_deg": -0.2, "cg_up_mm": 0.2, "ct_us": 0.0},
}
LENGTH_IN = 45.25
PRODUCTS = (-650.0, 480.0, 0.0)
"""Products of inertia that nobody measures: normal-up, normal-toe, up-toe; g cm2."""
FACE_RADII = np.array([0.290, 0.285])
"""Bulge and roll of every head, m."""
SHAFT_SD = (0.002, 0.3, 0.3)
"""Own response of a player to another shaft: share of club speed, delivered loft and face in degrees."""
PER_INCH, PER_GRAM, WIDER = 0.0065, -0.001, 0.03
"""Bench work: share of club speed an inch and a gram at the head, share of the strike's scatter an inch."""
ARC = (1.6, 46.0 * DEG, 2300.0 * DEG, 1.35)
"""Radius m, plane rad, closure rad/s and radius of rotation m of everybody's arc, see `arc.forward`."""

COLUMNS = (
    "shot", "player", "hand", "club speed (mph)", "attack (deg)", "path (deg)", "face (deg)", "dynamic loft (deg)",
    "ball speed (mph)", "launch (deg)", "direction (deg)", "spin (rpm)", "spin axis (deg)", "carry (yd)",
    "total (yd)", "offline (yd)", "toe (mm)", "high (mm)",
)  # fmt: skip
MIRRORED = ("path (deg)", "face (deg)", "direction (deg)", "spin axis (deg)", "offline (yd)")
NOISE = {
    "club speed (mph)": 0.011, "attack (deg)": 0.6, "path (deg)": 0.6, "face (deg)": 0.7, "dynamic loft (deg)": 0.7,
    "ball speed (mph)": 0.004, "launch (deg)": 0.2, "direction (deg)": 0.3, "spin (rpm)": 80.0,
    "spin axis (deg)": 1.5, "carry (yd)": 1.5, "total (yd)": 1.5, "offline (yd)": 1.0, "toe (mm)": 2.5,
    "high (mm)": 2.5,
}  # fmt: skip
SHARES = ("club speed (mph)", "ball speed (mph)")
DIGITS = {"spin (rpm)": 0, "toe (mm)": 0, "high (mm)": 0}
# Shots on which the device failed: (player, shot, column, what it wrote).
MISREADS = (
    ("P1", 7, "club speed (mph)", "171.3"),
    ("P1", 12, "spin (rpm)", "9870"),
    ("P2", 5, "launch (deg)", "41.2"),
    ("P3", 9, "ball speed (mph)", "163.9"),
    ("P3", 14, "spin (rpm)", "n/a"),
    ("P4", 4, "spin (rpm)", "140"),
)


def place() -> engine.World:
    """Air, ball, strike and turf of the demo; no judged number of the advisor enters."""
    model = np.zeros((1, vectors.MODEL))
    model[0, [vectors.COR, vectors.COR_SLOPE, vectors.COR_SPEED]] = 0.826, -0.001, 53.6
    model[0, [vectors.FALL_TOE, vectors.FALL_HIGH]] = 60.0, 90.0
    model[0, [vectors.ET, vectors.ET_RISE, vectors.ET_FROM, vectors.ET_OVER]] = (
        -0.05,
        0.25,
        12 * DEG,
        14 * DEG,
    )
    model[0, [vectors.SHIFT_DOWN, vectors.SHIFT_HEEL, vectors.SHIFT_CAP]] = 0.40e-3, 0.05e-3, 0.35
    model[0, [vectors.FRICTION, vectors.ADDED_MASS]] = 0.35, 2e-3
    turf = np.zeros((1, vectors.TURF))
    turf[0, [vectors.TURF_TILT, vectors.RESTITUTION, vectors.GRIP]] = 19 * DEG, 0.16, 1.0
    turf[0, [vectors.ROLLING, vectors.RUN_FACTOR]] = 0.72, 1.0
    around = engine.air_vector(float(air.density(22.0, 101325.0, 0.5)), float(air.viscosity(22.0)))
    return engine.World(ball.vector(BALL, np.array([0.0145])), model, turf, around)


def body(club: Club) -> tuple[Floats, float, float]:
    """Head as it is, not as it was gauged: kernel vector, square-face loft and soled face, rad."""
    missed = MISSED[club.head.code]

    def true(name: str) -> float:
        return float(getattr(club.head, name).value) + missed.get(name, 0.0)

    head = np.zeros(vectors.HEAD)
    head[vectors.HEAD_MASS] = (true("mass_g") + club.swap_g + club.tip_weight_g) / 1e3
    head[vectors.DEPTH : vectors.CG_TOE + 1] = [true(f"cg_{way}_mm") / 1e3 for way in ("depth", "up", "toe")]
    moments = (2750.0, true("moi_vertical_gcm2"), true("moi_heel_toe_gcm2"), *PRODUCTS)
    head[vectors.I_NORMAL : vectors.I_NORMAL + 6] = np.array(moments) * 1e-7
    head[[vectors.BULGE, vectors.ROLL]] = 1.0 / FACE_RADII
    head[vectors.COR_OFFSET] = 0.0005 * (true("ct_us") - 243.0)
    loft, lie = true("loft_deg") * DEG, true("lie_deg") * DEG
    soled = geometry.soled_loft(loft, true("face_angle_deg") * DEG, lie)
    turned = loft + club.loft_change_deg * DEG
    return head, turned, float(geometry.soled_face(turned, soled, lie))


def deliveries(code: str, everybody: Mapping[str, Hidden] = HIDDEN) -> Floats:
    """What the player did with the present club, shape (shots, 7): m/s, rad, m."""
    hidden, rng = everybody[code], np.random.default_rng([int(code[1:]), 20260412])
    deed = np.array(hidden.mean) + np.array(hidden.sd) * rng.standard_normal((hidden.shots, 7))
    # A low point that moves takes attack and path along; a tired player slows down.
    deed[:, 2] -= 0.6 * (deed[:, 1] - hidden.mean[1])
    deed[:, 4] += 0.4 * (deed[:, 1] - hidden.mean[1])
    deed[:, 0] += hidden.drift * np.arange(hidden.shots)
    return np.asarray(deed * np.array([MPH, DEG, DEG, DEG, DEG, 1e-3, 1e-3]))


def truths(
    player: demo.Player,
    options: Sequence[tuple[Club, float, float]],
    everybody: Mapping[str, Hidden] = HIDDEN,
) -> Floats:
    """Replay a player's swings with other clubs and set-ups in the truth of the demo.

    Parameters
    ----------
    player : fitter.demo.Player
    options : sequence of (Club, float, float)
        Club, ball forward mm, tee higher mm, against the present set-up.
    everybody : mapping of str to Hidden
        Truths by code.

    Returns
    -------
    ndarray, shape (options + 1, shots, vectors.RESULT)
        The present club first.
    """
    hidden, base = everybody[player.code], deliveries(player.code, everybody)
    present = from_kit(Kit.load(demo.folder()), player.present, LENGTH_IN)
    every = [(present, 0.0, 0.0), *options]
    speed, attack, path, at, lofted = base[:, : vectors.TOE].mean(axis=0)
    heads, lofts, faces = zip(*(body(club) for club, _, _ in every), strict=True)
    change = np.zeros((1, len(every), vectors.CHANGE))
    change[..., [vectors.CLUB_SPEED, vectors.SCATTER]] = 1.0
    for i, (club, forward, tee) in enumerate(every):
        own = np.zeros(3)
        if club.shaft.code != present.shaft.code:
            rng = np.random.default_rng([int(player.code[1:]), int(club.shaft.code[1:])])
            own = np.array(SHAFT_SD) * rng.standard_normal(3)
        longer = club.length_in.value - present.length_in.value
        heavier = club.swap_g + club.tip_weight_g
        change[0, i, vectors.CLUB_SPEED] += own[0] + PER_INCH * longer + PER_GRAM * heavier
        change[0, i, vectors.SCATTER] += WIDER * longer
        change[0, i, vectors.LOFT] = hidden.loft * (lofts[i] - lofts[0]) + own[1] * DEG
        change[0, i, vectors.FACE] = hidden.face * (faces[i] - faces[0]) + own[2] * DEG
        moved = geometry.forward(forward * 1e-3, attack, path, at, lofted, speed, *ARC)
        raised = hidden.tee_attack * DEG * tee / 10.0
        change[0, i, vectors.ATTACK] += hidden.follow * moved.attack + raised
        change[0, i, vectors.PATH] += hidden.follow * moved.path
        change[0, i, vectors.FACE] += hidden.follow * moved.face
        change[0, i, vectors.LOFT] += hidden.follow * moved.loft + 0.5 * raised
        change[0, i, vectors.HIGH] += hidden.tee_strike * tee * 1e-3 - hidden.follow * moved.rise
    nothing = np.array([[[1.0, 0.0, 0.0, 1.0, 0.0]]])
    return np.asarray(engine.strike_to_rest(base, change, np.array([heads]), nothing, place())[0])


def log(
    player: demo.Player,
    everybody: Mapping[str, Hidden] = HIDDEN,
    misreads: Sequence[tuple[str, int, str, str]] = MISREADS,
) -> list[dict[str, str]]:
    """Rows of one player's log as the device wrote them."""
    rng = np.random.default_rng([int(player.code[1:]), 20260413])
    deed, flown = deliveries(player.code, everybody), truths(player, [], everybody)[0]
    columns: dict[str, Floats] = {
        "club speed (mph)": deed[:, vectors.CLUB_SPEED] / MPH,
        "attack (deg)": deed[:, vectors.ATTACK] / DEG,
        "path (deg)": deed[:, vectors.PATH] / DEG,
        "face (deg)": deed[:, vectors.FACE] / DEG,
        "dynamic loft (deg)": deed[:, vectors.LOFT] / DEG,
        "ball speed (mph)": flown[:, vectors.START_SPEED] / MPH,
        "launch (deg)": flown[:, vectors.START_ELEVATION] / DEG,
        "direction (deg)": flown[:, vectors.START_AZIMUTH] / DEG,
        "spin (rpm)": flown[:, vectors.START_SPIN] / RPM,
        "spin axis (deg)": flown[:, vectors.START_TILT] / DEG,
        "carry (yd)": flown[:, vectors.CARRY] / YARD,
        "total (yd)": flown[:, vectors.TOTAL] / YARD,
        "offline (yd)": flown[:, vectors.SIDE] / YARD,
        "toe (mm)": deed[:, vectors.TOE] * 1e3,
        "high (mm)": deed[:, vectors.HIGH] * 1e3,
    }
    written: list[dict[str, str]] = []
    for i in range(len(deed)):
        row = {"shot": str(i + 1), "player": player.code, "hand": player.hand}
        for name, values in columns.items():
            noise = NOISE[name] * rng.standard_normal()
            value = values[i] * (1.0 + noise) if name in SHARES else values[i] + noise
            # A left-hander's log is written as the world sees it.
            if name in MIRRORED and player.hand == "left":
                value = -value
            row[name] = f"{value + 0.0:.{DIGITS.get(name, 1)}f}"
        for code, shot, name, text in misreads:
            if (code, shot) == (player.code, i + 1):
                row[name] = text
        written.append(row)
    return written


def make(folder: Path) -> None:
    """Write the logs of the demo into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for player in demo.players():
        with (folder / player.log).open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(log(player))


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
