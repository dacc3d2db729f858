"""Twist of a shaft against closed forms."""

import numpy as np
import pytest
from scipy.optimize import brentq

from fitter.kit.figures import Reading
from fitter.kit.parts import Shaft
from fitter.kit.profile import fit
from reference.oracles import torsion


def test_static_twist() -> None:
    # closed form: T L / GJ; for GJ linear from a to b: T L ln(b/a)/(b - a) (Saint-Venant)
    assert float(torsion.twist([30.0, 30.0, 30.0], 1.1, 1.5)) == pytest.approx(1.5 * 1.1 / 30)
    assert float(torsion.twist([60.0, 20.0], 1.1, 1.5)) == pytest.approx(1.5 * 1.1 * np.log(3) / 40)
    two = torsion.twist([60.0, 40.0, 20.0], 1.1, 1.5)
    assert float(two) == pytest.approx(1.5 * 1.1 * np.log(3) / 40, rel=1e-12)


def test_a_rating_is_degrees_under_a_foot_pound() -> None:
    # R: torque is rated in degrees per 1 ft lb = 1.3558 N m
    found = fit(Shaft("S", torque_deg=Reading(4.5, 0.3), length_in=Reading(46.0)))
    gj = found.gj
    assert gj.measured
    twist = float(torsion.twist([gj.value, gj.value], found.length_m, 1.3558179483))
    assert np.degrees(twist) == pytest.approx(4.5)
    assert gj.sd / gj.value == pytest.approx(0.3 / 4.5)


@pytest.mark.parametrize("share", [0.002, 0.05, 1.0])
def test_torsional_frequency(share: float) -> None:
    # closed form: beta tan beta = J_shaft / J_head, omega = beta/L sqrt(GJ / polar)
    gj, length, head = 17.0, 1.05, 6e-4
    polar = share * head / length
    beta = brentq(lambda b: b * np.tan(b) - share, 1e-6, np.pi / 2 - 1e-9)
    exact = beta / length * np.sqrt(gj / polar) * 30 / np.pi
    assert float(torsion.frequency_cpm([gj, gj], polar, length, head)) == pytest.approx(exact, rel=1e-4)
    coarse, fine = (
        float(torsion.frequency_cpm([gj, gj], polar, length, head, n)) / exact - 1 for n in (6, 12)
    )
    if share == 1.0:
        assert coarse / fine == pytest.approx(4.0, rel=0.05)
