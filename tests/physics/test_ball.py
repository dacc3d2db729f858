"""Laws as vectors: factors, edges, and the kernels' copy of the coefficients."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.physics import ball, vectors


def kernels_copy(law: np.ndarray, s: float, re: float) -> tuple[float, float]:
    return ball.drag_lift(s, re, 1.0 / re**2, tuple(law.tolist()))


@given(st.sampled_from(sorted(ball.LAWS)), st.floats(0.0, 2.0), st.floats(0.05, 3.0), st.floats(0.9, 1.1))
def test_kernel_and_table_agree(name: str, s: float, re: float, factor: float) -> None:
    law = ball.vector(ball.LAWS[name], 0.01, factor, 2 - factor, 0.08, 0.2)
    assert kernels_copy(law, s, re) == pytest.approx(
        [float(v) for v in ball.coefficients(law, s, re)], abs=1e-12
    )


@pytest.mark.parametrize("name", sorted(ball.LAWS))
def test_held_at_the_edges(name: str) -> None:
    entry = ball.LAWS[name]
    law = ball.vector(entry, 0.01)
    (s0, s1), (r0, r1) = entry.s_range, entry.re_range
    middle = 0.5 * (r0 + r1)
    for edge, beyond in ((s0, s0 / 3), (s1 + 2 * ball.EDGE, s1 * 3)):
        assert np.allclose(
            ball.coefficients(law, edge, middle), ball.coefficients(law, beyond, middle), atol=0
        )
    for edge, beyond in ((r0, r0 / 3), (r1, r1 * 3)):
        assert np.allclose(ball.coefficients(law, s0, edge), ball.coefficients(law, s0, beyond), atol=0)


def test_factors_multiply_whole_coefficients() -> None:
    for entry in ball.LAWS.values():
        plain = ball.coefficients(ball.vector(entry, 0.0), 0.12, 1.4)
        scaled = ball.coefficients(ball.vector(entry, 0.0, 1.1, 0.9), 0.12, 1.4)
        assert scaled[0] == pytest.approx(1.1 * plain[0])
        assert scaled[1] == pytest.approx(0.9 * plain[1])


def test_low_reynolds_terms_act_below_the_threshold_alone() -> None:
    law, plain = (
        ball.vector(ball.LAWS["naruo-2004"], 0.0, 1, 1, 0.1, 0.2),
        ball.vector(ball.LAWS["naruo-2004"], 0.0),
    )
    assert np.allclose(ball.coefficients(law, 0.2, 0.76), ball.coefficients(plain, 0.2, 0.76))
    drag, lift = (
        a - b
        for a, b in zip(ball.coefficients(law, 0.2, 0.375), ball.coefficients(plain, 0.2, 0.375), strict=True)
    )
    assert drag == pytest.approx(0.05)
    assert lift == pytest.approx(-0.10)


def test_vectors_broadcast_over_draws() -> None:
    out = ball.vector(ball.LAWS["us6186002"], np.full(5, 0.012), np.linspace(0.9, 1.1, 5))
    assert out.shape == (5, vectors.LAW)
    assert np.all(ball.vector(ball.LAWS["ferguson-2022"], np.full(5, 0.5))[:, vectors.DECAY] == 0.010)


def test_every_law_says_where_it_comes_from() -> None:
    for name, law in ball.LAWS.items():
        assert law.name == name
        assert len(law.source) > 20
        assert law.era in ("modern", "old ball")
    assert set(ball.MODERN) >= {"naruo-2004", "ferguson-2022", "us6186002"}


@pytest.mark.parametrize("name", sorted(ball.LAWS))
def test_a_law_bends_into_its_upper_edge(name: str) -> None:
    # As printed inside its range; beyond it no kink for an integrator, held from 0.02 on
    entry = ball.LAWS[name]
    law = ball.vector(entry, 0.01)
    s1, re = entry.s_range[1], float(np.mean(entry.re_range))
    poly = np.polynomial.polynomial.polyval
    s = np.linspace(s1 - 3 * ball.EDGE, s1 + 4 * ball.EDGE, 351)
    bent = ball.coefficients(law, s, re)[1]
    printed = poly(np.minimum(s, s1 + ball.EDGE), law[vectors.L0 : vectors.L0 + 5]) + law[vectors.Q] / re**2
    away = (s <= s1) | (s >= s1 + 2 * ball.EDGE)
    assert np.allclose(bent[away], printed[away], atol=1e-12)
    assert np.max(np.abs(bent - printed)) <= 0.0035
    slope = np.diff(bent) / np.diff(s)
    assert np.max(np.abs(np.diff(slope))) < 0.06
