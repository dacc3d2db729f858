"""Planted misreads are found, good shots and true mishits stay. Shares are this project's targets (J)."""

import numpy as np

from fitter.base.units import DEG
from fitter.shots import screen
from fitter.shots.infer import infer, measurement
from fitter.shots.infer.measurement import CALIBRATIONS, MEASURED, SCALE
from fitter.simulate.strike import ordinary_head
from tests.shots.infer.virtual import changed, sessions, shown

KINDS = (
    "club_speed_mps",
    "ball_speed_mps",
    "launch_deg",
    "direction_deg",
    "spin_rpm",
    "spin_axis_deg",
    "path_deg",
    "dynamic_loft_deg",
)
COUNT = 160


def test_eight_kinds_of_misreads_are_set_aside_and_good_shots_stay():
    """One wrong channel in one shot of twelve, off by 5 to 9 predictive SDs: >= 90 %; good shots <= 2 %."""
    rng = np.random.default_rng(5)
    truth = sessions(COUNT, 12)
    clean = infer.infer_many(truth.sessions)
    planted, where = [], []
    for k, (s, d) in enumerate(zip(truth.sessions, clean, strict=True)):
        name, shot = KINDS[k % len(KINDS)], int(rng.integers(12))
        off = rng.uniform(5, 9) * rng.choice([-1, 1]) * d.predicted_sd[name][shot]
        planted.append(changed(s, shot, **{name: s.value(name)[shot] + off}))
        where.append(shot)
    found = infer.infer_many(planted)
    screened = [screen.screen_physics(s, d) for s, d in zip(planted, found, strict=True)]
    hit = np.array([s.set_aside[i] for s, i in zip(screened, where, strict=True)])
    good = np.array([np.delete(s.set_aside, i).mean() for s, i in zip(screened, where, strict=True)])
    assert hit.mean() >= 0.90
    assert good.mean() <= 0.02
    flag = next(f for s in screened for f in s.flags)
    assert flag.set_aside
    assert flag.reason == "contradicts the strike"
    assert flag.expected.sd > 0.0


def test_true_mishits_stay():
    """Strikes and faces three SDs of the scatter from the mean, all channels measured right: no more flags.

    Good values lie outside the limit in about one shot of a hundred (twelve channels at 3.3 SD, closed form).
    """
    rng = np.random.default_rng(9)
    truth = sessions(120, 12)
    from fitter.shots.infer.prior import LEVELS, scatter

    at = 3
    mishit = []
    for k, s in enumerate(truth.sessions):
        x = truth.delivery[k, at : at + 1].copy()
        x[:, 0] = np.log(x[:, 0])
        column = (5, 5, 6, 6, 3)[k % 5]
        x[0, column] = (1, -1)[k % 2] * 3.0 * scatter(LEVELS[k % 3])[column]
        y = shown(x, np.zeros(len(CALIBRATIONS)), truth.models[k], "outdoor", rng)[0] / SCALE
        mishit.append(changed(s, at, **dict(zip(MEASURED, y, strict=True))))
    aside = [d.misread[at].any() for d in infer.infer_many(mishit)]
    assert np.mean(aside) <= 0.03


def test_a_wild_start_is_no_misread_when_nothing_else_tells_of_it():
    """A ball that starts left of the others is a result; without path and face nothing contradicts it."""
    truth = sessions(6, 12, ("club_speed_mps", "ball_speed_mps", "direction_deg"))
    for s in truth.sessions:
        wild = changed(s, 4, direction_deg=float(s.value("direction_deg").mean()) - 6.0)
        assert not infer.infer(wild).misread[4].any()


def test_screening_adds_flags_and_sets_nothing_free():
    truth = sessions(1, 12)
    s = truth.sessions[0]
    wrong = changed(s, 2, spin_rpm=2.0 * float(s.value("spin_rpm")[2]))
    d = infer.infer(wrong)
    once = screen.screen_physics(wrong, d)
    twice = screen.screen_physics(once, d)
    assert once.set_aside[2]
    assert twice.flags == once.flags
    # A flagged channel is left out of the next inference, the rest of that shot is used.
    again = infer.infer(once)
    there = measurement.at_strike(truth.delivery[0], ordinary_head())[2, 0]
    assert abs(again.at_strike_point().loft[2] - there) < 3.0 * again.at_strike_point().loft_sd[2] + 0.5 * DEG
