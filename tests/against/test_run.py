"""From landing to rest against filmed bounces, tour runs and the trap of the best loft."""

import numpy as np
import pytest
from scipy.optimize import brentq

from fitter import world as worlds
from fitter.base.units import DEG, FOOT, MPH, YARD
from fitter.physics import engine, ground, vectors
from fitter.simulate.flight import fly
from fitter.simulate.strike import ordinary_head
from tests.support import blend, delivery

RUN_YD = (15.0, 25.0)
LOW_FLIGHT_RUNS_FARTHER = 1.35
LOFT_BOX = (8.0, 20.0)
LOFT_GAP = (0.0, 5.0)
REPAIRS = {"shift": worlds.strike_models()[0], "tangential": worlds.rival_model()[0]}


def test_tour_run() -> None:
    # The tour's run is 15-22 yd (R); the blend's run of a tour drive lies in 15-25 yd
    flight = fly(167 * MPH, 10.9, 2686)
    assert RUN_YD[0] <= (flight.total_m - flight.carry_m) / YARD <= RUN_YD[1]


def test_low_flights_run_farther() -> None:
    # One tour event of 2008 (R, windy: ordering and size): apex 106 ft runs 30 yd, apex 65 ft 57 yd
    runs = []
    for apex in (65.0, 106.0):
        launch = brentq(lambda l, a=apex: fly(167 * MPH, l, 2686, draws=4).apex_m / FOOT - a, 3.0, 20.0)
        flight = fly(167 * MPH, launch, 2686, draws=4)
        runs.append(flight.total_m - flight.carry_m)
    assert runs[0] / runs[1] >= LOW_FLIGHT_RUNS_FARTHER


@pytest.mark.parametrize("repair", REPAIRS)
@pytest.mark.parametrize("speed", [95, 112, 133])
def test_loft_of_longest_total(speed: float, repair: str) -> None:
    # The trap (C): with the wrong bounce total distance has no best loft, and everyone is sent to the
    # lowest head. On ordinary turf, level attack: 0-5 deg under the loft of longest carry, both inside 8-20
    # deg
    lofts = np.arange(4.0, 26.0, 0.25)
    deeds = np.array([delivery(speed, 0, l) for l in lofts])
    starts = engine.strikes(deeds, ordinary_head(), REPAIRS[repair])
    out = blend(starts)
    carry, total = (lofts[out[:, k].argmax()] for k in (vectors.CARRY, vectors.TOTAL))
    assert LOFT_BOX[0] <= total <= carry <= LOFT_BOX[1]
    assert LOFT_GAP[0] <= carry - total <= LOFT_GAP[1]


def plane_bounce(
    u: float, v: float, backspin: float, tilt: float, r: float, mu: float
) -> tuple[float, float, float]:
    """Biber et al. 2023 in the plane, as printed: speeds ahead and down, surface speed of the backspin."""
    along = u * np.cos(tilt) - v * np.sin(tilt)
    into = u * np.sin(tilt) + v * np.cos(tilt)
    if abs(along + backspin) / into > 3.5 * mu * (1 + r):
        side = np.sign(along + backspin)
        along, backspin = along - side * mu * (1 + r) * into, backspin - side * 2.5 * mu * (1 + r) * into
    else:
        along, backspin = 5 / 7 * along - 2 / 7 * backspin, -(5 / 7 * along - 2 / 7 * backspin)
    up = r * into
    # The plane rises towards the ball's way.
    return along * np.cos(tilt) - up * np.sin(tilt), along * np.sin(tilt) + up * np.cos(tilt), backspin


@pytest.mark.parametrize(
    ("tilt", "r", "mu"), [(18.4, 0.147, 0.998), (12.9, 0.420, 0.852), (18.4, 0.147, 0.15)]
)
@pytest.mark.parametrize("backspin", [0.0, 3.0, 8.0])
@pytest.mark.parametrize("angle", [30.0, 45.0])
def test_against_biber_and_others(tilt: float, r: float, mu: float, backspin: float, angle: float) -> None:
    # Biber, Jones, Champneys, Green & Szalai 2023, Sports Eng. 26(1) (Q): natural and artificial turf, and
    # a slippery one that slides
    from fitter.physics.ball import RADIUS

    u, v = 28 * np.cos(angle * DEG), 28 * np.sin(angle * DEG)
    t = tilt * DEG
    out = ground._bounce(u, 0.0, -v, 0.0, -backspin / RADIUS, 0.0, -np.sin(t), 0.0, np.cos(t), r, mu)
    expected = plane_bounce(u, v, backspin, t, r, mu)
    assert (out[0], out[2], -out[4] * RADIUS) == pytest.approx(expected, rel=1e-12, abs=1e-12)
    assert (out[1], out[3], out[5]) == (0.0, 0.0, 0.0)
