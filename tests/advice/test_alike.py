"""Shafts that paper cannot tell apart: one line a head, with its trial; the others stand alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter import demo, read
from fitter.advice.alike import alike, folded
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.base.assumptions import current
from fitter.display import serialise
from fitter.display import verdict as sentences
from fitter.display.ranking import text as ranking_text
from fitter.display.values import Values
from fitter.kit.inventory import Kit
from fitter.kit.offer import offer


@pytest.fixture(scope="module")
def ranking() -> Ranking:
    """Every shaft of the demo's shop for P3, computed in full."""
    kit = Kit.load(demo.folder())
    limits = offer(any_shaft=True, ball_mm=(), without_heads=("H2", "H3", "H4", "H6"))
    shots = read(demo.folder() / "P3.csv")
    return rank(ask(shots, kit, "H5/S4", "total", draws=128, offer=limits), flips=False)


def test_a_group_holds_what_the_draws_cannot_tell_apart(ranking: Ranking) -> None:
    by_head = {g.head: g for g in ranking.alike}
    assert by_head.keys() == {"H1", "H5"}
    assert (by_head["H5"].tier, by_head["H1"].tier) == ("C", "E")
    gains = {s.option.id: s.value_gain.mean for s in ranking.options}
    for group in ranking.alike:
        means = [gains[name] for name in group.options]
        assert means == sorted(means, reverse=True)
        assert (group.low, group.high) == pytest.approx((means[-1], means[0]))
        assert len(set(group.shafts)) == len(group.shafts) >= 2
    a = current()
    assert {g.balls for g in ranking.alike} == {2 * a.value("next.trial_balls")}
    assert {g.minutes for g in ranking.alike} == {a.value("next.trial_minutes")}


def test_the_ends_of_a_group_are_its_softest_and_its_stiffest(ranking: Ranking) -> None:
    kit = Kit.load(demo.folder())
    for group in ranking.alike:
        order = sorted(group.shafts, key=lambda c: kit.shaft(c).figure("frequency_cpm").value)
        assert (group.soft, group.stiff) == (order[0], order[-1])


def test_a_shaft_that_is_told_apart_stands_alone(ranking: Ranking) -> None:
    """Draws in which one shaft of the present head is behind for certain, and one that is never better."""
    scored = [ranking.present, *(s for s in ranking.options if s.option.tier == "C")]
    rng = np.random.default_rng(1)
    gain = rng.normal(0.0, 1.0, (400, len(scored)))
    gain[:, 0] = 0.0
    lost = next(i for i, s in enumerate(scored) if i and s.option.club.shaft.code == "S8")
    gain[:, [i for i, s in enumerate(scored) if i and s.option.club.shaft.code == "S8"]] = -9.0
    (group,) = alike(scored, gain)
    assert "S8" not in group.shafts
    assert group.own
    assert len(group.shafts) == 6
    gain[:, 1:] -= 50.0 * (np.arange(1, len(scored)) != lost)
    assert alike(scored, gain) == ()


def test_the_printed_ladder_has_one_line_for_them(ranking: Ranking) -> None:
    words = ranking_text(ranking)
    rungs = [line for line in words.splitlines() if line[1:4] in ("C H", "E H")]
    heads = [line[3:5] for line in rungs if not line.startswith(">")]
    assert len(set(heads)) == len(heads)
    values = Values(ranking.objective)
    for group in ranking.alike:
        told = sentences.alike(group, values, "S4")
        assert told in " ".join(words.split())
        assert all(shaft in told for shaft in group.shafts)
        assert "20 balls and 20 minutes" in told
    # Whoever names one sees it.
    asked_for = ranking.alike[0].options[-1]
    name = Values.of(ranking).name(asked_for)[:30]
    assert name not in words
    assert name in ranking_text(ranking, also=[asked_for])


def test_the_facts_stand_in_the_json(ranking: Ranking) -> None:
    told = serialise.ranking(ranking)["alike"]
    assert [g["head"] for g in told] == [g.head for g in ranking.alike]
    assert all(g["unit"] == "m" and g["text"] for g in told)
    # Folded options are all there, each with its own figures.
    ids = {o["id"] for o in serialise.ranking(ranking)["options"]}
    assert all(set(g["options"]) <= ids for g in told)


def test_a_named_option_is_never_stood_for(ranking: Ranking) -> None:
    group = ranking.alike[0]
    last = next(s for s in ranking.options if s.option.id == group.options[-1])
    assert ranking.stood_for(last.option)
    assert (group.head, group.shafts[0]) not in folded(ranking.alike)
    named = replace(ranking, verdict=replace(ranking.verdict, option=last.option.id))
    assert last in named.best_of_tiers(3)
