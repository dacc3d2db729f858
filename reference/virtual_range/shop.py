"""The shop of the range: what its labels say, and what is true of its heads and shafts in one world."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.parts import Head, Shaft
from reference.virtual_range.worlds import World

LOFTS = {"A": 8.5, "B": 9.5, "C": 10.5, "D": 11.5, "E": 12.5, "F": 9.0}
GAUGED = ("A", "C", "E")
"""Heads whose loft was gauged; the others carry their stamps alone."""
FLEX_CPM = {"R": 245.0, "S": 258.0, "X": 271.0}
LENGTH_IN = 45.25


@dataclass(frozen=True)
class TrueHead:
    """One head as it is."""

    loft_deg: float
    soled_face_deg: float
    figures: dict[str, float]


@dataclass(frozen=True)
class Shop:
    """A kit and its truth."""

    kit: Kit
    heads: dict[str, TrueHead]


def shop(world: World, seed: int) -> Shop:
    """Stock a shop: heads drawn about ordinary figures, some gauged, some only stamped."""
    rng = np.random.default_rng([seed, 11])
    heads, true = [], {}
    for code, loft in LOFTS.items():
        mass, depth, up = 200 + rng.normal(0, 3), 37.8 + rng.normal(0, 3), 2.9 + rng.normal(0, 1.5)
        vertical, across = 5000 + rng.normal(0, 500), 3700 + rng.normal(0, 400)
        face, ct = rng.normal(-0.5, 0.7), rng.normal(243, 5)
        gauged = code in GAUGED
        real = loft + (rng.normal(0, 0.3) if gauged else rng.normal(world.stamp, world.stamp_sd))
        told = {"loft_deg": Reading(loft, 0.3)} if gauged else {"stamped_loft_deg": Reading(loft)}
        heads.append(
            Head(
                code,
                mass_g=Reading(float(round(mass, 1))),
                face_angle_deg=Reading(float(round(face, 1)), 0.5),
                settings=(-1.0, 0.0, 1.0) if code in ("C", "F") else (0.0,),
                **told,
            )
        )
        figures = {
            "mass_kg": mass / 1e3,
            "depth_m": depth / 1e3,
            "up_m": up / 1e3,
            "inertia_up": vertical * 1e-7,
            "inertia_toe": across * 1e-7,
            "bulge_m": 0.305 + rng.normal(0, 0.03),
            "roll_m": 0.30 + rng.normal(0, 0.03),
            "restitution": 0.0005 * (ct - 243.0),
        }
        true[code] = TrueHead(float(real), float(face + rng.normal(0, 0.5)), figures)
    shafts = tuple(
        Shaft(code, mass_g=Reading(60.0), frequency_cpm=Reading(cpm), length_in=Reading(46.0))
        for code, cpm in FLEX_CPM.items()
    )
    return Shop(Kit(tuple(heads), shafts, "virtual range"), true)
