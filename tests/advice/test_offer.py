"""What is offered: bench work with its effect, the limits of shop and player, and what breaks a rule."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter import demo
from fitter.advice.options import Option, present_club, survey
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.reach import reach
from fitter.advice.response import Changes, Response, Swing, changes
from fitter.base.errors import InputError
from fitter.base.units import DEG, INCH
from fitter.display import serialise
from fitter.display import verdict as sentences
from fitter.display.notes import breach, noted
from fitter.display.ranking import text as ranking_text
from fitter.kit.club import Club
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.mechanics import describe
from fitter.kit.offer import Offer, offer
from fitter.kit.parts import Head, Shaft
from fitter.physics import vectors
from tests.advice import virtual

SWING = Swing(50.0, 5 * DEG, 0.0, 0.0, 13 * DEG)
DRAWS = 32


def by_code(code: str, players: int = 1) -> Changes:
    """Changes of a club of the default bench work against the present one."""
    club = present_club(virtual.kit(), "G/R")
    option = next(o for o in survey(virtual.kit(), club).options if o.id == code)
    here = Option(club.code, "-", club)
    return changes([here, option], club, SWING, Response(2048, 1, players=players))


def speed(found: Changes) -> np.ndarray:
    return found.delivery[:, 1, vectors.CLUB_SPEED] - 1.0


# What bench work does.


def test_the_demo_is_offered_bench_work() -> None:
    kit = Kit.load(demo.folder())
    found = survey(kit, present_club(kit, "H4/S2"))
    new = [o for o in found.options if o.tier == "B"]
    assert len(found.options) == 1 + 437 + 21
    assert len(new) == 21
    assert {(o.club.head.code, o.club.shaft.code, o.ball_forward_mm, o.availability) for o in new} == {
        ("H4", "S2", 0.0, "in hand")
    }


def test_half_an_inch_is_a_third_of_a_mile_an_hour_with_an_interval() -> None:
    # Kenny, Wallace & Otto 2008, Sports Biomech. 7, 322-332: +1.8 m/s of ball speed for 4 in, about +0.7 mph
    # of club speed an inch (C), 0.33 % for half an inch at 105 mph; strike scatter +4 % an inch (judgement).
    longer, shorter = by_code("G/R 45.75in"), by_code("G/R 44.75in")
    assert speed(longer).mean() == pytest.approx(0.0035, abs=0.0006)
    assert longer.delivery[:, 1, vectors.SCATTER].mean() == pytest.approx(1.02, abs=0.003)
    # A step back undoes it, in every draw, for one player: the bench cuts exactly, whatever the length reads.
    assert np.allclose(speed(longer), -speed(shorter), atol=3e-4)
    # One player in five finds less than nothing: his own answer is half of that to another shaft.
    assert 0.0015 < speed(longer).std() < 0.0035
    assert 0.2 * DEG < longer.delivery[:, 1, vectors.LOFT].std() < 0.5 * DEG
    assert by_code("G/R 45.75in", players=25).delivery[:, 1, vectors.LOFT].std() < 0.1 * DEG


def test_four_grams_at_the_head_are_slower_as_published() -> None:
    # MacKenzie, Ryan & Rice 2015, doi 10.1123/ijgs.2015-0011 (Q): 174 -> 200 g, about -2.7 of 105 mph, so
    # -0.4 % for 4 g; the inertia exponent comes from that trial, so this is no independent check.
    found = by_code("G/R 45.25in +4g", players=18)
    assert speed(found).mean() == pytest.approx(-0.004, abs=0.001)
    assert np.quantile(speed(found), 0.9) < 0.0
    # A moment-of-inertia table (C): +1 g at the head is +0.60 point and +12.5 kg cm2.
    m = found.centre
    assert m.points[0, 1] - m.points[0, 0] == pytest.approx(4 * 0.60, rel=0.05)
    assert m.moi[0, 1] - m.moi[0, 0] == pytest.approx(4 * 12.5, rel=0.05)
    assert m.head_mass[0, 1] - m.head_mass[0, 0] == pytest.approx(0.004)


def test_a_lighter_grip_moves_the_swing_weight_and_hardly_the_speed() -> None:
    # The same table (C): +10 g of grip is -1.9 points but +2 kg cm2: speed follows inertia, not swing weight.
    found = by_code("G/R 45.25in grip40g", players=10_000)
    step = found.centre
    grams = (step.mass[0, 1] - step.mass[0, 0]) * 1e3
    assert step.points[0, 1] - step.points[0, 0] == pytest.approx(-0.19 * grams, rel=0.1)
    assert step.moi[0, 1] - step.moi[0, 0] == pytest.approx(0.2 * grams, rel=0.3)
    assert abs(speed(found).mean()) < 0.0005


def test_a_tip_weight_sits_in_the_hosel() -> None:
    club = present_club(virtual.kit(), "G/R")
    plain, tip, head = club, replace(club, tip_weight_g=6.0), replace(club, swap_g=6.0)
    m = describe([plain, tip, head], 46.0)
    assert m.head_mass[0] * 1e3 == pytest.approx([200.0, 206.0, 206.0])
    # On the shaft's axis above the mass centre: the mass centre moves to the heel, up and forward, and the
    # tensor grows; tape at the mass centre moves and turns nothing.
    assert m.cg_toe[0, 1] < m.cg_toe[0, 0] - 0.5e-3
    assert m.cg_up[0, 1] > m.cg_up[0, 0] + 0.5e-3
    assert (m.tensor[0, 1, :3] > m.tensor[0, 0, :3]).all()
    assert m.cg_toe[0, 2] == pytest.approx(m.cg_toe[0, 0])
    # The moment about the toe of the joined body, by hand: lever of the weight times its share of the mass.
    known = club.head
    axis = known.figure("shaft_axis_mm").value
    lie = known.figure("lie_deg").value * DEG
    lever = -axis - 35.0 * np.cos(lie)
    assert (m.cg_toe[0, 1] - m.cg_toe[0, 0]) * 1e3 == pytest.approx(lever * 6.0 / 206.0, rel=1e-6)
    # It lies nearer the hands than the head's mass centre, so it weighs less on the scale.
    assert m.points[0, 0] < m.points[0, 1] < m.points[0, 2]
    assert m.moi[0, 0] < m.moi[0, 1] < m.moi[0, 2]


def test_a_cut_is_exact_however_well_the_length_was_read() -> None:
    read = Club(Head("H"), Shaft("S"), Reading(45.0, 0.4))
    found = survey(Kit((), ()), read, Offer(length_steps_in=(-0.5,))).options
    m = describe([o.club for o in found], 46.0, 64)
    steps = (m.length[:, 1] - m.length[:, 0]) / INCH
    assert m.length[:, 0].std() / INCH > 0.2
    assert steps == pytest.approx(-0.5, abs=1e-9)


# The limits.


@pytest.fixture(scope="module")
def shop() -> Kit:
    heads = (
        replace(virtual.kit().head("G"), price=300.0),
        replace(virtual.kit().head("LOW"), price=350.0, stock="order"),
        replace(virtual.kit().head("UP"), price=None),
        Head("HOT", loft_deg=Reading(8.5, 0.3), mass_g=Reading(200.0), ct_us=Reading(300.0), price=100.0),
    )
    return Kit(heads, tuple(replace(s, price=90.0) for s in virtual.kit().shafts), "made up")


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        ({"stock": ("rack", "today")}, "not in the stock asked for"),
        ({"budget": 320.0}, "over the budget"),
        ({"budget": 320.0}, "of no known price"),
        ({"tiers": ("A", "B", "C")}, "in a tier that is not asked for"),
        ({"without_shafts": ("X",)}, "with a shaft that is not wanted"),
        ({"without_heads": ("LOW", "UP")}, "with a head that is not wanted"),
    ],
)
def test_a_limit_holds_and_the_ranking_says_so(shop: Kit, limit: dict[str, object], words: str) -> None:
    asked = offer(ball_mm=(), tee_mm=(), **limit)
    ranking = rank(ask(virtual.session(133, 5, 20), shop, "G/R", draws=DRAWS, offer=asked))
    told = serialise.ranking(ranking)
    assert sum(told["not_offered"].values()) > 0
    assert any(words in note for note in told["session"]["notes"])
    assert words in " ".join(ranking_text(ranking).split())
    for s in (*ranking.options, *ranking.breaches):
        o = s.option
        bought = {o.club.head.code, o.club.shaft.code} - {"G", "R"}
        assert o.tier in asked.tiers
        assert not bought & {*asked.without_heads, *asked.without_shafts}
        assert asked.budget is None or (o.price is not None and o.price <= asked.budget)
        assert "order" in asked.stock or o.availability != "to order"


def test_without_a_limit_nothing_is_said_to_be_left_out(shop: Kit) -> None:
    asked = offer(any_shaft=True)
    ranking = rank(ask(virtual.session(133, 5, 20), shop, "G/R", draws=DRAWS, offer=asked))
    assert ranking.not_offered == {}
    assert not any(note.code == "left out" for note in ranking.notes)


def test_limits_that_leave_nothing_keep_the_club(shop: Kit) -> None:
    nothing = Offer(tiers=("E",), budget=0.0)
    found = rank(ask(virtual.session(133, 5, 20), shop, "G/R", draws=DRAWS, offer=nothing))
    assert (found.verdict.action, found.options) == ("keep", ())
    assert "nothing else is offered" in sentences.verdict(found)


def test_reach_keeps_to_the_limits(shop: Kit) -> None:
    shots = virtual.session(133, 5, 20)
    free = reach(ask(shots, shop, "G/R", draws=DRAWS), 330.0)
    bound = reach(ask(shots, shop, "G/R", draws=DRAWS, offer=offer(tiers=("A",))), 330.0)
    assert free.best is not None
    assert free.best.option.split("/")[0] in ("LOW", "UP")
    assert bound.best is None or bound.best.option.startswith("G")
    assert any("left out by the limits" in note for note in noted(bound.notes))


def test_a_part_that_the_kit_lacks_is_refused(shop: Kit) -> None:
    with pytest.raises(InputError) as found:
        rank(ask(virtual.session(133, 5, 20), shop, "G/R", draws=DRAWS, offer=offer(without_shafts=("Q",))))
    assert [p.where for p in found.value.problems] == ["--without-shaft"]


# What breaks a rule.


def test_what_breaks_a_rule_is_shown_and_never_named(shop: Kit) -> None:
    shots = virtual.session(133, 5, 20)
    strict = rank(ask(shots, shop, "G/R", "carry", draws=64))
    assert "HOT" not in {s.option.club.head.code for s in strict.options}
    assert {s.option.club.head.code for s in strict.breaches} == {"HOT"}
    assert all("characteristic time" in s.option.rules[0].name for s in strict.breaches)
    assert not any(s.tied or s.p_best for s in strict.breaches)
    # It would be the longest, so that whoever may name it does.
    assert strict.breaches[0].value_gain.mean > max(s.value_gain.mean for s in strict.options)
    told = serialise.ranking(strict)
    assert "HOT" not in (told["verdict"]["option"] or "")
    assert not any("HOT" in step["action"] for step in told["next"])
    assert told["breaches"][0]["rules"] == [breach(f) for f in strict.breaches[0].option.rules]
    words = ranking_text(strict)
    assert "HOT" in words
    assert "never recommended" in words
    assert "Equipment Rules Part 2, 4c" in words
    free = rank(ask(shots, shop, "G/R", "carry", draws=64, offer=offer(allow_breaches=True)))
    assert free.breaches == ()
    # It does not beat what costs nothing by what a head has to bring, so that it is not named all the same.
    assert max(free.options, key=lambda s: s.value_gain.mean).option.club.head.code == "HOT"
    # The same draws, whether it may be recommended or not.
    same = {s.option.id: s.value_gain for s in free.options}
    first = strict.breaches[0]
    assert same[first.option.id] == pytest.approx(first.value_gain, abs=1e-9)


def test_the_local_length_rule_bars_a_longer_club() -> None:
    kit = virtual.kit()
    long = Club(kit.head("G"), kit.shaft("R"), Reading(45.75))
    free = survey(kit, long)
    bound = survey(kit, long, offer(local_length_rule=True))
    assert "G/R 46.25in" in {o.id for o in free.options}
    assert "G/R 46.25in" in {o.id for o in bound.barred}
    assert "G-10" in next(o for o in bound.barred if o.id == "G/R 46.25in").rules[0].section


def test_a_present_club_that_breaks_a_rule_is_told(shop: Kit) -> None:
    ranking = rank(ask(virtual.session(133, 5, 20), shop, "HOT/R", draws=DRAWS))
    assert any("present club breaks a rule" in note for note in noted(ranking.notes))
    assert "A" not in {s.option.tier for s in ranking.options}


def test_what_is_out_of_the_ordinary_is_told_with_the_ranking(shop: Kit) -> None:
    heavy = replace(shop.head("LOW"), mass_g=Reading(260.0), stock="rack")
    kit = replace(shop, heads=(shop.head("G"), heavy))
    ranking = rank(ask(virtual.session(133, 5, 20), kit, "G/R", draws=DRAWS), flips=False)
    told = [n for n in noted(ranking.notes) if "260 g" in n]
    assert told
    assert "head LOW, column 'mass_g'" in told[0]
    plain = rank(ask(virtual.session(133, 5, 20), shop, "G/R", draws=DRAWS), flips=False)
    assert "odd" not in [note.code for note in plain.notes]
