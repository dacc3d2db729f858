"""Make the demo shop: four invented players, their logs with misreads, six heads, eight shafts.

Run as ``python demo_data/make_demo.py [FOLDER]``. The truth behind the logs is not the advisor's: another
ball law, another mix of the two spin repairs, other restitution and turf, and scatter of its own, so that the
demo is no mirror. Everything is seeded: the same bytes every time.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fitter import simulate, world
from fitter.conditions import Conditions
from fitter.physics import ball, engine, ground, impact
from fitter.units import DEG, MPH, RPM, YARD

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
class Player:
    """Truth of one player: mean and scatter of the delivery, and what the player asks for."""

    code: str
    hand: str
    shots: int
    mean: tuple[float, ...]
    sd: tuple[float, ...]
    drift: float
    present: str
    objective: str
    scene: str


# mean: club mph, attack, path, face, loft (deg), toe, high (mm), in a right-handed frame.
PLAYERS = (
    Player(
        "P1",
        "right",
        18,
        (131.5, 5.8, 2.2, 1.4, 20.0, -1.0, 2.0),
        (1.6, 1.0, 1.5, 1.9, 1.1, 9.0, 7.0),
        -0.05,
        "H4/S2",
        "total",
        "trains for speed and hits up, and the new speed does not turn into distance.",
    ),
    Player(
        "P2",
        "right",
        15,
        (88.0, -3.4, -1.0, 0.2, 10.6, -3.0, -3.0),
        (1.3, 1.1, 1.8, 2.2, 1.2, 10.0, 7.0),
        0.02,
        "H1/S1",
        "carry",
        "swings steeply and slowly; the ball starts too low to stay up.",
    ),
    Player(
        "P3",
        "left",
        16,
        (101.0, 0.5, 1.5, 2.4, 14.2, -11.0, 1.0),
        (1.3, 1.0, 1.6, 2.2, 1.1, 7.0, 7.0),
        0.0,
        "H5/S4",
        "total",
        "is left-handed and strikes the heel.",
    ),
    Player(
        "P4",
        "right",
        16,
        (104.5, 2.6, 0.5, 0.3, 15.6, 1.0, 4.0),
        (1.1, 0.8, 1.1, 1.4, 0.8, 7.0, 5.0),
        0.0,
        "H3/S5",
        "carry",
        "asks whether the present club should go; it is a good one already.",
    ),
)

HEADS = """head,stamped_loft_deg,loft_deg,loft_sd_deg,face_angle_deg,lie_deg,mass_g,cg_depth_mm,cg_up_mm,moi_vertical_gcm2,moi_heel_toe_gcm2,ct_us,settings,volume_cm3,stock,price
H1,9,9.4,0.3,0.5,58,203,36,1.5,4700,3300,247,-1 0 1,450,rack,310
H2,9,9.9,0.3,-0.5,57.5,201,40,2.5,5250,3800,244,-1 0 1,458,rack,390
H3,10.5,11.3,0.3,-1,58,200,41,2.8,5400,3900,246,-1 0 1,460,rack,420
H4,10.5,11.9,0.3,-1,58,202,39,3.2,5100,3700,243,-0.75 0 0.75,455,rack,360
H5,10.5,11,0.3,0,58.5,199,37,2.0,4900,3500,240,-1 0 1,452,today,295
H6,12,13.1,0.3,-2,59,198,43,3.4,5700,4150,238,-1 0 1,460,order,440
"""
SHAFTS = """shaft,mass_g,length_in,balance_pct,frequency_cpm,torque_deg,tip_ei_nm2,grip_mass_g,flex,stock,price
S1,52,46,52.5,232,5.6,,48,R,rack,70
S2,66,46,51.5,258,3.9,26,50,X,rack,160
S3,58,46,53,246,4.6,,50,S,rack,110
S4,62,46,52,250,4.2,24,50,S,rack,140
S5,60,46,52,247,4.4,,50,S,rack,95
S6,54,46,54.5,243,5.0,22,48,S,today,210
S7,72,46,51,266,3.2,30,50,X,order,180
S8,47,46,53.5,224,6.2,,45,L,rack,85
"""

COLUMNS = (
    "shot", "player", "hand", "club speed (mph)", "attack (deg)", "path (deg)", "face (deg)", "delivered loft (deg)",
    "ball speed (mph)", "launch (deg)", "direction (deg)", "spin (rpm)", "spin axis (deg)", "carry (yd)",
    "total (yd)", "offline (yd)", "toe (mm)", "high (mm)",
)  # fmt: skip
MIRRORED = ("path (deg)", "face (deg)", "direction (deg)", "spin axis (deg)", "offline (yd)")
NOISE = {
    "club speed (mph)": 0.011, "attack (deg)": 0.6, "path (deg)": 0.6, "face (deg)": 0.7, "delivered loft (deg)": 0.7,
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


def truth() -> tuple[Floats, engine.World]:
    """Head and world of the demo: nothing of it is an advisor's default."""
    conditions = Conditions(temperature_c=22.0)
    model = world.strike_models()
    model[:, impact.COR] = 0.826
    model[:, impact.SHIFT_DOWN] = 0.40e-3
    model[:, impact.ET] = -0.05
    turf = world.turfs("ordinary")
    turf[:, ground.ROLLING] = 0.72
    law = ball.vector(BALL, world.spin_torque(np.array([1.5e-5])))
    return simulate.ordinary_head(), engine.World(law, model, turf, world.air_of(conditions))


def log(player: Player) -> list[dict[str, str]]:
    """Rows of one player's log as the device wrote them."""
    rng = np.random.default_rng([int(player.code[1:]), 20260412])
    n = player.shots
    unit = np.array([MPH, DEG, DEG, DEG, DEG, 1e-3, 1e-3])
    deed = np.array(player.mean) + np.array(player.sd) * rng.standard_normal((n, 7))
    # A low point that moves takes attack and path along; a tired player slows down.
    deed[:, 2] -= 0.6 * (deed[:, 1] - player.mean[1])
    deed[:, 4] += 0.4 * (deed[:, 1] - player.mean[1])
    deed[:, 0] += player.drift * np.arange(n)
    head, place = truth()
    start = engine.strikes(deed * unit, head, place.model[0])
    flown = engine.fly(start, place)[0]
    columns: dict[str, Floats] = {
        "club speed (mph)": deed[:, 0],
        "attack (deg)": deed[:, 1],
        "path (deg)": deed[:, 2],
        "face (deg)": deed[:, 3],
        "delivered loft (deg)": deed[:, 4],
        "ball speed (mph)": start[:, 0] / MPH,
        "launch (deg)": start[:, 1] / DEG,
        "direction (deg)": start[:, 2] / DEG,
        "spin (rpm)": start[:, 3] / RPM,
        "spin axis (deg)": start[:, 4] / DEG,
        "carry (yd)": flown[:, engine.CARRY] / YARD,
        "total (yd)": flown[:, engine.TOTAL] / YARD,
        "offline (yd)": flown[:, engine.SIDE] / YARD,
        "toe (mm)": deed[:, 5],
        "high (mm)": deed[:, 6],
    }
    written: list[dict[str, str]] = []
    for i in range(n):
        row = {"shot": str(i + 1), "player": player.code, "hand": player.hand}
        for name, values in columns.items():
            noise = NOISE[name] * rng.standard_normal()
            value = values[i] * (1.0 + noise) if name in SHARES else values[i] + noise
            if name in MIRRORED and player.hand == "left":
                value = -value
            row[name] = f"{value + 0.0:.{DIGITS.get(name, 1)}f}"
        for code, shot, name, text in MISREADS:
            if (code, shot) == (player.code, i + 1):
                row[name] = text
        written.append(row)
    return written


def make(folder: Path) -> None:
    """Write every file of the demo into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "heads.csv").write_text(HEADS, encoding="utf-8", newline="\n")
    (folder / "shafts.csv").write_text(SHAFTS, encoding="utf-8", newline="\n")
    lines = ["# Who plays in the demo, with what, and what each asks for. Everything here is invented.", ""]
    for player in PLAYERS:
        with (folder / f"{player.code}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(log(player))
        lines += [
            f"[{player.code}]",
            f'log = "{player.code}.csv"',
            f'present = "{player.present}"',
            f'objective = "{player.objective}"',
            f'scene = "{player.code} {player.scene}"',
            "",
        ]
    (folder / "players.toml").write_text("\n".join(lines), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
