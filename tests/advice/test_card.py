"""A walk-in's club is in nobody's inventory: a ranking from its card, and from nothing at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.kit.inventory import Kit
from tests.advice import virtual
from tests.kit.test_club import write


def test_a_card_alone_ranks_what_the_shop_has(tmp_path: Path) -> None:
    ranking = rank(ask(virtual.session(112, -1, 12.5), virtual.kit(), str(write(tmp_path)), draws=64))
    assert ranking.present.option.club.head.code not in {h.code for h in virtual.kit().heads}
    assert ranking.present.value_gain.mean == 0.0
    tiers = {o.option.tier for o in ranking.options}
    assert {"A", "C", "D", "E"} <= tiers
    # Its own sleeve and movable weight cost nothing.
    own = [o for o in ranking.options if o.option.tier == "A" and o.option.club.place == ""]
    assert own


def test_a_card_without_a_kit_still_offers_its_own_settings(tmp_path: Path) -> None:
    ranking = rank(ask(virtual.session(112, -1, 12.5), Kit((), ()), str(write(tmp_path)), draws=64))
    assert {o.option.tier for o in ranking.options} == {"A", "B"}


def test_unknown_parts_are_offered_in_no_other_club() -> None:
    ranking = virtual.ranking((112, -1, 12.5), present="unknown")
    assert {o.option.tier for o in ranking.options} == {"A", "B", "E"}
    known = virtual.ranking((112, -1, 12.5))
    wide, narrow = (
        next(o.carry_gain.high - o.carry_gain.low for o in r.options if o.option.id == "UP/X 45.25in")
        for r in (ranking, known)
    )
    assert wide > 1.3 * narrow
    assert ranking.verdict.action in ("keep", "test")
    assert any(note.code == "present unknown" for note in ranking.notes)


@pytest.mark.parametrize("tier", ["A", "C", "D", "E"])
def test_every_option_says_where_it_is(tier: str) -> None:
    ranking = virtual.ranking((112, -1, 12.5), draws=16)
    found = {o.option.availability for o in ranking.options if o.option.tier == tier}
    assert found == ({"in hand"} if tier == "A" else {"in the rack"})
