"""Invented players: their swings, their ball and their turf, as a world draws them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri
from scipy.stats import qmc

from reference.virtual_range import engine
from reference.virtual_range.air import table
from reference.virtual_range.engine import Floats
from reference.virtual_range.worlds import DEG, World

MPH, YARD, RPM = 0.44704, 0.9144, np.pi / 30.0
SEED = 20261126
SCRATCH = np.array([0.010, 0.8, 1.0, 1.3, 1.0, 8.0, 6.0])
"""SD of a good player's swings: share of speed, deg, deg, deg, deg, mm, mm; then a poor one's (M)."""
BEGINNER = np.array([0.024, 1.5, 2.4, 3.3, 1.9, 15.0, 10.5])
UNITS = np.array([MPH, DEG, DEG, DEG, DEG, 1e-3, 1e-3])
HAPPY = 0.2
"""Share of players whose present club was fitted: delivered loft near the best for their speed and attack."""
FAST, SLOW = 115.0, 95.0


def stream(number: int, *what: object) -> np.random.Generator:
    """Random numbers of one purpose of one player: no other purpose moves them."""
    digest = hashlib.sha256(repr((SEED, number, *what)).encode()).digest()
    return np.random.default_rng(int.from_bytes(digest[:16], "little"))


@dataclass(frozen=True)
class Player:
    """One player in one world; the same number is the same person wherever he is drawn alike.

    Parameters
    ----------
    number : int
    world : World
    hand, present : str
        'right' or 'left'; club as 'HEAD/SHAFT'.
    mean, sd : ndarray, shape (7,)
        Swing with the present club in m/s, rad, m; see `engine.SPEED`.
    shots : int
        Balls of his log.
    own : dict
        What he drew of every entry of his world.
    """

    number: int
    world: World
    hand: str
    present: str
    mean: Floats
    sd: Floats
    shots: int
    own: dict[str, object]

    @classmethod
    def draw(cls, number: int, world: World, heads: tuple[str, ...], shafts: tuple[str, ...]) -> Player:
        """Player of a number, who owns one of the heads and shafts."""
        own = {name: spread.draw(stream(number, name)) for name, spread in world.spreads.items()}
        rng = stream(number, "player")
        speed, z, happy = rng.uniform(70.0, 145.0), rng.standard_normal(5), rng.uniform() < HAPPY
        attack = float(own["attack"])  # type: ignore[arg-type]
        best = 13.2 + 0.55 * attack - 0.06 * (speed - 105.0)
        loft = float(np.clip(best + (0.4 if happy else 2.6) * z[0], 7.0, 22.0))
        skill = float(np.clip(0.5 - 0.006 * (speed - 105.0) + 0.25 * z[1], 0.0, 1.0))
        path, face = 2.2 * z[2] - 0.3 * attack, 1.6 * (0.5 * z[2] + 0.87 * z[3])
        if happy:
            path, face = 0.3 * path, 0.3 * face
        toe, high = float(own["toe_mm"]), float(own["high_mm"])  # type: ignore[arg-type]
        mean = np.array([speed, attack, path, face, loft, toe, high]) * UNITS
        sd = (SCRATCH + skill * (BEGINNER - SCRATCH)) * np.array([speed, 1, 1, 1, 1, 1, 1]) * UNITS
        club = f"{heads[int(rng.integers(len(heads)))]}/{shafts[int(rng.integers(len(shafts)))]}"
        hand = "left" if rng.uniform() < 0.12 else "right"
        return cls(number, world, hand, club, mean, sd, int(rng.integers(6, 25)), own)

    def number_of(self, name: str) -> float:
        """One of his own figures."""
        return float(self.own[name])  # type: ignore[arg-type]

    def numbers(self, name: str) -> tuple[float, ...]:
        """Several of his own figures that stand under one name."""
        return tuple(float(x) for x in self.own[name])  # type: ignore[attr-defined]

    @property
    def speed_mph(self) -> float:
        """Mean club speed."""
        return float(self.mean[engine.SPEED] / MPH)

    @property
    def band(self) -> str:
        """Speed band."""
        return "slow" if self.speed_mph < SLOW else "fast" if self.speed_mph >= FAST else "middle"

    @property
    def held(self) -> bool:
        """Whether he is kept for the last report of a round: one in three."""
        return self.number % 3 == 0

    def swings(self, n: int, what: str, even: bool = False) -> Floats:
        """n swings with the present club, shape (n, 7): heavy-tailed, with the links of a real swing.

        ``even`` takes a low-discrepancy sequence in place of chance, which settles a mean sooner.
        """
        rng = stream(self.number, "swings", what)
        if even:
            points = qmc.Sobol(8, rng=rng).random(1 << (n - 1).bit_length())[:n]
            u = np.clip(points, 1e-6, 1 - 1e-6)
            z, heavy = ndtri(u[:, :7]), u[:, 7]
        else:
            z, heavy = rng.standard_normal((n, 7)), rng.uniform(1e-6, 1 - 1e-6, n)
        low, face, lofted, high = self.numbers("links")
        a = z[:, engine.ATTACK]
        p = low * a + np.sqrt(1 - low * low) * z[:, engine.PATH]
        x = np.column_stack([
            z[:, 0], a, p,
            face * p + np.sqrt(1 - face * face) * z[:, engine.FACE],
            lofted * a + np.sqrt(1 - lofted * lofted) * z[:, engine.LOFT],
            z[:, engine.TOE], high * a + np.sqrt(1 - high * high) * z[:, engine.HIGH],
        ])  # fmt: skip
        # Student's t, scaled to the SD; speed stays normal.
        tails = self.number_of("tails")
        x[:, 1:] *= np.sqrt((tails - 2.0) / _chi_square(heavy, tails))[:, None]
        return self.held_in(self.mean + self.sd * x)

    @staticmethod
    def held_in(swings: Floats) -> Floats:
        """Return swings that meet the face at a loft that a club can have."""
        out = swings.copy()
        out[:, engine.TOE] = np.clip(out[:, engine.TOE], -0.042, 0.042)
        out[:, engine.HIGH] = np.clip(out[:, engine.HIGH], -0.024, 0.024)
        out[:, engine.LOFT] = np.clip(out[:, engine.LOFT], 3.0 * DEG, 30.0 * DEG)
        return out

    def day(self, *what: object) -> Floats:
        """What a club does all of one day: loft, face, strike; shape (7,)."""
        loft, face, strike = self.numbers("day")
        out = np.zeros(engine.DELIVERY)
        z = stream(self.number, "day", *what).standard_normal(4)
        out[[engine.LOFT, engine.FACE]] = z[0] * loft * DEG, z[1] * face * DEG
        out[[engine.TOE, engine.HIGH]] = 1e-3 * strike * z[2:]
        return out

    def tired(self, swings: Floats) -> Floats:
        """Swings in the order of a session: they drift, and lose speed and gain scatter from ball ten on."""
        out, order = swings.copy(), np.arange(len(swings))
        gone = self.number_of("tiring") * np.maximum(order - 9, 0)
        out[:, engine.SPEED] *= 1.0 + self.number_of("drift") * order - gone
        out[:, engine.LOFT] += 30.0 * DEG * self.number_of("drift") * order
        out[:, engine.HIGH] -= 0.15 * gone * 1e-1
        return out

    # His world's laws.

    def law(self) -> Floats:
        """Law of the strike, shape (11,); the spin's two figures fix its tangential restitution."""
        out = np.zeros(engine.LAW)
        out[engine.E], out[engine.E_SPEED] = (
            self.number_of("restitution"),
            self.number_of("restitution_speed"),
        )
        out[engine.FALL_TOE], out[engine.FALL_HIGH] = self.number_of("fall_toe"), self.number_of("fall_high")
        out[engine.FALL_TOE : engine.FALL_HIGH + 1] = np.maximum(
            out[engine.FALL_TOE : engine.FALL_HIGH + 1], 0
        )
        out[engine.FALL_POWER], out[engine.BEST_HIGH] = (
            self.number_of("fall_power"),
            1e-3 * self.number_of("best_high_mm"),
        )
        out[engine.SHIFT], out[engine.CLOSING] = 1e-3 * self.number_of("shift_mm"), self.number_of("closing")
        spin, slope, slip = (self.number_of(n) for n in ("spin", "spin_slope", "spin_slip"))
        # The slope holds at one speed, where the slip grows with the loft too.
        low, high = (
            _tangential(out, a, spin + slope * (a - 13.0))
            - slip * np.log2(100.0 * MPH * np.sin(a * DEG) / engine.SLIP)
            for a in (11.0, 15.0)
        )
        out[engine.ET], out[engine.ET_LOFT] = 0.5 * (low + high), (high - low) / (4.0 * DEG)
        out[engine.ET_SLIP] = slip
        return out

    def air(self) -> Floats:
        """Table of his ball; see `air.table`."""
        return table(str(self.own["law"]), max(self.number_of("crisis"), 0.0), self.number_of("crisis_width"))

    def ball(self) -> tuple[float, float, float]:
        """Factors on drag and lift, and the decay of spin."""
        return self.number_of("drag"), self.number_of("lift"), self.number_of("decay")

    def turf(self) -> Floats:
        """Turf where he plays, shape (10,)."""
        out = np.zeros(engine.TURF)
        out[engine.TILT] = self.number_of("tilt") * DEG
        out[engine.TILT_SPEED], out[engine.TILT_ANGLE] = self.numbers("tilt_powers")
        out[engine.BOUNCE], out[engine.BOUNCE_SPEED] = self.numbers("bounce")
        out[engine.GRIP], out[engine.DENTS] = self.number_of("grip"), self.number_of("dents")
        out[engine.ROLLING] = self.number_of("rolling")
        out[engine.SIZE], out[engine.STEEP] = (
            max(self.number_of("run_size"), 0.3),
            self.number_of("run_steep"),
        )
        return out


def _chi_square(u: Floats, nu: float) -> Floats:
    """Quantiles of chi square by Wilson & Hilferty 1931, to 1 % where it matters here."""
    return np.asarray(nu * np.maximum(1 - 2 / (9 * nu) + ndtri(u) * np.sqrt(2 / (9 * nu)), 0.05) ** 3)


REFERENCE_HEAD = np.array([0.200, 0.040, 0.0029, 0.0, 2.843e-4, 5.2e-4, 3.9e-4, 1 / 0.305, 1 / 0.295, 0.0])
"""Head for which the spin of a world stands."""


def _tangential(law: Floats, loft_deg: float, rpm: float) -> float:
    """Tangential restitution with which the reference head at 100 mph and this loft gives this spin."""
    probe, swing = law.copy(), np.zeros((1, engine.DELIVERY))
    swing[0, [engine.SPEED, engine.LOFT]] = 100.0 * MPH, loft_deg * DEG
    spins = []
    for e_t in (-0.3, 0.3):
        probe[engine.ET] = e_t
        spins.append(float(engine.strike(swing, REFERENCE_HEAD[None], probe)[0, 3] / RPM))
    # Spin grows in proportion to 1 + e_t at one geometry.
    return -0.3 + 0.6 * (rpm - spins[0]) / (spins[1] - spins[0])
