"""Finite elements of the shaft against closed forms, and the order in which they converge."""

import numpy as np
import pytest

from fitter.kit.beam import Tip, beam, bend_near_impact, frequencies_cpm, tip_flexibility
from reference.oracles import shaft

MASSLESS = 1e-12


def test_frequency_converges_with_the_fourth_power() -> None:
    # theory: cubic Hermite elements, eigenvalue error ~ h^4 (Strang & Fix, An Analysis of the Finite Element
    # Method); the second mode, whose error stays clear of rounding
    exact = float(shaft.cantilever_root(0.2 / 0.06, 2)) ** 2 * np.sqrt(40 / 0.06) * 30 / np.pi
    errors = [
        float(frequencies_cpm(beam(40.0, 0.06, 1.0, n), Tip(0.2), 2)[1]) / exact - 1 for n in (2, 4, 8, 16)
    ]
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert orders == pytest.approx(4.0, abs=0.25)
    assert 0 < errors[-1] < 3e-6


@pytest.mark.parametrize("n", [0.0, 0.5, 1.0, 2.0, 5.0])
def test_roots_of_the_uniform_shaft(n: float) -> None:
    # closed form: the cantilever's characteristic equation
    cpm = frequencies_cpm(beam(40.0, 0.06, 1.0), Tip(n * 0.06))
    a_squared = float(cpm[0]) * np.pi / 30 / np.sqrt(40 / 0.06)
    assert a_squared == pytest.approx(float(shaft.cantilever_root(n)) ** 2, rel=1e-6)


def test_taper_converges_with_the_fourth_power() -> None:
    # theory as above, for a static quantity of a tapered beam: closed form of EI = 70 (1 - s) + 20 s under a
    # couple, slope = ln(70/20)/50 rad per N m
    exact = np.log(70 / 20) / 50
    errors = [float(tip_flexibility(beam([70.0, 20.0], 0.0, 1.0, n))[2]) / exact - 1 for n in (2, 4, 8, 16)]
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert orders[1:] == pytest.approx(4.0, abs=0.3)


def test_uniform_static_flexibility() -> None:
    # closed form: L^3/(3 EI), L^2/(2 EI), L/EI, exact for cubic elements
    per_n, slope_per_n, slope_per_nm = tip_flexibility(beam(35.0, 0.0, np.array([0.8, 1.1]), 3))
    length = np.array([0.8, 1.1])
    assert per_n == pytest.approx(length**3 / 105, rel=1e-10)
    assert slope_per_n == pytest.approx(length**2 / 70, rel=1e-10)
    assert slope_per_nm == pytest.approx(length / 35, rel=1e-10)


def test_head_with_inertia_on_a_massless_shaft() -> None:
    # closed form: two degrees of freedom, flexibility of the uniform cantilever, mass matrix of a rigid head
    ei, length, m, ahead, offset, inertia = 40.0, 1.0, 0.2, 0.035, 0.018, 4e-4
    flexible = np.array([[length**3 / 3, length**2 / 2], [length**2 / 2, length]]) / ei
    mass = np.array([[m, m * ahead], [m * ahead, m * (ahead**2 + offset**2) + inertia]])
    expected = 30 / np.pi / np.sqrt(np.linalg.eigvals(flexible @ mass))
    found = frequencies_cpm(beam(ei, MASSLESS, length), Tip(m, ahead, offset, inertia), 2)
    assert found == pytest.approx(np.sort(expected), rel=1e-6)


@pytest.mark.parametrize("length", [0.95, 1.1])
def test_lead_and_droop_meet_the_closed_forms(length: float) -> None:
    # closed form of the massless shaft; the droop of small offsets, where its own second-order term vanishes
    b = beam(40.0, MASSLESS, length)
    w, slope = bend_near_impact(b, Tip(0.2, 0.0, 0.018), 50.0, 1.5, in_plane=True)
    expected = shaft.lead(40.0, length, 1.5, 50.0, 0.2, 0.018)
    assert (float(w), float(slope)) == pytest.approx([float(x) for x in expected], rel=1e-6)
    w, slope = bend_near_impact(b, Tip(0.2, 0.0, 1e-6), 50.0, 1.5, in_plane=False)
    expected = shaft.droop(40.0, length, 1.5, 50.0, 0.2, 1e-6)
    assert (float(w), float(slope)) == pytest.approx([float(x) for x in expected], rel=1e-6)
    # and within one per cent for a real head
    w, slope = bend_near_impact(b, Tip(0.2, 0.0, 0.038), 50.0, 1.5, in_plane=False)
    expected = shaft.droop(40.0, length, 1.5, 50.0, 0.2, 0.038)
    assert (float(w), float(slope)) == pytest.approx([float(x) for x in expected], rel=0.01)


def test_the_shafts_own_pull_straightens_it() -> None:
    # monotone by physics: more tension along the shaft, less bend; the size is that of 60 g among 260 g
    light = bend_near_impact(beam(40.0, MASSLESS, 1.0), Tip(0.2, 0.0, 0.038), 50.0, 1.5, in_plane=False)
    heavy = bend_near_impact(beam(40.0, 0.06, 1.0), Tip(0.2, 0.0, 0.038), 50.0, 1.5, in_plane=False)
    assert 0.9 < float(heavy[0] / light[0]) < 0.99
    assert 0.96 < float(heavy[1] / light[1]) < 1.0


def test_bend_in_the_plane_of_rotation_is_softer_by_the_rate() -> None:
    # closed form for any beam that turns: omega_in^2 = omega_across^2 - Omega^2 (Southwell's theorem family)
    b, omega = beam([60.0, 25.0], [0.07, 0.05], 1.0), 33.0
    tip = Tip(0.2, 0.03)
    across, along = (
        frequencies_cpm(b, tip, 1, rate=omega, hub=0.4, in_plane=p)[0] * np.pi / 30 for p in (False, True)
    )
    assert across**2 - along**2 == pytest.approx(omega**2, rel=1e-9)


def test_batches_equal_single_shafts() -> None:
    ei = np.array([[60.0, 30.0], [70.0, 20.0], [50.0, 50.0]])
    masses = np.array([0.19, 0.2, 0.21])
    both = bend_near_impact(beam(ei, 0.06, 1.0), Tip(masses, 0.03, 0.018), 48.0, 1.5, in_plane=True)
    cpm = frequencies_cpm(beam(ei, 0.06, 1.0), Tip(masses, 0.03))
    for i in range(3):
        one = bend_near_impact(beam(ei[i], 0.06, 1.0), Tip(masses[i], 0.03, 0.018), 48.0, 1.5, in_plane=True)
        assert [float(x[i]) for x in both] == pytest.approx([float(x) for x in one], rel=1e-12)
        assert cpm[i] == pytest.approx(frequencies_cpm(beam(ei[i], 0.06, 1.0), Tip(masses[i], 0.03)))
    # one shaft, many heads
    heads = bend_near_impact(
        beam(40.0, 0.06, 1.0), Tip(0.2, 0.03, np.array([0.01, 0.02])), 48.0, 1.5, in_plane=True
    )
    assert heads[1][1] == pytest.approx(2 * heads[1][0], rel=1e-12)
