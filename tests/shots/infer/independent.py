"""Invented sessions of an independent world: closed forms of the strike, own players, own devices.

Nothing of the advisor's strike is used. Planar oblique impact with a tangential restitution that hangs on the
spin loft, and gear effect of a head with principal moments, both in closed form (standard mechanics; Penner
2001, Am. J. Phys. 69, 563 for the planar part; the head of Danaei et al. 2020, Proceedings 49(1) 47, Table
1). What is drawn per session: restitution and its fall, size and slope of the spin (180 to 300 rpm per degree
at 100 mph), mass centre, inertia, bulge and roll, the player, the device's noise and its offsets.
"""

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from fitter.shots.infer.measurement import MEASURED
from fitter.shots.session import Session

DEG, RPM, MM = np.pi / 180.0, np.pi / 30.0, 1e-3
MASS, RADIUS, HOLLOW = 0.0459, 0.02134, 0.4
SPEED, ATTACK, PATH, FACE, LOFT, TOE, HIGH = range(7)
UNIT = np.array([1.0, DEG, DEG, DEG, DEG, MM, MM, 1.0, DEG, DEG, RPM, DEG])
NOISE = np.array([0.012, 0.7, 0.7, 0.8, 0.8, 3.0, 3.0, 0.004, 0.2, 0.3, 80.0, 1.5])
"""SD of one reading of an ordinary device, in the channels' units; shares of both speeds (J)."""
NORMAL = np.array([0.010, 0.8, 1.0, 1.3, 1.0, 8.0, 6.0])
POOR = np.array([0.025, 1.6, 2.5, 3.5, 2.0, 15.0, 11.0])
"""SD of one player's shots, scratch and high handicap: share of the speed, deg, mm (M)."""
BALL = ("club_speed_mps", "ball_speed_mps", "launch_deg", "direction_deg", "spin_rpm", "spin_axis_deg")
SWING = (*BALL, "attack_deg", "path_deg")
NO_STRIKE = (*SWING, "face_deg", "dynamic_loft_deg")
KINDS = {"ball": BALL, "swing": SWING, "no strike": NO_STRIKE, "full": MEASURED}


@dataclass(frozen=True)
class Club:
    """Head and strike of one session: SI; spin loft of the slope's pivot 12 deg."""

    mass: float
    depth: float
    up: float
    toe: float
    upright: float
    across: float
    bulge: float
    roll: float
    e: float
    e_slope: float
    fall: tuple[float, float]
    e_t: float
    e_t_slope: float
    shift: float = 0.0

    @classmethod
    def draw(cls, rng):
        # Half of the sessions lose spin to tangential compliance, half to a ball whose mass centre sinks.
        e_t, shift = (
            (rng.uniform(-0.30, -0.05), 0.0) if rng.uniform() < 0.5 else (0.0, rng.uniform(1e-4, 6e-4))
        )
        # 230 rpm a degree and 2,800 rpm at 12 deg are those of e_t = 0 at 45 m/s.
        rise = (rng.uniform(180.0, 300.0) - 230.0 * (1.0 + e_t)) / 2800.0 / DEG
        return cls(
            rng.normal(0.200, 0.003), rng.normal(0.038, 0.003), rng.normal(0.0025, 0.0015),
            rng.normal(0.0, 0.0012), rng.normal(5e-4, 5e-5), rng.normal(3.7e-4, 4e-5),
            rng.normal(0.305, 0.03), rng.normal(0.295, 0.035), rng.normal(0.822, 0.008),
            rng.normal(-0.0015, 0.002), (rng.uniform(0.0, 0.04), rng.uniform(0.0, 0.04)), e_t, rise, shift,
        )  # fmt: skip

    def strike(self, x):
        """Starts (n, 5) of deliveries (n, 7): m/s, launch, direction rad, spin rad/s, axis rad."""
        up_lift, right = self.at_strike(x)
        normal = _direction(up_lift, right)
        across = np.stack([-np.sin(right), np.cos(right), np.zeros_like(right)], axis=-1)
        upward = np.cross(across, normal)
        upward *= np.where(upward[:, 2:] > 0.0, 1.0, -1.0)
        club = x[:, [SPEED]] * _direction(x[:, ATTACK], x[:, PATH])
        into, rise, slide = ((club * d).sum(axis=1) for d in (normal, upward, across))
        loft = np.arctan2(np.hypot(rise, slide), into)
        toe = x[:, TOE] * (1.0 - self.depth / self.bulge) - self.toe
        high = x[:, HIGH] * (1.0 - self.depth / self.roll) - self.up
        e = np.minimum(self.e + self.e_slope * (into - 53.6), 0.845)
        e -= self.fall[0] * (x[:, TOE] / 0.020) ** 2 + self.fall[1] * (x[:, HIGH] / 0.016) ** 2
        give = 1.0 / MASS + 1.0 / self.mass
        push = (1.0 + e) * into / (give + toe**2 / self.upright + high**2 / self.across)
        e_t = self.e_t + self.e_t_slope * (loft - 12.0 * DEG)
        sunk, drag = self.shift / (HOLLOW * MASS * RADIUS**2), {}
        for name, speed, miss, inertia in (
            ("across", slide, toe, self.upright), ("up", rise, high, self.across),
        ):  # fmt: skip
            # The face turns away under the push: its surface moves outwards, and takes the ball's along.
            surface = (1.0 + e_t) * speed + self.depth * miss / inertia * push
            surface -= sunk * RADIUS * push if name == "up" else 0.0
            drag[name] = surface / ((1.0 + 1.0 / HOLLOW) / MASS + 1.0 / self.mass + self.depth**2 / inertia)
        ball = (
            push[:, None] * normal + drag["across"][:, None] * across + drag["up"][:, None] * upward
        ) / MASS
        turn = RADIUS / (HOLLOW * MASS * RADIUS**2)
        back, side = -drag["up"] * turn - sunk * push, -drag["across"] * turn
        speed = np.linalg.norm(ball, axis=1)
        return np.stack([
            speed, np.arcsin(ball[:, 2] / speed), np.arctan2(ball[:, 1], ball[:, 0]), np.hypot(back, side),
            np.arctan2(side, back),
        ], axis=1)  # fmt: skip

    def at_strike(self, x):
        """Loft and face of the bulged and rolled face where the ball was struck, rad, (n,) each."""
        return x[:, LOFT] + x[:, HIGH] / self.roll, x[:, FACE] + x[:, TOE] / self.bulge


def _direction(up, right):
    """Unit vectors to the target, right and up of angles."""
    return np.stack([np.cos(up) * np.cos(right), np.cos(up) * np.sin(right), np.sin(up)], axis=-1)


@dataclass(frozen=True)
class World:
    """How players and devices differ from each other.

    Parameters
    ----------
    noise : float
        Factor on every SD of a reading.
    face_point : str
        'centre' or 'strike': where the device's face and loft belong.
    attack : (float, float)
        Lowest and highest mean of a player, deg.
    toe, high : float
        SD of the players' mean strike, mm; with `high_at` added, a pattern that all players share.
    high_at : float
    path : float
        What the device adds to the path of the face centre, deg.
    """

    noise: float = 1.0
    face_point: str = "centre"
    attack: tuple[float, float] = (-5.0, 7.0)
    toe: float = 5.0
    high: float = 4.0
    high_at: float = 0.0
    path: float = 0.0


@dataclass(frozen=True)
class Truth:
    """Sessions and what was true: deliveries (shots, 7) and the mean delivery of each player (7,)."""

    sessions: list[Session]
    delivery: list[np.ndarray]
    mean: list[np.ndarray]


def sessions(count, shots, keep=MEASURED, world=World(), seed=1) -> Truth:
    """Sessions of ``count`` players, ``shots`` balls each."""
    out = Truth([], [], [])
    for k in range(count):
        rng = np.random.default_rng([seed, k])
        club, mean, x = Club.draw(rng), *_swings(rng, shots, world)
        out.sessions.append(_shown(rng, club, x, keep, world))
        out.delivery.append(x)
        out.mean.append(mean)
    return out


def _swings(rng, shots, world):
    attack, skill = rng.uniform(*world.attack), rng.uniform()
    loft = np.clip(13.5 + 0.45 * attack + 2.0 * rng.normal(), 7.0, 21.0)
    path = -0.3 * attack + 2.5 * rng.normal()
    mean = np.array([
        rng.uniform(34.0, 58.0), attack * DEG, path * DEG, (0.3 * path + 1.4 * rng.normal()) * DEG,
        loft * DEG, world.toe * rng.normal() * MM, (world.high_at + world.high * rng.normal()) * MM,
    ])  # fmt: skip
    sd = NORMAL ** (1.0 - skill) * POOR**skill * np.exp(0.15 * rng.normal(size=7))
    sd = sd * np.array([mean[0], DEG, DEG, DEG, DEG, MM, MM])
    mixed = np.eye(7)
    for i, j, r in ((FACE, PATH, 0.4), (PATH, ATTACK, -0.4), (LOFT, ATTACK, 0.5), (HIGH, ATTACK, -0.3)):
        mixed[i, j] = mixed[j, i] = r
    z = rng.multivariate_normal(np.zeros(7), mixed, shots) * np.sqrt(6.0 / rng.chisquare(8.0, (shots, 1)))
    x = mean + sd * z
    x[:, TOE], x[:, HIGH] = np.clip(x[:, TOE], -40 * MM, 40 * MM), np.clip(x[:, HIGH], -23 * MM, 23 * MM)
    x[:, LOFT] = np.clip(x[:, LOFT], 4.0 * DEG, 30.0 * DEG)
    return mean, x


def _shown(rng, club, x, keep, world):
    told = np.column_stack([x, club.strike(x)])
    if world.face_point == "strike":
        told[:, LOFT], told[:, FACE] = club.at_strike(x)
    told = told / UNIT
    shots = len(told)
    error = world.noise * NOISE * rng.normal(size=told.shape)
    told[:, [0, 7]] *= 1.0 + error[:, [0, 7]]
    rest = [1, 2, 3, 4, 5, 6, 8, 9, 10, 11]
    told[:, rest] += error[:, rest]
    told[:, 0] *= 1.0 + 0.012 * rng.normal()
    told[:, PATH] += world.path + 0.3 * rng.normal()
    order = np.arange(1, shots + 1)
    values = MappingProxyType({c: told[:, k] for k, c in enumerate(MEASURED) if c in keep})
    none = MappingProxyType({})
    return Session("P1", "right", "independent", values, none, none, order, order)
