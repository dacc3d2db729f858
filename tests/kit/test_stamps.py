"""What a stamp is worth: partial pooling over a shop's gauged heads, shared by those that nobody gauged."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fitter.advice.audit import check_kit
from fitter.advice.options import Option
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.units import DEG, Units
from fitter.display.bench import audit
from fitter.kit.card import card_club
from fitter.kit.club import Club
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.mechanics import describe
from fitter.kit.parts import Head, Shaft
from fitter.kit.stamps import worth
from tests.advice import virtual

SHAFT = Shaft("S", mass_g=Reading(60.0), length_in=Reading(46.0))


def kit(errors: list[float], stamped: int = 2) -> Kit:
    """Heads that carry a stamp and a gauge with such errors, and some that are only stamped."""
    both = [Head(f"G{i}", Reading(10.0), Reading(10.0 + e, 0.3)) for i, e in enumerate(errors)]
    return Kit((*both, *(Head(f"S{i}", Reading(10.0)) for i in range(stamped))), (SHAFT,))


def test_without_gauged_heads_a_stamp_is_worth_what_is_published() -> None:
    # Seventeen heads of 2008 (Q): +0.96, SD 1.0
    figure = kit([]).head("S0").figure("loft_deg")
    assert figure == pytest.approx((10.96, 1.0, False))
    assert Head("X", Reading(10.0)).figure("loft_deg") == pytest.approx((10.96, 1.0, False))


def test_gauged_heads_pull_the_shops_mean() -> None:
    # Closed form: between and within each of variance 0.5, gauges of 0.3; precision 2 + n/0.59
    errors = [0.2, 0.3, 0.1, 0.4]
    found = worth([Reading(e, 0.3) for e in errors])
    precision = 2.0 + 4 / 0.59
    assert found.value == pytest.approx((2.0 * 0.96 + sum(errors) / 0.59) / precision)
    assert found.shared == pytest.approx(precision**-0.5)
    assert found.own == pytest.approx(0.5**0.5)
    figure = kit(errors).head("S0").figure("loft_deg")
    assert figure.value == pytest.approx(10.0 + found.value)
    assert figure.sd == pytest.approx(found.sd)
    # However many were gauged, the own error of a head stays.
    assert worth([Reading(0.3, 0.3)] * 200).sd == pytest.approx(0.5**0.5, rel=0.01)


def test_what_stamps_share_is_drawn_once() -> None:
    shop = kit([0.3], stamped=2)
    clubs = [Club(shop.head(code), SHAFT, Reading(45.25)) for code in ("S0", "S1", "G0")]
    loft = describe(clubs, 45.0, 2048, 1).loft / DEG
    expected = worth([Reading(0.3, 0.3)])
    assert loft[:, 0].std() == pytest.approx(expected.sd, rel=0.03)
    both = float(np.corrcoef(loft[:, 0], loft[:, 1])[0, 1])
    assert both == pytest.approx(expected.shared**2 / expected.sd**2, abs=0.05)
    assert abs(np.corrcoef(loft[:, 0], loft[:, 2])[0, 1]) < 0.06


def stamped_card() -> Club:
    return card_club({"code": "P", "stamped": {"loft_deg": 9.5}}, "roster, row 2", "P")


def test_a_stamp_in_a_roster_or_card_is_gauged_before_a_head_is_bought() -> None:
    # The same player and shop: the stamped present loft could turn the choice, the gauged one not
    session = virtual.session(95, -3, 11)
    shop = Kit((Head("UP", loft_deg=Reading(12.5, 0.3), mass_g=Reading(200.0)),), virtual.kit().shafts)
    gauged = card_club({"code": "P", "measured": {"loft_deg": 10.46}}, "card", "P")
    for club, action in ((stamped_card(), ("measure",)), (gauged, ("change", "trade"))):
        found = rank(ask(session, shop, club, "carry", draws=256), flips=False)
        assert found.verdict.action in action, (found.verdict, found.verdict.about)
        if "measure" in action:
            assert found.verdict.why == "loft decides"
            assert found.verdict.heads == ("unknown",)
            assert any(s.kind == "loft gauge" for s in found.next)


def test_a_checked_kit_says_what_its_stamps_are_worth(tmp_path: Path) -> None:
    (tmp_path / "heads.csv").write_text("head,stamped_loft_deg,loft_deg\nA,10,10.2\nB,9,9.4\nC,12,\n")
    found = check_kit(tmp_path)
    expected = worth([Reading(0.2, 0.3), Reading(0.4, 0.3)])
    assert (found.stamps_gauged, found.stamp_error_deg) == (2, pytest.approx(expected.value))
    said = f"off by {expected.value:+.1f} +- {expected.sd:.1f} deg"
    assert said in audit(found, Units())


def test_the_draws_of_a_reading_are_those_of_the_ranking() -> None:
    from fitter.advice.audit import LOFT, unknowns

    shop = kit([0.3], stamped=1)
    club = Club(shop.head("S0"), SHAFT, Reading(45.25))
    (told,) = (u for u in unknowns([Option("x", "-", club).club], 128, 3) if u.missing.figure == LOFT)
    drawn = describe([club], 45.0, 128, 3).loft[:, 0] / DEG
    assert told.drawn[:, 0] == pytest.approx(drawn - shop.head("S0").figure("loft_deg").value)
