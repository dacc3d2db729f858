"""Whether a player should come, and what the verdict says: the two do not contradict."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.batches.rows import worth_a_fitting
from tests.advice import virtual


@pytest.mark.parametrize(
    ("action", "word"), [("change", "perhaps"), ("measure", "perhaps"), ("keep", "no"), ("test", "no")]
)
def test_who_is_told_to_change_is_not_told_that_it_is_worth_nothing(action: str, word: str) -> None:
    ranking = rank(ask(virtual.session(104, 0, 13.5), virtual.kit(), "G/R", draws=16), flips=False)
    # Options that hardly gain: by probability alone nobody would be sent for.
    small = tuple(replace(o, threshold=o.value_gain.high + 50.0) for o in ranking.options)
    said = replace(ranking, options=small, verdict=replace(ranking.verdict, action=action))
    assert worth_a_fitting(said)[0] == word
