"""Reasons add up to the gain, and name the cause that physics names."""

from __future__ import annotations

import pytest

from fitter.advice.question import ask
from fitter.advice.rank import rank
from tests.advice import virtual


@pytest.mark.parametrize("objective", ["carry", "total", "weak"])
def test_reasons_add_up_to_the_gain(objective: str) -> None:
    ranking = rank(ask(virtual.session(133, 5, 20), virtual.kit(), "G/R", objective, draws=64))
    explained = [o for o in ranking.options if o.reasons]
    assert len(explained) >= 3
    for option in explained:
        assert sum(r.value for r in option.reasons) == pytest.approx(option.value_gain.mean, abs=1e-6)
        assert sum(r.carry_m for r in option.reasons) == pytest.approx(option.carry_gain.mean, abs=1e-6)


def test_less_loft_on_a_fast_upward_swing_gains_speed_and_sheds_spin() -> None:
    # Planar strike (Penner 2001, Am. J. Phys. 69, 563): less spin loft is more speed, less launch and spin.
    ranking = virtual.ranking((133, 5, 20), "total")
    best = next(o for o in ranking.options if o.option.tier == "D")
    cause = {r.cause: r for r in best.reasons}
    assert best.option.club.head.code == "LOW"
    assert cause["ball speed"].change > 0
    assert cause["ball speed"].value > 0
    assert cause["launch"].change < 0
    assert cause["spin"].change < 0
