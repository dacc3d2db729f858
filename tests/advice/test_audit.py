"""What a kit leaves unmeasured, priced in metres of carry."""

from pathlib import Path

import pytest

from fitter.advice.audit import check_kit
from fitter.base.errors import InputError


def write(folder: Path, heads: str, shafts: str = "shaft,mass_g\nS1,62\n") -> Path:
    (folder / "heads.csv").write_text(heads, encoding="utf-8")
    (folder / "shafts.csv").write_text(shafts, encoding="utf-8")
    return folder


def test_a_stamped_loft_costs_most(tmp_path: Path) -> None:
    # a stamp is 1.0 deg off, 0.88 where the shop gauged one head that carries a stamp, a gauge 0.3: the loft
    # gauge comes first, ahead of every other figure
    audit = check_kit(write(tmp_path, "head,stamped_loft_deg,loft_deg,mass_g\nH1,9,,201\nH2,10.5,11.2,\n"))
    assert (audit.heads, audit.shafts) == (2, 1)
    first = audit.missing[0]
    assert (first.code, first.figure, first.how) == ("H1", "loft_deg", "loft gauge")
    assert first.carry_m > 3 * audit.missing[1].carry_m
    assert (first.sd, first.sd_measured) == (pytest.approx(0.8779, abs=1e-4), 0.3)
    costs = [m.carry_m for m in audit.missing]
    assert costs == sorted(costs, reverse=True)
    named = {(m.code, m.figure) for m in audit.missing}
    assert ("H2", "mass_g") in named
    assert ("H1", "mass_g") not in named
    assert ("H2", "loft_deg") not in named
    assert ("S1", "tip_ei_nm2") in named


def test_faults_come_before_prices(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="'ten'"):
        check_kit(write(tmp_path, "head,loft_deg\nH1,ten\n"))
