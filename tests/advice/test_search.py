"""Large kits: heads first, then their shafts; what can win is found, and the rest is counted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter.advice import race, search
from fitter.advice.options import enumerate_options, present_club
from fitter.advice.question import Question, ask
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.base.errors import InputError
from fitter.display import serialise
from fitter.display import verdict as sentences
from fitter.display.values import Values
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer, offer
from fitter.kit.parts import Head, Shaft
from tests.advice import test_race, virtual
from tests.advice.test_race import shown

ANY = Offer(ball_mm=(-20.0, 20.0), any_shaft=True)


def many(heads: int, shafts: int, seed: int = 3) -> Kit:
    """Heads of 8 to 13 deg and shafts of 45 to 80 g, all different."""
    rng = np.random.default_rng(seed)

    def figure(low: float, high: float, sd: float | None = None) -> Reading:
        return Reading(round(float(rng.uniform(low, high)), 1), sd)

    return Kit(
        tuple(
            Head(
                f"H{i}",
                loft_deg=figure(8, 13, 0.3),
                mass_g=figure(195, 205),
                cg_depth_mm=figure(33, 43),
                settings=(-1.0, 0.0, 1.0),
            )
            for i in range(heads)
        ),
        tuple(Shaft(f"S{j}", mass_g=figure(45, 80), frequency_cpm=figure(220, 280)) for j in range(shafts)),
        "made up",
    )


@pytest.fixture
def small_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every kit counts as large, and races whatever its size."""
    monkeypatch.setattr(search, "ALL", 10)
    monkeypatch.setattr(race, "needed", lambda *_: race.LOOKS)


def asked(kit: Kit, swing: tuple[float, float, float] = (112, 2, 14), goal: str = "carry") -> Question:
    return ask(virtual.session(*swing), kit, "H4/S3", goal, draws=64, offer=ANY)


def found(ranking: Ranking) -> dict[str, object]:
    return {s.option.id: shown(s) for s in ranking.options}


@pytest.mark.parametrize(
    ("swing", "goal"), [((112, 2, 14), "carry"), ((133, 5, 20), "total"), ((90, -3, 11), "fairway")]
)
def test_the_best_of_brute_force_is_found_and_the_rest_is_counted(
    swing: tuple[float, float, float], goal: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    kit = test_race.kit()
    monkeypatch.setattr(race, "needed", lambda *_: ())
    brute = rank(asked(kit, swing, goal), flips=False)
    monkeypatch.setattr(search, "ALL", 10)
    monkeypatch.setattr(race, "needed", lambda *_: race.LOOKS)
    staged = rank(asked(kit, swing, goal), flips=False)
    gone = staged.left_out
    # Where nothing tells heads apart, all are searched.
    assert gone.unsearched > 0 or goal == "fairway"
    assert gone.count + gone.unsearched + staged.counts["in_full"] == staged.counts["options"]
    assert staged.counts["options"] == len(brute.options)
    assert staged.offered == brute.offered
    best = max(s.value_gain.mean for s in brute.options)
    near = {s.option.id for s in brute.options if s.value_gain.mean >= best - 0.5 * brute.yard}
    assert near <= found(staged).keys()
    assert staged.verdict == brute.verdict
    # Nothing comes from a look: what is said of each is said by brute force too, to the last digit.
    truth = found(brute)
    assert all(truth[name] == said for name, said in found(staged).items())


@pytest.mark.usefixtures("small_looks")
def test_the_order_of_the_files_does_not_count() -> None:
    kit = test_race.kit()
    turned = replace(kit, heads=kit.heads[::-1], shafts=kit.shafts[::-1])
    one, other = (serialise.ranking(rank(asked(k), flips=False)) for k in (kit, turned))
    assert one == other


@pytest.mark.usefixtures("small_looks")
def test_what_somebody_names_is_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "HEADS", 1)
    monkeypatch.setattr(search, "SHAFTS", 1)
    kit = test_race.kit()
    plain = rank(asked(kit), flips=False)
    every = enumerate_options(kit, present_club(kit, "H4/S3"), ANY)[1:]
    lost = next(o.id for o in every if o.tier == "E" and o.id not in found(plain))
    kept = rank(replace(asked(kit), named=(lost,)), flips=False)
    assert lost in found(kept)
    assert found(kept).items() >= found(plain).items()
    with pytest.raises(InputError, match="no such options"):
        rank(replace(asked(kit), named=("H1+7/S0 45.25in",)), flips=False)


def test_a_shaft_asked_for_by_name_is_offered_whatever_suits() -> None:
    kit = test_race.kit()
    shots = virtual.session(133, 5, 20)
    usual = rank(ask(shots, kit, "H4/S3", draws=32), flips=False)
    assert usual.not_offered["suit"] > 0
    name = "H4/S0 45.25in"
    assert name not in found(usual)
    named = rank(ask(shots, kit, "H4/S3", draws=32, named=[name]), flips=False)
    assert name in found(named)


def test_a_kit_beyond_the_limit_is_refused_with_its_cure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "ALL", 10)
    monkeypatch.setattr(search, "MOST", 30)
    with pytest.raises(InputError, match="too large") as caught:
        rank(asked(test_race.kit()), flips=False)
    (problem,) = caught.value.problems
    assert "39 pairs" in problem.found
    assert "--stock" in problem.do


def test_parts_that_fit_no_present_part_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """No head takes the present shaft, and the present head takes no other: pairs alone can be bought."""
    monkeypatch.setattr(search, "ALL", 10)
    kit = test_race.kit()
    heads = (
        *(replace(h, fits=("S0", "S1", "S2")) for h in kit.heads if h.head != "H4"),
        replace(kit.head("H4"), fits=("S3",)),
    )
    ranking = rank(asked(replace(kit, heads=heads)), flips=False)
    tiers = {s.option.tier for s in ranking.options}
    assert "E" in tiers
    assert not tiers & {"C", "D"}


@pytest.mark.slow
def test_two_hundred_heads_and_shafts_are_answered() -> None:
    kit = many(200, 200)
    shots = virtual.session(104, -1, 13, n=20)
    ranking = rank(ask(shots, kit, "H4/S2", "carry", offer=offer(any_shaft=True)), flips=False)
    assert ranking.counts["options"] > 350_000
    assert ranking.counts["draws"] == 256
    assert 50 < ranking.counts["in_full"] < 2_000
    assert ranking.left_out.unsearched > 300_000
    words = sentences.left_out(ranking, Values(ranking.objective))
    assert f"{ranking.left_out.unsearched} further options were not looked at" in words


@pytest.mark.usefixtures("small_looks")
def test_heads_that_break_a_rule_are_shown_once_each_and_do_not_multiply() -> None:
    kit = test_race.kit()
    hot = tuple(replace(h, head=f"HOT{h.head}", ct_us=Reading(300.0)) for h in kit.heads)
    ranking = rank(asked(replace(kit, heads=(kit.head("H4"), *hot))), flips=False)
    clubs = {(s.option.club.head.code, s.option.club.shaft.code) for s in ranking.breaches}
    assert {head for head, _ in clubs} == {h.head for h in hot}
    assert len(clubs) == len(hot)
    assert not any(s.option.club.head.code.startswith("HOT") for s in ranking.options)
