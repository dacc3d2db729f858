"""Looks with few draws: nothing near the best is lost, and what somebody names stays."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from fitter import demo, read
from fitter.advice import race
from fitter.advice.objectives import goal_for
from fitter.advice.options import Option, enumerate_options, present_club
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored, best_of_tiers
from fitter.base.assumptions import current
from fitter.base.errors import InputError
from fitter.base.units import YARD
from fitter.display import serialise
from fitter.display import verdict as sentences
from fitter.display.ranking import text as ranking_text
from fitter.display.values import Values
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.parts import Head, Shaft
from tests.advice import virtual

SESSIONS = ((112, 2, 14, 20, 0), (133, 5, 20, 12, 1), (90, -3, 11, 14, 2), (100, 0, 17, 10, 3))
OBJECTIVES = ("play", "total", "weak", "fairway")


@pytest.fixture(scope="module")
def rough() -> list[race.RoughOrder]:
    """Rough orders of the ranking of a kit that was raced."""
    return []


@pytest.fixture(scope="module")
def raced(rough: list[race.RoughOrder]) -> Ranking:
    """A ranking after looks at few draws, though the kit is small."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(race, "needed", lambda *_: race.LOOKS)
        return rank(
            ask(virtual.session(133, 5, 20), kit(), "H4/S3", "carry", draws=64),
            first=rough.append,
            flips=False,
        )


def kit() -> Kit:
    """Eight heads, half of them only stamped, and five shafts."""
    heads = tuple(
        Head(
            f"H{i}",
            **{("loft_deg" if i % 2 else "stamped_loft_deg"): Reading(8 + 0.5 * i, 0.3 if i % 2 else None)},
            mass_g=Reading(200.0),
            settings=(-1.0, 0.0, 1.0),
        )
        for i in range(8)
    )
    shafts = tuple(
        Shaft(f"S{j}", mass_g=Reading(50.0 + 5 * j), frequency_cpm=Reading(240.0 + 6 * j)) for j in range(5)
    )
    return Kit(heads, shafts, "made up")


# Each session and each objective twice: brute force costs seconds.
@pytest.mark.parametrize(
    ("case", "objective"),
    [(SESSIONS[i], OBJECTIVES[(i + k) % 4]) for k in (0, 2) for i in range(4)],
)
def test_survivors_and_order_are_those_of_brute_force(
    case: tuple[float, ...], objective: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    speed, attack, loft, n, seed = case
    shots = virtual.session(speed, attack, loft, n=int(n), seed=int(seed))
    monkeypatch.setattr(race, "needed", lambda *_: ())
    brute = rank(ask(shots, kit(), "H4/S3", objective, draws=64), flips=False)
    monkeypatch.setattr(race, "needed", lambda *_: race.LOOKS)
    staged = rank(ask(shots, kit(), "H4/S3", objective, draws=64), flips=False)
    assert staged.left_out.count > 20
    assert staged.left_out.count + staged.counts["in_full"] == len(brute.options) == staged.counts["options"]
    best = max(o.value_gain.mean for o in brute.options)
    # At the very edge of a yard the cap of the last look may cut one of many that cannot be told apart.
    near = [o.option.id for o in brute.options if o.value_gain.mean >= best - 0.9 * brute.yard]
    full = {o.option.id: o for o in staged.options}
    assert len(full) == staged.counts["in_full"]
    assert set(near) <= full.keys()
    order = [o.option.id for o in staged.options if o.option.id in near]
    assert order == near
    assert staged.verdict == brute.verdict
    assert sentences.verdict(staged) == sentences.verdict(brute)
    by_id = {o.option.id: o for o in brute.options}
    assert all(shown(o) == shown(by_id[i]) for i, o in full.items())


def shown(s: Scored) -> dict[str, Any]:
    """What is said of an option against the present club alone."""
    among = ("p_best", "tied", "expected_loss")
    explained = ("reasons", "others", "finish", "start_deg", "curve_m", "right_share")
    return {k: v for k, v in vars(s).items() if k not in among + explained}


@pytest.mark.parametrize(("objective", "third"), [("carry", 0), ("play", 1), ("grid", 2)])
def test_what_is_said_of_an_option_does_not_hang_on_what_else_is_computed(
    objective: str, third: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Demo P2, ranked again with a third of its options named among few others: to the last digit."""
    shop, shots = Kit.load(demo.folder()), read(demo.folder() / "P2.csv")
    wanted = goal_for(objective, distance_m=150.0)
    monkeypatch.setattr(race, "needed", lambda *_: race.LOOKS)
    once = rank(ask(shots, shop, "H1/S1", wanted, draws=64), flips=False)
    monkeypatch.setattr(race, "EACH_TIER", 1)
    monkeypatch.setattr(race, "DEVIATIONS", dict.fromkeys(race.DEVIATIONS, 0.0))
    ids = [o.option.id for o in once.options]
    part = ids[third::3]
    again = rank(ask(shots, shop, "H1/S1", wanted, draws=64, named=part), flips=False)
    found = {o.option.id: o for o in again.options}
    assert found.keys() != set(ids)
    assert all(shown(found[o.option.id]) == shown(o) for o in once.options if o.option.id in part)
    assert shown(again.present) == shown(once.present)


def test_a_look_leaves_no_figure_of_what_it_left_out(raced: Ranking) -> None:
    ranking = raced
    told = serialise.ranking(ranking)
    n = told["session"]["in_full"]
    assert n == len(told["options"]) < told["session"]["options"]
    assert told["left_out"] == {
        "count": told["session"]["options"] - n, "behind": ranking.left_out.behind, "unsearched": 0,
        "unit": "m",
    }  # fmt: skip
    assert ranking.left_out.behind > current().value("verdict.screen_margin") * YARD
    assert sum(o["p_best"] for o in (told["present"], *told["options"])) == pytest.approx(1.0)
    values = Values(ranking.objective)
    assert f"{ranking.left_out.count} more options are not shown" in sentences.left_out(ranking, values)
    assert values.at_least(6.99 * YARD) == "6 yd"


def test_the_bound_is_the_smallest_lag_of_any_look() -> None:
    none = race.LeftOut()
    first = none.more(np.array([0.0, 9.0, 3.0, 5.0]), np.array([True, True, False, False]))
    assert first == race.LeftOut(2, 4.0)
    assert first.more(np.array([0.0, 7.0, 5.5]), np.array([True, True, False])) == race.LeftOut(3, 1.5)
    assert first.more(np.array([0.0, 7.0, 1.0]), np.array([True, True, False])) == race.LeftOut(3, 4.0)
    assert first.more(np.array([0.0, 7.0]), np.array([True, True])) == first


def test_best_of_tiers_takes_each_club_once_and_what_is_named() -> None:
    ranking = virtual.ranking()
    best = best_of_tiers(ranking.options)
    assert [s.option.tier for s in best] == sorted({s.option.tier for s in ranking.options})
    for s in best:
        tier = [o.value_gain.mean for o in ranking.options if o.option.tier == s.option.tier]
        assert s.value_gain.mean == max(tier)
    two = best_of_tiers(ranking.options, each=2)
    assert len({s.option.club.code for s in two}) == len(two) > len(best)
    last = min(ranking.options, key=lambda s: s.value_gain.mean)
    assert [s for s in best_of_tiers(ranking.options, also=[last.option.id]) if s not in best] == [last]


def test_a_named_option_is_never_left_out(raced: Ranking, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(race, "needed", lambda *_: race.LOOKS)
    plain = raced
    every = enumerate_options(kit(), present_club(kit(), "H4/S3"))[1:]
    lost = next(o.id for o in every if o.id not in {s.option.id for s in plain.options})
    kept = rank(
        ask(virtual.session(133, 5, 20), kit(), "H4/S3", "carry", draws=64, named=[lost]), flips=False
    )
    assert {s.option.id for s in kept.options} == {s.option.id for s in plain.options} | {lost}
    assert kept.left_out.count == plain.left_out.count - 1
    name = Values.of(kept).name(lost)
    assert name != lost
    assert name[:30] in ranking_text(kept, also=[lost])
    assert name[:30] not in ranking_text(plain)


def test_a_named_option_that_is_not_there() -> None:
    with pytest.raises(InputError, match="There are no such options") as caught:
        rank(ask(virtual.session(112, -1, 12.5), virtual.kit(), "G/R", draws=16, named=["G-1/Q"]))
    assert "G-1/R" in str(caught.value)


def test_a_rough_order_without_figures_comes_before_the_ranking(
    raced: Ranking, rough: list[race.RoughOrder]
) -> None:
    ranking, seen = raced, rough
    assert len(seen) == 1
    assert len(seen[0].options) == ranking.counts["options"]
    assert all(isinstance(o, Option) and o.tier != "-" for o in seen[0].options)
    place = [o.id for o in seen[0].options].index(ranking.verdict.option or "")
    assert place < 50
