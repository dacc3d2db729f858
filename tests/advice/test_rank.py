"""The ranking: exact replay, symmetry, order, and verdicts where the answer is known beforehand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter.advice.baseline import of_session, present_head
from fitter.advice.options import enumerate_options, present_club
from fitter.advice.prediction import predict
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.replay import Replays, finished, fly_options
from fitter.advice.response import Response, changes
from fitter.advice.scored import information
from fitter.base.conditions import Conditions
from fitter.base.errors import DataError, InputError
from fitter.base.units import YARD
from fitter.display import serialise
from fitter.display.notes import noted
from fitter.shots.session import Session, mirror
from tests.advice import virtual

DRAWS = 64


@pytest.fixture(scope="module")
def shots() -> Session:
    return virtual.session(112, -1, 12.5)


def test_the_present_club_replays_every_measured_shot_exactly(shots: Session) -> None:
    # Principle of paired differences: 1e-9 on every shot in every draw.
    kit = virtual.kit()
    club = present_club(kit, "G/R")
    base = of_session(shots, present_head(club))
    changed = changes(enumerate_options(kit, club)[:1], club, base.swing, Response(DRAWS, 1))
    here = Conditions()
    replay = Replays(base, changed.present_head, here, DRAWS, 1).under(here)
    out = fly_options(replay, changed, [0])
    pattern = finished(replay, out)
    for name, channel in (("carry", "carry_m"), ("total", "total_m"), ("carry_side", "offline_m")):
        np.testing.assert_allclose(
            getattr(pattern, name)[:, 0],
            np.broadcast_to(shots.value(channel), (DRAWS, len(shots))),
            atol=1e-9,
        )
    np.testing.assert_allclose(
        out[:, 0, :, 6], np.broadcast_to(shots.value("ball_speed_mps"), (DRAWS, len(shots))), rtol=1e-12
    )


def test_missing_channels_are_filled_and_the_present_still_has_no_gain(shots: Session) -> None:
    values = {
        k: v.copy() for k, v in shots.values.items() if k not in ("carry_m", "total_m", "spin_axis_deg")
    }
    values["spin_rpm"][2] = np.nan
    values["attack_deg"][4] = np.nan
    ranking = rank(ask(replace(shots, values=values), virtual.kit(), "G/R", draws=DRAWS))
    assert ranking.present.value_gain.mean == 0.0
    assert any("spin_rpm: 1 of 12 missing" in note for note in noted(ranking.notes))
    assert any("attack: not measured in 1 of 12 shots" in note for note in noted(ranking.notes))


def test_a_log_of_ball_data_and_club_speed_alone_is_ranked_with_more_doubt() -> None:
    full = virtual.session(133, 5, 20)
    bare = replace(
        full,
        values={
            k: v
            for k, v in full.values.items()
            if k not in ("attack_deg", "path_deg", "face_deg", "dynamic_loft_deg")
        },
    )
    told, inferred = (rank(ask(s, virtual.kit(), "G/R", "total", draws=256)) for s in (full, bare))
    assert any("delivered loft: not measured in 12 of 12" in note for note in noted(inferred.notes))
    assert inferred.present.value_gain.mean == 0.0
    a, b = ({o.option.id: o.value_gain for o in r.options}["LOW/R 45.25in"] for r in (told, inferred))
    assert b.low < a.mean < b.high
    assert b.high - b.low > 0.9 * (a.high - a.low)


def test_shots_whose_channels_contradict_each_other_are_set_aside() -> None:
    session = virtual.session(112, -1, 12.5)
    values = {k: v.copy() for k, v in session.values.items()}
    values["launch_deg"][3] += 12.0
    ranking = rank(ask(replace(session, values=values), virtual.kit(), "G/R", draws=64))
    assert ranking.counts["set_aside"] == 1


def test_same_seed_same_answer_with_options_in_any_order(shots: Session) -> None:
    kit = virtual.kit()
    turned = type(kit)(kit.heads[::-1], kit.shafts[::-1], kit.source)
    first = rank(ask(shots, kit, "G/R", draws=DRAWS, seed=5))
    second = rank(ask(shots, turned, "G/R", draws=DRAWS, seed=5))
    a = {o.option.id: o.value_gain for o in first.options}
    b = {o.option.id: o.value_gain for o in second.options}
    assert a == b
    assert first.verdict == second.verdict


def test_a_left_handed_copy_gives_the_mirrored_answer(shots: Session) -> None:
    # The session is mirrored at the door, so the left-hander's frame is the right-hander's: equal to the bit;
    # only what people read flips.
    left = replace(shots, hand="left")
    right = serialise.ranking(rank(ask(shots, virtual.kit(), "G/R", draws=DRAWS)))
    other = serialise.ranking(rank(ask(left, virtual.kit(), "G/R", draws=DRAWS)))
    for a, b in zip(right["options"], other["options"], strict=True):
        assert a["carry_gain_m"] == b["carry_gain_m"]
        assert a["aim_shift_m"] == pytest.approx(-b["aim_shift_m"], abs=1e-12)
        assert a["face_angle_deg"] == pytest.approx(-b["face_angle_deg"], abs=1e-12)
    assert mirror(mirror(dict(shots.values)))["path_deg"] == pytest.approx(shots.value("path_deg"))


def test_wind_from_the_side_moves_the_aim_of_both_hands_the_same_way(shots: Session) -> None:
    from_right = Conditions(wind_mps=4.0, wind_from_deg=90.0)
    calm = Conditions()
    for hand in ("right", "left"):
        ranking = rank(
            ask(
                replace(shots, hand=hand),
                virtual.kit(),
                "G/R",
                "carry",
                conditions=from_right,
                measured_in=calm,
                draws=DRAWS,
            )
        )
        # Wind from the right carries the ball left in the world, so everyone aims right of the target.
        assert serialise.ranking(ranking)["present"]["aim_shift_m"] > 1.0


def test_too_little_loft_is_sent_up_and_too_much_is_sent_down() -> None:
    # Physics of the laws in play: a slow downward swing that launches at 7 deg gains carry by loft; a 133 mph
    # upward swing with 20 deg delivered loses carry and total by it. Direction of the gain, not its size.
    low = virtual.ranking((95, -3, 11), "carry", draws=DRAWS)
    up = {o.option.id: o for o in low.options}["UP/R 45.25in"]
    assert up.value_gain.mean > 2 * YARD
    assert up.p_better > 0.8
    # More carry here costs total distance, or pays outright: the player chooses, or changes.
    assert low.verdict.action in ("change", "trade")
    fast = virtual.ranking((133, 5, 20), "total", draws=DRAWS)
    down = {o.option.id: o for o in fast.options}["LOW/R 45.25in"]
    assert down.value_gain.mean > 6 * YARD
    assert down.p_better > 0.8


def test_an_unknown_present_club_never_earns_a_change() -> None:
    ranking = virtual.ranking((133, 5, 20), "total", draws=DRAWS, present="unknown")
    assert ranking.verdict.action in ("keep", "test", "measure")


def test_a_stamped_loft_has_a_wider_interval_than_a_gauged_one() -> None:
    ranking = virtual.ranking((95, -3, 11), "carry", draws=256)
    by_id = {o.option.id: o.carry_gain for o in ranking.options}
    gauged, stamped = by_id["UP/R 45.25in"], by_id["STAMP/R 45.25in"]
    assert stamped.high - stamped.low > 1.3 * (gauged.high - gauged.low)


def test_shafts_alone_do_not_earn_a_change(shots: Session) -> None:
    # Two flex classes: population mean near zero (Betzler et al. 2012; MacKenzie & Boucher 2016).
    ranking = rank(ask(shots, virtual.kit(), "G/R", "carry", draws=256))
    shaft = {o.option.id: o for o in ranking.options}["G/X 45.25in"]
    assert abs(shaft.carry_gain.mean) < 2 * YARD
    assert shaft.carry_gain.low < 0 < shaft.carry_gain.high
    assert ranking.verdict.option is None or "/X" not in ranking.verdict.option


def test_best_of_each_tier_comes_first(shots: Session) -> None:
    ranking = rank(ask(shots, virtual.kit(), "G/R", draws=DRAWS))
    tiers = [o.option.tier for o in ranking.options]
    present = sorted(set(tiers))
    assert tiers[: len(present)] == present
    rest = [o.value_gain.mean for o in ranking.options[len(present) :]]
    assert rest == sorted(rest, reverse=True)


def test_value_of_information_matches_the_closed_form() -> None:
    # Two choices, difference N(mu, s): s [phi(z) + z Phi(z)], z = -|mu|/s (standard normal loss integral):
    # mu 2, s 5: 1.1522; mu 0, s 5: 1.9947.
    z = np.random.default_rng(3).standard_normal(400_000)
    assert information(2.0 + 5.0 * z[:, None])[0] == pytest.approx(1.1522, rel=0.02)
    assert information(5.0 * z[:, None])[0] == pytest.approx(1.9947, rel=0.02)


def test_one_shot_is_too_few(shots: Session) -> None:
    with pytest.raises(DataError, match="Too few shots") as caught:
        rank(ask(shots.take(np.array([0])), virtual.kit(), "G/R"))
    assert caught.value.exit_code == 3


def test_unknown_codes_are_named_together(shots: Session) -> None:
    with pytest.raises(InputError) as caught:
        rank(ask(shots, virtual.kit(), "Q/Z"))
    assert len(caught.value.problems) == 2
    assert "'Q'" in str(caught.value)
    assert "'Z'" in str(caught.value)


def test_a_sleeve_position_of_the_present_club_is_understood() -> None:
    club = present_club(virtual.kit(), "G+1/R")
    assert club.loft_change_deg == 1.0
    with pytest.raises(InputError, match="cannot be built"):
        present_club(virtual.kit(), "G+3/R")


def test_progress_counts_every_option(shots: Session) -> None:
    kit = virtual.kit()
    club = present_club(kit, "G/R")
    options = enumerate_options(kit, club)
    seen: list[tuple[int, int]] = []
    predict(
        options,
        ask(shots, kit, club, draws=16),
        of_session(shots, present_head(club)),
        progress=lambda a, b: seen.append((a, b)),
    )
    assert seen[-1] == (len(options), len(options))


def test_without_directions_play_falls_back_to_carry_and_says_so() -> None:
    shots = virtual.session(112, -1, 12.5)
    blind = {k: v for k, v in shots.values.items() if k not in ("direction_deg", "offline_m")}
    ranking = rank(ask(replace(shots, values=blind), virtual.kit(), "G/R", "play", draws=DRAWS))
    assert ranking.objective.name == "carry"
    assert "no direction" in {n.code for n in ranking.notes}
    told = serialise.ranking(ranking)
    assert "ranked by carry" in " ".join(told["session"]["notes"])
    for o in ranking.options:
        assert (o.balance.spread_m, o.balance.fairway, o.balance.strokes) == (None, None, None)
        assert o.balance.carry_m.mid == pytest.approx(o.carry_gain.mean)
    assert told["present"]["offline_sd_m"] is None
    seen = rank(ask(shots, virtual.kit(), "G/R", "play", draws=DRAWS))
    assert seen.objective.name == "play"
    assert "no direction" not in {n.code for n in seen.notes}


def test_the_balance_is_the_same_whatever_is_asked_for() -> None:
    # The same draws: what an option does to fairways and strokes does not hang on the goal.
    shots = virtual.session(112, -1, 12.5)
    found = [
        rank(ask(shots, virtual.kit(), "G/R", goal, draws=DRAWS)) for goal in ("play", "total", "fairway")
    ]
    for o in found[0].options:
        for other in found[1:]:
            balance = next(s.balance for s in other.options if s.option.id == o.option.id)
            assert balance == o.balance
        saved = o.value_gain
        assert o.balance.strokes.mid == pytest.approx(-saved.mean, abs=1e-12)
        assert o.balance.strokes.low == pytest.approx(-saved.high, abs=1e-12)
