"""The assembled club against first principles, the swing-weight scale, and parts from a club's weights."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitter.base.assumptions import current
from fitter.kit.body import PARTS, assemble, swing_name, swing_value, weigh
from fitter.kit.figures import Figure, Joint

INCH = 0.0254
KNOWN = current()
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
    assert swing_value(name) == pytest.approx(points, abs=0.05)


def prior() -> dict[str, Figure]:
    names = ("head.mass_g", "shaft.mass_g", "club.cut_balance_pct", "shaft.grip_mass_g")
    return {p: Figure(KNOWN.value(n), KNOWN.sd(n), False) for p, n in zip(PARTS, names, strict=True)}


def weighed(rng: np.random.Generator, names: tuple[str, ...]) -> tuple[np.ndarray, Joint]:
    start = prior()
    truth = np.array([rng.normal(start[p].value, start[p].sd) for p in PARTS])
    places = {
        n: rng.normal(KNOWN.value(f"club.{n}"), KNOWN.sd(f"club.{n}"))
        for n in ("head_short_mm", "shaft_short_mm", "grip_centre_mm")
    }
    head, shaft, share, grip = truth
    length = 45.25 * 25.4
    mass = head + shaft + grip
    balance = (
        head * (length - places["head_short_mm"])
        + shaft * share / 100 * (length - places["shaft_short_mm"])
        + grip * places["grip_centre_mm"]
    ) / mass
    points = (mass / 28.349523125 * (balance / 25.4 - 14) - 213.5) / 1.75
    exact = {"total_mass_g": mass, "balance_mm": balance, "swing_weight_points": points}
    whole = {}
    for n in names:
        sd = KNOWN.sd(f"club.gauge_{n}")
        whole[n] = Figure(exact[n] + rng.normal(0, sd), sd, True)
    return truth, weigh("P", Figure(45.25, 1e-6, True), start, whole)


@pytest.mark.parametrize(
    "names",
    [("total_mass_g", "swing_weight_points"), ("total_mass_g", "balance_mm"), ("total_mass_g",)],
)
def test_head_mass_lies_within_its_stated_sd(names: tuple[str, ...]) -> None:
    # calibration on 400 simulated clubs: z of the head mass has SD 1 (chi-squared, 99.9 %: 0.88-1.12) and
    # 68 % lie within one SD (99.9 % Wilson: 60-76 %)
    rng = np.random.default_rng(11)
    z = []
    for _ in range(400):
        truth, masses = weighed(rng, names)
        figure = masses.figure("head_mass_g")
        z.append((truth[0] - figure.value) / figure.sd)
    assert 0.88 < np.std(z) < 1.12
    assert abs(np.mean(z)) < 0.17
    assert 0.60 < np.mean(np.abs(z) < 1) < 0.76


def test_weighing_narrows_the_head() -> None:
    rng = np.random.default_rng(3)
    start = prior()["head_mass_g"].sd
    _, by_both = weighed(rng, ("total_mass_g", "swing_weight_points"))
    _, by_mass = weighed(rng, ("total_mass_g",))
    assert by_both.figure("head_mass_g").sd < 0.7 * start
    assert by_both.figure("head_mass_g").sd < by_mass.figure("head_mass_g").sd < start


def test_draws_add_up_to_the_weighed_mass() -> None:
    # head, shaft and grip are drawn together: their sum is as sure as the balance
    masses = weigh("P", Figure(45.25, 0.06, True), prior(), {"total_mass_g": Figure(312.0, 0.5, True)})
    drawn = masses.draw(512)
    total = drawn[:, 0] + drawn[:, 1] + drawn[:, 3]
    assert total.std() < 0.7
    assert drawn[:, 0].std() > 2.0
    assert masses.draw().shape == (1, 4)


def test_the_answer_weighs_what_was_weighed() -> None:
    whole = {"total_mass_g": Figure(310.0, 0.05, True), "balance_mm": Figure(848.8, 0.1, True)}
    m = weigh("P", Figure(45.0, 1e-6, True), prior(), whole)
    head, shaft, share, grip = m.mean
    club = assemble(45 * 0.0254, head / 1e3, shaft / 1e3, share / 100, grip / 1e3)
    assert float(club.mass_kg) * 1e3 == pytest.approx(310.0, abs=0.2)
    assert float(club.balance_m) * 1e3 == pytest.approx(848.8, abs=4.0)
