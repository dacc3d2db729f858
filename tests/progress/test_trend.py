"""The pace: against a regression in closed form, what is not told, and when a speed is reached."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from fitter.base.assumptions import Assumptions, current, using
from fitter.progress.trend import MONTH, Trend, reached, trend

START = date(2026, 1, 1)


def days(*months: float) -> list[date]:
    return [START + timedelta(days=round(m * MONTH)) for m in months]


def line(pace: float, months: tuple[float, ...] = (0, 2, 4, 6, 8), sd: float = 0.2, n: int = 512) -> Trend:
    values = 46.0 + pace * np.array(months)
    return trend(days(*months), values, np.full(len(months), sd), n, 1)


def judged(**sds: float) -> Assumptions:
    usual = current()
    changed = {f"progress.{k}": replace(usual[f"progress.{k}"], sd=v) for k, v in sds.items()}
    return Assumptions({**dict(usual), **changed})


def test_against_weighted_least_squares() -> None:
    """With a wide prior of the pace and no form it is weighted least squares (closed form)."""
    rng = np.random.default_rng(2)
    months = np.array([0.0, 1.5, 4.0, 7.0, 11.0])
    sd = np.array([0.2, 0.4, 0.3, 0.2, 0.5])
    values = 46.0 + 0.2 * months + sd * rng.standard_normal(5)
    with using(judged(pace_pct=30.0, wiggle_pct=1e-4)):
        found = trend(days(*months), values, sd, 64, 1)
    at = np.array([(d - START).days / MONTH for d in days(*months)])
    design = np.stack([np.ones(5), at], axis=1)
    cov = np.linalg.inv(design.T @ (design / sd[:, None] ** 2))
    slope = (cov @ design.T @ (values / sd**2))[1]
    assert found.pace[0] == pytest.approx(slope, abs=2e-3)
    half = 0.5 * (found.pace[2] - found.pace[1])
    assert half == pytest.approx(1.2815516 * np.sqrt(cov[1, 1]), rel=0.02)


def test_a_judged_pace_and_form_make_a_shorter_and_wider_answer() -> None:
    steep = line(0.6)
    assert 0.3 < steep.pace[0] < 0.6
    assert steep.told == ""
    assert steep.pace[1] > 0.0


def test_the_band_goes_through_the_visits_and_opens_beyond() -> None:
    found = line(0.25)
    for day, value in zip(found.days, found.values, strict=True):
        k = found.at.index(day)
        assert found.low[k] <= value <= found.high[k]
    last = found.at.index(found.days[-1])
    width = found.high - found.low
    assert width[-1] > 2.0 * width[last]
    assert (found.at[-1] - found.days[-1]).days == pytest.approx(12 * MONTH, abs=1)


@pytest.mark.parametrize(
    ("months", "pace", "why"),
    [
        ((0, 6), 0.5, "visits"),
        ((0, 0.5, 1), 0.9, "span"),
        ((0, 2, 4, 6), 0.0, "sign"),
        ((0, 2, 4, 6), 0.4, ""),
    ],
)
def test_when_no_pace_is_told(months: tuple[float, ...], pace: float, why: str) -> None:
    assert line(pace, months).told == why


def test_a_player_who_slows_down_has_a_pace_too() -> None:
    found = line(-0.4)
    assert found.told == ""
    assert found.pace[2] < 0.0


def test_the_pace_is_told_in_the_values_unit() -> None:
    months = (0, 2, 4, 6, 8)
    values = 46.0 + 0.3 * np.array(months)
    one = trend(days(*months), values, np.full(5, 0.2), 32, 1)
    mph = trend(days(*months), values / 0.44704, np.full(5, 0.2) / 0.44704, 32, 1)
    assert mph.pace == pytest.approx([p / 0.44704 for p in one.pace])


def test_when_a_speed_is_reached() -> None:
    found = line(0.3, n=2048)
    today = float(found.mean[found.at.index(found.days[-1])])
    soon = reached(found, np.full(2048, today + 1.0))
    assert soon.expected is not None
    assert soon.early is not None
    # One m/s at this pace.
    assert (soon.expected - found.days[-1]).days / MONTH == pytest.approx(1.0 / found.pace[0], rel=0.35)
    assert soon.early < soon.expected
    assert soon.late is None or soon.late > soon.expected
    assert not soon.there
    there = reached(found, np.full(2048, today - 1.0))
    assert there.there
    never = reached(found, np.full(2048, today + 30.0))
    assert (never.expected, never.early, never.late) == (None, None, None)
    assert never.p_within == 0.0
    doubtful = reached(found, today + 1.0 + np.linspace(-2.0, 2.0, 2048))
    assert doubtful.p_within <= soon.p_within + 0.05
