"""The assembled club against first principles, and the names of the swing-weight scale."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.kit.body import assemble, swing_name

INCH = 0.0254
lengths, heads, shafts = st.floats(43, 48), st.floats(0.18, 0.22), st.floats(0.04, 0.12)


@given(lengths, heads, shafts)
def test_uniform_shaft_matches_an_integral(length: float, head: float, shaft: float) -> None:
    # closed form against a sum over slices: rod from the butt to 60 mm short of the length
    club = assemble(length * INCH, head, shaft, 0.5, 0.0)
    rod = length * INCH - 0.060
    x = (np.arange(4000) + 0.5) / 4000 * rod
    at = length * INCH - 0.025
    moi = np.mean(x**2) * shaft + head * at**2 + 4e-4
    assert float(club.moi_kgcm2) == pytest.approx(moi * 1e4, rel=1e-6)
    assert float(club.balance_m) == pytest.approx((np.mean(x) * shaft + head * at) / (head + shaft), rel=1e-9)


@given(lengths, heads, shafts)
def test_head_heavy_clubs_swing_heavier(length: float, head: float, shaft: float) -> None:
    club = assemble(length * INCH, np.array([head, head + 0.001]), shaft, 0.5, 0.05)
    assert club.points[1] > club.points[0]
    assert club.moi_kgcm2[1] > club.moi_kgcm2[0]


@pytest.mark.parametrize(
    ("points", "name"), [(0, "D0.0"), (9.94, "D9.9"), (9.96, "E0.0"), (-0.04, "D0.0"), (-0.06, "C9.9")]
)
def test_letters_carry(points: float, name: str) -> None:
    # common practice, no source: ten points a letter
    assert swing_name(points) == name
