"""The largest of n normal numbers, against published tables and against many draws."""

from __future__ import annotations

import numpy as np
import pytest

from fitter.base.errors import InputError
from fitter.progress.maximum import for_balls, moments

# Expected largest of n normals: Harter 1961, Biometrika 48, 151-165, as given to five digits in texts (M).
MEANS = {1: 0.0, 2: 0.56419, 3: 0.84628, 5: 1.16296, 8: 1.42360, 12: 1.62923, 20: 1.86748, 30: 2.04276}


@pytest.mark.parametrize(("n", "mean"), MEANS.items())
def test_the_mean_is_that_of_the_tables(n: int, mean: float) -> None:
    assert moments(n)[0] == pytest.approx(mean, abs=6e-6)


def test_the_sd_has_its_closed_forms() -> None:
    # n = 1: 1; n = 2: max = (a + b + |a - b|) / 2, so that the variance is 1 - 1/pi.
    assert moments(1)[1] == pytest.approx(1.0, abs=1e-7)
    assert moments(2)[1] == pytest.approx(np.sqrt(1.0 - 1.0 / np.pi), abs=1e-7)


def test_a_peak_of_more_balls_is_taken_back_without_bias() -> None:
    rng = np.random.default_rng(4)
    few, many = (rng.standard_normal((20000, n)).max(axis=1).mean() for n in (10, 30))
    # The best of 30 beats the best of 10 by half an SD from hitting more.
    assert many - few == pytest.approx(0.50, abs=0.02)
    assert for_balls(many, 1.0, 30, 10) == pytest.approx(few, abs=0.02)


def test_no_balls_have_no_peak() -> None:
    with pytest.raises(InputError, match="1 or more"):
        moments(0)
