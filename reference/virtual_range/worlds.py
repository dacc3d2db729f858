"""Worlds that are not the advisor's: what every player of a world draws for himself, by name.

A world is a dictionary of distributions. 'near' stands about where published figures stand, with laws of its
own; every difference replaces some of its entries, so that each can be switched on alone or with others.
Every figure was chosen before any coverage was looked at. Letters: R read, Q quoted, M memory, C computed,
J judged.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

DEG = np.pi / 180.0


class Normal(NamedTuple):
    """Normal distribution, cut at 3 SD."""

    mean: float
    sd: float

    def draw(self, rng: np.random.Generator) -> float:
        """One value."""
        return float(self.mean + self.sd * np.clip(rng.standard_normal(), -3.0, 3.0))


class Between(NamedTuple):
    """Uniform distribution."""

    low: float
    high: float

    def draw(self, rng: np.random.Generator) -> float:
        """One value."""
        return float(rng.uniform(self.low, self.high))


class OneOf(NamedTuple):
    """Some values, each as likely as another; a value that stands twice twice as likely."""

    values: tuple[Any, ...]

    def draw(self, rng: np.random.Generator) -> Any:
        """One value."""
        return self.values[int(rng.integers(len(self.values)))]


Spread = Normal | Between | OneOf

NEAR: dict[str, Spread] = {
    # The ball: a law of `air.LAWS`, its factors, how much its drag rises below Re 75,000 and how sharply.
    "law": OneOf(("grid", "grid", "grid low")),
    "drag": Normal(1.0, 0.012),
    "lift": Normal(1.0, 0.015),
    "crisis": Normal(0.03, 0.015),
    "crisis_width": Between(0.10, 0.16),
    "decay": Normal(1.5e-5, 0.3e-5),
    # The strike: restitution (C from robot conditions, R for the fall at 20 mm), spin at 100 mph and a spin
    # loft of 13 deg with its growth per degree from 11 to 15 (C: 170-290, mean about 225), rpm; the share of
    # the repair that a shifted mass centre makes, mm; compliance.
    "restitution": Normal(0.822, 0.004),
    "restitution_speed": Normal(-0.0018, 0.0015),
    "fall_toe": Normal(0.020, 0.008),
    "fall_high": Normal(0.022, 0.008),
    "fall_power": OneOf((2.0, 1.7)),
    "best_high_mm": Normal(0.0, 1.0),
    "spin": Normal(2480.0, 110.0),
    "spin_slope": Normal(228.0, 25.0),
    "shift_mm": Between(0.20, 0.50),
    "spin_slip": Normal(0.0, 0.03),
    "closing": Normal(0.0, 4.0),
    # Turf: tilt of the first landing, deg, and its powers of speed and angle; bounce; roll; size and
    # steepness of the run (1/rad).
    "tilt": Normal(17.5, 1.0),
    "tilt_powers": OneOf(((0.0, 0.0),)),
    "bounce": OneOf(((0.30, 0.009),)),
    "grip": Normal(0.9, 0.03),
    "dents": OneOf((1,)),
    "rolling": Normal(0.78, 0.06),
    "run_size": Normal(1.0, 0.2),
    "run_steep": Normal(0.0, 0.5),
    # Deliveries: attack deg; mean strike mm; degrees of freedom of the tails; links between columns; what a
    # session loses from ball to ball and what a club does on one day.
    "attack": Between(-4.0, 6.0),
    "toe_mm": Normal(0.0, 5.0),
    "high_mm": Normal(0.0, 4.0),
    "tails": OneOf((8.0,)),
    "links": OneOf(((-0.4, 0.4, 0.5, -0.3),)),
    "drift": Normal(0.0, 0.0),
    "tiring": Between(0.0, 0.0),
    "day": OneOf(((0.0, 0.0, 0.0),)),
    # Answers to a change: loft and face per degree, exponent of inertia, share of the shaft's mechanical
    # loft; a player's own answer to two flex classes (share of speed, loft deg, face deg; SDs, of a number
    # drawn for the shaft), length.
    "answer_loft": Normal(0.90, 0.20),
    "answer_face": Normal(0.30, 0.30),
    "answer_inertia": Normal(0.20, 0.05),
    "answer_bend": Normal(0.30, 0.20),
    "answer_shaft": OneOf(((0.0064, 0.70, 0.70),)),
    "answer_scatter": Normal(0.04, 0.04),
    # Ball and tee: what is left of the arc's geometry, its figures, what a cm of tee does to attack (deg),
    # how much of it reaches the strike; own answers per 2 cm of ball and per cm of tee (loft deg, speed, face
    # deg, strike mm; SDs).
    "follow": Normal(0.50, 0.25),
    "radius": Normal(1.5, 0.1),
    "closure": Normal(2500.0, 450.0),
    "tee_attack": Normal(0.70, 0.30),
    "tee_loft": Normal(0.5, 0.3),
    "tee_strike": Normal(0.55, 0.20),
    "own_ball": OneOf(((0.4, 0.004, 0.5, 1.5),)),
    "own_tee": OneOf(((0.3, 0.003, 0.3, 1.0),)),
    # Parts: true less stamped loft by shop and within it, deg; gauge; sleeve; restitution per us of CT, a
    # head's own.
    "stamp_shop": Normal(0.9, 0.3),
    "stamp_own": OneOf((0.8,)),
    "gauge_bias": Normal(0.0, 0.05),
    "gauge": OneOf((1.0,)),
    "sleeve": OneOf((0.1,)),
    "per_us": OneOf((0.00044,)),
    "head_own": OneOf((0.004,)),
    # The device: factor on all noise, SD of each channel's own factor (of its logarithm), factor on the day's
    # bias, where face and loft belong, what is missing, place, share of misreads.
    "noise": Between(0.85, 1.15),
    "noise_own": OneOf((0.0,)),
    "bias": OneOf((1.0,)),
    "point": OneOf(("centre",)),
    "missing": OneOf(("nothing", "nothing", "strike")),
    "place": OneOf(("outdoor",)),
    "misreads": OneOf((0.0, 0.03)),
}
"""What a player of the world 'near' draws."""

DIFFERENCES: dict[str, dict[str, Spread]] = {
    "air": {
        "law": OneOf(("grid low", "polar", "slender")),
        "crisis": Between(0.0, 0.12),
        "crisis_width": Between(0.04, 0.20),
        "decay": Between(1.0e-5, 2.5e-5),
    },
    "run": {
        "tilt": Between(14.0, 22.0),
        "tilt_powers": OneOf(((1.0, 1.0), (0.0, 0.0), (0.5, 0.5))),
        "bounce": OneOf(((0.42, 0.016), (0.30, 0.009), (0.22, 0.004))),
        "grip": Between(0.45, 0.98),
        "dents": OneOf((1, 2)),
        "rolling": Between(0.45, 1.0),
        "run_size": Between(0.6, 1.5),
        "run_steep": Between(-1.0, 4.0),
    },
    "spin": {
        "spin": Between(2200.0, 2850.0),
        "spin_slope": Between(180.0, 300.0),
        "shift_mm": Between(0.0, 0.6),
        "spin_slip": Between(-0.10, 0.15),
    },
    "off centre": {
        "fall_toe": Between(0.01, 0.06),
        "fall_high": Between(0.01, 0.06),
        "fall_power": OneOf((2.0, 1.5)),
        "best_high_mm": Between(-2.0, 5.0),
        "restitution_speed": Between(-0.0045, 0.0),
        "closing": Between(-5.0, 35.0),
    },
    "deliveries": {
        "attack": Between(-5.0, 7.0),
        "toe_mm": OneOf((-13.0, -7.0, 0.0, 7.0, 13.0)),
        "high_mm": OneOf((-10.0, -5.0, 0.0, 5.0, 10.0)),
        "tails": OneOf((4.0, 5.0)),
        "links": OneOf(((-0.6, 0.6, 0.7, -0.5), (-0.1, 0.1, 0.1, 0.0), (-0.4, 0.4, 0.5, -0.3))),
        "drift": Normal(0.0, 0.0008),
        "tiring": OneOf((0.0, 0.0, 0.0015, 0.003)),
        "day": OneOf(((0.35, 0.4, 1.5),)),
    },
    "answers": {
        "answer_loft": Normal(0.85, 0.30),
        "answer_face": Normal(0.40, 0.45),
        "answer_inertia": Normal(0.22, 0.075),
        "answer_bend": Normal(0.40, 0.30),
        "answer_shaft": OneOf(((0.0096, 1.05, 1.05),)),
        "answer_scatter": Normal(0.06, 0.06),
    },
    "set-up": {
        "follow": Between(0.0, 1.1),
        "radius": Between(1.3, 1.8),
        "closure": Between(1800.0, 3600.0),
        "tee_attack": Normal(0.9, 0.45),
        "tee_loft": Normal(0.4, 0.5),
        "tee_strike": Between(0.2, 1.1),
        "own_ball": OneOf(((0.6, 0.006, 0.75, 2.2),)),
        "own_tee": OneOf(((0.45, 0.0045, 0.45, 1.5),)),
    },
    "stamps": {
        "stamp_shop": Between(0.3, 1.9),
        "stamp_own": OneOf((0.4, 0.8, 1.2)),
        "gauge_bias": Between(-0.2, 0.2),
        "gauge": OneOf((1.0, 1.5)),
        "sleeve": OneOf((0.1, 0.25)),
        "per_us": OneOf((0.0003, 0.0007)),
        "head_own": OneOf((0.006,)),
    },
    "noise": {"noise": Between(0.5, 1.5), "noise_own": OneOf((0.25,)), "bias": OneOf((0.5, 1.0, 1.5))},
    "point": {"point": OneOf(("strike",))},
    "channels": {
        "missing": OneOf(("nothing", "strike", "delivery", "totals", "finish")),
        "place": OneOf(("outdoor", "indoor")),
        "misreads": OneOf((0.0, 0.05, 0.10)),
    },
}
"""Differences that can be switched on alone."""
TELLING_ALONE = ("noise", "point", "channels")
"""Differences of the log alone: what options truly do stays as it is."""


@dataclass(frozen=True)
class World:
    """Everything that is drawn in one world.

    Parameters
    ----------
    name : str
    differences : tuple of str
        Keys of `DIFFERENCES`.
    held : bool
        Whether it is kept for the last report of a round.
    """

    name: str
    differences: tuple[str, ...]
    held: bool = False
    spreads: Mapping[str, Spread] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        spreads = dict(NEAR)
        for name in self.differences:
            spreads.update(DIFFERENCES[name])
        object.__setattr__(self, "spreads", spreads)

    @property
    def truth_key(self) -> tuple[str, ...]:
        """Differences that change what an option truly does: worlds that share them share the truth."""
        return tuple(d for d in self.differences if d not in TELLING_ALONE)


# Six worlds that nobody looks at before the last report, a third of all: halves of the differences, drawn
# once.
_HELD = (
    ("air", "spin", "answers", "noise", "stamps"),
    ("run", "off centre", "deliveries", "point", "set-up"),
    ("spin", "off centre", "set-up", "channels", "air"),
    ("deliveries", "answers", "stamps", "point", "run", "noise"),
    ("air", "run", "spin", "deliveries", "channels"),
    ("off centre", "answers", "set-up", "noise", "stamps", "point"),
)
WORLDS: dict[str, World] = {
    w.name: w
    for w in (
        World("near", ()),
        World("all", tuple(DIFFERENCES)),
        *(World(d, (d,)) for d in DIFFERENCES),
        *(World(f"held {k + 1}", ds, held=True) for k, ds in enumerate(_HELD)),
    )
}
"""Every world by name."""
