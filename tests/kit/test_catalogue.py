"""Candidates respect stock, fits, rules and tiers, whatever the kit is."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitter.base.errors import InputError
from fitter.kit.card import card_club
from fitter.kit.catalogue import candidates, tier_of
from fitter.kit.club import Club, unknown_club
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import TIERS, Offer
from fitter.kit.parts import STOCK, Head, Place, Shaft

shaft_codes = ("S1", "S2", "S3")
heads = st.builds(
    lambda i, loft, settings, fits, stock, swaps, price: Head(
        f"H{i}",
        loft_deg=Reading(loft),
        settings=tuple(sorted({0.0, *settings})),
        fits=tuple(fits),
        stock=stock,
        swaps_g=tuple(swaps),
        price=price,
        moi_vertical_gcm2=Reading(5000.0 + 700.0 * i),
    ),
    st.integers(1, 3),
    st.floats(8, 12),
    st.lists(st.sampled_from([-1.0, 1.0, 2.0]), max_size=2),
    st.lists(st.sampled_from([*shaft_codes, "T35"]), max_size=2),
    st.sampled_from(STOCK),
    st.lists(st.sampled_from([-4.0, 4.0]), max_size=2, unique=True),
    st.one_of(st.none(), st.floats(1, 900)),
)
shafts = st.builds(
    lambda code, lengths, tip, stock: Shaft(code, playing_in=tuple(lengths), tip=tip, stock=stock),
    st.sampled_from(shaft_codes),
    st.lists(st.sampled_from([44.5, 45.0, 45.5, 46.5, 48.5]), max_size=2, unique=True),
    st.sampled_from(["", "T35"]),
    st.sampled_from(STOCK),
)
kits = st.builds(
    lambda h, s: Kit(tuple({x.head: x for x in h}.values()), tuple({x.shaft: x for x in s}.values())),
    st.lists(heads, max_size=3),
    st.lists(shafts, max_size=3),
)
CARD = card_club({"code": "P1", "settings": [-1, 0, 1], "measured": {"length_in": 45.5, "loft_deg": 10.4}})


@settings(deadline=None, max_examples=60)
@given(kits, st.sets(st.sampled_from(STOCK), min_size=1), st.booleans(), st.booleans())
def test_candidates_respect_the_shop(kit: Kit, stock: set[str], local: bool, own: bool) -> None:
    now = CARD
    if own and kit.heads and kit.shafts and kit.heads[0].takes(kit.shafts[0]):
        now = Club(kit.heads[0], kit.shafts[0], Reading(45.0))
    bench = {"length_steps_in": (-0.5, 0.5), "grips_g": (60.0,)}
    offer = Offer(stock=tuple(stock), local_length_rule=local, **bench)  # type: ignore[arg-type]
    catalogue = candidates(kit, now, offer)
    found = catalogue.clubs
    codes = [c.club.code for c in found]
    assert len(set(codes)) == len(codes)
    assert now.code not in codes
    assert [c.tier for c in found] == sorted(c.tier for c in found)
    for c in found:
        club = c.club
        new_head, new_shaft = club.head.head != now.head.head, club.shaft.shaft != now.shaft.shaft
        assert c.tier == tier_of(club, now)
        assert (c.tier in "DE") == new_head
        assert (c.tier in "CE") == new_shaft
        bought = [p for p, new in ((club.head, new_head), (club.shaft, new_shaft)) if new]
        assert all(p.stock in stock for p in bought)
        if bought:
            assert club.head.takes(club.shaft)
            assert STOCK.index(c.availability) == max(STOCK.index(p.stock) for p in bought)
            if c.price is not None:
                assert c.price == sum(p.price for p in bought)
        else:
            assert c.price == 0
        # Equipment Rules Part 2, 1c; Model Local Rule G-10; Part 2, 4b(i)
        moi = club.head.moi_vertical_gcm2
        legal = club.length_in.value <= (46.0 if local else 48.0) and (moi is None or moi.value <= 6000)
        assert (c.rules == ()) == legal
        assert (club.loft_change_deg, club.lie_change_deg) in club.head.positions
        if c.tier == "A":
            assert (club.length_in, club.swap_g) == (now.length_in, now.swap_g)
    # What the stock leaves out is counted, club by club.
    everything = candidates(kit, now, Offer(local_length_rule=local, **bench)).clubs  # type: ignore[arg-type]
    assert len(everything) == len(found) + sum(catalogue.left_out.values())
    assert catalogue.left_out.keys() <= {"stock"}


def test_own_head_and_shaft_are_in_every_tier_they_fit() -> None:
    kit = Kit((Head("H1", loft_deg=Reading(9.0)),), (Shaft("S1"),))
    found = candidates(kit, CARD, Offer(length_steps_in=(-0.5,))).clubs
    assert {c.tier for c in found} == set(TIERS)
    assert {(c.club.head.head, c.club.shaft.shaft) for c in found if c.tier in "CD"} == {
        ("P1", "S1"),
        ("H1", "P1"),
    }
    only_a = candidates(kit, CARD, Offer(tiers=("A",))).clubs
    assert [c.club.loft_change_deg for c in only_a] == [-1.0, 1.0]


def test_places_and_weights_are_offered() -> None:
    places = (Place("heel", -40, -15, 60), Place("toe", 40, -15, 60))
    head = Head("H1", loft_deg=Reading(9.0), weight_g=Reading(10.0), weights=places, swaps_g=(4.0,))
    kit = Kit((head,), (Shaft("S1"),))
    now = Club(head, kit.shafts[0], Reading(45.25))
    found = candidates(kit, now, Offer()).clubs
    assert {(c.club.place, c.club.swap_g, c.tier) for c in found} == {
        ("toe", 0.0, "A"),
        ("", 4.0, "B"),
        ("toe", 4.0, "B"),
    }


def test_an_unknown_club_lends_no_parts() -> None:
    kit = Kit((Head("H1", loft_deg=Reading(9.0)),), (Shaft("S1"),))
    found = candidates(kit, unknown_club(), Offer(length_steps_in=(-0.5,))).clubs
    assert {c.tier for c in found} == {"B", "E"}
    assert {c.tier: c.club.known for c in found} == {"B": False, "E": True}


def test_unknown_words_are_refused_all_at_once() -> None:
    with pytest.raises(InputError) as found:
        Offer(stock=("shelf",), tiers=("F",), budget=-1.0, length_steps_in=(0.5, 7.0))
    assert [p.where for p in found.value.problems] == ["--stock", "--tiers", "--length-steps", "--budget"]
    with pytest.raises(InputError) as found:
        candidates(
            Kit((Head("H1"),), (Shaft("S1"),)), CARD, Offer(without_heads=("H9",), without_shafts=("X",))
        )
    assert [(p.where, p.allowed) for p in found.value.problems] == [
        ("--without-head", "H1"),
        ("--without-shaft", "S1"),
    ]


def test_a_card_may_not_hide_a_part_of_the_kit() -> None:
    card = card_club({"code": "H1", "measured": {"length_in": 45.0}})
    with pytest.raises(InputError, match="Change code in the card"):
        candidates(Kit((Head("H1", loft_deg=Reading(9.0)),), ()), card, Offer())


SHOP = Kit(
    (Head("H1", loft_deg=Reading(9.0), price=300.0), Head("H2", loft_deg=Reading(10.0), stock="order")),
    (Shaft("S1", price=90.0), Shaft("S2", price=150.0, stock="today")),
)


@pytest.mark.parametrize(
    ("limit", "reasons"),
    [
        # Besides the card's sleeve: its head on S1 and S2 in three positions; H1 and H2 on each shaft.
        ({"stock": ("rack",)}, {"stock": 7}),
        ({"tiers": ("A", "C")}, {"tier": 6}),
        ({"without_shafts": ("S2",)}, {"shaft": 5}),
        ({"without_heads": ("H1",)}, {"head": 3}),
        # H2 has no price: it counts apart from what is too dear.
        ({"budget": 350.0}, {"budget": 2, "price": 3}),
    ],
)
def test_each_limit_counts_what_it_leaves_out(limit: dict[str, object], reasons: dict[str, int]) -> None:
    every = candidates(SHOP, CARD, Offer()).clubs
    found = candidates(SHOP, CARD, Offer(**limit))  # type: ignore[arg-type]
    assert found.left_out == reasons
    assert len(found.clubs) == len(every) - sum(reasons.values())


def test_bench_work_keeps_to_the_present_parts_and_does_not_multiply() -> None:
    bench = Offer(length_steps_in=(-0.5, 0.5), added_g=(4.0,), grips_g=(40.0,), tips_g=(4.0,))
    plain, worked = candidates(SHOP, CARD, Offer()).clubs, candidates(SHOP, CARD, bench).clubs
    new = [c for c in worked if c.tier == "B"]
    # Seven at each of three sleeves: two lengths, each without and with 4 g; 4 g; grip; tip weight.
    assert len(new) == 21
    assert len(worked) == len(plain) + 21
    assert {(c.club.head.head, c.club.shaft.shaft) for c in new} == {("P1", "P1")}
    assert "P1/P1 45in +4g" in {c.club.code for c in new}
    assert "P1/P1 45.5in tip+4g" in {c.club.code for c in new}
