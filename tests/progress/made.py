"""Visits of players who do not exist."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from types import MappingProxyType

import numpy as np

from fitter.base.conditions import Conditions
from fitter.kit.club import from_kit
from fitter.progress.visits import Hit
from fitter.shots.session import Session
from tests.advice import virtual

DAYS = (date(2026, 1, 10), date(2026, 3, 14), date(2026, 6, 20), date(2026, 9, 5))


def session(
    speed: float = 104.0, n: int = 16, seed: int = 1, air: Conditions | None = None, attack: float = 1.0
) -> Session:
    """Balls with strike marks in the middle of the face, as `virtual.session` makes them."""
    made = virtual.session(speed, attack, 14.0, n, seed, air=air)
    rng = np.random.default_rng(seed + 1000)
    marks = {"strike_toe_mm": 2.0 * rng.standard_normal(n), "strike_high_mm": 2.0 * rng.standard_normal(n)}
    return replace(made, values=MappingProxyType(dict(made.values) | marks), source=f"{seed}.csv")


def hit(k: int, speed: float = 104.0, seed: int | None = None, **more: object) -> Hit:
    """Visit of a day, with the club G/R unless another is named."""
    air = more.pop("measured_in", Conditions())
    assert isinstance(air, Conditions)
    club = from_kit(virtual.kit(), str(more.pop("club", "G/R")))
    made = session(speed, seed=k + 1 if seed is None else seed, air=air)
    return Hit(DAYS[k], made, air, club, **more)  # type: ignore[arg-type]


def mirrored(found: Hit) -> Hit:
    """The same balls of a left-hander, as the reader holds them: mirrored at the door."""
    return replace(
        found, session=replace(found.session, hand="left"), measured_in=found.measured_in.mirrored()
    )
