"""The range of progress: what was planted is what the truth says, and one player goes all the way through."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fitter.advice.options import Option
from fitter.kit.club import from_kit
from fitter.progress.split import CAUSES, UNEXPLAINED
from reference import progress_range
from reference.virtual_range import engine
from reference.virtual_range.players import Player
from reference.virtual_range.shop import KIT
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import WORLDS

HEADS, SHAFTS = tuple(h.code for h in KIT.heads), tuple(s.code for s in KIT.shafts)


def player(number: int) -> Truth:
    return Truth(Player.draw(number, WORLDS["near"], HEADS, SHAFTS))


def test_true_parts_add_up_to_the_true_change() -> None:
    truth = player(7)
    options = [Option(c.code, "-", c) for c in (from_kit(truth.parts.kit, w) for w in ("H1/S1", "H4/S3"))]
    days = tuple(progress_range.planted(truth.player, k, options[k]) for k in (0, 1))
    found = progress_range.true_parts(truth, days)
    even = truth.player.swings(progress_range.EVEN, "truth", even=True)
    carry = []
    for day, option in zip(days, options, strict=True):
        fair = progress_range.Day(**{**day.__dict__, "ball": 1.0})
        swings = progress_range.swung(truth.player, even, day)
        carry.append(progress_range.carried(truth, swings, (options[0], option), fair)[2].mean())
    assert sum(found[c] for c in CAUSES) == pytest.approx(carry[1] - carry[0], abs=1e-9)
    assert all(abs(found[c]) > 1e-3 for c in (*CAUSES, UNEXPLAINED))


def test_a_wind_is_still_air_that_moves_along() -> None:
    """A ball that flies beside the wind: a tail wind lengthens, a head wind shortens by more."""
    truth = player(7)
    option = Option("a", "-", from_kit(truth.parts.kit, truth.player.present))
    day = progress_range.planted(truth.player, 0, option)
    swings = truth.player.swings(32, "wind", even=True)
    far = [
        progress_range.carried(
            truth,
            swings,
            (option, option),
            progress_range.Day(**{**day.__dict__, "wind": w, "density": engine.DENSITY}),
        )[2].mean()
        for w in (-2.0, 0.0, 2.0)
    ]
    # `wind` is a head wind: it adds to the ball's speed through the air.
    assert far[0] > far[1] > far[2]
    assert far[1] - far[2] > far[0] - far[1] > 0.0


@pytest.mark.parametrize("number", [4, 7, 10])
def test_one_player_goes_through(number: int, tmp_path: Path) -> None:
    answer = progress_range.one(number, "near", tmp_path)
    assert answer is not None
    rows, kind = answer
    assert kind == ("same club", "same club", "anchor", "no anchor")[number % 4]
    assert set(rows) == {*CAUSES, UNEXPLAINED, "all"}
    true = np.array([rows[c][0] for c in (*CAUSES, UNEXPLAINED)])
    told = np.array([rows[c][1] for c in (*CAUSES, UNEXPLAINED)])
    assert told.sum() == pytest.approx(rows["all"][1], abs=1e-9)
    # The truth of what is unexplained is what the measured change leaves.
    assert true.sum() == pytest.approx(rows["all"][1], abs=1e-9)
