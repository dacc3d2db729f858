"""Whether a player should come, and what the verdict says: one definition."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.verdict import worth_a_fitting
from fitter.batches.rows import PlayerRow, ranked
from tests.advice import virtual


@pytest.mark.parametrize(
    ("action", "p", "word"),
    [("change", 0.1, "yes"), ("trade", 0.1, "yes"), ("measure", 0.2, "perhaps"), ("test", 0.2, "perhaps"),
     ("test", 0.9, "yes"), ("keep", 0.9, "no")],
)  # fmt: skip
def test_the_word_follows_the_verdict(action: str, p: float, word: str) -> None:
    ranking = rank(ask(virtual.session(104, 0, 13.5), virtual.kit(), "G/R", draws=16), flips=False)
    about = replace(ranking.options[0], p_worthwhile=p)
    named = None if action == "keep" else about.option.id
    said = replace(ranking, verdict=replace(ranking.verdict, action=action, option=named, about=about))
    assert worth_a_fitting(said.verdict) == (word, p)
    row = ranked(PlayerRow("P", "log.csv", "ranked"), said)
    assert (row.worth, row.p_worth, row.action) == (word, p, action)
    assert (row.carry_change_m is None) == (action == "keep")
