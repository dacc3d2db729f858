"""Candidates respect stock, fits, rules and tiers, whatever the kit is."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitter.errors import InputError
from fitter.kit.card import card_club
from fitter.kit.catalogue import TIERS, candidates, tier_of
from fitter.kit.club import Club, present
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
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
    found = candidates(
        kit, now, stock=stock, local_length_rule=local, length_steps_in=(-0.5, 0.5), grips_g=(60.0,)
    )
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
        assert c.rules == ()
        assert club.length_in.value <= (46.0 if local else 48.0)
        moi = club.head.moi_vertical_gcm2
        assert moi is None or moi.value <= 6000
        assert (club.loft_change_deg, club.lie_change_deg) in club.head.positions
        if c.tier == "A":
            assert (club.length_in, club.swap_g) == (now.length_in, now.swap_g)
    everything = candidates(kit, now, stock=stock, allow_breaches=True, local_length_rule=local)
    assert {c.club.code for c in everything if not c.rules} >= {
        c.club.code for c in candidates(kit, now, stock=stock, local_length_rule=local)
    }


def test_own_head_and_shaft_are_in_every_tier_they_fit() -> None:
    kit = Kit((Head("H1", loft_deg=Reading(9.0)),), (Shaft("S1"),))
    found = candidates(kit, CARD, length_steps_in=(-0.5,))
    assert {c.tier for c in found} == set(TIERS)
    assert {(c.club.head.head, c.club.shaft.shaft) for c in found if c.tier in "CD"} == {
        ("P1", "S1"),
        ("H1", "P1"),
    }
    only_a = candidates(kit, CARD, tiers=("A",))
    assert [c.club.loft_change_deg for c in only_a] == [-1.0, 1.0]


def test_places_and_weights_are_offered() -> None:
    places = (Place("heel", -40, -15, 60), Place("toe", 40, -15, 60))
    head = Head("H1", loft_deg=Reading(9.0), weight_g=Reading(10.0), weights=places, swaps_g=(4.0,))
    kit = Kit((head,), (Shaft("S1"),))
    now = Club(head, kit.shafts[0], Reading(45.25))
    found = candidates(kit, now)
    assert {(c.club.place, c.club.swap_g, c.tier) for c in found} == {
        ("toe", 0.0, "A"),
        ("", 4.0, "B"),
        ("toe", 4.0, "B"),
    }


def test_an_unknown_club_lends_no_parts() -> None:
    kit = Kit((Head("H1", loft_deg=Reading(9.0)),), (Shaft("S1"),))
    found = candidates(kit, present("unknown"), length_steps_in=(-0.5,))
    assert {c.tier for c in found} == {"B", "E"}
    assert {c.tier: c.club.known for c in found} == {"B": False, "E": True}


def test_unknown_words_are_refused() -> None:
    kit = Kit((), ())
    with pytest.raises(InputError, match="rack, today, order"):
        candidates(kit, CARD, stock=["shelf"])
    with pytest.raises(InputError, match="A, B, C, D, E"):
        candidates(kit, CARD, tiers=["F"])  # type: ignore[list-item]


def test_a_card_may_not_hide_a_part_of_the_kit() -> None:
    card = card_club({"code": "H1", "measured": {"length_in": 45.0}})
    with pytest.raises(InputError, match="Change code in the card"):
        candidates(Kit((Head("H1", loft_deg=Reading(9.0)),), ()), card)
