"""Ball position: exact geometry checked against itself and against a numerical rotation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.physics import geometry

DEG = np.pi / 180
THETA = 47 * DEG


def move(d: float, attack: float = 0.0, path: float = 0.0, **kw: float) -> geometry.Change:
    values = {
        "face_rad": 0.0,
        "loft_rad": 13 * DEG,
        "speed": 50.0,
        "radius": 1.5,
        "plane_rad": THETA,
        "closure_radps": 2500 * DEG,
        "rotation_radius": 1.3,
    } | kw
    return geometry.forward(d, attack * DEG, path * DEG, **values)


attacks, paths, places = st.floats(-6, 8), st.floats(-8, 8), st.floats(-0.08, 0.08)


@given(attacks, paths, places)
def test_there_and_back_is_nothing(attack: float, path: float, d: float) -> None:
    # closed form: the club moves on one rigid path, so moving the ball back undoes the move exactly
    out = move(d, attack, path, face_rad=1 * DEG)
    turned = 2500 * DEG
    back = geometry.forward(
        -d,
        attack * DEG + out.attack,
        path * DEG + out.path,
        1 * DEG + out.face,
        13 * DEG + out.loft,
        50.0,
        1.5,
        THETA,
        turned,
        1.3,
    )
    assert float(out.attack + back.attack) == pytest.approx(0, abs=1e-12)
    assert float(out.path + back.path) == pytest.approx(0, abs=1e-12)
    assert float(out.rise + back.rise) == pytest.approx(0, abs=1e-12)
    assert float(out.time + back.time) == pytest.approx(0, abs=1e-12)
    assert float(out.loft + back.loft) == pytest.approx(0, abs=2e-3)


@given(attacks, paths, places)
def test_club_passes_the_moved_ball(attack: float, path: float, d: float) -> None:
    # closed form: integrating the velocity direction (attack, path) along the arc from the old to the new
    # ball must cover d along the target line, and rise and move inward as stated
    out = move(d, attack, path)
    theta, r = THETA, 1.5
    phi0 = np.arcsin(np.sin(attack * DEG) / np.sin(theta))
    direction = path * DEG + np.arcsin(np.tan(attack * DEG) / np.tan(theta))
    phi1 = phi0 + float(out.time) * 50.0 / r
    nodes, weights = np.polynomial.legendre.leggauss(20)
    phi = phi0 + (phi1 - phi0) * (nodes + 1) / 2
    att = np.arcsin(np.sin(phi) * np.sin(theta))
    pat = direction - np.arcsin(np.tan(att) / np.tan(theta))
    ds = weights * r * (phi1 - phi0) / 2
    assert float(np.sum(ds * np.cos(att) * np.cos(pat))) == pytest.approx(d, abs=1e-12)
    assert float(np.sum(ds * np.sin(att))) == pytest.approx(float(out.rise), abs=1e-12)
    left = -np.sum(ds * np.cos(att) * np.sin(pat))
    lateral = r * (np.sin(phi1) - np.sin(phi0)) * np.sin(direction)
    assert float(left) == pytest.approx(float(out.inward) * np.cos(direction) - lateral, abs=1e-12)


def test_finite_rotation_matches_small_steps() -> None:
    # closed form: the body's angular velocity is Omega N + roll s(t); integrate dn/dt = w x n in small steps
    d, attack, path, face, loft = 0.05, 3 * DEG, -2 * DEG, 1.5 * DEG, 14 * DEG
    out = geometry.forward(d, attack, path, face, loft, 50.0, 1.5, THETA, 3000 * DEG, 1.3)
    direction = path + np.arcsin(np.tan(attack) / np.tan(THETA))
    phi0 = np.arcsin(np.sin(attack) / np.sin(THETA))
    omega = 50.0 / 1.3
    roll = (3000 * DEG - omega * np.cos(THETA)) / np.sin(THETA)
    plane_normal = np.array([0.0, -np.sin(THETA), np.cos(THETA)])
    n = np.array(
        [np.cos(loft) * np.cos(face - direction), -np.cos(loft) * np.sin(face - direction), np.sin(loft)]
    )
    steps = 4000
    dt = float(out.time) / steps
    for i in range(steps):
        at = phi0 + omega * (i + 0.5) * dt
        shaft = np.array([-np.sin(at), np.cos(at) * np.cos(THETA), np.cos(at) * np.sin(THETA)])
        w = omega * plane_normal + roll * shaft
        middle = n + 0.5 * dt * np.cross(w, n)
        n = n + dt * np.cross(w, middle)
    assert float(face + out.face) == pytest.approx(direction - np.arctan2(n[1], n[0]), abs=1e-7)
    assert float(loft + out.loft) == pytest.approx(np.arcsin(n[2]), abs=1e-7)


@given(attacks, paths)
def test_nothing_moves_nothing(attack: float, path: float) -> None:
    assert max(abs(float(x)) for x in move(0.0, attack, path)) < 1e-14


def test_strike_height_follows_the_tee() -> None:
    # closed form: a flat face leant back by the loft meets a ball h higher h cos(loft) higher up the face
    h = geometry.strike_height(np.array([0.01, -0.01]), 12 * DEG)
    assert np.allclose(h, [0.01 * np.cos(12 * DEG), -0.01 * np.cos(12 * DEG)], atol=1e-15)


def test_batches_broadcast() -> None:
    out = geometry.forward(
        np.array([[0.0], [0.02]]),
        np.array([1, 2, 3]) * DEG,
        0.0,
        0.0,
        12 * DEG,
        50.0,
        1.5,
        THETA,
        2500 * DEG,
        1.3,
    )
    assert all(x.shape == (2, 3) for x in out)
