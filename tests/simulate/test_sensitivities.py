"""Sensitivities against plain differences of the public calls, and what they say where laws disagree."""

import pytest

from fitter.base.conditions import Conditions
from fitter.base.units import METRIC, MPH, US, YARD
from fitter.display.simulated import slopes as slopes_text
from fitter.display.text import plain
from fitter.simulate import sensitivities
from fitter.simulate.flight import fly
from fitter.simulate.strike import strike


def test_slopes_are_differences_of_flights() -> None:
    # The same numbers from two calls of `fly` half a unit either side
    found = sensitivities.fly_slopes(76.0, 10.5, 2600.0)
    near, far = (fly(76.0, launch, 2600.0, draws=4) for launch in (10.0, 11.0))
    assert found["launch"].carry_m == pytest.approx(far.carry_m - near.carry_m, abs=1e-9)
    assert found["launch"].total_m == pytest.approx(far.total_m - near.total_m, abs=1e-9)
    low, high = (fly(76.0, 10.5, spin, draws=4) for spin in (2550.0, 2650.0))
    each = [high.laws[n].carry_m - low.laws[n].carry_m for n in low.laws]
    assert (found["spin"].carry_low_m, found["spin"].carry_high_m) == pytest.approx((min(each), max(each)))


def test_the_laws_disagree_on_spin_and_it_is_said() -> None:
    # 170 mph, 10.5 deg, 2600 rpm: the sign of carry by spin differs (C, an independent calculation)
    found = sensitivities.fly_slopes(170 * MPH, 10.5, 2600.0)
    assert not found["spin"].agreed
    assert found["ball speed"].agreed
    assert found["launch"].agreed
    assert any(note.startswith("spin:") for note in found.notes)
    assert "signs differ" in slopes_text(found, US)
    assert "Undecided where it rests on spin" in slopes_text(found, US)
    # With far too much spin all laws agree
    assert sensitivities.fly_slopes(170 * MPH, 10.5, 4500.0)["spin"].agreed


def test_density_and_altitude() -> None:
    # Modern laws give about 1.0 yd per 1 % of density (C); tour radar 1.1 to 1.5 (Q), industry rule 1.16 %
    # per 1000 ft
    found = sensitivities.fly_slopes(170 * MPH, 10.5, 2600.0)["air density"]
    assert -1.2 <= found.carry_m / YARD <= -0.8


def test_strike_slopes() -> None:
    found = sensitivities.strike_slopes(113 * MPH, 0.0, 12.5)
    assert {s.cause for s in found.slopes} == {c for c, *_ in sensitivities.STRIKE_CAUSES}
    near, far = (strike(113 * MPH, 0.0, loft, draws=4) for loft in (12.0, 13.0))
    loft = found["dynamic loft"]
    for key, room in (
        ("ball_speed_mps", 0.1),
        ("launch_deg", 0.05),
        ("spin_rpm", 25.0),
        ("spin_axis_deg", 0.1),
    ):
        # The strike at its centre lies near the mean over what is not known of it, and inside its interval.
        at_centre = getattr(far, key) - getattr(near, key)
        assert loft.start[key] == pytest.approx(at_centre, abs=room)
        assert loft.start_low[key] - 1e-9 <= at_centre <= loft.start_high[key] + 1e-9
    assert found["club speed"].agreed
    assert found["face"].offline_m > 0 > found["path"].offline_m
    with pytest.raises(KeyError):
        found["luck"]


def test_metric_table_and_plain_values() -> None:
    found = sensitivities.fly_slopes(70.0, 12.0, 2500.0, conditions=Conditions(law="naruo-2004"))
    assert "carry m" in slopes_text(found, METRIC)
    assert all(len(line) <= 100 for line in slopes_text(found, US).splitlines())
    told = plain(found)
    assert [s["cause"] for s in told["slopes"]][:2] == ["ball speed", "launch"]
    # One law alone cannot disagree with itself
    assert told["notes"] == []


def test_the_slope_of_the_spin_is_said_with_its_interval(capsys: pytest.CaptureFixture[str]) -> None:
    import json

    from fitter.cli.main import main

    words = ["strike", "--club-speed", "100mph", "--attack", "0", "--loft", "13", "--slopes"]
    assert main([*words, "--json"]) == 0
    slopes = {s["cause"]: s for s in json.loads(capsys.readouterr().out)["slopes"]}
    spin, low, high = (slopes["dynamic loft"][k]["spin_rpm"] for k in ("start", "start_low", "start_high"))
    # Judged: 225 rpm per degree on average, 170-290 in the central 90 % (an 80 % interval lies inside)
    assert spin == pytest.approx(225, abs=8)
    assert 165 < low < 190 < 265 < high < 300
    up = slopes["strike high"]
    assert up["start_low"]["spin_rpm"] < -60 < -30 < up["start_high"]["spin_rpm"] < 0
    assert main(words) == 0
    _, line = (t for t in capsys.readouterr().out.splitlines() if t.startswith("deg of dynamic loft"))
    assert f"{spin:+.0f}" in line
    assert f"{low:+.0f} to {high:+.0f}" in line
