"""Figures of a visit and the smallest change that is believed."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from fitter.base.conditions import Conditions
from fitter.progress.figures import DETECTABLE, NAMES, Figure, believable, drawn_figures
from fitter.progress.joint import Together, together
from fitter.progress.visits import Hit, read
from tests.progress import made

STANDARD = Conditions()


def drawn(*hits: Hit, n: int = 256) -> Together:
    return together([v.main for v in read(list(hits))], n, 1)


def test_the_figures_are_those_of_the_balls() -> None:
    hit = made.hit(0, seed=2)
    values = hit.session.values
    found = {k: Figure.of(v) for k, v in drawn_figures(drawn(hit), 0, STANDARD, 1).items()}
    assert list(found) == list(NAMES)
    for name, channel in (
        ("club_speed_mps", "club_speed_mps"),
        ("attack_deg", "attack_deg"),
        ("carry_m", "carry_m"),
    ):
        mean = float(np.mean(values[channel]))
        assert found[name].low <= mean <= found[name].high, name
    ratio = float(np.mean(values["ball_speed_mps"] / values["club_speed_mps"]))
    assert found["ratio"].low <= ratio <= found["ratio"].high
    assert found["weak_m"].value < found["carry_m"].value
    assert found["club_speed_mps"].value < found["peak_speed_mps"].value
    # One in five of these balls is shorter.
    assert found["weak_m"].value == pytest.approx(np.quantile(values["carry_m"], 0.2), abs=1.5)


def test_one_air_for_all() -> None:
    """The same swings in frost and in summer: as measured far apart, in one air alike."""
    cold, hot = Conditions(temperature_c=0.0, pressure_pa=103500.0), Conditions(temperature_c=35.0)
    hits = [made.hit(0, seed=3, measured_in=cold), made.hit(1, seed=3, measured_in=hot)]
    carry = [float(h.session.values["carry_m"].mean()) for h in hits]
    assert carry[1] - carry[0] > 6.0
    both = drawn(*hits)
    figures = [drawn_figures(both, k, STANDARD, 1)["carry_m"] for k in (0, 1)]
    assert figures[1].mean() == pytest.approx(figures[0].mean(), abs=1.2)


def test_without_a_measured_carry_it_is_flown() -> None:
    hit = made.hit(0, seed=2)
    bare = {k: v for k, v in hit.session.values.items() if k != "carry_m"}
    blind = replace(hit, session=replace(hit.session, values=MappingProxyType(bare)))
    found = drawn_figures(drawn(blind), 0, STANDARD, 1)["carry_m"]
    assert found.mean() == pytest.approx(float(hit.session.values["carry_m"].mean()), rel=0.04)


def test_a_change_has_to_exceed_balls_and_form() -> None:
    hits = [made.hit(0, seed=3), made.hit(1, seed=4)]
    both = drawn(*hits)
    one, other = (drawn_figures(both, k, STANDARD, 1) for k in (0, 1))
    least = believable(one, other)
    # Closed form of the speed's: form of 0.8 % on either day, and what the draws leave of the difference.
    speed = 0.5 * float(one["club_speed_mps"].mean() + other["club_speed_mps"].mean())
    variance = float((other["club_speed_mps"] - one["club_speed_mps"]).var()) + 2.0 * (0.008 * speed) ** 2
    assert least["club_speed_mps"] == pytest.approx(DETECTABLE * np.sqrt(variance))
    assert DETECTABLE * np.sqrt(2.0) * 0.008 * speed < least["club_speed_mps"] < 0.05 * speed
    # What was told of no form has none.
    assert least["across_mm"] == pytest.approx(
        DETECTABLE * float((other["across_mm"] - one["across_mm"]).std())
    )


def test_more_balls_make_no_better_peak() -> None:
    """Players of one level, 8 balls and 40: the peaks as hit part, the corrected ones do not."""
    corrected, hit = [], []
    for seed in range(6):
        hits = [
            replace(made.hit(0), session=made.session(n=8, seed=seed)),
            replace(made.hit(1), session=made.session(n=40, seed=seed + 50)),
        ]
        both = drawn(*hits, n=64)
        peaks = [drawn_figures(both, k, STANDARD, 1)["peak_speed_mps"].mean() for k in (0, 1)]
        corrected.append(peaks[1] - peaks[0])
        hit.append(np.diff([float(h.session.values["club_speed_mps"].max()) for h in hits])[0])
    assert np.mean(hit) > 0.25
    assert abs(np.mean(corrected)) < 0.6 * np.mean(hit)
