"""What the inference is, whatever its accuracy: shapes, silence, mirror, independence of neighbours."""

from types import MappingProxyType

import numpy as np
import pytest

from fitter.base.errors import InputError
from fitter.shots.infer import infer
from fitter.shots.reader import intake
from fitter.shots.session import Session
from tests.support import counted_calls

ROWS = (
    "hand,club speed (mph),ball speed (mph),launch (deg),direction (deg),spin (rpm),"
    "spin axis (deg),path (deg)\n"
    "{hand},101.2,147.3,12.1,{a}1.2{b},2711,{a}4.5{b},{a}0.7{b}\n"
    "{hand},99.8,143.9,13.4,{c}2.1{d},2904,{c}7.5{d},{a}1.9{b}\n"
    "{hand},100.5,145.9,10.9,{a}0.3{b},2533,{c}1.5{d},{c}0.4{d}\n"
    "{hand},102.0,146.2,11.7,{c}1.4{d},3105,{a}9.5{b},{a}2.2{b}\n"
)


def read(tmp_path, hand, a="", b="R", c="", d="L"):
    path = tmp_path / f"{hand}.csv"
    path.write_text(ROWS.format(hand=hand, a=a, b=b, c=c, d=d))
    return intake.read(path)


def test_left_handed_copy_gives_the_mirrored_result(tmp_path):
    """The mirror is a symmetry of the strike (closed form: every vector's left component changes sign)."""
    right = infer.infer(read(tmp_path, "right"))
    left = infer.infer(read(tmp_path, "left", b="L", d="R"))
    np.testing.assert_allclose(left.mean, right.mean, rtol=0, atol=1e-9)
    np.testing.assert_allclose(left.cov, right.cov, rtol=0, atol=1e-9)
    shown = left.mirrored()
    np.testing.assert_allclose(shown.mean * [1, 1, -1, -1, 1, 1, 1], right.mean, rtol=0, atol=1e-9)
    assert shown.calibrations["aim"].value == -right.calibrations["aim"].value
    np.testing.assert_allclose(shown.predicted["path_deg"], -right.predicted["path_deg"], atol=1e-9)


def test_session_answers_alone_as_in_company(tmp_path):
    """Independent sessions share nothing (definition of the model)."""
    one = read(tmp_path, "right")
    two = one.take(np.array([0, 1]))
    together = infer.infer_many([two, one, two])
    for got, asked in zip(together, (two, one, two), strict=True):
        alone = infer.infer(asked)
        np.testing.assert_allclose(got.mean, alone.mean, rtol=0, atol=1e-9)
        np.testing.assert_allclose(got.cov, alone.cov, rtol=0, atol=1e-9)


def test_nothing_measured_leaves_the_prior():
    """Without data the posterior is the prior: means within and between players add (closed form)."""
    from fitter.shots.infer.prior import prior

    n = 3
    empty = Session(
        "P1", "right", "none", MappingProxyType({}), MappingProxyType({}), MappingProxyType({}),
        np.arange(1, n + 1), np.arange(1, n + 1),
    )  # fmt: skip
    got = infer.infer(empty, level=0.5)
    p = prior(0.5)
    wanted = np.sqrt(np.diag(p.between + p.within))[1:]
    np.testing.assert_allclose(got.sd[:, 1:], np.tile(wanted, (n, 1)), rtol=1e-6)
    np.testing.assert_allclose(got.mean[:, 1:], np.tile(p.mean[1:], (n, 1)), atol=1e-9)
    assert not got.misread.any()


def test_draws_have_the_stated_moments(tmp_path):
    """Sample moments of 20,000 draws against the stated ones, six standard errors (closed form)."""
    got = infer.infer(read(tmp_path, "right"))
    draws = got.sample(20_000, np.random.default_rng(1))
    error = (draws.mean(axis=0) - got.mean) / got.sd
    assert np.abs(error[:, 1:]).max() < 6 / np.sqrt(20_000)
    np.testing.assert_allclose(draws.std(axis=0)[:, 1:], got.sd[:, 1:], rtol=0.05)


def test_draws_take_the_loft_of_the_repair_they_believe_in(tmp_path):
    """Draws under one repair have the mean that the inference gives when that repair is named."""
    from fitter import world as worlds

    given = read(tmp_path, "right")
    both = infer.infer(given)
    assert abs(both.repairs.sum() - 1.0) < 1e-12
    n = 4000
    for k, model in enumerate((worlds.strike_models()[0], worlds.rival_model()[0])):
        named = infer.infer(given, model=model)
        draws = both.sample(n, np.random.default_rng(3), np.full(n, k))
        error = (draws.mean(axis=0) - named.mean) / named.sd
        assert np.abs(error[:, 1:]).max() < 6 / np.sqrt(n)
    with pytest.raises(ValueError, match="no repair 1"):
        named.sample(2, np.random.default_rng(1), np.array([0, 1]))


def test_bad_head_and_level_are_told_together(tmp_path):
    with pytest.raises(InputError) as error:
        infer.infer(read(tmp_path, "right"), head=np.zeros(4), level=2.0)
    assert len(error.value.problems) == 2


@pytest.mark.parametrize("order", [(0, 1), (1, 0), (0, 0), (1, 0, 1, 0)])
def test_a_session_without_shots_keeps_its_place(tmp_path, order):
    full = read(tmp_path, "right")
    given = [full if k else full.take(np.zeros(len(full), dtype=bool)) for k in order]
    found = infer.infer_many(given)
    assert [len(d) for d in found] == [len(s) for s in given]
    assert all(d.session is s for d, s in zip(found, given, strict=True))
    alone = infer.infer(full)
    for k, d in zip(order, found, strict=True):
        assert d.cov.shape == (len(d), 7, 7)
        if k:
            assert d.mean == pytest.approx(alone.mean, rel=1e-12)
            assert d.calibrations["path"].value == pytest.approx(alone.calibrations["path"].value, rel=1e-9)
        else:
            assert d.sample(3, np.random.default_rng(1)).shape == (3, 0, 7)
            assert d.mirrored().misread.shape == (0, 12)


def test_no_session_no_answer():
    assert infer.infer_many([]) == []


@pytest.mark.parametrize("scale", [0.3, 3.0, 100.0])
def test_any_values_give_finite_answers(scale):
    """Random numbers, most of them impossible, half of them missing: no error, no warning, finite SDs."""
    from fitter.shots.infer.measurement import MEASURED

    rng = np.random.default_rng(4)
    centre = dict(zip(MEASURED, (45, 0, 0, 0, 14, 0, 0, 64, 12, 0, 2700, 0), strict=True))
    every = []
    for _ in range(15):
        n = int(rng.integers(1, 12))
        values = {k: v + scale * (abs(v) + 10) * rng.normal(size=n) for k, v in centre.items()}
        for column in values.values():
            column[rng.uniform(size=n) < 0.5] = np.nan
        every.append(Session(
            "P1", "right", "none", MappingProxyType(values), MappingProxyType({}), MappingProxyType({}),
            np.arange(1, n + 1), np.arange(1, n + 1), set_aside=rng.uniform(size=n) < 0.2,
        ))  # fmt: skip
    for got in infer.infer_many(every):
        assert np.isfinite(got.mean).all()
        assert (got.sd > 0).all()
        assert np.isfinite(got.sample(3, rng)).all()


def test_the_cost_of_many_players_grows_linearly(tmp_path):
    """Read, screened and inferred, counted in calls: up to three times as many for twice the players."""
    from fitter.shots import screen
    from fitter.shots.infer.measurement import MEASURED
    from tests.shots.infer.virtual import sessions

    made = sessions(8, 50).sessions
    head = (
        "player,club speed (m/s),attack (deg),path (deg),face (deg),delivered loft (deg),toe (mm),high (mm),"
        "ball speed (m/s),launch (deg),direction (deg),spin (rpm),spin axis (deg)"
    )
    calls = []
    for count in (4, 4, 8):
        lines = [head]
        for k, s in enumerate(made[:count]):
            table = np.stack([s.value(name) for name in MEASURED], axis=1)
            lines += [f"P{k}," + ",".join(f"{v:.3f}" for v in row) for row in table]
        path = tmp_path / f"{count}.csv"
        path.write_text("\n".join(lines) + "\n")

        def work(path=path, count=count):
            read = intake.read_all(path)
            found = infer.infer_many(read)
            return count == sum(
                len(screen.screen_physics(s, d)) == 50 for s, d in zip(read, found, strict=True)
            )

        # The first pass fills what is remembered between sessions.
        calls.append(counted_calls(work))
    # A batch has calls of its own, however many players it holds.
    assert 1.4 * calls[1] < calls[2] < 3.0 * calls[1]
