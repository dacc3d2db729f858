"""All visits together: what is shared is believed once, and one visit alone is what it was."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitter.base.assumptions import Assumptions, current, using
from fitter.progress.joint import X, combined, together
from fitter.progress.visits import Visit, read
from fitter.shots.infer import measurement
from tests.progress import made


@pytest.fixture(scope="module")
def visits() -> tuple[Visit, ...]:
    return read([made.hit(0), made.hit(1, 106.0), made.hit(2, 107.0)])


def test_one_visit_alone_keeps_its_posterior(visits: tuple[Visit, ...]) -> None:
    line = visits[0].main.delivery.linear(0)
    mean, cov = combined([visits[0].main], [line])
    assert mean == pytest.approx(line.g, rel=1e-3, abs=2e-3 * np.sqrt(np.diag(line.g_cov)).max())
    # Rest: eigenvalues of a difference that round below nought are held at it.
    assert np.sqrt(np.diag(cov)) == pytest.approx(np.sqrt(np.diag(line.g_cov)), rel=0.03)


def test_what_all_visits_share_is_known_better_and_cancels(visits: tuple[Visit, ...]) -> None:
    groups = [v.main for v in visits]
    lines = [g.delivery.linear(0) for g in groups]
    _, cov = combined(groups, lines)
    size = len(lines[0].g)
    speed = 0
    own = cov[speed, speed]
    difference = own + cov[size, size] - 2.0 * cov[speed, size]
    alone = lines[0].g_cov[0, 0] + lines[1].g_cov[0, 0]
    # A device's offset on the club speed is the same at both visits, all but the day's part.
    assert difference < 0.6 * alone
    gear = X + measurement.OPEN
    assert cov[gear, gear] <= lines[0].g_cov[gear, gear] * 1.001


def test_devices_that_differ_share_less(visits: tuple[Visit, ...]) -> None:
    """Less, not nothing: balls and faces are the same, and their ratio tells of either device."""
    same = [v.main for v in visits[:2]]
    other = [same[0], replace(same[1], device="B")]
    lines = [g.delivery.linear(0) for g in same]
    apart = []
    for groups in (same, other):
        cov = combined(groups, lines)[1]
        size = len(lines[0].g)
        apart.append(cov[0, 0] + cov[size, size] - 2.0 * cov[0, size])
    assert apart[1] > 1.05 * apart[0]


def test_the_same_seed_draws_the_same(visits: tuple[Visit, ...]) -> None:
    groups = [v.main for v in visits]
    one, other = (together(groups, 32, 7) for _ in range(2))
    assert np.array_equal(one.sample[1], other.sample[1])
    assert np.array_equal(one.level(2), other.level(2))
    assert not np.array_equal(one.sample[1], together(groups, 32, 8).sample[1])


def test_draws_lie_about_the_inferred_deliveries(visits: tuple[Visit, ...]) -> None:
    groups = [v.main for v in visits]
    drawn = together(groups, 256, 1)
    for k, group in enumerate(groups):
        apart = drawn.sample[k].mean(axis=0) - group.delivery.mean
        assert np.abs(apart / group.delivery.sd).max() < 1.0


def test_a_scatter_is_shrunk_to_that_of_all_visits(visits: tuple[Visit, ...]) -> None:
    groups = [v.main for v in visits]
    usual = current()
    rigid = dict(usual)
    rigid["progress.months_scatter"] = replace(usual["progress.months_scatter"], sd=1e-6)
    with using(Assumptions(rigid)):
        drawn = together(groups, 512, 1)
    spread = [float(np.median(drawn.shots(k)[..., 0].std(axis=1))) for k in range(3)]
    hit = [float(np.median(drawn.sample[k][..., 0].std(axis=1))) for k in range(3)]
    # A scatter that never moves is one number for all visits.
    assert np.ptp(spread) < 0.25 * np.ptp(hit) + 0.02
