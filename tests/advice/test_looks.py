"""Looks with few draws: nothing near the best is lost, and what somebody names stays."""

from __future__ import annotations

import pytest

from fitter.advice import looks
from fitter.advice.rank import rank
from fitter.advice.scored import worth
from fitter.errors import InputError
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.parts import Head, Shaft
from tests.advice import virtual

SESSIONS = ((112, 2, 14, 20, 0), (133, 5, 20, 12, 1), (90, -3, 11, 14, 2), (100, 0, 17, 10, 3))


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


@pytest.mark.parametrize("case", SESSIONS)
@pytest.mark.parametrize("objective", ["carry", "total", "weak", "fairway"])
def test_survivors_and_order_are_those_of_brute_force(
    case: tuple[float, ...], objective: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    speed, attack, loft, n, seed = case
    shots = virtual.session(speed, attack, loft, n=int(n), seed=int(seed))
    monkeypatch.setattr(looks, "needed", lambda *_: ())
    brute = rank(shots, kit(), "H4/S3", objective, draws=64)
    monkeypatch.setattr(looks, "needed", lambda *_: looks.LOOKS)
    staged = rank(shots, kit(), "H4/S3", objective, draws=64)
    assert staged.counts["screened"] > 20
    best = max(o.value_gain.mean for o in brute.options)
    near = [o.option.id for o in brute.options if o.value_gain.mean >= best - worth(brute.objective)]
    full = {o.option.id: o for o in staged.options if not o.screened}
    assert set(near) <= full.keys()
    order = [o.option.id for o in staged.options if o.option.id in near]
    assert order == near
    assert staged.verdict == brute.verdict
    assert all(full[i].value_gain == o.value_gain for o in brute.options if (i := o.option.id) in full)


def test_a_named_option_is_never_screened_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looks, "needed", lambda *_: looks.LOOKS)
    shots = virtual.session(133, 5, 20)
    plain = rank(shots, kit(), "H4/S3", draws=64)
    worst = min((o for o in plain.options if o.screened), key=lambda o: o.value_gain.mean)
    kept = rank(shots, kit(), "H4/S3", draws=64, named=[worst.option.id])
    found = next(o for o in kept.options if o.option.id == worst.option.id)
    assert not found.screened
    assert kept.counts["screened"] == plain.counts["screened"] - 1


def test_a_named_option_that_is_not_there() -> None:
    with pytest.raises(InputError, match="There are no such options") as caught:
        rank(virtual.session(112, -1, 12.5), virtual.kit(), "G/R", draws=16, named=["G-1/Q"])
    assert "G-1/R" in str(caught.value)


def test_a_first_ranking_comes_before_the_full_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looks, "needed", lambda *_: looks.LOOKS)
    seen = []
    ranking = rank(virtual.session(133, 5, 20), kit(), "H4/S3", draws=64, first=seen.append)
    assert len(seen) == 1
    assert len(seen[0].options) == len(ranking.options)
    assert seen[0].counts["draws"] == looks.LOOKS[0].draws
    assert seen[0].verdict.action in ("change", "measure", "test", "keep")
