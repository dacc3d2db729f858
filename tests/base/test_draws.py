"""Keyed random numbers: stable by name, stratified, independent of each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.base import draws


def test_streams_belong_to_names() -> None:
    a = draws.normals(64, 5, "ball.drag")
    assert np.array_equal(a, draws.normals(64, 5, "ball.drag"))
    assert not np.array_equal(a, draws.normals(64, 6, "ball.drag"))
    assert not np.array_equal(a, draws.normals(64, 5, "ball.lift"))
    # The joint of names is not their concatenation
    assert not np.array_equal(draws.uniforms(8, 1, "ab", "c"), draws.uniforms(8, 1, "a", "bc"))


def test_known_numbers_stay_as_they_are() -> None:
    # A regression of our own: results must not change between machines, Python versions and orders of calls
    assert draws.generator(1, "a", 2).integers(0, 2**31, 3).tolist() == [20556545, 1511460409, 1736904052]


@given(st.integers(1, 300), st.integers(0, 10_000))
def test_one_in_each_stratum(n: int, seed: int) -> None:
    # McKay, Beckman & Conover 1979, Technometrics 21, 239-245
    u = draws.uniforms(n, seed, "x")
    assert np.array_equal(np.sort((u * n).astype(int)), np.arange(n))


@given(st.integers(4, 500), st.integers(0, 1000))
def test_normals_are_centred_and_scaled(n: int, seed: int) -> None:
    z = draws.normals(n, seed, "x")
    assert z.mean() == pytest.approx(0, abs=1e-12)
    assert z.std() == pytest.approx(1, rel=1e-12)


def test_two_factors_are_not_correlated() -> None:
    # Correlation of two independent samples of 4096: SD 1/64 (closed form); four SDs
    a, b = draws.normals(4096, 1, "a"), draws.normals(4096, 1, "b")
    assert abs(np.mean(a * b)) < 4 / 64


@given(st.lists(st.floats(0.01, 5), min_size=1, max_size=6), st.integers(0, 99))
def test_choices_hit_their_shares(weights: list[float], seed: int) -> None:
    # Stratified: each share is met within one draw at each edge
    w = np.array(weights)
    picked = draws.choices(400, w, seed, "law")
    counts = np.bincount(picked, minlength=len(w))
    assert np.all(np.abs(counts - 400 * w / w.sum()) <= 2)


def test_bootstrap_weights() -> None:
    # Rubin 1981, Ann. Statist. 9, 130-134: Dirichlet(1, ..., 1): mean 1/n, variance (n-1)/(n^2 (n+1))
    w = draws.dirichlet_weights(20_000, 5, 3, "shots")
    assert np.allclose(w.sum(axis=1), 1.0)
    assert np.allclose(w.mean(axis=0), 0.2, atol=0.005)
    assert np.allclose(w.var(axis=0), 4 / (25 * 6), rtol=0.05)


def test_normals_are_quantiles_of_the_uniforms() -> None:
    # scipy's quantiles as an independent authority, before centring and scaling
    from scipy.special import ndtri

    z = ndtri(draws.uniforms(3, 4, "x"))
    assert draws.normals(3, 4, "x") == pytest.approx(z, rel=1e-13)
