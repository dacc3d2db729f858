"""Learning against closed forms and planted truth."""

from __future__ import annotations

import numpy as np
import pytest

from fitter.base.assumptions import defaults
from fitter.history.learning import layer, learned, lessons_of
from fitter.history.records import Lesson
from tests.history.made import outcome

LOFT, BEND = "response.loft", "response.shaft_loft"


def lesson(measured: float, slopes: dict[str, float], noise: float = 1.0, rest: float = 0.0) -> Lesson:
    a = defaults()
    told = sum((s * a.sd(n)) ** 2 for n, s in slopes.items())
    return Lesson(
        what="launch_deg", measured=measured, noise=noise, expected=0.0, sd=float(np.sqrt(told + rest**2)),
        slopes=slopes, at={n: a.value(n) for n in slopes},
    )  # fmt: skip


def test_one_lesson_moves_a_number_as_the_normal_formula_says() -> None:
    # Gelman et al., Bayesian Data Analysis, 3rd ed., eq. 2.12: precisions add. The heavy-tailed weight of a
    # single lesson follows from its own miss: w = 5 / (4 + square), solved by iteration here.
    a = defaults()
    sd, slope, measured, noise = a.sd(LOFT), 2.0, 0.3, 0.5
    weight = 1.0
    for _ in range(200):
        precision = sd**-2 + weight * slope**2 / noise**2
        mean = weight * slope * measured / noise**2 / precision
        weight = 5.0 / (4.0 + ((measured - slope * mean) ** 2 + slope**2 / precision) / noise**2)
    (found,) = learned([lesson(measured, {LOFT: slope}, noise)], a)
    assert found.value == pytest.approx(a.value(LOFT) + mean, abs=1e-4)
    assert found.sd == pytest.approx(precision**-0.5, rel=1e-3)


def test_planted_answers_are_found_with_honest_intervals() -> None:
    a, rng = defaults(), np.random.default_rng(3)
    names = (LOFT, BEND, "response.inertia_exponent")
    z = []
    for _ in range(300):
        truth = {n: a.value(n) + a.sd(n) * rng.standard_normal() for n in names}
        rows = []
        for _ in range(4):
            slopes = {n: float(rng.normal() / a.sd(n)) for n in names}
            at_truth = sum(s * (truth[n] - a.value(n)) for n, s in slopes.items())
            rows.append(lesson(at_truth + 0.8 * rng.standard_t(4) + 0.5 * rng.normal(), slopes, 0.8, 0.5))
        for x in learned(rows, a):
            z.append((truth[x.name] - x.value) / x.sd)
    inside = float((np.abs(z) < 1.2816).mean())
    # 80 % intervals; three standard errors of 900 draws of which those of one player hang together.
    assert inside == pytest.approx(0.80, abs=0.06)
    assert abs(float(np.mean(z))) < 0.15


def test_a_broken_lesson_does_not_teach_everything() -> None:
    a = defaults()
    good = [lesson(0.1, {LOFT: 2.0}, 0.2) for _ in range(5)]
    (alone,) = learned(good, a)
    (with_bad,) = learned([*good, lesson(40.0, {LOFT: 2.0}, 0.2)], a)
    assert with_bad.value == pytest.approx(alone.value, abs=0.3 * a.sd(LOFT))


def test_lessons_that_hang_on_nothing_teach_nothing() -> None:
    assert learned([lesson(3.0, {})], defaults()) == ()
    assert (
        learned(
            [Lesson(what="x", measured=3.0, noise=1.0, expected=0.0, sd=1.0, slopes={"no.such": 1.0})],
            defaults(),
        )
        == ()
    )
    assert lessons_of([outcome("M7", 1, 4.0)]) == []
    assert len(lessons_of([outcome("M7", 1, 4.0, slopes={LOFT: 1.0})])) == 1


def test_what_was_expected_elsewhere_is_brought_to_the_priors() -> None:
    # The same truth, told from another starting point: expected at loft + 0.1, so 0.1 x slope more.
    a = defaults()
    plain = lesson(0.3, {LOFT: 2.0})
    moved = Lesson(
        what="launch_deg", measured=0.3, noise=1.0, expected=0.2, sd=plain.sd, slopes={LOFT: 2.0},
        at={LOFT: a.value(LOFT) + 0.1},
    )  # fmt: skip
    assert learned([plain], a)[0].value == pytest.approx(learned([moved], a)[0].value)


def test_a_layer_says_where_each_number_comes_from() -> None:
    a = defaults()
    found = learned([lesson(0.5, {LOFT: 2.0}, 0.2)], a)
    over = layer(found, a, "player M7")
    assert over.value(LOFT) == found[0].value
    assert set(over.changed()) == {LOFT}
    assert over[LOFT].letter == "C"
    assert "player M7" in over[LOFT].source
    assert over[LOFT].unit == a[LOFT].unit
