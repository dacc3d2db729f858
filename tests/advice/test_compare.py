"""Clubs that were hit: shrunken differences, spreads, order, refusals."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from fitter import demo
from fitter.advice.balls import Balls
from fitter.advice.compare import compare
from fitter.base.errors import DataError, InputError
from fitter.cli.main import main
from fitter.kit.club import Club, from_kit
from fitter.kit.inventory import Kit
from fitter.trial.designs import mirrored, spread_out

Capture = pytest.CaptureFixture[str]
CLUBS = ("H4/S2", "H1/S2", "H2/S2")


@pytest.fixture(scope="module")
def clubs() -> tuple[Club, ...]:
    kit = Kit.load(demo.folder())
    return tuple(from_kit(kit, words) for words in CLUBS)


def balls(clubs: tuple[Club, ...], order: np.ndarray, better: float = 0.0, seed: int = 1) -> Balls:
    rng = np.random.default_rng(seed)
    n = len(order)
    carry = 230.0 + 9.0 * rng.standard_normal(n) + better * (order == 1)
    side = 12.0 * rng.standard_normal(n)
    return Balls(
        clubs, order, np.zeros(n, np.int64), np.arange(float(n)), {"carry_m": carry, "offline_m": side}
    )


def test_a_longer_club_is_found_and_shrunken(clubs: tuple[Club, ...]) -> None:
    order = spread_out(mirrored([0, 1, 2], 3), 4)
    given = balls(clubs, order, better=12.0)
    found = compare(given)
    best = found.differences[0]
    assert best.club == clubs[1].code
    carry = given.values["carry_m"]
    raw = carry[order == 1].mean() - carry[order == 0].mean()
    e = best.channels["carry_m"]
    assert 0.0 < e.mean < raw
    assert e.low95 < e.low < e.mean < e.high < e.high95
    assert best.p_longer is not None
    assert best.p_longer > 0.95
    # A general test against the same control says so too (Dunnett 1955, by scipy).
    outside = stats.dunnett(carry[order == 1], carry[order == 2], control=carry[order == 0])
    assert outside.pvalue[0] < 0.05 < outside.pvalue[1]
    assert not found.one_by_one


def test_welch_and_the_block_model_agree_where_much_was_hit() -> None:
    # NIST/SEMATECH e-Handbook 1.3.5.3, car mileage: Welch T -12.946 on 136.87 degrees (from the printed
    # means, SDs and counts).
    found = stats.ttest_ind_from_stats(20.14458, 6.414700, 249, 30.48101, 6.107710, 79, equal_var=False)
    pooled = stats.ttest_ind_from_stats(20.14458, 6.414700, 249, 30.48101, 6.107710, 79)
    assert found.statistic == pytest.approx(-12.946, abs=5e-4)
    assert pooled.statistic == pytest.approx(-12.62059, abs=5e-5)
    from fitter.advice.blocks import fit

    rng = np.random.default_rng(2)
    a, b = stats.zscore(rng.standard_normal(249)), stats.zscore(rng.standard_normal(79))
    y = np.concatenate([20.14458 + 6.414700 * a, 30.48101 + 6.107710 * b])
    club = np.repeat([0, 1], [249, 79])
    mixed = rng.permutation(328)
    d = fit(y[mixed], club[mixed], np.zeros(328, np.int64), np.arange(328.0)).difference(0, 1)
    assert d.mean == pytest.approx(-10.336, abs=0.6)
    half = 1.2816 * float(np.sqrt(6.4147**2 / 249 + 6.10771**2 / 79))
    assert d.high - d.mean == pytest.approx(half, rel=0.25)


def test_spreads_are_drawn_together_and_hold(clubs: tuple[Club, ...]) -> None:
    held = []
    for seed in range(150):
        found = compare(balls(clubs[:2], spread_out(mirrored([0, 1], 2), 3), seed=seed))
        spread = found.clubs[0].across
        assert spread is not None
        held.append(spread.low <= 12.0 <= spread.high)
    assert 0.74 <= np.mean(held) <= 0.95


def test_one_club_after_the_other_is_said(clubs: tuple[Club, ...]) -> None:
    assert compare(balls(clubs[:2], spread_out([0, 1], 8))).one_by_one


def test_too_little_is_refused(clubs: tuple[Club, ...]) -> None:
    with pytest.raises(DataError, match="nothing to compare"):
        compare(balls(clubs[:1], np.zeros(9, np.int64)))
    with pytest.raises(InputError, match="too few of its balls"):
        compare(balls(clubs[:2], spread_out([0, 1], 4)), against=clubs[2].code)


def write(path: Path, build: str, carry: float, seed: int, hand: str = "right") -> None:
    rng = np.random.default_rng(seed)
    rows = ["shot,hand,build,ball speed (mph),launch (deg),spin (rpm),carry (yd)"]
    rows += [
        f"{n + 1},{hand},{build},{150 + rng.normal():.1f},{13 + rng.normal():.1f},"
        f"{2600 + 90 * rng.normal():.0f},{carry + 5 * rng.normal():.1f}"
        for n in range(8)
    ]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")


def test_logs_on_the_command_line(tmp_path: Path, capsys: Capture) -> None:
    one, two = tmp_path / "one.csv", tmp_path / "two.csv"
    write(one, "", 240.0, 1)
    write(two, "H1/S2", 255.0, 2)
    words = ["compare", f"{one}=H4/S2", str(two), "--kit", str(demo.folder())]
    assert main(words) == 0
    out = capsys.readouterr().out
    assert "Against H4/S2" in out
    assert max(map(len, out.splitlines())) <= 100
    assert main([*words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {"clubs", "differences"} <= set(found)
    assert found["differences"][0]["carry_m"]["mean"] > 0.0
    assert main(["compare", str(one), str(two), "--kit", str(demo.folder())]) == 2
    assert "no label" in capsys.readouterr().err
    assert main(["compare", str(two), "--kit", str(demo.folder())]) == 3
    assert "nothing to compare" in capsys.readouterr().err
    write(one, "H4/S2", 240.0, 1, hand="left")
    assert main(["compare", str(one), str(two), "--kit", str(demo.folder())]) == 2
    assert "several players" in capsys.readouterr().err
