"""What if the player swung otherwise: the same replay with another delivery, never mixed with the clubs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter import demo
from fitter.advice.losses import attack_step
from fitter.advice.question import Question, ask
from fitter.advice.rank import rank
from fitter.advice.what_if import WhatIf
from fitter.base.errors import InputError
from fitter.base.units import MPH, YARD
from fitter.kit.inventory import Kit
from fitter.shots.reader import intake


def question(what_if: WhatIf, player: str = "P2", present: str = "H1/S1") -> Question:
    session = intake.read(demo.folder() / f"{player}.csv")
    return ask(session, Kit.load(demo.folder()), present, "carry", draws=32, what_if=what_if)


def test_no_change_is_the_plain_ranking() -> None:
    found = rank(question(WhatIf()), flips=False)
    assert found.by_the_change is None


def test_speed_is_worth_what_flight_says() -> None:
    # Averages of both tours: (275 - 218) yd / (113 - 94) mph = 3.0 yd of carry a mph of club speed, with
    # another delivery besides (quoted, from memory); P4 hits an ordinary start.
    found = rank(question(WhatIf(speed_mps=2.0 * MPH), "P4", "H3/S5"), flips=False)
    assert found.by_the_change is not None
    assert 2.0 < found.by_the_change.carry_m.mid / YARD / 2.0 < 3.4
    assert found.question.what_if.told == {"speed_mps": 2.0 * MPH}


def test_the_present_club_moves_and_nothing_is_measured_next() -> None:
    plain, other = (rank(question(w), flips=False) for w in (WhatIf(), WhatIf(attack_deg=2.0)))
    assert other.by_the_change is not None
    moved = other.present.carry_m - plain.present.carry_m
    assert moved == pytest.approx(other.by_the_change.carry_m.mid, abs=0.6)
    assert abs(moved) > 0.2
    assert other.next == ()
    # At the same delivered loft the spin loft is less, and so is the spin.
    assert other.present.predicted["spin_rpm"][1] < plain.present.predicted["spin_rpm"][1]


def test_centred_moves_the_middle_of_the_strikes() -> None:
    q = question(WhatIf(centred=True), "P3", "H5/S4")
    found = rank(q, flips=False)
    assert found.by_the_change is not None
    # P3 strikes 12 mm to the heel: the ball is faster from the centre.
    assert found.by_the_change.carry_m.low > 0.0


def test_a_left_hander_is_mirrored_at_the_door() -> None:
    q = question(WhatIf(path_deg=2.0, face_deg=-1.0, attack_deg=1.0), "P3", "H5/S4")
    mirrored = q.right_handed().what_if
    assert (mirrored.path_deg, mirrored.face_deg, mirrored.attack_deg) == (-2.0, 1.0, 1.0)
    assert replace(q.what_if) == q.what_if


def test_too_much_is_refused_with_everything_at_once() -> None:
    with pytest.raises(InputError) as caught:
        WhatIf(attack_deg=30.0, speed_mps=float("nan"))
    assert len(caught.value.problems) == 2


def test_attack_is_told_within_reach_and_not_beyond() -> None:
    steps = np.array([attack_step(a) for a in (-5.0, 0.0, 1.5, 2.5, 6.0)])
    np.testing.assert_allclose(steps, [3.3, 3.0, 1.5, 0.0, 0.0])
