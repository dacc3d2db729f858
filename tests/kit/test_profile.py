"""A shaft's stiffness from bench figures: reproduced, and honest about the tip."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitter.base.assumptions import Assumptions, current, using
from fitter.base.errors import InputError
from fitter.kit.beam import Tip, beam, bend_near_impact, frequencies_cpm
from fitter.kit.body import assemble
from fitter.kit.figures import Reading
from fitter.kit.parts import Shaft
from fitter.kit.profile import clamped_cpm, fit, mass_at, section
from fitter.kit.shaft_figures import shaft_figures

BENCH = {
    "mass_g": Reading(62.0),
    "length_in": Reading(46.0),
    "balance_pct": Reading(51.0),
    "clamp_mm": Reading(127.0, 0.5),
    "tip_mass_g": Reading(205.0, 0.2),
}


def cpm_of(shaft: Shaft, log_ei: np.ndarray) -> np.ndarray:
    p = fit(shaft)
    return clamped_cpm(log_ei, p.length_m, p.mass_kg, p.balance, 0.127, 0.205)


@settings(deadline=None, max_examples=20)
@given(st.floats(215.0, 285.0))
def test_frequency_is_reproduced(cpm: float) -> None:
    # within one SD of the reading, which is what Bayes leaves of it against the prior
    shaft = Shaft("S", frequency_cpm=Reading(cpm), **BENCH)
    assert float(cpm_of(shaft, fit(shaft).log_ei.draw())[0]) == pytest.approx(cpm, abs=1.0)


def test_butt_frequency_leaves_the_tip_open() -> None:
    # physics: a clamped frequency weighs the butt; the tip decides the slope near impact
    prior = fit(Shaft("S"))
    frequency = fit(Shaft("S", frequency_cpm=Reading(250.0), **BENCH))
    both = fit(Shaft("S", frequency_cpm=Reading(250.0), tip_ei_nm2=Reading(26.0), **BENCH))
    assert frequency.log_ei.sd[2] > 0.7 * prior.log_ei.sd[2]
    assert both.log_ei.sd[2] < 0.4 * prior.log_ei.sd[2]
    assert frequency.log_ei.sd[1] < 0.5 * prior.log_ei.sd[1]

    def spread(profile) -> float:
        part = section(profile.log_ei.draw(400), profile.length_m, profile.mass_kg, profile.balance, 0.19)
        slopes = bend_near_impact(part, Tip(0.2, 0.035, 0.018), 48.0, 1.5, in_plane=True)[1]
        return float(np.degrees(slopes).std())

    assert spread(frequency) > 0.15
    assert spread(both) < 0.5 * spread(frequency)


def test_other_judged_numbers_give_another_shaft() -> None:
    # The stiffness that is kept of a shaft belongs to the judged numbers it was found with.
    shaft = Shaft("S", frequency_cpm=Reading(250.0), **BENCH)
    usual = fit(shaft)
    tip = current()["shaft.tip_ei_nm2"]
    with using(Assumptions({**current(), tip.name: replace(tip, value=1.5 * tip.value)})):
        stiffer = fit(shaft)
    assert stiffer.log_ei.mean[2] > usual.log_ei.mean[2] + 0.2
    assert fit(shaft) == usual


def test_truth_lies_inside_its_interval() -> None:
    # calibration on simulated shafts drawn from the prior: 80 % intervals of the tip cover 80 %,
    # within the 99 % Wilson interval of 200 shafts
    known = current()
    rng = np.random.default_rng(5)
    centre = [known[f"shaft.{n}_ei_nm2"] for n in ("butt", "mid", "tip")]
    sd = np.array([c.sd / c.value for c in centre])
    rho = known.value("shaft.ei_correlation")
    cov = np.outer(sd, sd) * (rho + (1 - rho) * np.eye(3))
    inside = 0
    for _ in range(200):
        truth = rng.multivariate_normal(np.log([c.value for c in centre]), cov)
        reading = float(cpm_of(Shaft("S", **BENCH), truth[None])[0]) + rng.normal(0, 1.0)
        found = fit(Shaft("S", frequency_cpm=Reading(reading), **BENCH)).log_ei
        inside += abs(truth[2] - found.mean[2]) < 1.2816 * found.sd[2]
    assert 0.72 < inside / 200 < 0.87


@given(st.floats(0.4, 0.6))
def test_mass_has_its_balance(balance: float) -> None:
    # closed form: int mu = m, int mu s = b m
    s = (np.arange(2000) + 0.5) / 2000
    mu = mass_at(0.06, 1.1, balance, s)
    assert float(np.mean(mu)) * 1.1 == pytest.approx(0.06, rel=1e-9)
    assert float(np.mean(mu * s) / np.mean(mu)) == pytest.approx(balance, abs=1e-6)


def test_bench_figures_of_a_taper() -> None:
    # the same elements put together by hand: 45 in club, 60 mm shorter shaft, head 35 mm beyond its tip
    found = shaft_figures(45 * 0.0254, 0.058, 0.2, stiffness_nm2=(70.0, 20.0), club_speed_mps=50.0)
    cut, clamp, hands = 45 * 0.0254 - 0.06, 0.127, 4 * 0.0254

    def part(start: float):
        s = np.linspace(start / cut, 1.0, 49)
        return beam(70 - 50 * s, mass_at(0.058, cut, 0.52, s), cut - start, 48)

    cpm = frequencies_cpm(part(clamp), Tip(0.2, 0.035, 0.0, 4e-4))[0]
    assert found.frequency_cpm == pytest.approx(float(cpm), rel=1e-4)
    w, slope = bend_near_impact(part(hands), Tip(0.2, 0.035, 0.018), 50.0, 1.5, in_plane=True)
    assert found.lead_mm == pytest.approx(float(w) * 1e3, rel=1e-4)
    assert found.added_loft_deg == pytest.approx(np.degrees(float(slope)), rel=1e-4)
    assert found.loft_to_ground_deg < found.added_loft_deg
    body = assemble(45 * 0.0254, 0.2, 0.058, 0.52, 0.05)
    assert found.swing_weight_points == pytest.approx(float(body.points))
    assert found.moi_kgcm2 == pytest.approx(float(body.moi_kgcm2))
    low, high = found.intervals["added_loft_deg"]
    assert low < found.added_loft_deg < high


def test_bench_figures_say_what_the_frequency_leaves_open() -> None:
    open_ = shaft_figures(45 * 0.0254, 0.058, 0.2, frequency_cpm=250.0)
    closed = shaft_figures(45 * 0.0254, 0.058, 0.2, frequency_cpm=250.0, tip_ei_nm2=25.0)
    assert any("tip stiffness not measured" in note for note in open_.notes)
    assert closed.notes == ()
    assert open_.added_loft_sd_deg["stiffness"] > 1.8 * closed.added_loft_sd_deg["stiffness"]
    low, high = open_.intervals["tip_ei_nm2"]
    assert high / low > 1.5


def test_figures_beyond_their_limits_are_named_as_the_command_names_them() -> None:
    with pytest.raises(InputError) as caught:
        shaft_figures(45 * 0.0254, 0.06, 0.2, frequency_cpm=250.0, tip_ei_nm2=900.0, grip_kg=4.0, clamp_m=2.0)
    assert [p.where for p in caught.value.problems] == ["--tip-stiffness", "grip", "clamp"]
