"""Boundaries of repeated looks beside published ones."""

from math import e, log

import numpy as np
import pytest

from fitter.advice.spending import ALPHA, boundaries, boundary, spent


def pocock(share, alpha=ALPHA):
    return alpha * log(1.0 + (e - 1.0) * share)


def test_five_looks_by_the_spending_function_near_pococks():
    """Lan & DeMets 1983; five equal looks, 5 % on both sides, as tables and programs print them (M)."""
    found = boundaries([0.2, 0.4, 0.6, 0.8, 1.0], spend=pocock)
    assert found == pytest.approx([2.438, 2.427, 2.410, 2.397, 2.386], abs=0.001)


def test_one_look_is_the_normal_quantile():
    assert boundaries([1.0]) == pytest.approx([1.95996], abs=1e-4)


def test_simulated_looks_raise_as_many_false_alarms_as_are_allowed():
    rng, noise = np.random.default_rng(1), 2.0
    lasting = rng.standard_normal(20_000)
    mean = np.cumsum(np.sqrt(noise) * rng.standard_normal((12, 20_000)), axis=0)
    alarms = np.zeros(20_000, dtype=bool)
    for k in range(1, 13):
        z = (lasting + mean[k - 1] / k) / np.sqrt(1.0 + noise / k)
        alarms |= np.abs(z) >= boundary(k, noise)
    assert alarms.mean() == pytest.approx(ALPHA, abs=0.005)
    assert spent(1.0) == ALPHA
