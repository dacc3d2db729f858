"""The question: nonsense is said at once, hands are mirrored in one place, its judged numbers count."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter.advice.baseline import baseline
from fitter.advice.flips import DRAWS, _Elsewhere
from fitter.advice.objectives import goal_for
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.replay import Replays, fly_options
from fitter.base.assumptions import Assumptions, current
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError
from fitter.physics import engine, vectors
from tests.advice import virtual


def test_everything_that_makes_no_sense_is_said_at_once() -> None:
    with pytest.raises(InputError) as caught:
        ask(virtual.session(112, -1, 12.5), virtual.kit(), "Q/Z", "farther", sets_face="guess")
    found = " ".join(p.found for p in caught.value.problems)
    assert all(word in found for word in ("Q", "Z", "farther", "guess"))


def test_a_left_handers_surroundings_are_mirrored_and_a_right_handers_stay() -> None:
    shots, wind = virtual.session(112, -1, 12.5), Conditions(wind_mps=4.0, wind_from_deg=90.0)
    goal = goal_for("play", left_penalty=1.0)
    right = ask(shots, virtual.kit(), "G/R", goal, conditions=wind)
    assert right.right_handed() is right
    left = replace(right, session=replace(shots, hand="left")).right_handed()
    assert left.conditions.wind_from_deg == 270.0
    assert (left.goal.left_penalty, left.goal.right_penalty) == (0.0, 1.0)
    assert left.measured_at == left.conditions


def test_the_judged_numbers_of_the_question_decide() -> None:
    # By construction: thresholds are in proportion to the judged ones of the tiers.
    plain = ask(virtual.session(112, -1, 12.5), virtual.kit(), "G/R", draws=16)
    entries = dict(current())
    for tier in "abcde":
        entry = entries[f"verdict.tier_{tier}"]
        entries[f"verdict.tier_{tier}"] = replace(entry, value=3.0 * entry.value)
    found, other = (rank(q, flips=False) for q in (plain, replace(plain, assumptions=Assumptions(entries))))
    by_id = {o.option.id: o.threshold for o in found.options}
    assert len(other.options) == len(found.options)
    for o in other.options:
        assert o.threshold == pytest.approx(3.0 * by_id[o.option.id], rel=1e-12)


def test_flights_elsewhere_are_those_of_a_replay_of_their_own() -> None:
    # Struck once and flown again in another air, on another turf or by another law, nothing changes.
    q = ask(virtual.session(112, -1, 12.5), virtual.kit(), "G/R", "total")
    base = baseline(q)
    options = tuple(o.option for o in (virtual.ranking().present, *virtual.ranking().options[:2]))
    shared = _Elsewhere(q, base, options)
    places = Conditions(), Conditions(turf="firm"), Conditions(wind_mps=5.0), Conditions(law="naruo-2004")
    for where in places:
        replay = Replays(base, shared.changes.present_head, q.measured_at, DRAWS, q.seed).under(where)
        alone = fly_options(replay, shared.changes, range(len(options)))
        again, raw = shared.fly(where)
        np.testing.assert_allclose(raw, alone, rtol=1e-9, atol=1e-9)
        np.testing.assert_allclose(again.finish, replay.finish, rtol=1e-9, atol=1e-9)


def test_a_factor_on_the_run_scales_the_run_that_was_flown() -> None:
    # What a replay relies on when measured totals tell of the turf: it scales flights and does not fly again.
    base = baseline(ask(virtual.session(112, -1, 12.5), virtual.kit(), "G/R"))
    drawn = Replays(base, np.tile(base.delivery.head, (16, 1)), Conditions(), 16, 1).at_home(None)[1]
    starts = np.nan_to_num(base.start)
    one, scaled = engine.fly(starts, drawn.world), engine.fly(starts, drawn.with_run(np.full(16, 1.7)).world)
    run = one[..., vectors.TOTAL] - one[..., vectors.CARRY]
    assert run.min() > 0.0
    np.testing.assert_allclose(scaled[..., vectors.TOTAL], one[..., vectors.CARRY] + 1.7 * run, rtol=1e-12)
