"""Loft, face and lie of a turned head: exact inverses and small-angle limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.physics import geometry
from reference.oracles import pose

DEG = np.pi / 180
lofts, faces, lies = st.floats(6, 20), st.floats(-4, 4), st.floats(52, 64)


@given(lofts, faces, lies)
def test_squared_and_soled_are_inverse(loft: float, face: float, lie: float) -> None:
    # closed form: both say that the angle between face normal and shaft is kept
    squared = pose.squared_loft(loft * DEG, face * DEG, lie * DEG)
    assert float(geometry.soled_loft(squared, face * DEG, lie * DEG)) == pytest.approx(loft * DEG, abs=1e-12)
    assert float(geometry.soled_face(squared, loft * DEG, lie * DEG)) == pytest.approx(face * DEG, abs=1e-12)


@given(lofts, faces, lies)
def test_turning_until_square_gives_the_squared_loft(loft: float, face: float, lie: float) -> None:
    # closed form against a search: turn about the shaft until the face is square
    from scipy.optimize import brentq

    def left(closing: float) -> float:
        return float(pose.close_about_shaft(loft * DEG, face * DEG, lie * DEG, closing)[1])

    closing = brentq(left, -0.3, 0.3, xtol=1e-14)
    turned = pose.close_about_shaft(loft * DEG, face * DEG, lie * DEG, closing)[0]
    assert float(turned) == pytest.approx(
        float(pose.squared_loft(loft * DEG, face * DEG, lie * DEG)), abs=1e-10
    )


def test_a_closed_face_gains_loft_when_squared() -> None:
    assert float(pose.squared_loft(10 * DEG, -1.6 * DEG, 58 * DEG)) > 10.9 * DEG
    loft, face = pose.close_about_shaft(10 * DEG, 0.0, 58 * DEG, 1 * DEG)
    assert float(loft) < 10 * DEG
    assert float(face) < 0


def test_lean_adds_loft_and_closes_the_face() -> None:
    # closed form, first order: lead sin(lie) of loft, lead cos(lie) of face; droop opens by tan(loft)
    small = 1e-5
    loft, face = geometry.lean(12 * DEG, 0.0, 58 * DEG, small, 0.0)
    assert (float(loft) - 12 * DEG) / small == pytest.approx(np.sin(58 * DEG), rel=1e-4)
    assert float(face) / small == pytest.approx(-np.cos(58 * DEG), rel=1e-4)
    _, face = geometry.lean(12 * DEG, 0.0, 58 * DEG, 0.0, small)
    assert float(face) / small == pytest.approx(np.tan(12 * DEG), rel=1e-4)


@given(lofts, st.floats(-5, 5))
def test_lie_turns_the_face_as_a_droop_the_other_way(loft: float, upright: float) -> None:
    # closed form: turning toe up by the lie is turning toe down by minus the lie
    face = pose.face_of_lie(loft * DEG, upright * DEG)
    assert float(geometry.lean(loft * DEG, 0.0, 1.0, 0.0, -upright * DEG)[1]) == pytest.approx(
        float(face), abs=1e-12
    )
