"""Closed forms of the shaft: limits and inverses that need no outside figure."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reference.oracles import shaft

CLUB = {"length": 1.0, "radius": 1.5, "speed": 50.0, "head_mass": 0.2}


@given(st.floats(0.0, 50.0))
def test_root_satisfies_the_characteristic_equation(n: float) -> None:
    # closed form: 1 + cos a cosh a - n a (sin a cosh a - cos a sinh a) = 0
    a = float(shaft.cantilever_root(n))
    residual = 1 + np.cos(a) * np.cosh(a) - n * a * (np.sin(a) * np.cosh(a) - np.cos(a) * np.sinh(a))
    assert abs(residual) < 1e-10 * (1 + n)


@pytest.mark.parametrize("mode", [1, 2, 3, 5])
@pytest.mark.parametrize("n", [0.0, 0.3, 4.0, 1e5])
def test_each_mode_has_its_own_root(mode: int, n: float) -> None:
    # closed form; modes are counted by sign changes of the characteristic equation on a fine grid
    a = np.linspace(1e-3, 20.0, 400_001)
    f = 1 / np.cosh(a) + np.cos(a) - n * a * (np.sin(a) - np.cos(a) * np.tanh(a))
    roots = a[1:][np.sign(f[1:]) != np.sign(f[:-1])]
    assert float(shaft.cantilever_root(n, mode)) == pytest.approx(roots[mode - 1], abs=6e-5)


def test_massless_shaft_is_a_spring() -> None:
    # closed form: a light beam gives omega^2 = 3 EI / (M L^3); Rayleigh's correction is 33/140 m / M
    cpm = float(shaft.uniform_frequency_cpm(40.0, 1.1, 1e-6, 0.2))
    assert cpm == pytest.approx(np.sqrt(3 * 40 / (0.2 * 1.1**3)) * 30 / np.pi, rel=1e-5)


@given(st.floats(5.0, 150.0), st.floats(0.7, 1.2), st.floats(0.03, 0.12), st.floats(0.0, 0.3))
def test_equivalent_ei_inverts_the_frequency(ei: float, length: float, beam: float, tip: float) -> None:
    cpm = shaft.uniform_frequency_cpm(ei, length, beam, tip)
    assert float(shaft.equivalent_ei(cpm, length, beam, tip)) == pytest.approx(ei, rel=1e-9)


def test_stiff_shaft_bends_as_a_beam_under_a_couple() -> None:
    # closed form: for EI -> infinity the pull F at offset e bends as the couple F e: droop = F e L^2/(2 EI),
    # slope = F e L / EI; in plane the pull also has the side force F e / R towards the line of pull.
    ei, force = 1e7, 0.2 * 50.0**2 / 1.5
    w, slope = shaft.droop(ei, offset=0.038, **CLUB)
    assert float(w) == pytest.approx(force * 0.038 / (2 * ei), rel=1e-3)
    assert float(slope) == pytest.approx(force * 0.038 / ei, rel=1e-3)
    lead_w, lead_slope = shaft.lead(ei, offset=0.018, **CLUB)
    side = force * 0.018 / 1.5
    assert float(lead_w) == pytest.approx((force * 0.018 / 2 - side / 3) / ei, rel=1e-3)
    assert float(lead_slope) == pytest.approx((force * 0.018 - side / 2) / ei, rel=1e-3)


def test_lead_solves_the_beam_equation() -> None:
    # closed form against SciPy's boundary-value solver: EI w'' = F [(e - w_L) ... ] written as equilibrium of
    # the part beyond s: moment = F * (distance of the line of pull from the axis at s)
    from scipy.integrate import solve_bvp

    ei, length, radius, e = 40.0, 1.0, 1.5, 0.018
    force = 0.2 * 50.0**2 / radius
    back = radius - length

    def rhs(s: np.ndarray, y: np.ndarray) -> np.ndarray:
        # y: w, w', and the constant w_L. The mass centre sits at w_L - e; the pull aims at the centre of
        # rotation on the undeflected axis, a distance `back` behind the butt.
        line = (y[2] - e) * (back + s) / radius
        return np.vstack([y[1], force / ei * (y[0] - line), np.zeros_like(s)])

    def ends(left: np.ndarray, right: np.ndarray) -> np.ndarray:
        return np.array([left[0], left[1], right[0] - right[2]])

    s = np.linspace(0, length, 21)
    solved = solve_bvp(rhs, ends, s, np.zeros((3, s.size)), tol=1e-10)
    w, slope = shaft.lead(ei, length, radius, 50.0, 0.2, e)
    assert float(w) == pytest.approx(solved.y[0, -1], rel=1e-7)
    assert float(slope) == pytest.approx(solved.y[1, -1], rel=1e-7)


def test_shapes_broadcast() -> None:
    w, slope = shaft.lead(
        np.array([[30.0], [40.0]]), 1.0, 1.5, np.array([45.0, 50.0, 55.0]), 0.2, np.full(3, 0.018)
    )
    assert w.shape == slope.shape == (2, 3)
    assert float(w[1, 1]) == float(shaft.lead(40.0, 1.0, 1.5, 50.0, 0.2, 0.018)[0])
