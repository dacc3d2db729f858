"""Reading visits: order, hands, too few balls, the anchor's balls out of a log."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from fitter.base.errors import DataError, InputError
from fitter.kit.club import from_kit
from fitter.progress.visits import of_club, read
from tests.advice import virtual
from tests.progress import made


def test_visits_stand_in_the_order_of_their_days() -> None:
    found = read([made.hit(2), made.hit(0), made.hit(1)])
    assert [v.day for v in found] == list(made.DAYS[:3])
    assert [v.main.visit for v in found] == [0, 1, 2]


def test_every_fault_is_told_at_once() -> None:
    few = replace(made.hit(0), session=made.session(n=3))
    left = made.mirrored(made.hit(1))
    with pytest.raises(DataError) as caught:
        read([made.hit(2), few, left])
    said = [str(p) for p in caught.value.problems]
    assert any("3 balls" in s and "at least 5" in s for s in said)
    assert sum("-handed" in s for s in said) == 1


def test_no_visits_are_refused() -> None:
    with pytest.raises(DataError, match="Add a visit"):
        read([])


def test_a_needed_channel_is_asked_for() -> None:
    shots = made.session()
    bare = replace(shots, values=MappingProxyType({k: v for k, v in shots.values.items() if k != "spin_rpm"}))
    with pytest.raises(InputError, match="spin"):
        read([replace(made.hit(0), session=bare)])


def test_balls_of_the_anchor_are_found_by_their_label() -> None:
    shots = made.session(n=6)
    words = ("G/R", "G/R", "UP/R", "g/r", "UP/R", "")
    labelled = replace(shots, words=MappingProxyType({"build": words}))
    club = from_kit(virtual.kit(), "G/R")
    found = of_club(labelled, virtual.kit(), club, "G/R")
    assert found is not None
    assert found.shot.tolist() == [1, 2, 4]
    assert of_club(labelled, virtual.kit(), from_kit(virtual.kit(), "LOW/X"), "LOW/X") is None


def test_an_anchor_of_too_few_balls_tells_nothing() -> None:
    anchor = from_kit(virtual.kit(), "G/R")
    hits = [
        made.hit(0),
        made.hit(1, club="UP/R", anchor=made.session(n=6, seed=9), anchor_club=anchor),
        made.hit(2, club="UP/R", anchor=made.session(n=3, seed=9), anchor_club=anchor),
        made.hit(3, anchor=made.session(n=6, seed=9), anchor_club=anchor),
    ]
    found = read(hits)
    assert [v.anchor is not None for v in found] == [False, True, False, False]
    assert found[1].with_club(anchor.code) is found[1].anchor
    assert found[3].with_club(anchor.code) is found[3].main
    assert found[2].with_club(anchor.code) is None


def test_channels_that_were_not_measured_stay_empty() -> None:
    shots = made.session()
    bare = replace(shots, values=MappingProxyType({k: v for k, v in shots.values.items() if k != "carry_m"}))
    group = read([replace(made.hit(0), session=bare)])[0].main
    assert np.isnan(group.carry).all()
