"""The split of a change: it adds up, credits what was planted, and says what it cannot know."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter.base.conditions import Conditions
from fitter.kit.club import from_kit
from fitter.progress.joint import together
from fitter.progress.split import CAUSES, UNEXPLAINED, Change, paired, split
from fitter.progress.visits import Hit, read
from tests.advice import virtual
from tests.progress import made


def of(hits: list[Hit], since: int = 0, draws: int = 96) -> Change:
    visits = read(hits)
    groups = [g for v in visits for g in (v.main, v.anchor) if g is not None]
    return split(together(groups, draws, 1), visits, since, len(visits) - 1, 1)


@pytest.fixture(scope="module")
def faster() -> Change:
    # The same swings at another speed: nothing else is planted.
    return of([made.hit(0, 100.0, seed=3), made.hit(1, 106.0, seed=3)])


def test_the_parts_add_up_to_what_was_measured(faster: Change) -> None:
    hits = [made.hit(0, 100.0, seed=3), made.hit(1, 106.0, seed=3)]
    measured = [float(v.main.carry.mean()) for v in read(hits)]
    assert [p.cause for p in faster.parts] == [*CAUSES, UNEXPLAINED]
    assert faster.total.value_m == pytest.approx(measured[1] - measured[0], abs=1e-9)
    assert sum(p.value_m for p in faster.parts) == pytest.approx(faster.total.value_m, abs=1e-9)


def test_planted_speed_is_credited_to_speed(faster: Change) -> None:
    speed = faster.part("speed")
    assert speed.low_m <= faster.total.value_m <= speed.high_m
    for cause in ("strike", "delivery", "conditions", UNEXPLAINED):
        part = faster.part(cause)
        assert part.low_m <= 0.0 <= part.high_m, cause
    assert faster.part("club").value_m == 0.0


def test_planted_air_is_credited_to_conditions() -> None:
    cold = Conditions(temperature_c=2.0, pressure_pa=103000.0)
    found = of([made.hit(0, seed=3), made.hit(1, seed=3, measured_in=cold)])
    air = found.part("conditions")
    assert found.total.value_m < -3.0
    assert air.low_m <= found.total.value_m <= air.high_m
    assert abs(found.part("speed").value_m) < 1.5


def test_another_club_is_credited_with_the_anchors_difference() -> None:
    """A head that brings more loft than its figures promise: balls with the anchor tell the player apart."""
    kit = virtual.kit()
    anchor = from_kit(kit, "G/R")
    lofted = replace(
        made.hit(1, seed=9), session=virtual.session(104.0, 1.0, 16.5, 16, 9), club=from_kit(kit, "UP/R")
    )
    beside = replace(lofted, anchor=virtual.session(104.0, 1.0, 14.0, 8, 10), anchor_club=anchor)
    alone, told = (of([made.hit(0, seed=9), h]) for h in (lofted, beside))
    assert (alone.anchored, told.anchored) == (False, True)
    for cause in ("speed", "delivery"):
        widths = [c.part(cause).high_m - c.part(cause).low_m for c in (alone, told)]
        assert widths[1] < 0.85 * widths[0], cause
    # All of it was planted in the club.
    assert alone.part("club").value_m < told.part("club").value_m < told.total.value_m
    assert sum(p.value_m for p in told.parts) == pytest.approx(told.total.value_m, abs=1e-9)


def test_the_way_back_is_the_way_there_with_the_other_sign() -> None:
    there = of([made.hit(0, 100.0, seed=3), made.hit(1, 106.0, seed=4)], draws=256)
    back = of([made.hit(0, 106.0, seed=4), made.hit(1, 100.0, seed=3)], draws=256)
    for cause in ("speed", "delivery"):
        one, other = there.part(cause), back.part(cause)
        assert one.value_m == pytest.approx(-other.value_m, abs=0.25 * (one.high_m - one.low_m))


@pytest.mark.parametrize(("n", "m"), [(5, 5), (7, 12), (30, 9)])
def test_every_ball_of_either_visit_counts_alike(n: int, m: int) -> None:
    pairs, weights = paired(n, m, 3)
    assert weights.sum() == pytest.approx(1.0)
    for column, size in ((0, n), (1, m)):
        held = np.bincount(pairs[:, column], weights, size)
        assert held == pytest.approx(np.full(size, 1.0 / size))
    assert len(pairs) < n + m


def test_a_left_hander_is_the_mirror() -> None:
    air = Conditions(wind_mps=3.0, wind_from_deg=40.0)
    hits = [made.hit(0, seed=3), made.hit(1, 106.0, seed=4, measured_in=air)]
    one, other = of(hits), of([made.mirrored(h) for h in hits])
    assert other == one
