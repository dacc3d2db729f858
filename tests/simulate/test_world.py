"""Worlds: centre and draws, keyed streams, hypotheses, air and wind."""

import numpy as np
import pytest

from fitter import world as worlds
from fitter.base.assumptions import Assumptions, current, using
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError
from fitter.physics import ball, vectors
from reference.oracles.places import standard_atmosphere
from tests.support import STANDARD

N = 256


def changed(name: str, **to: float) -> Assumptions:
    from dataclasses import replace

    a = current()
    return Assumptions({k: replace(v, **to) if k == name else v for k, v in a.items()})


def test_the_centre_has_one_row_a_law() -> None:
    drawn = worlds.central(STANDARD)
    assert drawn.names == ball.MODERN
    assert len(drawn.world) == len(ball.MODERN)
    assert len(worlds.central(Conditions(law="smits-1994")).world) == 1


def test_draws_are_keyed_by_name() -> None:
    a, b = worlds.drawn(STANDARD, N, 7).world, worlds.drawn(STANDARD, N, 7).world
    for x, y in zip((a.law, a.model, a.turf, a.air), (b.law, b.model, b.turf, b.air), strict=True):
        assert np.array_equal(x, y)
    # Another spread for one number leaves all other streams as they were
    with using(changed("turf.rolling", sd=0.3)):
        c = worlds.drawn(STANDARD, N, 7).world
    assert np.array_equal(a.law, c.law)
    assert np.array_equal(a.model, c.model)
    moved = np.any(a.turf != c.turf, axis=0)
    assert moved.tolist() == [k == vectors.ROLLING for k in range(vectors.TURF)]


def test_laws_are_drawn_by_weight() -> None:
    drawn = worlds.drawn(STANDARD, N, 1, weights=np.array([0.0, 1.0, 3.0]))
    counts = np.bincount(drawn.law, minlength=3)
    assert counts[0] == 0
    assert counts[2] == pytest.approx(0.75 * N, abs=2)
    s_max = drawn.world.law[:, vectors.S_MAX]
    assert np.allclose(s_max, [ball.LAWS[drawn.names[k]].s_range[1] for k in drawn.law])


def test_both_hypotheses_of_the_spin_are_drawn() -> None:
    m = worlds.strike_models(N, 1)
    shifted = m[:, vectors.SHIFT_DOWN] > 0
    assert shifted.mean() == pytest.approx(current().value("strike.shift_weight"), abs=2 / N)
    # Tangential restitution is drawn under both, about nothing and about the rival's own repair
    a, sd = current()["strike.tangential"], current().sd("strike.tangential")
    for rows, centre in ((shifted, 0.0), (~shifted, a.value)):
        assert m[rows, vectors.ET].mean() == pytest.approx(centre, abs=3 * sd / np.sqrt(rows.sum()))
        assert m[rows, vectors.ET].std() == pytest.approx(sd, rel=0.25)
    assert np.all(m[~shifted][:, [vectors.SHIFT_HEEL, vectors.ADDED_MASS]] == 0.0)


def test_central_models_differ_in_the_repair_alone() -> None:
    a, b = worlds.strike_models()[0], worlds.rival_model()[0]
    repair = {vectors.SHIFT_DOWN, vectors.SHIFT_HEEL, vectors.ADDED_MASS, vectors.ET, vectors.ET_RISE}
    assert set(np.flatnonzero(a != b).tolist()) <= repair
    assert b[vectors.ET] < 0 < a[vectors.SHIFT_DOWN]


def test_weights_fade_where_a_law_ends() -> None:
    names = ("naruo-2004", "ferguson-2022", "us6186002")
    near = worlds.law_weights(names, np.array([0.10]))
    assert near == pytest.approx(1 / 3)
    edge = ball.LAWS["us6186002"].s_range[1]
    at = [worlds.law_weights(names, np.array([s]))[2] for s in np.linspace(edge, 1.15 * edge, 9)]
    assert at[0] == pytest.approx(1 / 3)
    assert at[-1] == pytest.approx(0.0, abs=1e-12)
    assert np.all(np.diff(at) < 0)
    assert worlds.law_weights(names, np.array([9.0])) == pytest.approx(1 / 3)


@pytest.mark.parametrize(
    ("comes_from", "along", "left"),
    [(0, -1, 0), (180, 1, 0), (90, 0, 1), (270, 0, -1), (45, -0.7071, 0.7071)],
)
def test_wind_from_a_direction(comes_from: float, along: float, left: float) -> None:
    air = worlds.air_of(Conditions(wind_mps=4.0, wind_from_deg=comes_from, terrain="uniform"))
    assert air[vectors.WIND_X : vectors.WIND_Y + 1] == pytest.approx([4 * along, 4 * left], abs=1e-3)
    assert air[vectors.WINDY] == 1.0


def wind_at(air: np.ndarray, height: float) -> float:
    share = np.polynomial.polynomial.polyval(
        height / (height + 20), air[vectors.PROFILE : vectors.PROFILE + 6]
    )
    return float(share * np.hypot(air[vectors.WIND_X], air[vectors.WIND_Y]))


@pytest.mark.parametrize("terrain", ["open", "coast", "inhabited"])
@pytest.mark.parametrize("told_at", [2.0, 10.0])
def test_wind_by_height(terrain: str, told_at: float) -> None:
    # Power law moved by one metre, ((z + 1)/11)^a: the wind told at a height is met there, and grows from
    # there
    a = current().value(f"wind.exponent_{terrain}")
    air = worlds.air_of(Conditions(wind_mps=5.0, terrain=terrain, wind_height_m=told_at))
    assert air[vectors.WINDY] == 2.0
    assert wind_at(air, told_at) == pytest.approx(5.0, rel=1e-12)
    for z in (0.0, 1.0, 5.0, 10.0, 30.0, 60.0, 120.0):
        law = 5.0 * ((z + 1) / (told_at + 1)) ** a
        assert wind_at(air, z) == pytest.approx(law, abs=0.012 * 5 * (11 / (told_at + 1)) ** a)


def test_bad_terrain_and_height_are_told() -> None:
    with pytest.raises(InputError, match="inhabited"):
        worlds.air_of(Conditions(terrain="moon"))
    with pytest.raises(InputError, match="by hand"):
        worlds.air_of(Conditions(wind_height_m=0.0))


def test_standard_atmosphere_by_altitude() -> None:
    # ISO 2533: densities to the 5e-4 by which CIPM-2007 differs for dry air
    for height, rho in ((0, 1.22500), (500, 1.16727), (1000, 1.11166), (1500, 1.05810), (2000, 1.00655)):
        assert worlds.air_density(standard_atmosphere(height)) == pytest.approx(rho, rel=5e-4)


def test_turfs_share_their_streams() -> None:
    soft, firm = worlds.turfs("soft", N, 3), worlds.turfs("firm", N, 3)
    for column in (vectors.TURF_TILT, vectors.RESTITUTION, vectors.ROLLING):
        assert np.corrcoef(soft[:, column], firm[:, column])[0, 1] > 0.999
    sloped = worlds.turfs("soft", N, 3, slope=(0.05, -0.02))
    assert np.all(sloped[:, vectors.SLOPE_ALONG] == 0.05)
    assert np.all(sloped[:, vectors.SLOPE_ACROSS] == 0.02)
    with pytest.raises(InputError, match="bank"):
        worlds.turfs("soft", slope=(0.5, 0.0))


def test_spread_of_the_run() -> None:
    # No rms of run was found in print: at least +-30 % is carried
    from fitter.base.units import MPH
    from fitter.physics import engine, vectors
    from fitter.simulate.flight import launch_row

    row = launch_row(167 * MPH, 10.9, 2686)
    out = engine.fly(row, worlds.drawn(Conditions(law="naruo-2004"), 512, 1).world)[:, 0]
    run = out[:, vectors.TOTAL] - out[:, vectors.CARRY]
    assert run.std() / run.mean() >= 0.30


def test_calm_air_is_calm() -> None:
    assert worlds.air_of(Conditions(wind_from_deg=77.0))[vectors.WINDY] == 0.0


def test_left_handers_see_the_mirrored_wind() -> None:
    here = Conditions(wind_mps=4.0, wind_from_deg=60.0)
    a, b = worlds.air_of(here), worlds.air_of(here.mirrored())
    assert b[vectors.WIND_Y] == pytest.approx(-a[vectors.WIND_Y])
    assert b[vectors.WIND_X] == pytest.approx(a[vectors.WIND_X])
    assert here.mirrored().mirrored() == here


def test_unknown_law_and_turf_name_what_is_known() -> None:
    with pytest.raises(InputError, match="naruo-2004"):
        worlds.central(Conditions(law="guess"))
    with pytest.raises(InputError, match="ordinary"):
        worlds.turfs("carpet")


def test_held_at_edge_says_where() -> None:
    said = worlds.held_at_edge("us6186002", 0.03, 0.30, 2.3, 0.5)
    for part in ("S 0.030", "S 0.300", "0.50e5", "2.30e5"):
        assert part in said
    assert worlds.held_at_edge("naruo-2004", 0.08, 0.2, 1.9, 0.9) == ""


def test_spread_of_carry_between_balls() -> None:
    # Lyu, Kensrud, Smith & Tosaya 2018, Proceedings 2(6) 238 (R): thirteen balls over 18 m at one launch,
    # that is an SD of 5-6 m (C); here at the tour's launch, laws and factors together
    from fitter.base.units import MPH
    from fitter.physics import engine, vectors
    from fitter.simulate.flight import launch_row

    row = launch_row(167 * MPH, 10.9, 2686)
    carry = engine.fly(row, worlds.drawn(STANDARD, 1024, 1).world)[:, 0, vectors.CARRY]
    assert 5.0 <= carry.std() <= 6.0
