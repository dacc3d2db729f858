"""Where the yards go: causes that are known beforehand."""

from __future__ import annotations

import numpy as np
import pytest

from fitter.advice.losses import losses
from fitter.base.units import YARD
from fitter.display.levers import remedy
from fitter.shots.infer.infer import infer
from tests.advice import virtual


def by_cause(speed: float, attack: float, loft: float) -> dict:
    return {x.cause: x for x in losses(infer(virtual.session(speed, attack, loft, n=16)))}


def test_too_much_loft_and_too_little_are_named() -> None:
    # Direction by the laws in play: 133 mph, +5, 20 deg wants less loft, 90 mph, -3, 9 deg wants more.
    much, little = by_cause(133, 5, 20)["delivered loft"], by_cause(90, -3, 9)["delivered loft"]
    assert much.change < 0.0
    assert much.carry_m > 5 * YARD
    assert little.change > 0.0
    assert little.carry_m > 5 * YARD


def test_strikes_cost_yards_and_nothing_is_gained_by_staying() -> None:
    found = by_cause(112, 0, 13)
    assert found["strike"].carry_m > 0.5 * YARD
    for loss in found.values():
        assert loss.low_m <= loss.carry_m <= loss.high_m
    # The present loft and spin are among the trials: the best cannot lose by the blend.
    assert found["delivered loft"].carry_m >= -1e-9
    assert found["spin"].carry_m >= -1e-9


def test_largest_first_and_none_without_shots() -> None:
    session = virtual.session(112, 0, 13)
    costs = [x.carry_m for x in losses(infer(session))]
    assert costs == sorted(costs, reverse=True)
    from dataclasses import replace

    nothing = replace(session, set_aside=np.ones(len(session), dtype=bool))
    assert losses(infer(nothing)) == ()


def test_a_left_handed_copy_loses_the_same() -> None:
    from dataclasses import replace

    session = virtual.session(112, 0, 13)
    a, b = losses(infer(session)), losses(infer(replace(session, hand="left")))
    assert [x.carry_m for x in a] == pytest.approx([x.carry_m for x in b], rel=1e-9)


def test_a_best_at_the_end_of_what_was_tried_says_so() -> None:
    # By construction: 133 mph, +5, 20 deg spins far too much, and half of it is the least that is tried.
    spin = by_cause(133, 5, 20)["spin"]
    assert spin.change < 0.0
    assert spin.at_edge == (spin.change == pytest.approx(-0.5))
    assert ("or more" in remedy(spin)) == spin.at_edge
    assert not by_cause(112, 0, 13)["delivered loft"].at_edge
