"""A hundred invented players: their swings, how they answer a change, and what an instrument writes down."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fitter.advice.options import Option
from reference.virtual_range import engine, ground
from reference.virtual_range.shop import KIT, Built, Parts
from reference.virtual_range.worlds import DEG, Spread, World

Floats = NDArray[np.float64]

MPH, YARD, RPM = 0.44704, 0.9144, np.pi / 30.0
SEED = 20260611
SCRATCH = np.array([0.010, 0.8, 1.0, 1.3, 1.0, 8.0, 6.0])
"""SD of a good player's swings: share of speed, deg, deg, deg, deg, mm, mm; then a poor one's (J)."""
BEGINNER = np.array([0.024, 1.5, 2.4, 3.3, 1.9, 15.0, 10.5])
UNITS = np.array([MPH, DEG, DEG, DEG, DEG, 1e-3, 1e-3])

COLUMNS: dict[str, tuple[str, bool]] = {
    "club speed (mph)": ("share", False), "attack (deg)": ("", False), "path (deg)": ("", True),
    "face (deg)": ("", True), "dynamic loft (deg)": ("", False),
    "toe (mm)": ("", False), "high (mm)": ("", False),
    "ball speed (mph)": ("share", False), "launch (deg)": ("", False), "direction (deg)": ("", True),
    "spin (rpm)": ("", False), "spin axis (deg)": ("", True), "carry (yd)": ("share", False),
    "total (yd)": ("share", False), "offline (yd)": ("", True),
}  # fmt: skip
"""Columns of a log: whether the error is a share, whether a left-hander's sign flips."""
_SD = (0.011, 0.6, 0.6, 0.7, 0.7, 2.5, 2.5, 0.004, 0.2, 0.3, 80.0, 1.5, 0.008, 0.008, 1.2)
ERRORS = dict(zip(COLUMNS, _SD, strict=True))
"""SD of one reading of a good instrument (J); an instrument multiplies all by its own factor."""
SESSION = {"club speed (mph)": 0.012, "attack (deg)": 0.3, "path (deg)": 0.5, "dynamic loft (deg)": 0.4,
           "launch (deg)": 0.1, "spin (rpm)": 60.0, "direction (deg)": 0.7, "face (deg)": 0.7}  # fmt: skip
"""SD of what an instrument gets wrong all day in the same way (J)."""
INSTRUMENTS = {
    "full": (),
    "no strike": ("toe (mm)", "high (mm)"),
    "ball and speed": (
        "attack (deg)",
        "path (deg)",
        "face (deg)",
        "dynamic loft (deg)",
        "toe (mm)",
        "high (mm)",
    ),
}
MISREADS = {
    "club speed (mph)": "188.4",
    "spin (rpm)": "9900",
    "launch (deg)": "41.0",
    "ball speed (mph)": "12.5",
}
FAST, SLOW = 115.0, 95.0


def _draw(rng: np.random.Generator, spread: Spread, low: float = -np.inf, high: float = np.inf) -> float:
    return float(np.clip(spread[0] + spread[1] * rng.standard_normal(), low, high))


@dataclass(frozen=True)
class Player:
    """One player in one world; the same number is the same person in both.

    Parameters
    ----------
    number : int
    world : World
    hand, present, instrument : str
    mean, sd : ndarray, shape (7,)
        Swing with the present club in m/s, rad, m; see `engine.SPEED`.
    shots : int
    misread : float
        Share of the shots that the instrument gets badly wrong.
    """

    number: int
    world: World
    hand: str
    present: str
    instrument: str
    mean: Floats
    sd: Floats
    shots: int
    misread: float

    @classmethod
    def draw(cls, number: int, world: World) -> Player:
        """Player of a number."""
        rng = np.random.default_rng([SEED, 0, number])
        speed, attack = rng.uniform(75.0, 140.0), rng.uniform(-5.0, 7.0)
        loft = float(
            np.clip(13.5 + 0.5 * attack - 0.02 * (speed - 105.0) + 2.2 * rng.standard_normal(), 8, 21)
        )
        skill = float(np.clip(0.5 - 0.006 * (speed - 105.0) + 0.25 * rng.standard_normal(), 0.0, 1.0))
        z = rng.standard_normal(4)
        path, face = 2.5 * z[0] - 0.3 * attack, 1.6 * (0.5 * z[0] + 0.87 * z[1])
        mean = np.array([speed, attack, path, face, loft, 5.0 * z[2], 4.0 * z[3]]) * UNITS
        sd = SCRATCH + skill * (BEGINNER - SCRATCH)
        sd = sd * np.array([speed, 1, 1, 1, 1, 1, 1]) * UNITS
        head, shaft = rng.choice([h.code for h in KIT.heads]), rng.choice([s.code for s in KIT.shafts])
        return cls(
            number, world, "left" if rng.uniform() < 0.12 else "right", f"{head}/{shaft}",
            str(rng.choice(list(INSTRUMENTS), p=[0.5, 0.3, 0.2])), mean, sd, int(rng.integers(8, 21)),
            float(rng.choice([0.0, 0.04, 0.10])),
        )  # fmt: skip

    @property
    def speed_mph(self) -> float:
        """Mean club speed."""
        return float(self.mean[engine.SPEED] / MPH)

    @property
    def band(self) -> str:
        """Speed band."""
        return "slow" if self.speed_mph < SLOW else "fast" if self.speed_mph >= FAST else "middle"

    def swings(self, n: int, key: int, even: bool = False) -> Floats:
        """n swings with the present club, shape (n, 7): heavy-tailed, with the links of a real swing.

        ``even`` draws the normal part from a shuffled lattice, which settles a mean sooner.
        """
        rng = np.random.default_rng([SEED, 1, self.number, key])
        z = _lattice(n, rng) if even else rng.standard_normal((n, 7))
        # Face follows path 0.4, path against attack -0.4, loft with attack 0.5, height against attack -0.3.
        a = z[:, engine.ATTACK]
        p = -0.4 * a + 0.917 * z[:, engine.PATH]
        x = np.column_stack([
            z[:, 0], a, p, 0.4 * p + 0.917 * z[:, engine.FACE], 0.5 * a + 0.866 * z[:, engine.LOFT],
            z[:, engine.TOE], -0.3 * a + 0.954 * z[:, engine.HIGH],
        ])  # fmt: skip
        # Student's t of 6 degrees of freedom, scaled to the SD; speed stays normal.
        x[:, 1:] *= np.sqrt(4.0 / rng.chisquare(6.0, n))[:, None]
        out = self.mean + self.sd * x
        out[:, engine.TOE] = np.clip(out[:, engine.TOE], -0.042, 0.042)
        out[:, engine.HIGH] = np.clip(out[:, engine.HIGH], -0.024, 0.024)
        out[:, engine.LOFT] = np.clip(out[:, engine.LOFT], 3.0 * DEG, 30.0 * DEG)
        return np.asarray(out)


def _lattice(n: int, rng: np.random.Generator) -> Floats:
    """n points of a rank-1 lattice of the generalised golden ratio, as normal numbers, shape (n, 7)."""
    root = 2.0
    for _ in range(40):
        root = (1.0 + root) ** (1.0 / 8.0)
    u = (np.arange(1, n + 1)[:, None] * root ** -np.arange(1.0, 8.0) + rng.uniform(size=7)) % 1.0
    return _normal(np.clip(u, 1e-4, 1 - 1e-4))


def _normal(u: Floats) -> Floats:
    """Inverse of the normal distribution by a table, to 1e-4."""
    x = np.linspace(-4.0, 4.0, 4001)
    density = np.exp(-0.5 * x * x)
    whole = np.cumsum(density) - 0.5 * density
    return np.asarray(np.interp(u, whole / density.sum(), x))


class Truth:
    """What options would really do for a player.

    Parameters
    ----------
    player : Player
    """

    def __init__(self, player: Player) -> None:
        self.player, self.world = player, player.world
        self.parts = Parts(player.world, SEED, 3, player.number)
        rng, answers = np.random.default_rng([SEED, 2, player.number]), player.world.answers
        self.drag, self.lift = _draw(rng, player.world.drag), _draw(rng, player.world.lift)
        self.run_factor = _draw(rng, player.world.run, 0.4)
        names = (
            "loft",
            "face",
            "inertia",
            "bend",
            "radius",
            "closure",
            "tee_attack",
            "tee_loft",
            "scatter_per_inch",
        )
        self.own = {name: _draw(rng, getattr(answers, name)) for name in names}
        self.own["follow"] = _draw(rng, answers.follow, 0.0, 1.1)
        self.own["tee_strike"] = _draw(rng, answers.tee_strike, 0.0, 1.2)

    def shaft(self, code: str, present: str) -> Floats:
        """Own answer to a shaft against the present one: share of speed; loft, face in rad."""
        if code == present:
            return np.zeros(3)
        rng, answers = np.random.default_rng([SEED, 4, self.player.number, int(code[1:])]), self.world.answers
        new, old = self.parts.shafts[code], self.parts.shafts[present]
        size = max(float(np.hypot((new["cpm"] - old["cpm"]) / 55.0, (new["mass"] - old["mass"]) / 22.0)), 0.3)
        return np.asarray(size * np.array(answers.shaft) * np.array([1.0, DEG, DEG]) * rng.standard_normal(3))

    def changed(self, swings: Floats, option: Option, present: Option) -> tuple[Floats, Built]:
        """Swings with an option."""
        new, old = self.parts.build(option), self.parts.build(present)
        k, out = self.own, swings.copy()
        speed, loft, face = self.shaft(option.club.shaft.code, present.club.shaft.code)
        longer = option.club.length_in.value - present.club.length_in.value
        arm = 1.0 + 0.0254 * longer / k["radius"]
        out[:, engine.SPEED] *= (1.0 + speed) * arm * (new.inertia / old.inertia) ** -k["inertia"]
        out[:, engine.LOFT] += (
            k["loft"] * (new.loft - old.loft) + k["bend"] * (new.lead - old.lead)
        ) * DEG + loft
        out[:, engine.FACE] += k["face"] * (new.soled_face - old.soled_face) * DEG + face
        if longer:
            wider = max(1.0 + k["scatter_per_inch"] * longer, 0.5)
            for column in (engine.TOE, engine.HIGH):
                out[:, column] = self.player.mean[column] + wider * (
                    out[:, column] - self.player.mean[column]
                )
        self._set_up(out, option.ball_forward_mm * 1e-3, option.tee_mm * 1e-3)
        return out, new

    def _set_up(self, out: Floats, forward: float, tee: float) -> None:
        """Moved ball and tee, in place: first-order arc geometry times what the player keeps."""
        k, mean, plane = self.own, self.player.mean, 47.0 * DEG
        turned = forward / k["radius"]
        later = forward / mean[engine.SPEED]
        attack = turned * np.sin(plane)
        omega = mean[engine.SPEED] / 1.3
        roll = (k["closure"] * DEG - omega * np.cos(plane)) / np.sin(plane)
        raised = k["tee_attack"] * DEG * tee * 100.0
        out[:, engine.ATTACK] += k["follow"] * attack + raised
        out[:, engine.PATH] -= k["follow"] * attack / np.tan(plane)
        out[:, engine.FACE] -= k["follow"] * k["closure"] * DEG * later
        out[:, engine.LOFT] += k["follow"] * (omega * np.sin(plane) - roll * np.cos(plane)) * later
        out[:, engine.LOFT] += k["tee_loft"] * raised
        out[:, engine.HIGH] += k["tee_strike"] * tee * np.cos(mean[engine.LOFT])
        out[:, engine.HIGH] -= k["follow"] * forward * np.tan(mean[engine.ATTACK] + 0.5 * attack)

    def hit(self, options: Sequence[Option], swings: Floats) -> tuple[Floats, Floats]:
        """Hit swings with every option, the present club first.

        Returns starts (options, shots, 5), and carry, side, total, side of the total (options, shots, 4), m.
        """
        done = [self.changed(swings, option, options[0]) for option in options]
        delivery = np.concatenate([d for d, _ in done])
        heads = np.repeat(np.array([b.head for _, b in done]), len(swings), axis=0)
        start = np.empty((len(delivery), 5))
        out = np.empty((len(delivery), 4))
        drag, lift = np.array(self.drag), np.array(self.lift)
        for first in range(0, len(delivery), 4096):
            part = slice(first, first + 4096)
            start[part] = engine.strike(delivery[part], heads[part], self.world.strike)
            landing = engine.fly(start[part], self.world.air, drag, lift)
            out[part] = ground.finish(landing, start[part, 4], self.world.turf)
        out[:, 2:] = out[:, :2] + self.run_factor * (out[:, 2:] - out[:, :2])
        shape = (len(options), len(swings))
        return start.reshape(*shape, 5), out.reshape(*shape, 4)

    def write_log(self, path: Path, present: Option) -> None:
        """Log of the session as the instrument wrote it."""
        player, rng = self.player, np.random.default_rng([SEED, 5, self.player.number])
        swings = player.swings(player.shots, 1)
        start, rest = (x[0] for x in self.hit([present], swings))
        told = np.column_stack([
            swings / UNITS, start[:, 0] / MPH, start[:, 1:3] / DEG, start[:, 3] / RPM, start[:, 4] / DEG,
            rest[:, 0] / YARD, rest[:, 2] / YARD, rest[:, 1] / YARD,
        ])  # fmt: skip
        worse = rng.uniform(0.8, 1.4)
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            shown = [c for c in COLUMNS if c not in INSTRUMENTS[player.instrument]]
            writer.writerow(["shot", "player", "hand", *shown])
            offset = {c: sd * rng.standard_normal() for c, sd in SESSION.items()}
            for i, values in enumerate(told):
                row = {}
                for (name, (kind, mirrored)), value in zip(COLUMNS.items(), values, strict=True):
                    error = worse * ERRORS[name] * rng.standard_normal() + offset.get(name, 0.0)
                    value = value * (1.0 + error) if kind else value + error
                    value = -value if mirrored and player.hand == "left" else value
                    row[name] = f"{value:.0f}" if "rpm" in name or "mm" in name else f"{value:.1f}"
                if rng.uniform() < player.misread:
                    name = str(rng.choice(list(MISREADS)))
                    row[name] = MISREADS[name]
                writer.writerow([i + 1, f"P{player.number}", player.hand, *(row[c] for c in shown)])
