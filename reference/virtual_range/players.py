"""Invented players of the range: how they swing, how they answer a change, and what a device shows of it."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter.advice.options import Option
from fitter.shots.channels import Session
from reference.virtual_range import engine
from reference.virtual_range.shop import FLEX_CPM, LENGTH_IN, Shop
from reference.virtual_range.worlds import World

Floats = NDArray[np.float64]

DEG, MPH, RPM = np.pi / 180.0, 0.44704, np.pi / 30.0
SWINGS = 200
"""Fresh swings over which a true gain is the mean."""


@dataclass(frozen=True)
class Player:
    """One player in one world.

    Parameters
    ----------
    mean, sd : ndarray, shape (7,)
        Delivery with the present club: m/s, rad, m; scatter from swing to swing.
    shots : int
    present : str
        HEAD/SHAFT of the shop.
    answers : dict
        Shares and own responses, see `World`.
    swing_seen, strike_seen : bool
        Whether the device shows attack and path, and the strike place.
    """

    code: str
    mean: Floats
    sd: Floats
    shots: int
    present: str
    answers: dict[str, float]
    swing_seen: bool
    strike_seen: bool
    seed: int


def player(world: World, shop: Shop, seed: int) -> Player:
    """Draw one player: speed, skill, delivery and answers; two of three were never fitted for loft."""
    rng = np.random.default_rng([seed, 23])
    speed = rng.uniform(78, 135)
    skill = rng.uniform(0.0, 1.0)
    attack = rng.normal(0.0 + 0.03 * (speed - 100), 2.2)
    head = rng.choice(list(shop.heads))
    # Delivered loft follows the head that is played, plus the player's own way of delivering it.
    loft = shop.heads[head].loft_deg + 2.5 + 0.6 * attack + rng.normal(0, 1.6)
    mean = np.array(
        [speed * MPH, attack * DEG, rng.normal(0, 2) * DEG, rng.normal(0.5, 1.2) * DEG, loft * DEG,
         rng.normal(0, 4e-3), rng.normal(0, 3e-3)]
    )  # fmt: skip
    rough = 1.0 + skill
    sd = np.array([0.011 * speed * MPH * rough, 0.8 * DEG, 1.1 * DEG, 1.3 * DEG, 0.9 * DEG, 7e-3, 5e-3])
    sd[1:] *= rough
    answers = {
        "loft": rng.normal(world.loft, world.loft_sd),
        "face": rng.normal(world.face, world.face_sd),
        "follow": np.clip(rng.normal(world.follow, world.follow_sd), 0, 1),
        "tee_attack": rng.normal(world.tee_attack, 0.3),
        "tee_strike": np.clip(rng.normal(world.tee_strike, 0.2), 0, 1),
    }
    for code in FLEX_CPM:
        answers[f"speed {code}"] = rng.normal(0, world.shaft_speed)
        answers[f"loft {code}"] = rng.normal(0, world.shaft_loft) * DEG
    seen = rng.random(2)
    shots = int(rng.integers(8, 21))
    present = f"{head}/{rng.choice(list(FLEX_CPM))}"
    return Player(
        f"V{seed}", mean, sd, shots, present, answers, bool(seen[0] < 0.6), bool(seen[1] < 0.5), seed
    )


def swings(p: Player, n: int, stream: int) -> Floats:
    """Swings with the present club, (n, 7); heavier tails than normal."""
    rng = np.random.default_rng([p.seed, stream])
    z = rng.standard_normal((n, 7)) / np.sqrt(rng.chisquare(6, (n, 1)) / 6)
    deed = p.mean + p.sd * z
    deed[:, 2] -= 0.5 * (deed[:, 1] - p.mean[1])
    deed[:, 4] += 0.4 * (deed[:, 1] - p.mean[1])
    return np.asarray(deed)


def session(p: Player, world: World, shop: Shop) -> Session:
    """What a device outdoors shows of the player's shots with the present club; one in thirty misread."""
    rng = np.random.default_rng([p.seed, 37])
    deed = swings(p, p.shots, 41)
    start, landed, total = finish(deed, shop.heads[p.present.partition("/")[0]].figures, world)
    n = p.shots

    def noisy(values: Floats, sd: float) -> Floats:
        return np.asarray(values + sd * rng.standard_normal(n))

    values = {
        "club_speed_mps": deed[:, 0] * (1 + 0.012 * rng.standard_normal(n)) * (1 + rng.normal(0, 0.008)),
        "ball_speed_mps": start[:, 0] * (1 + 0.004 * rng.standard_normal(n)),
        "launch_deg": noisy(start[:, 1] / DEG, 0.2) + rng.normal(0, 0.1),
        "direction_deg": noisy(start[:, 2] / DEG, 0.3),
        "spin_rpm": noisy(start[:, 3] / RPM, 80.0),
        "spin_axis_deg": noisy(start[:, 4] / DEG, 1.5),
        "carry_m": landed[:, 0] * (1 + 0.01 * rng.standard_normal(n)),
        "total_m": total * (1 + 0.01 * rng.standard_normal(n)),
        "offline_m": noisy(landed[:, 1], 1.5),
    }
    if p.swing_seen:
        values["attack_deg"] = noisy(deed[:, 1] / DEG, 0.7)
        values["path_deg"] = noisy(deed[:, 2] / DEG, 0.7)
    if p.strike_seen:
        values["strike_toe_mm"] = noisy(deed[:, 5] * 1e3, 3.0)
        values["strike_high_mm"] = noisy(deed[:, 6] * 1e3, 3.0)
    wrong = rng.random(n) < 1.0 / 30.0
    values["spin_rpm"] = np.where(wrong, values["spin_rpm"] * 2.2, values["spin_rpm"])
    order = np.arange(1, n + 1)
    return Session(
        p.code, "right", "virtual range", MappingProxyType(values), MappingProxyType({}),
        MappingProxyType({}), order, order,
    )  # fmt: skip


def finish(deed: Floats, head: dict[str, float], world: World) -> tuple[Floats, Floats, Floats]:
    """Start (n, 5), landing (n, 4) and total distance (n,) of swings."""
    start = engine.strike(deed, head, world.impact)
    landed = engine.fly(start, world.ball)
    spin = start[:, 3] * np.exp(-world.ball.spin_decay * 6.0)
    return start, landed, landed[:, 0] + engine.run(landed, spin, world.firm)


def changed(
    p: Player, option: Option, world: World, shop: Shop, deed: Floats
) -> tuple[Floats, dict[str, float]]:
    """Swings as they truly become with an option, and its true head."""
    old_head, _, old_shaft = p.present.partition("/")
    club, out = option.club, deed.copy()
    old, new = shop.heads[old_head], shop.heads[club.head.code]
    loft = new.loft_deg + club.loft_change_deg - old.loft_deg
    # A sleeve that adds loft closes the soled face, 1.6 deg for a degree of loft (geometry at lie 58).
    face = new.soled_face_deg - 1.6 * club.loft_change_deg - old.soled_face_deg
    out[:, 4] += p.answers["loft"] * loft * DEG
    out[:, 3] += p.answers["face"] * face * DEG
    flex = abs(FLEX_CPM[club.shaft.code] - FLEX_CPM[old_shaft]) / 55.0
    if flex:
        size = max(flex, 0.3)
        out[:, 0] *= 1.0 + size * p.answers[f"speed {club.shaft.code}"]
        out[:, 4] += size * p.answers[f"loft {club.shaft.code}"]
    longer = club.length_in.value - LENGTH_IN
    inertia = (
        1.0 + 0.045 * longer + 4.5 * (new.figures["mass_kg"] - old.figures["mass_kg"] + club.swap_g / 1e3)
    )
    out[:, 0] *= (1.0 + longer * 0.0254 / 1.3) * inertia ** (-world.inertia)
    if option.ball_forward_mm:
        turn = option.ball_forward_mm * 1e-3 / 1.5 * p.answers["follow"]
        out[:, 1] += turn
        out[:, 2] -= turn * 0.9
        out[:, 3] -= turn * 0.9
        out[:, 4] += 0.35 * turn
    if option.tee_mm:
        out[:, 1] += p.answers["tee_attack"] * DEG * option.tee_mm / 10.0
        out[:, 4] += 0.5 * p.answers["tee_attack"] * DEG * option.tee_mm / 10.0
        out[:, 6] += p.answers["tee_strike"] * option.tee_mm * 1e-3
    return out, new.figures


def true_gains(p: Player, options: list[Option], world: World, shop: Shop, measure: str) -> Floats:
    """Mean true gain of each option over fresh swings, the same for all, m, shape (options,)."""
    deed = swings(p, SWINGS, 43)
    head = shop.heads[p.present.partition("/")[0]].figures

    def far(d: Floats, h: dict[str, float]) -> float:
        _, landed, total = finish(d, h, world)
        return float((total if measure == "total" else landed[:, 0]).mean())

    now = far(deed, head)
    return np.array([far(*changed(p, o, world, shop, deed)) - now for o in options])
