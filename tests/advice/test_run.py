"""Measured totals tell of the day's turf: size and shape of the run, and only measured totals count."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter.advice.baseline import of_session, present_head
from fitter.advice.options import enumerate_options, present_club
from fitter.advice.replay import Replay, Replays
from fitter.advice.response import Response, changes
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, RPM
from fitter.physics import engine, vectors
from fitter.shots.session import Session
from fitter.world import central
from tests.advice import virtual

DRAWS = 128


def replay(session: Session, where: Conditions | None = None) -> Replay:
    club = present_club(virtual.kit(), "G/R")
    base = of_session(session, present_head(club))
    changed = changes(enumerate_options(virtual.kit(), club)[:1], club, base.swing, Response(DRAWS, 1))
    here = Conditions()
    return Replays(base, changed.present_head, here, DRAWS, 1).under(where or here)


def factors(session: Session, where: Conditions | None = None) -> np.ndarray:
    return replay(session, where).drawn.world.turf[:, vectors.RUN_FACTOR]


def running(times: float, **words: object) -> Session:
    """Session whose balls ran so many times as far."""
    session = virtual.session(105, 1, 13)
    values = dict(session.values)
    values["total_m"] = values["carry_m"] + times * (values["total_m"] - values["carry_m"])
    return replace(session, values=values, **words)


def test_longer_runs_raise_the_factor_and_narrow_it() -> None:
    plain, twice = factors(running(1.0)), factors(running(2.0))
    without = {k: v for k, v in running(1.0).values.items() if k != "total_m"}
    untold = factors(replace(running(1.0), values=without))
    # Joined variances (Bishop 2006, eq. 2.141): 0.28 and 0.15 leave 0.13, and half more goes most of the way.
    assert np.median(twice) / np.median(plain) == pytest.approx(2.0**0.77, rel=0.1)
    assert plain.std() / plain.mean() < 0.7 * untold.std() / untold.mean()


def steeper(by: float) -> Session:
    """Forty balls whose run falls so much faster (1/deg) with the landing angle than the model's."""
    session = virtual.session(105, 1, 13, n=40)
    values = dict(session.values)
    flown = fly_session(session)
    run = values["total_m"] - values["carry_m"]
    values["total_m"] = values["carry_m"] + run * np.exp(-by * (flown - 38.0))
    return replace(session, values=values)


def fly_session(session: Session) -> np.ndarray:
    """Landing angle of every shot by the middle law, deg."""
    start = np.stack([session.value("ball_speed_mps"), session.value("launch_deg") * DEG,
                      session.value("direction_deg") * DEG, session.value("spin_rpm") * RPM,
                      session.value("spin_axis_deg") * DEG], axis=1)  # fmt: skip
    out = engine.fly(start, central(Conditions()).world)
    return np.asarray(out[..., vectors.DESCENT].mean(axis=0) / DEG)


def steepness(session: Session, where: Conditions | None = None) -> np.ndarray:
    return replay(session, where).drawn.world.turf[:, vectors.RUN_STEEP] * DEG


def test_the_shape_over_the_landing_angle_is_drawn_and_told() -> None:
    without = {k: v for k, v in steeper(0.0).values.items() if k != "total_m"}
    untold = steepness(replace(steeper(0.0), values=without))
    # c from 12 to 40 deg about the model's own 19 (J): central 80 %
    low, high = 1.0 / (1.0 / 19.0 + np.quantile(untold, [0.9, 0.1]))
    assert (low, high) == (pytest.approx(12.4, abs=1.0), pytest.approx(41.0, abs=4.0))
    flat, plain, steep = (steepness(steeper(by)) for by in (-0.03, 0.0, 0.03))
    assert flat.mean() < plain.mean() - 0.010
    assert steep.mean() > plain.mean() + 0.010
    assert steep.std() < 0.8 * untold.std()
    # Another turf is told nothing of it
    assert steepness(steeper(0.03), Conditions(turf="firm")).mean() == pytest.approx(0.0, abs=1e-9)


def test_the_present_club_still_replays_exactly() -> None:
    r = replay(running(2.0))
    assert np.isfinite(r.finish).all()


def test_totals_that_a_device_computed_tell_nothing() -> None:
    session = running(2.0)
    computed = {"total_m": np.ones(len(session), dtype=bool)}
    untold = factors(replace(session, estimated=computed))
    without = {k: v for k, v in session.values.items() if k != "total_m"}
    np.testing.assert_array_equal(untold, factors(replace(session, values=without)))


def test_another_turf_is_told_nothing() -> None:
    firm = Conditions(turf="firm")
    without = {k: v for k, v in running(2.0).values.items() if k != "total_m"}
    np.testing.assert_array_equal(
        factors(running(2.0), firm), factors(replace(running(2.0), values=without), firm)
    )
